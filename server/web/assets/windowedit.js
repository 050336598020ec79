/**
 * Changes of the rundown, one at a time. `PUT /v1/rundown` replaces the whole list, so a change is merged into the list
 * as it is at that moment; when the window it is about has been changed by somebody else meanwhile, it is refused.
 * @module windowedit
 */

import { endOf } from "./rundown.js";
import { toMs } from "./time.js";

/** The longest window the hub takes, milliseconds. */
export const LONGEST_MS = 24 * 3_600_000;

/** What is shorter than this is no window any more, milliseconds. */
const SHORTEST_MS = 1_000;

/**
 * @typedef {object} Change
 * @property {"add"|"replace"|"remove"} what
 * @property {object} [before] the window as it was seen; for `replace` and `remove`
 * @property {object} [after] the window as it should be; for `add` and `replace`
 * @property {number} [index] where to put it; for an `add` that takes back a `remove`
 *
 * @typedef {{windows: object[], undo: Change}|{windows: null, undo: null}} Merged no list when somebody else was there
 */

/** A window as text that is the same for all ways to write it. */
export function windowKey(window) {
  const { title = null, end = null, length_s: length = null, spread_s: spread = 0, kind, units = [], groups = [] } = window;
  return JSON.stringify([title, toMs(window.start), toMs(end), length, spread ?? 0, kind, [...units].sort(), [...groups].sort()]);
}

/**
 * @param {object[]} windows as they are at the hub
 * @param {Change} change
 * @returns {Merged} the list to be set, and the change that takes this one back
 */
export function merge(windows, change) {
  if (change.what === "add") {
    const index = Math.min(change.index ?? windows.length, windows.length);
    return { windows: windows.toSpliced(index, 0, change.after), undo: { what: "remove", before: change.after } };
  }
  const key = windowKey(change.before);
  const index = windows.findIndex((window) => windowKey(window) === key);
  if (index < 0) return { windows: null, undo: null };
  const { before, after } = change;
  if (change.what === "remove") return { windows: windows.toSpliced(index, 1), undo: { what: "add", after: before, index } };
  return { windows: windows.with(index, after), undo: { what: "replace", before: after, after: before } };
}

/** @param {number} ms @returns {string} a moment as it travels */
const moment = (ms) => new Date(ms).toISOString();

/**
 * @param {object} wanted
 * @param {"held"|"break"} wanted.kind
 * @param {{units?: string[], groups?: string[]}} wanted.whom nothing for the whole fleet
 * @param {string} wanted.title may be empty
 * @param {number} wanted.start milliseconds
 * @param {number} wanted.end milliseconds
 * @returns {object} a window in wire format
 */
export function newWindow({ kind, whom, title, start, end }) {
  const named = title.trim() === "" ? {} : { title: title.trim() };
  return { ...named, start: moment(start), end: moment(end), kind, ...whom };
}

/** @param {object} window @param {number} end milliseconds @returns {object} the same window with another end, said as it was said before */
function withEnd(window, end) {
  if (window.length_s === undefined || window.length_s === null) return { ...window, end: moment(end) };
  return { ...window, length_s: (end - toMs(window.start)) / 1000 };
}

/** @param {object} window @param {number} byMs @returns {Change|null} `null` when it would be longer than the hub takes */
export function longer(window, byMs) {
  const end = endOf(window) + byMs;
  return end - toMs(window.start) > LONGEST_MS ? null : { what: "replace", before: window, after: withEnd(window, end) };
}

/** @param {object} window one that is in force @param {number} now @returns {Change} it ends now; what has hardly begun is removed */
export function endNow(window, now) {
  if (now - toMs(window.start) < SHORTEST_MS) return { what: "remove", before: window };
  return { what: "replace", before: window, after: withEnd(window, Math.floor(now)) };
}
