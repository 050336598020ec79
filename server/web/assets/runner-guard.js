/**
 * Keeps a finger from hitting what has only just come under it: a button that changed its place or its meaning takes no
 * press for a moment. Without it a bounced press on DONE would hit the next job, which moves up to the same place.
 * @module runner-guard
 */

import { setAttribute } from "./dom.js";

/** Nobody sees a change and presses on purpose within this time, milliseconds. */
const SETTLE_MS = 500;

/** What each button meant when last drawn. */
export class Guard {
  /** @param {() => void} redraw asked for when a button becomes ready */
  constructor(redraw) {
    this.redraw = redraw;
    /** @type {WeakMap<HTMLElement, {meaning: string, readyAt: number}>} */
    this.seen = new WeakMap();
  }

  /** Notes a button's place and meaning. @param {HTMLElement} button @param {string} meaning */
  look(button, meaning) {
    const before = this.seen.get(button);
    const now = performance.now();
    if (before?.meaning !== meaning) {
      this.seen.set(button, { meaning, readyAt: now + SETTLE_MS });
      setTimeout(this.redraw, SETTLE_MS + 10);
    }
    setAttribute(button, "aria-disabled", this.ready(button) ? null : "true");
  }

  /** @param {HTMLElement} button @returns {boolean} whether a press on it counts */
  ready(button) {
    const seen = this.seen.get(button);
    return seen !== undefined && performance.now() >= seen.readyAt;
  }
}
