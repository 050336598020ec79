/**
 * Beeps, made on the spot. A browser is silent until somebody touches the page, and a screen that claims to sound but
 * does not is worse than a silent one: so there are three answers, and each has its words.
 * @module sound
 */

/** @import { Settings } from "./settings.js" */

/** Tones in hertz, one after the other. */
const TUNES = { new: [660, 880], lapsed: [880, 660, 880], reminded: [660], risk: [990, 740, 494, 990, 740, 494] };

const TONE_S = 0.16;

/** A click this soon after the touch that woke the beeper is that touch, milliseconds. */
const SAME_TOUCH_MS = 1_000;

/** Gain of each step of the volume: each about 8 dB above the one before. */
const LOUDNESS = [0.1, 0.25, 0.6];

/** The beeper. */
export class Sound {
  /**
   * @param {() => Settings} settings as they are now: `muted` and `volume`
   * @param {() => void} changed told when the answer of `state` may have changed by itself
   */
  constructor(settings, changed) {
    this.settings = settings;
    this.changed = changed;
    /** @type {AudioContext|null} */
    this.context = null;
    this.wokenAt = -Infinity;
    // A touch anywhere is the leave that a browser wants.
    for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, () => this.#wake(), { capture: true });
  }

  /** @returns {"muted"|"blocked"|"on"} `blocked`: the browser waits for a touch */
  state() {
    if (this.settings().muted) return "muted";
    return this.context?.state === "running" ? "on" : "blocked";
  }

  /** Finds out whether the browser lets this page sound, where it is not muted. */
  prepare() {
    if (this.settings().muted || this.context !== null) return;
    this.context = new AudioContext();
    this.context.addEventListener("statechange", this.changed);
  }

  /** @returns {boolean} whether a press of the button is to mute; the press that ended the browser's silence is not */
  mutesByPress() {
    return this.state() === "on" && performance.now() - this.wokenAt > SAME_TOUCH_MS;
  }

  /** Says by a tone how loud it is now; must be called from a key or a click. */
  sample() {
    this.prepare();
    this.#wake().then(() => this.play("reminded"));
  }

  async #wake() {
    if (this.settings().muted || this.context === null || this.context.state === "running") return;
    this.wokenAt = performance.now();
    await this.context.resume();
  }

  /** @param {keyof typeof TUNES} tune */
  play(tune) {
    const { context } = this;
    if (context === null || this.state() !== "on") return;
    TUNES[tune].forEach((hertz, index) => this.#tone(context, hertz, context.currentTime + index * TONE_S * 1.25));
  }

  /**
   * @param {AudioContext} context
   * @param {number} hertz
   * @param {number} at seconds on the context's clock
   */
  #tone(context, hertz, at) {
    const loudness = LOUDNESS[this.settings().volume - 1];
    const tone = context.createOscillator();
    const level = context.createGain();
    tone.frequency.value = hertz;
    level.gain.setValueAtTime(0, at);
    level.gain.linearRampToValueAtTime(loudness, at + 0.01);
    level.gain.setValueAtTime(loudness, at + TONE_S - 0.03);
    level.gain.linearRampToValueAtTime(0, at + TONE_S);
    tone.connect(level).connect(context.destination);
    tone.start(at);
    tone.stop(at + TONE_S);
  }
}
