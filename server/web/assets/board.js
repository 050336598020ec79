/**
 * The run-out board: a row per unit on one time axis. Each row remembers what it shows and touches only what differs.
 * @module board
 */

/** @import { UnitView } from "swapcall-wire" */
/** @import { Lane, View } from "./axis.js" */
/** @import { RowModel } from "./rowmodel.js" */
/** @import { Settings } from "./settings.js" */
/** @import { Store } from "./store.js" */

import { labelled, nextView, shift, ticks, PAST_SHARE } from "./axis.js";
import { arrange, byId, fill, make, setAttribute, setText, show } from "./dom.js";
import { orderOf, rowModel } from "./rowmodel.js";
import { clockTime, toMs } from "./time.js";
import { LETTERS, board as words, duration, row as rowWords } from "./words.js";

/** Smallest and largest height of a row on a wide screen, in heights of the page's letters. */
const ROW_MIN_REM = 2.1;
const ROW_MAX_REM = 6;

/** Below this a row has one line of text only. */
const TIGHT_BELOW_REM = 3.6;

/**
 * @typedef {ReturnType<typeof makeRow>} Row the parts of a row
 * @typedef {ReturnType<typeof makeLane>} LaneParts the bar, mark and labels of one cause
 */

const TEXTS = /** @type {const} */ (["unit", "position", "flag", "shape", "mode", "levels", "age", "big", "range", "hint", "ifRecording", "ifShort", "why"]);

/** The board. */
export class Board {
  constructor() {
    this.list = byId("rows");
    this.area = byId("rows-area");
    /** @type {Map<string, Row>} row parts by callsign */
    this.rows = new Map();
    /** @type {View|null} */
    this.view = null;
    /** @type {string[]} callsigns, top row first */
    this.order = [];
    /** @type {Map<string, UnitView>} */
    this.units = new Map();
    this.now = 0;
    this.tickKey = "";
    /** How many rows were written to since the page was opened; for tests and the curious. */
    this.redrawn = 0;
    byId("board").style.setProperty("--past", `${PAST_SHARE * 100}%`);
    this.area.addEventListener("scroll", () => this.#drawBelow(), { passive: true });
  }

  /**
   * @param {Store} store
   * @param {number} now the hub's clock, milliseconds
   * @param {Settings} settings
   * @param {boolean} lost whether the hub is lost
   */
  draw(store, now, settings, lost) {
    this.now = now;
    this.units = store.units;
    const view = nextView(this.view, now, settings.spanMin);
    this.view = view;
    this.order = orderOf([...store.units.values()], settings.sort, this.order);
    const calls = store.callsByUnit();
    for (const name of [...this.rows.keys()]) if (!store.units.has(name)) this.rows.delete(name);
    const elements = this.order.flatMap((name) => {
      const unit = store.units.get(name);
      if (!unit) return [];
      const parts = this.#row(name);
      this.#patch(parts, rowModel(unit, calls.get(name) ?? null, view, lost));
      return [parts.root];
    });
    arrange(this.list, elements);
    byId("board").style.setProperty("--shift", `${-shift(view).toFixed(3)}%`);
    this.#drawTicks(view);
    this.fit();
    this.#drawBelow();
  }

  /** Shares the height of the screen among the rows. */
  fit() {
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    const room = (this.area.clientHeight - byId("axis").offsetHeight) / Math.max(1, this.order.length);
    const height = Math.floor(Math.min(ROW_MAX_REM * rem, Math.max(ROW_MIN_REM * rem, room)));
    const board = byId("board");
    if (board.dataset.rowHeight === String(height)) return;
    board.dataset.rowHeight = String(height);
    board.dataset.density = height < TIGHT_BELOW_REM * rem ? "tight" : "roomy";
    board.style.setProperty("--row-h", `${height}px`);
  }

  /** @param {string} name */
  #row(name) {
    const parts = this.rows.get(name) ?? makeRow(name);
    this.rows.set(name, parts);
    return parts;
  }

  /**
   * @param {Row} parts
   * @param {RowModel} model
   */
  #patch(parts, model) {
    const key = JSON.stringify(model);
    if (parts.key === key) return;
    parts.key = key;
    this.redrawn += 1;
    for (const name of TEXTS) setText(parts[name], model[name]);
    setAttribute(parts.root, "data-state", model.state);
    setAttribute(parts.root, "data-call", model.flagKind);
    setText(parts.cause, model.cause === null ? "" : LETTERS[model.cause]);
    setAttribute(parts.cause, "class", `cause cause-${model.cause ?? "none"}`);
    if (model.cause !== null) setAttribute(parts.cause, "title", rowWords.first(model.cause));
    setAttribute(parts.big, "data-long", String(model.big.length > 7));
    setAttribute(parts.range, "data-long", String(model.range.length > 12));
    setAttribute(parts.unit, "data-long", lengthClass([...model.unit].length));
    setAttribute(parts.root, "title", model.why);
    setAttribute(parts.unit, "title", model.unit);
    setAttribute(parts.position, "title", model.position);
    setAttribute(parts.track, "aria-label", model.aria);
    patchLane(parts.battery, model.battery);
    patchLane(parts.cards, model.cards);
    show(parts.by, model.by !== null);
    if (model.by !== null) parts.by.style.left = `${model.by}%`;
  }

  /** @param {View} view */
  #drawTicks(view) {
    const found = ticks(view);
    const key = [view.spanMin, view.anchor, found[0].label, ...labelled(view, found).map((tick) => tick.label)].join();
    setText(byId("axis-now"), words.now);
    if (this.tickKey === key) return;
    this.tickKey = key;
    const lines = found.map((tick) => placed(make("i", "grid-line"), tick.left));
    byId("grid-shift").replaceChildren(...lines);
    const labels = labelled(view, found).map((tick) => placed(make("span", "tick", tick.label), tick.left));
    byId("axis-shift").replaceChildren(...labels);
    setText(byId("axis-end"), words.ahead(view.spanMin));
  }

  /** Says how many rows are out of sight below, and which of them is next. */
  #drawBelow() {
    const edge = this.area.scrollTop + this.area.clientHeight - byId("axis").offsetHeight;
    const hidden = this.order.filter((name) => {
      const root = this.rows.get(name)?.root;
      return root !== undefined && root.offsetTop + root.offsetHeight / 2 > edge;
    });
    const below = byId("below");
    show(below, hidden.length > 0);
    if (hidden.length === 0) return;
    const times = hidden.map((name) => ({ name, at: toMs(this.units.get(name)?.run_out?.earliest?.p50) ?? Infinity }));
    const next = times.reduce((a, b) => (b.at < a.at ? b : a));
    const left = next.at - this.now;
    const text = Number.isFinite(left) && left > 0 ? words.below(hidden.length, next.name, duration(left)) : words.belowPlain(hidden.length);
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

/**
 * Makes the parts of a row.
 * @param {string} name callsign
 */
function makeRow(name) {
  const root = make("li", "row");
  root.dataset.unit = name;
  const track = make("div", "track", "", { role: "img" });
  const moving = make("div", "moving");
  const parts = {
    root,
    track,
    /** What is shown, to see whether anything differs. */
    key: "",
    flag: make("span", "flag"),
    position: make("span", "position"),
    unit: make("h3", "callsign"),
    shape: make("span", "shape"),
    mode: make("span", "mode"),
    age: make("p", "age"),
    levels: make("p", "levels"),
    cause: make("span", "cause"),
    big: make("span", "big"),
    range: make("span", "range"),
    hint: make("span", "hint"),
    ifRecording: make("span", "if-recording"),
    ifShort: make("span", "if-short"),
    why: make("p", "why"),
    battery: makeLane("battery", moving, track),
    cards: makeLane("cards", moving, track),
    by: make("span", "be-there", rowWords.be),
  };
  const identity = fill(make("div", "cell-id"), parts.unit, fill(make("div", "where"), parts.flag, parts.position));
  const mode = fill(make("p", "mode-line"), parts.shape, parts.mode);
  const state = fill(make("div", "cell-state"), parts.age, mode, parts.levels);
  const number = fill(make("p", "number"), parts.cause, parts.big, parts.range);
  const second = fill(make("p", "second"), parts.hint, parts.ifRecording, parts.ifShort);
  moving.append(parts.by);
  track.prepend(moving);
  fill(root, identity, state, fill(make("div", "cell-out"), number, second), track, parts.why);
  return parts;
}

/**
 * Makes the bar, mark and label of one cause.
 * @param {"battery"|"cards"} cause
 * @param {Element} moving what moves left as time goes on
 * @param {Element} track
 */
function makeLane(cause, moving, track) {
  const lane = {
    bar: make("i", `bar bar-${cause}`),
    mark: make("b", `mark mark-${cause}`, LETTERS[cause]),
    label: make("span", `label label-${cause}`),
    beyond: make("span", `beyond beyond-${cause}`),
    over: make("span", `over over-${cause}`),
  };
  moving.append(lane.bar, lane.label, lane.mark);
  track.append(lane.beyond, lane.over);
  return lane;
}

/**
 * Writes one lane.
 * @param {LaneParts} parts
 * @param {Lane|null} lane
 */
function patchLane(parts, lane) {
  for (const part of [parts.bar, parts.mark, parts.label]) show(part, lane !== null);
  setText(parts.beyond, lane?.beyond ?? "");
  setText(parts.over, lane?.over ?? "");
  if (lane === null) return;
  parts.bar.style.left = `${lane.left}%`;
  parts.bar.style.width = `${lane.width}%`;
  parts.mark.style.left = `${lane.mark}%`;
  setText(parts.label, lane.label);
  setAttribute(parts.label, "data-side", lane.labelSide);
  const ends = { after: lane.left + lane.width, before: lane.left, inside: lane.mark };
  parts.label.style.left = `${ends[lane.labelSide]}%`;
}

/** The time of the hub, at the head of the page. @param {number|null} now milliseconds @returns {string} */
export function clockText(now) {
  return now === null ? "--:--:--" : clockTime(now, true);
}

/**
 * How a callsign of this many letters is set so that it fits: big, smaller, or small.
 * @param {number} letters
 */
function lengthClass(letters) {
  if (letters > 8) return "true";
  return letters > 5 ? "some" : "false";
}
