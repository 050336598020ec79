/**
 * The shared time axis: where a moment stands, which ticks are drawn, how a spread becomes a bar.
 *
 * Bars keep their place relative to an anchor; as time goes on, one shift moves all of them. So a row is redrawn only
 * when its forecast changes, not every second.
 * @module axis
 */

/** @import { Spread } from "swapcall-wire" */

import { clockTime, toMs } from "./time.js";
import { LETTERS, row, timeLeft, windows } from "./words.js";

const MINUTE = 60_000;

/** Share of the axis to the left of "now". */
export const PAST_SHARE = 0.06;

/** Shares of the axis next to "now" and next to its end in which a tick has no label. */
const ROOM_FOR_NOW = 0.12;
const ROOM_FOR_END = 0.17;

/** Minutes there may be between ticks, and how many ticks an axis takes at most. */
const TICK_MINUTES = [5, 10, 20, 30, 60, 120, 180];
const LARGEST_STEP_MIN = 240;
const TICKS_MOST = 7;

/**
 * @typedef {object} View
 * @property {number} now the hub's clock, milliseconds
 * @property {number} anchor the moment at which the shift was nought
 * @property {number} spanMin minutes shown to the right of now
 */

/**
 * Keeps the anchor until now has moved half an axis away from it.
 * @param {View|null} before the view as it was
 * @param {number} now the hub's clock, milliseconds
 * @param {number} spanMin length of the axis in minutes
 * @returns {View}
 */
export function nextView(before, now, spanMin) {
  const span = spanMin * MINUTE;
  const keep = before !== null && before.spanMin === spanMin && Math.abs(now - before.anchor) < span / 2;
  return { now, anchor: keep ? before.anchor : now, spanMin };
}

/** @param {View} view @returns {number} milliseconds on the whole width, past included */
function widthMs(view) {
  return (view.spanMin * MINUTE) / (1 - PAST_SHARE);
}

/**
 * @param {View} view
 * @param {number} at milliseconds
 * @returns {number} percent of the width, relative to the anchor; far ends are cut off
 */
export function place(view, at) {
  const percent = PAST_SHARE * 100 + ((at - view.anchor) / widthMs(view)) * 100;
  return Math.round(Math.min(250, Math.max(-100, percent)) * 20) / 20;
}

/** @param {View} view @returns {number} percent of the width by which everything has moved left since the anchor */
export function shift(view) {
  return ((view.now - view.anchor) / widthMs(view)) * 100;
}

/**
 * @typedef {{at: number, left: number, label: string}} Tick a moment, its place in percent, its clock time
 */

/**
 * Ticks at round clock times.
 * @param {View} view
 * @returns {Tick[]}
 */
export function ticks(view) {
  const fitting = TICK_MINUTES.find((one) => view.spanMin / one <= TICKS_MOST);
  const step = (fitting ?? LARGEST_STEP_MIN) * MINUTE;
  const end = view.now + view.spanMin * MINUTE;
  const found = [];
  // Some zones are half or a quarter of an hour off the full hours of the others.
  const [hours, minutes] = clockTime(view.now).split(":").map(Number);
  const off = (hours * 60 + minutes) * MINUTE - Math.floor(view.now / MINUTE) * MINUTE;
  for (let at = Math.ceil((view.now - step + off) / step) * step - off; at <= end; at += step) {
    found.push({ at, left: place(view, at), label: clockTime(at) });
  }
  return found;
}

/**
 * Ticks whose label runs into neither "now" nor the end of the axis.
 * @param {View} view
 * @param {Tick[]} found
 */
export function labelled(view, found) {
  const share = (/** @type {Tick} */ tick) => (tick.at - view.now) / (view.spanMin * MINUTE);
  return found.filter((tick) => share(tick) > ROOM_FOR_NOW && share(tick) < 1 - ROOM_FOR_END);
}

/**
 * @typedef {object} Lane
 * @property {number} left percent
 * @property {number} width percent
 * @property {number} mark percent, place of the P50
 * @property {string} label clock time of the P50
 * @property {"after"|"before"|"inside"} labelSide
 * @property {string} beyond text at the right end, empty when the P50 is on the axis
 * @property {string} over text at the left end, empty while the P90 is ahead
 */

/**
 * Turns a spread into a lane of the axis.
 * @param {View} view
 * @param {"battery"|"cards"} cause
 * @param {Spread|null|undefined} spread P10, P50, P90 as sent
 * @returns {Lane|null} `null` when nothing is known
 */
export function lane(view, cause, spread) {
  if (!spread) return null;
  const far = view.anchor + 4 * view.spanMin * MINUTE;
  const [p10, p50, p90] = [spread.p10, spread.p50, spread.p90].map((moment) => toMs(moment));
  const [from, middle, to] = [p10 ?? far, p50 ?? far, p90 ?? far];
  const end = view.now + view.spanMin * MINUTE;
  const left = place(view, from);
  const letter = LETTERS[cause];
  return {
    left,
    width: Math.max(0.3, place(view, to) - left),
    mark: place(view, middle),
    label: middle > end ? "" : clockTime(middle),
    labelSide: labelSide(view, from, to),
    beyond: middle > end ? row.beyond(letter, p50 === null ? timeLeft(null) : clockTime(p50)) : "",
    over: to < view.now - widthMs(view) * PAST_SHARE ? row.over(letter, clockTime(middle)) : "",
  };
}

/** @typedef {ReturnType<typeof windowLane>} WindowLane boxes for what is held or free, thin lines for what rolls; in percent */

/**
 * The stretches of the rundown on the axis.
 * @param {View} view
 * @param {import("./rundown.js").Stretches} stretches
 */
export function windowLane(view, { shown, rolling }) {
  const { left, right } = windowReach(view);
  const seen = (/** @type {{from: number, until: number}} */ one) => one.until > left && one.from < right;
  const boxes = shown.filter((one) => seen(one) && one.kind !== "rolling").map(({ kind, title, from, until }) => {
    return { kind, left: place(view, from), right: place(view, until), word: windows.kinds[kind], title, until: windows.until(clockTime(until)) };
  });
  const lines = rolling.filter(seen).map(({ from, until }) => {
    return { left: place(view, from), width: place(view, until) - place(view, from) };
  });
  return { boxes, lines };
}

/** @param {View} view @returns {{left: number, right: number}} what can come into sight before the anchor moves, milliseconds */
export function windowReach(view) {
  const span = view.spanMin * MINUTE;
  return { left: view.anchor - 0.6 * span, right: view.anchor + 1.6 * span };
}

/**
 * Where the clock time of a bar has room.
 * @param {View} view
 * @param {number} from
 * @param {number} to
 * @returns {Lane["labelSide"]}
 */
function labelSide(view, from, to) {
  const share = (/** @type {number} */ at) => (at - view.now) / (view.spanMin * MINUTE);
  if (share(to) < 0.84) return "after";
  return share(from) > 0.16 ? "before" : "inside";
}
