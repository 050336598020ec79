/**
 * What the panel of windows says, worked out without touching the page.
 * @module windowmodel
 */

import { windowPanel as words } from "./panelwords.js";
import { clockTime, nearestClock, nextClock } from "./time.js";
import { LONGEST_MS, newWindow, windowKey } from "./windowedit.js";
import { windows as kinds } from "./words.js";

/** @import { Window as WireWindow } from "swapcall-wire" */

const MINUTE = 60_000;

/** Roles that may change the rundown. */
const MAY_EDIT = ["lead", "owner"];

/** @param {{role: string}|null} session @returns {boolean} whether this person may change windows */
export const mayEdit = (session) => session !== null && MAY_EDIT.includes(session.role);

/** @param {WireWindow} window @returns {string} for whom it is */
export function whomText({ units = [], groups = [] }) {
  if (units.length + groups.length === 0) return words.fleet;
  return [...groups.map(words.group), ...units.map(words.unit)].join(", ");
}

/** @param {WireWindow} window @param {number} start @param {number} end @returns {string} one line about it */
export function about(window, start, end) {
  return words.about(kinds.kinds[window.kind] ?? window.kind, whomText(window), between(start, end));
}

const between = (/** @type {number} */ start, /** @type {number} */ end) => words.between(clockTime(start), clockTime(end));

/** @typedef {ReturnType<typeof windowLines>["lines"][number]} WindowLine one window in the list */

/**
 * What is in force or still to come, the next first; and how many are over.
 * @param {import("./rundown.js").Said[]} said
 * @param {number} now milliseconds
 */
export function windowLines(said, now) {
  const coming = said.filter(({ end }) => end > now).sort((a, b) => a.start - b.start || a.index - b.index);
  /** @type {Map<string, number>} */
  const counts = new Map();
  const lines = coming.map(({ window, start, end }) => {
    const key = windowKey(window);
    const count = (counts.get(key) ?? 0) + 1;
    counts.set(key, count);
    return {
      id: `${key} ${count}`,
      window,
      kind: window.kind,
      word: kinds.kinds[window.kind] ?? window.kind,
      whom: whomText(window),
      title: window.title ?? "",
      between: between(start, end),
      when: start <= now ? words.left(end - now) : words.starts(start - now),
      inForce: start <= now,
      about: about(window, start, end),
    };
  });
  return { lines, past: said.length - coming.length };
}

/** @param {string} choice `fleet`, `g:GROUP` or `u:UNIT` @returns {{units?: string[], groups?: string[]}} as in a window */
export function whomOf(choice) {
  const name = choice.slice(2);
  if (choice.startsWith("g:")) return { groups: [name] };
  return choice.startsWith("u:") ? { units: [name] } : {};
}

/**
 * @param {object} form what was typed
 * @param {"held"|"break"} form.kind
 * @param {string} form.whom as in `whomOf`
 * @param {string} form.title
 * @param {string} form.start `HH:MM`, or empty for now
 * @param {string} form.end `HH:MM`; not used when there is a length
 * @param {number|null} form.minutes the length of the pressed button
 * @param {number} now milliseconds
 * @returns {{window: WireWindow, wrong: null}|{window: null, wrong: string}} the window, or what is wrong
 */
export function windowFrom(form, now) {
  const start = form.start.trim() === "" ? Math.floor(now) : nearestClock(form.start, now);
  if (start === null) return { window: null, wrong: words.badStart };
  const end = form.minutes === null ? nextClock(form.end, start) : start + form.minutes * MINUTE;
  if (end === null) return { window: null, wrong: words.badEnd };
  if (end - start > LONGEST_MS) return { window: null, wrong: words.tooLong };
  return { window: newWindow({ kind: form.kind, whom: whomOf(form.whom), title: form.title, start, end }), wrong: null };
}
