/**
 * How much time the axis shows. "Whole show" reaches to the end of the present show, else of the last window of the
 * rundown, else eight hours.
 * @module span
 */

import { toMs } from "./time.js";

/** @import { Show } from "swapcall-wire" */

const MINUTE = 60_000;

/** The name of the choice that follows the show. */
export const WHOLE_SHOW = /** @type {const} */ ("show");

/** The whole show grows and shrinks in such steps, minutes, so that rows do not move every second. */
const STEP_MIN = 15;
const LEAST_MIN = 30;
/** The hub forecasts no further than a day. */
const MOST_MIN = 24 * 60;
const WITHOUT_END_MIN = 8 * 60;

/**
 * @typedef {object} Span
 * @property {number} spanMin minutes to the right of now
 * @property {number|null} end the end of the show, milliseconds; `null` where there is none
 * @property {string} name of the show; empty where the end is the rundown's, or there is none
 */

/**
 * The show that is going on; of several the one that began last, such as a match within a race day.
 * @param {Show[]} shows as sent
 * @param {number} now milliseconds
 */
function presentShow(shows, now) {
  const times = shows.map(({ name, start, end }) => ({ name, start: toMs(start) ?? NaN, end: toMs(end) ?? NaN }));
  const on = times.filter(({ start, end }) => start <= now && end > now);
  return on.sort((a, b) => b.start - a.start)[0] ?? null;
}

/**
 * @param {number|"show"} choice minutes, or the whole show
 * @param {number} now milliseconds
 * @param {Show[]} shows as sent
 * @param {import("./rundown.js").Said[]} said the windows of the rundown
 * @returns {Span}
 */
export function spanOf(choice, now, shows, said) {
  if (choice !== WHOLE_SHOW) return { spanMin: choice, end: null, name: "" };
  const show = presentShow(shows, now);
  const last = said.reduce((end, window) => Math.max(end, window.end), 0);
  const end = show === null ? last : show.end;
  if (end <= now) return { spanMin: WITHOUT_END_MIN, end: null, name: "" };
  const steps = Math.ceil((end - now) / MINUTE / STEP_MIN) * STEP_MIN;
  return { spanMin: Math.min(MOST_MIN, Math.max(LEAST_MIN, steps)), end, name: show?.name ?? "" };
}
