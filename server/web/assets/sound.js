/**
 * Beeps, made on the spot. Starts switched off, because a browser is silent until somebody touches the page, and a screen
 * that claims to sound but does not is worse than one that says "sound off".
 * @module sound
 */

/** Tones in hertz, one after the other. */
const TUNES = { new: [660, 880], lapsed: [880, 660, 880], reminded: [660] };

const TONE_S = 0.16;
const LOUDNESS = 0.25;

/** The beeper. */
export class Sound {
  constructor() {
    /** @type {AudioContext|null} */
    this.context = null;
    this.on = false;
  }

  /** Switches on or off; must be called from a key or a click. @returns {boolean} whether it is on now */
  toggle() {
    this.on = !this.on;
    if (this.on) {
      this.context ??= new AudioContext();
      this.context.resume();
      this.play("reminded");
    }
    return this.on;
  }

  /** @param {"new"|"lapsed"|"reminded"} tune */
  play(tune) {
    const { context } = this;
    if (!this.on || context === null) return;
    TUNES[tune].forEach((hertz, index) => this.#tone(context, hertz, context.currentTime + index * TONE_S * 1.25));
  }

  /**
   * @param {AudioContext} context
   * @param {number} hertz
   * @param {number} at seconds on the context's clock
   */
  #tone(context, hertz, at) {
    const tone = context.createOscillator();
    const level = context.createGain();
    tone.frequency.value = hertz;
    level.gain.setValueAtTime(0, at);
    level.gain.linearRampToValueAtTime(LOUDNESS, at + 0.01);
    level.gain.setValueAtTime(LOUDNESS, at + TONE_S - 0.03);
    level.gain.linearRampToValueAtTime(0, at + TONE_S);
    tone.connect(level).connect(context.destination);
    tone.start(at);
    tone.stop(at + TONE_S);
  }
}
