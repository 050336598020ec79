/**
 * What lies at the lower edge, under the thumb: the undo of the last presses, and news that must be read.
 * @module runner-notices
 */

/** @import { Guard } from "./runner-guard.js" */

import { arrange, byId, fill, make, setAttribute, setText, show } from "./dom.js";
import { runner as words } from "./runnerwords.js";

/** How long a press can be taken back, milliseconds. */
export const UNDO_MS = 10_000;

/** How long good news stays, milliseconds; other news stays until somebody has pressed OK. */
const GOOD_NEWS_MS = 5_000;

/** More would hide the jobs. The rest comes up as these go. */
const SHOWN = 2;

/** How often the countdown moves, milliseconds. */
const STEP_MS = 250;

/**
 * @typedef {object} Row
 * @property {string} key of what it belongs to
 * @property {string} text
 * @property {number} until when it goes by itself, on the steady counter
 * @property {(() => void)|null} undo `null` for news
 */

/** The rows. */
export class Notices {
  /** @param {Guard} guard */
  constructor(guard) {
    this.guard = guard;
    this.root = byId("notices");
    this.list = byId("notice-list");
    /** @type {(Row & {parts: ReturnType<typeof makeParts>})[]} oldest first */
    this.rows = [];
    /** @type {ReturnType<typeof setInterval>|undefined} */
    this.ticker = undefined;
  }

  /**
   * Offers to take a press back.
   * @param {string} key of what it belongs to; a newer one replaces it
   * @param {string} text
   * @param {() => void} undo
   */
  offerUndo(key, text, undo) {
    this.#add({ key, text, until: performance.now() + UNDO_MS, undo });
  }

  /** Says something. @param {string} key @param {string} text @param {{lasting: boolean}} how */
  say(key, text, { lasting }) {
    this.#add({ key, text, until: lasting ? Infinity : performance.now() + GOOD_NEWS_MS, undo: null });
  }

  /** Takes a row away. @param {string} key */
  drop(key) {
    this.rows = this.rows.filter((row) => row.key !== key);
    this.draw();
  }

  /** Another person is at the phone. */
  clear() {
    this.rows = [];
    this.draw();
  }

  /** @param {Row} row */
  #add(row) {
    const parts = makeParts(row);
    parts.button.addEventListener("click", () => {
      if (!this.guard.ready(parts.button)) return;
      this.drop(row.key);
      row.undo?.();
    });
    this.rows = [...this.rows.filter(({ key }) => key !== row.key), { ...row, parts }];
    this.ticker ??= setInterval(() => this.draw(), STEP_MS);
    this.draw();
  }

  /** Moves the countdowns on, and lets go of what is over. */
  draw() {
    const now = performance.now();
    this.rows = this.rows.filter(({ until }) => until > now);
    const shown = this.rows.slice(-SHOWN);
    shown.forEach(({ key, until, undo, parts }, index) => {
      const left = until - now;
      setText(parts.button, undo === null ? words.ok : words.undo(Math.ceil(left / 1000)));
      if (undo !== null) parts.bar.value = left;
      this.guard.look(parts.button, `${key} ${index}`);
    });
    arrange(this.list, shown.map(({ parts }) => parts.root));
    show(this.root, shown.length > 0);
    setAttribute(document.body, "data-notices", String(shown.length));
    if (this.rows.length === 0) {
      clearInterval(this.ticker);
      this.ticker = undefined;
    }
  }
}

/**
 * Makes the parts of a row.
 * @param {Row} row
 */
function makeParts({ text, undo }) {
  const root = make("li", `notice notice-${undo === null ? "news" : "undo"}`);
  const button = make("button", "notice-button", "", { type: "button" });
  const bar = make("progress", "notice-bar", "", { max: String(UNDO_MS), "aria-hidden": "true" });
  fill(root, make("p", "notice-text", text), button, bar);
  show(bar, undo !== null);
  return { root, button, bar };
}
