/**
 * The run-out view: the board with its axis, and the filter above it.
 * @module runout
 */

import { Board } from "./board.js";
import { byId, setText } from "./dom.js";
import { FilterBar } from "./filterbar.js";
import { Running } from "./running.js";
import { WHOLE_SHOW } from "./span.js";
import { clockTime } from "./time.js";
import { sifting as words } from "./words.js";

/** @import { Settings } from "./settings.js" */
/** @import { Span } from "./span.js" */
/** @import { Store } from "./store.js" */

/** Puts the parts of the view together. */
export class RunOutView {
  /**
   * @param {() => number|null} hubNow the hub's clock, milliseconds
   * @param {() => void} redraw asks for a drawing
   * @param {(unit: string) => void} onChosen told which unit was chosen
   */
  constructor(hubNow, redraw, onChosen) {
    this.redraw = redraw;
    this.onChosen = onChosen;
    this.board = new Board();
    this.running = new Running(hubNow, redraw);
    this.filterBar = new FilterBar(redraw);
    this.board.list.addEventListener("click", (event) => this.#clicked(event));
  }

  /** What the keys do here. */
  actions() {
    return {
      row: (/** @type {1|-1} */ step) => this.#chosen(this.board.move(step)),
      openUnit: () => this.#open(this.board.chosenUnit()),
      filter: () => this.filterBar.focus(),
      showAll: () => this.filterBar.clear(),
    };
  }

  /** No unit is chosen any more. */
  letGo() {
    this.#chosen(null);
  }

  /** @param {"connecting"|"live"|"lost"|"signed_out"} state of the link to the hub */
  linkChanged(state) {
    if (state === "live") this.running.arrive();
    if (state === "lost") this.running.leave();
    if (state === "signed_out") {
      this.running.forget();
      this.filterBar.clear();
    }
  }

  /** After every message of the hub. @param {Store} store */
  heed(store) {
    this.running.heed(store);
  }

  /** @param {Omit<import("./board.js").Scene, "running"|"filter"> & {session: {role: string}|null}} scene */
  draw(scene) {
    const { store, settings, lost } = scene;
    if (settings.spanMin === WHOLE_SHOW && !lost) this.running.freshShows();
    const { hidden, span } = this.board.draw({ ...scene, running: this.running, filter: this.filterBar.filter });
    this.filterBar.draw(hidden, store.units.size);
    this.#drawSpan(settings, span);
    // After the frame that shows the first rows.
    if (!this.board.complete) requestAnimationFrame(() => this.redraw());
  }

  /**
   * What "whole show" means just now.
   * @param {Settings} settings
   * @param {Span} span
   */
  #drawSpan(settings, { end, name }) {
    const whole = settings.spanMin === WHOLE_SHOW;
    const title = end === null ? words.showNone : words.showTitle(name, clockTime(end));
    setText(byId("span-told"), whole ? title : "");
  }

  /** @param {MouseEvent} event */
  #clicked(event) {
    if (!(event.target instanceof Element)) return;
    const row = event.target.closest(".row");
    const unit = row instanceof HTMLElement ? row.dataset.unit ?? null : null;
    if (unit === null) return;
    this.#chosen(unit);
    if (event.target.closest(".callsign") !== null) this.#open(unit);
  }

  /** @param {string|null} unit @returns {boolean} whether one is chosen now */
  #chosen(unit) {
    this.board.choose(unit);
    if (unit !== null) this.onChosen(unit);
    const row = unit === null ? undefined : this.board.rows.get(unit);
    if (unit !== null && row) setText(byId("aloud"), words.chosen(unit, row.big.textContent ?? "", row.range.textContent ?? ""));
    return unit !== null;
  }

  /** Whoever shows one unit listens to this. @param {string|null} unit */
  #open(unit) {
    if (unit !== null) document.dispatchEvent(new CustomEvent("swapcall:open-unit", { detail: { unit } }));
  }
}
