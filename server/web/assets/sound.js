/**
 * Beeps, made on the spot. Starts switched off, because a browser is silent until somebody touches the page, and a screen
 * that claims to sound but does not is worse than one that says "sound off".
 * @module sound
 */

/** Tones in hertz, one after the other. */
const TUNES = { new: [660, 880], lapsed: [880, 660, 880], reminded: [660] };

const TONE_S = 0.16;

/** Share of full loudness by name; each step is about twice as loud to the ear (10 dB) as the one before. */
const LOUDNESS = { quiet: 0.08, middle: 0.25, loud: 0.8 };

/** The beeper. */
export class Sound {
  constructor() {
    /** @type {AudioContext|null} */
    this.context = null;
    this.on = false;
    this.loudness = LOUDNESS.middle;
  }

  /** Whether a tone would be heard now: a browser keeps it silent until somebody touches the page. */
  get ready() {
    return this.on && this.context?.state === "running";
  }

  /**
   * Sets the loudness, or mutes. Until `wake` has been called from a touch, nothing sounds.
   * @param {"mute"|"quiet"|"middle"|"loud"} volume
   */
  setVolume(volume) {
    this.on = volume !== "mute";
    if (volume !== "mute") this.loudness = LOUDNESS[volume];
  }

  /** Lets the browser sound; must be called from a key or a touch. @returns {Promise<void>} once it may */
  async wake() {
    if (!this.on) return;
    this.context ??= new AudioContext();
    if (this.context.state !== "running") await this.context.resume();
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
    level.gain.linearRampToValueAtTime(this.loudness, at + 0.01);
    level.gain.setValueAtTime(this.loudness, at + TONE_S - 0.03);
    level.gain.linearRampToValueAtTime(0, at + TONE_S);
    tone.connect(level).connect(context.destination);
    tone.start(at);
    tone.stop(at + TONE_S);
  }
}
