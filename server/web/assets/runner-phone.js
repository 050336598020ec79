/**
 * What the phone itself does: stays awake, vibrates. Browsers offer the first on encrypted pages only, and some offer
 * neither; what is missing is said, never pretended.
 * @module runner-phone
 */

/** Patterns of vibration in milliseconds, on and off; told apart without looking. */
const PATTERNS = { new: [400, 150, 400], lapsed: [200, 100, 200, 100, 200, 100, 200], reminded: [300], risk: [700, 150, 700, 150, 700] };

/** Keeps the screen on while the page is in front. */
export class Awake {
  /** @param {() => void} changed */
  constructor(changed) {
    this.changed = changed;
    /** @type {"on"|"off"|"none"} */
    this.state = "wakeLock" in navigator ? "off" : "none";
    document.addEventListener("visibilitychange", () => this.hold());
  }

  /** Asks for it; a browser lets go whenever the page is hidden, so it is asked again each time it is seen. */
  async hold() {
    if (this.state !== "off" || document.visibilityState !== "visible") return;
    try {
      const lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => this.#become("off"));
      this.#become("on");
    } catch {
      // Refused, on a low battery for one; the page says that it is not on.
      this.#become("off");
    }
  }

  /** @param {"on"|"off"} state */
  #become(state) {
    this.state = state;
    this.changed();
  }
}

/** Whether this browser can vibrate at all. */
export const canVibrate = () => "vibrate" in navigator;

/** @param {keyof typeof PATTERNS} kind */
export function vibrate(kind) {
  // Before the first touch a browser refuses, and complains of being asked.
  if (canVibrate() && navigator.userActivation?.hasBeenActive !== false) navigator.vibrate(PATTERNS[kind]);
}
