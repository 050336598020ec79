/**
 * The run-out board: a row per unit on one time axis. Each row remembers what it shows and touches only what differs.
 * @module board
 */

import { labelled, nextView, place, shift, ticks, PAST_SHARE } from "./axis.js";
import { arrange, byId, make, setAttribute, setText, show } from "./dom.js";
import { sift } from "./filter.js";
import { ageOf } from "./freshness.js";
import { orderOf, rowModel } from "./rowmodel.js";
import { makeRow, patchRow } from "./rowview.js";
import { spanOf } from "./span.js";
import { StretchMemory, isHeld } from "./stretches.js";
import { clockTime, toMs } from "./time.js";
import { board as words, duration, sifting } from "./words.js";

/** @import { CallView, UnitView } from "swapcall-wire" */
/** @import { View } from "./axis.js" */
/** @import { Row } from "./rowview.js" */
/** @import { Span } from "./span.js" */

/** Smallest and largest height of a row on a wide screen, in heights of the page's letters; windows need a lane more. */
const ROW_MIN_REM = 2.1;
const ROW_MIN_WITH_WINDOWS_REM = 2.8;
const ROW_MAX_REM = 6;

/** So many rows come in the first picture, from the top: nobody who opens the screen waits for the whole of a large fleet. */
const FIRST_ROWS = 16;

/** Below this a row has one line of text only. */
const TIGHT_BELOW_REM = 3.6;

/** Height of a group's heading, as in the style sheet. */
const HEAD_REM = 1.7;

/**
 * @typedef {object} Scene what is to be drawn
 * @property {import("./store.js").Store} store
 * @property {number} now the hub's clock, milliseconds
 * @property {import("./settings.js").Settings} settings
 * @property {boolean} lost whether the hub is lost
 * @property {import("./running.js").Running} running the rundown and the shows
 * @property {import("./filter.js").Filter} filter
 */

/** The board. */
export class Board {
  constructor() {
    this.list = byId("rows");
    this.area = byId("rows-area");
    /** @type {Map<string, Row>} row parts by callsign */
    this.rows = new Map();
    /** @type {Map<string, HTMLElement>} headings by group; "" for those without one */
    this.heads = new Map();
    this.stretches = new StretchMemory();
    /** @type {Map<string, UnitView>} */
    this.units = new Map();
    this.now = 0;
    /** @type {View|null} */
    this.view = null;
    /** @type {string[]} callsigns in order */
    this.order = [];
    /** @type {string[]} those of them that the filter lets through */
    this.shown = [];
    this.headCount = 0;
    /** @type {string|null} the chosen unit */
    this.chosen = null;
    this.tickKey = "";
    this.shiftKey = "";
    this.measureKey = "";
    /** What stands in the list, top first. @type {HTMLElement[]} */
    this.placed = [];
    /** Whether the last drawing placed all rows; if not, the next one does. */
    this.complete = true;
    /** How much room there is, as the page last said. @type {ReturnType<Board["askForRoom"]>|null} */
    this.room = null;
    this.rowHeight = 0;
    /** How far the rows are scrolled, in pixels. */
    this.scrolled = 0;
    /** How many rows were written to since the page was opened; for tests and the curious. */
    this.redrawn = 0;
    byId("board").style.setProperty("--past", `${PAST_SHARE * 100}%`);
    this.area.addEventListener("scroll", () => this.#heedScroll(), { passive: true });
    new ResizeObserver(() => {
      this.measureKey = "";
      this.room = this.askForRoom();
      if (this.view !== null) this.#measure();
    }).observe(this.area);
  }

  /**
   * @param {Scene} scene
   * @returns {{hidden: import("./filter.js").Hidden, span: Span}} what the tools around the board tell
   */
  draw(scene) {
    const { store, now, settings, running } = scene;
    this.now = now;
    this.units = store.units;
    const span = spanOf(settings.spanMin, now, running.shows, running.said);
    const view = nextView(this.view, now, span.spanMin);
    this.view = view;
    const units = [...store.units.values()];
    const calls = store.callsByUnit();
    this.#forgetGone();
    this.order = orderOf(units, settings.sort, this.order);
    const sifted = sift(units, (unit) => this.#facts(unit, calls, view, scene), scene.filter);
    this.shown = this.order.filter((name) => sifted.shown.has(name));
    const drawn = this.placed.length === 0 ? this.shown.slice(0, FIRST_ROWS) : this.shown;
    this.complete = drawn.length === this.shown.length;
    for (const name of drawn) this.#drawRow(name, calls.get(name) ?? null, view, scene);
    if (!this.room?.height) this.room = this.askForRoom();
    this.#place(this.#elements(drawn, settings.sort === "group"));
    show(byId("rows-none"), this.shown.length === 0);
    this.#drawShift(view);
    this.#drawTicks(view, span);
    this.#measure();
    return { hidden: sifted.hidden, span };
  }

  #forgetGone() {
    for (const name of this.rows.keys()) if (!this.units.has(name)) this.rows.delete(name);
    this.stretches.keepOnly(this.units);
  }

  /**
   * What the filter asks for.
   * @param {UnitView} unit
   * @param {Map<string, CallView>} calls
   * @param {View} view
   * @param {Scene} scene
   */
  #facts(unit, calls, view, { now, lost, running }) {
    return {
      call: calls.get(unit.unit) ?? null,
      dark: unit.dark,
      silent: ageOf(unit, now, lost).state === "silent",
      held: isHeld(this.stretches.of(unit, view, running), now),
    };
  }

  /**
   * Works a row out again only when something it rests on has changed; ages change with the second, counted from when its
   * unit was heard, so that sixty rows do not all fall due in the same drawing.
   * @param {string} name
   * @param {CallView|null} call
   * @param {View} view
   * @param {Scene} scene
   */
  #drawRow(name, call, view, { store, now, lost, running }) {
    const unit = store.units.get(name);
    if (unit === undefined) return;
    const parts = this.#row(name);
    const stretches = this.stretches.of(unit, view, running);
    const seen = [unit, call, stretches, lost, view.anchor, view.spanMin, Math.floor((now - (toMs(unit.observed_at) ?? 0)) / 1000)];
    if (!seen.every((one, index) => one === parts.seen[index])) {
      parts.seen = seen;
      if (patchRow(parts, rowModel(unit, call, view, lost, stretches))) this.redrawn += 1;
    }
    setAttribute(parts.root, "aria-current", name === this.chosen ? "true" : null);
  }

  /** Brings the rows into order, if they are not. @param {HTMLElement[]} elements top first */
  #place(elements) {
    const { placed } = this;
    if (placed.length === elements.length && placed.every((one, index) => one === elements[index])) return;
    this.placed = elements;
    arrange(this.list, elements);
  }

  /** @param {string} name */
  #row(name) {
    const parts = this.rows.get(name) ?? makeRow(name);
    this.rows.set(name, parts);
    return parts;
  }

  /**
   * The rows in order, with headings where they stand in groups.
   * @param {string[]} drawn callsigns, top first: all that are shown, or the first of them
   * @param {boolean} grouped
   */
  #elements(drawn, grouped) {
    /** @type {HTMLElement[]} */
    const elements = [];
    /** @type {Map<string, number>} */
    const counts = new Map();
    const groupOf = (/** @type {string} */ name) => this.units.get(name)?.profile?.group ?? "";
    for (const name of this.shown) counts.set(groupOf(name), (counts.get(groupOf(name)) ?? 0) + 1);
    let before = null;
    for (const name of drawn) {
      const group = groupOf(name);
      if (grouped && group !== before) elements.push(this.#head(group, counts.get(group) ?? 0));
      before = group;
      elements.push(this.#row(name).root);
    }
    this.headCount = grouped ? counts.size : 0;
    return elements;
  }

  /**
   * @param {string} group
   * @param {number} count
   */
  #head(group, count) {
    const head = this.heads.get(group) ?? make("li", "group-head");
    this.heads.set(group, head);
    setText(head, sifting.group(group === "" ? sifting.noGroup : group, count));
    return head;
  }

  /** Moves everything by as much as time has gone on; once a second, because every row has to be looked at for it. @param {View} view */
  #drawShift(view) {
    const key = [view.anchor, view.spanMin, Math.floor(view.now / 1000)].join();
    if (this.shiftKey === key) return;
    this.shiftKey = key;
    byId("board").style.setProperty("--shift", `${-shift(view).toFixed(3)}%`);
  }

  /** Shares the room, and says what is out of it: once a second, or when rows have come or gone, or the room is another. */
  #measure() {
    const withWindows = this.shown.some((name) => (this.stretches.byUnit.get(name)?.stretches.shown.length ?? 0) > 0);
    const key = [this.shown.length, this.headCount, withWindows, Math.floor(this.now / 1000)].join();
    if (this.measureKey === key || this.room === null) return;
    this.measureKey = key;
    this.#fit(this.room, withWindows);
    this.#drawBelow();
  }

  /**
   * Asks the page how much room there is. That makes the browser lay out everything that was written until then, so it is
   * asked at first and when the room has changed; in between, heights are worked out.
   */
  askForRoom() {
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    // On a phone the whole page scrolls, and there is as much room as rows want.
    const scrolls = getComputedStyle(this.area).overflowY !== "visible";
    return { rem, axis: byId("axis").offsetHeight, height: scrolls ? this.area.clientHeight : Infinity };
  }

  /**
   * Shares the height of the screen among the rows.
   * @param {ReturnType<Board["askForRoom"]>} room
   * @param {boolean} withWindows whether any row has windows
   */
  #fit({ rem, axis, height: whole }, withWindows) {
    const least = (withWindows ? ROW_MIN_WITH_WINDOWS_REM : ROW_MIN_REM) * rem;
    const taken = axis + this.headCount * HEAD_REM * rem;
    const room = (whole - taken) / Math.max(1, this.shown.length);
    const height = Math.floor(Math.min(ROW_MAX_REM * rem, Math.max(least, room)));
    this.rowHeight = height;
    const board = byId("board");
    setAttribute(board, "data-windows", String(withWindows));
    if (board.dataset.rowHeight === String(height)) return;
    board.dataset.rowHeight = String(height);
    board.dataset.density = height < TIGHT_BELOW_REM * rem ? "tight" : "roomy";
    board.style.setProperty("--row-h", `${height}px`);
  }

  /**
   * @param {View} view
   * @param {Span} span
   */
  #drawTicks(view, span) {
    const found = ticks(view);
    const marks = labelled(view, found);
    const key = [view.spanMin, view.anchor, found[0].label, span.end, ...marks.map((tick) => tick.label)].join();
    setText(byId("axis-now"), words.now);
    if (this.tickKey === key) return;
    this.tickKey = key;
    const lines = found.map((tick) => placed(make("i", "grid-line"), tick.left));
    if (span.end !== null) lines.push(placed(make("i", "grid-end"), place(view, span.end)));
    byId("grid-shift").replaceChildren(...lines);
    const labels = marks.map((tick) => placed(make("span", "tick", tick.label), tick.left));
    byId("axis-shift").replaceChildren(...labels);
    setText(byId("axis-end"), words.ahead(view.spanMin));
  }

  /** Chooses the next or previous row. @param {1|-1} step @returns {string|null} the chosen unit */
  move(step) {
    const index = this.shown.findIndex((name) => name === this.chosen);
    const from = index < 0 && step < 0 ? this.shown.length : index;
    this.choose(this.shown[Math.min(this.shown.length - 1, Math.max(0, from + step))] ?? null);
    if (this.chosen !== null) this.#row(this.chosen).root.scrollIntoView({ block: "nearest" });
    return this.chosen;
  }

  /** @param {string|null} name the unit that keys act on from now on */
  choose(name) {
    this.chosen = name;
    for (const [unit, { root }] of this.rows) setAttribute(root, "aria-current", unit === name ? "true" : null);
  }

  /** @returns {string|null} the chosen unit, while its row is to be seen */
  chosenUnit() {
    return this.shown.find((name) => name === this.chosen) ?? null;
  }

  #heedScroll() {
    this.scrolled = this.area.scrollTop;
    this.#drawBelow();
  }

  /** The units of which less than half a row is in sight, or nothing, because they stand further down. */
  #under() {
    if (this.room === null) return [];
    const { rem, axis, height } = this.room;
    const edge = this.scrolled + height - axis;
    /** @type {string[]} */
    const under = [];
    let top = 0;
    for (const { dataset } of this.placed) {
      if (dataset.unit !== undefined && top + this.rowHeight / 2 > edge) under.push(dataset.unit);
      top += dataset.unit === undefined ? HEAD_REM * rem : this.rowHeight;
    }
    return under;
  }

  /** Says how many rows are out of sight below, and which of them is next. */
  #drawBelow() {
    const below = byId("below");
    const under = this.#under();
    show(below, under.length > 0);
    if (under.length === 0) return;
    const times = under.map((name) => ({ name, at: toMs(this.units.get(name)?.run_out?.earliest?.p50) ?? Infinity }));
    const next = times.reduce((a, b) => (b.at < a.at ? b : a));
    const left = next.at - this.now;
    const text = Number.isFinite(left) && left > 0 ? words.below(under.length, next.name, duration(left)) : words.belowPlain(under.length);
    setText(below, text);
  }
}

/**
 * @param {HTMLElement} element
 * @param {number} left percent
 * @returns {HTMLElement} the element, put at a place of the axis
 */
function placed(element, left) {
  element.style.left = `${left}%`;
  return element;
}

/** The time of the hub, at the head of the page. @param {number|null} now milliseconds @returns {string} */
export function clockText(now) {
  return now === null ? "--:--:--" : clockTime(now, true);
}
