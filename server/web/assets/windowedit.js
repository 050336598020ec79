/**
 * Changes of the rundown, one at a time. `PUT /v1/rundown` replaces the whole list, so a change is merged into the list
 * as it is at that moment; when the window it is about has been changed by somebody else meanwhile, it is refused.
 * @module windowedit
 */

import { endOf } from "./rundown.js";
import { toMs } from "./time.js";

/** @import { Window as WireWindow } from "swapcall-wire" */

/** The longest window the hub takes, milliseconds. */
export const LONGEST_MS = 24 * 3_600_000;

/** What is shorter than this is no window any more, milliseconds. */
const SHORTEST_MS = 1_000;

/**
 * One change: `before` is the window as it was seen, `after` as it should be; `index` is where to put one that was removed.
 * @typedef {{what: "add", after: WireWindow, index?: number}
 *   | {what: "replace", before: WireWindow, after: WireWindow}
 *   | {what: "remove", before: WireWindow}} Change
 *
 * @typedef {{windows: WireWindow[], undo: Change}|{windows: null, undo: null}} Merged no list when somebody else was there
 */

/** A window as text that is the same for all ways to write it. @param {WireWindow} window */
export function windowKey(window) {
  const { title = null, end = null, length_s: length = null, spread_s: spread = 0, kind, units = [], groups = [] } = window;
  return JSON.stringify([title, toMs(window.start), toMs(end), length, spread ?? 0, kind, [...units].sort(), [...groups].sort()]);
}

/**
 * @param {WireWindow[]} windows as they are at the hub
 * @param {Change} change
 * @returns {Merged} the list to be set, and the change that takes this one back
 */
export function merge(windows, change) {
  if (change.what === "add") {
    const index = change.index ?? windows.length;
    return { windows: [...windows.slice(0, index), change.after, ...windows.slice(index)], undo: { what: "remove", before: change.after } };
  }
  const key = windowKey(change.before);
  const index = windows.findIndex((window) => windowKey(window) === key);
  if (index < 0) return { windows: null, undo: null };
  const others = [windows.slice(0, index), windows.slice(index + 1)];
  if (change.what === "remove") return { windows: others.flat(), undo: { what: "add", after: change.before, index } };
  const { before, after } = change;
  return { windows: [...others[0], after, ...others[1]], undo: { what: "replace", before: after, after: before } };
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
 * @returns {WireWindow}
 */
export function newWindow({ kind, whom, title, start, end }) {
  const named = title.trim() === "" ? {} : { title: title.trim() };
  return { ...named, start: moment(start), end: moment(end), kind, ...whom };
}

/** @param {WireWindow} window @returns {number} when it begins, milliseconds */
const startOf = (window) => toMs(window.start) ?? NaN;

/** @param {WireWindow} window @param {number} end milliseconds @returns {WireWindow} the same with another end, said as it was said before */
function withEnd(window, end) {
  if (window.length_s === undefined || window.length_s === null) return { ...window, end: moment(end) };
  return { ...window, length_s: (end - startOf(window)) / 1000 };
}

/** @param {WireWindow} window @param {number} byMs @returns {Change|null} `null` when it would be longer than the hub takes */
export function longer(window, byMs) {
  const end = endOf(window) + byMs;
  return end - startOf(window) > LONGEST_MS ? null : { what: "replace", before: window, after: withEnd(window, end) };
}

/** @param {WireWindow} window one that is in force @param {number} now @returns {Change} it ends now; what has hardly begun is removed */
export function endNow(window, now) {
  if (now - startOf(window) < SHORTEST_MS) return { what: "remove", before: window };
  return { what: "replace", before: window, after: withEnd(window, Math.floor(now)) };
}
