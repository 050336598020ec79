/**
 * What was foreseen, against what happened: stretches of one pack or card, and what was said half an hour before its end.
 * @module sheetstory
 */

import { sheet as words } from "./panelwords.js";
import { clockTime, toMs } from "./time.js";

/** @import { Spread } from "swapcall-wire" */

const MINUTE = 60_000;

/** How long before an end people would have wanted to know. */
const AHEAD_MS = 30 * MINUTE;

/** How far before a stretch of time its forecasts begin to matter, milliseconds. */
export const LEAD_MS = AHEAD_MS + 5 * MINUTE;

/** A forecast this near to half an hour before is called that, milliseconds. */
const NEAR_MS = 3 * MINUTE;

/** How many stories of each cause are told. */
const TOLD_MOST = 3;

/**
 * What is changed when a cause is served.
 * @type {Record<Ends, "pack"|"card">}
 */
const THING = { battery: "pack", cards: "card" };

/** @type {Ends[]} */
const CAUSES = ["battery", "cards"];

/** @typedef {"battery"|"cards"} Ends what ends a stretch */

/**
 * @typedef {object} Forecasts the answer to `GET /v1/units/{unit}/forecasts`
 * @property {string} from as far back as the hub keeps them, or as was asked for
 * @property {{at: string, battery?: Spread|null, cards?: Spread|null}[]} points
 * @property {{at: string, what: string, label?: string|null}[]} swaps
 * @property {{at: string, cause: string}[]} ended
 * @property {{from: string, until?: string|null}[]} [on_air] an older hub says nothing of it
 *
 * @typedef {object} Foreseen
 * @property {number} ms when it was said
 * @property {number|null} p10 milliseconds since 1970; `null` beyond the forecast's horizon
 * @property {number|null} p50
 * @property {number|null} p90
 *
 * @typedef {{ms: number, kind: "swap"|"ended", label: string}} End
 *
 * @typedef {object} Stretch time of one pack or card
 * @property {Foreseen[]} points oldest first
 * @property {End|null} end what ended it; `null` while it lasts
 */

/** @param {{ms: number}} a @param {{ms: number}} b */
const byTime = (a, b) => a.ms - b.ms;

/**
 * @param {Forecasts} forecasts
 * @param {Ends} cause
 * @returns {Stretch[]} oldest first
 */
export function stretches(forecasts, cause) {
  const events = eventsOf(forecasts, cause);
  const points = forecasts.points.flatMap((one) => foreseen(one.at, one[cause])).sort(byTime);
  /** @type {Stretch[]} */
  const found = events.map((end, index) => {
    const start = events[index - 1]?.ms ?? -Infinity;
    // Between a unit that stopped and its fresh pack there was nothing to foresee.
    const stood = events[index - 1]?.kind === "ended" && end.kind === "swap";
    return { points: stood ? [] : points.filter(({ ms }) => ms >= start && ms < end.ms), end };
  });
  const open = points.filter(({ ms }) => ms >= (events.at(-1)?.ms ?? -Infinity));
  return open.length > 0 ? [...found, { points: open, end: null }] : found;
}

/**
 * @param {Forecasts} forecasts
 * @param {Ends} cause
 */
function eventsOf(forecasts, cause) {
  /** @type {End[]} */
  const events = [];
  for (const { at, what, label } of forecasts.swaps) {
    const ms = toMs(at);
    if (ms !== null && what === THING[cause]) events.push({ ms, kind: "swap", label: label ?? "" });
  }
  for (const one of forecasts.ended) {
    const ms = toMs(one.at);
    if (ms !== null && one.cause === cause) events.push({ ms, kind: "ended", label: "" });
  }
  return events.sort(byTime);
}

/**
 * @param {string} at
 * @param {Spread|null|undefined} spread
 * @returns {Foreseen[]} one, or none
 */
function foreseen(at, spread) {
  const ms = toMs(at);
  return ms === null || !spread ? [] : [{ ms, p10: toMs(spread.p10), p50: toMs(spread.p50), p90: toMs(spread.p90) }];
}

/**
 * @param {Stretch} stretch one that has ended
 * @returns {Foreseen|null} what was said half an hour before; the first that was said, where it was shorter
 */
export function forecastBefore({ points, end }) {
  if (end === null) return null;
  return points.filter(({ ms }) => ms <= end.ms - AHEAD_MS + NEAR_MS).at(-1) ?? points[0] ?? null;
}

/**
 * @typedef {object} Story
 * @property {Ends} cause
 * @property {End} end
 * @property {Foreseen} before
 * @property {number|null} aheadMs how long before it was said, `null` for the half hour
 * @property {"inside"|"sooner"|"later"|"served"} verdict `sooner` and `later` than the range; `served`: nobody will know
 */

/**
 * @param {Forecasts} forecasts
 * @param {number} [from] what ended before is not told, milliseconds since 1970
 * @returns {Story[]} newest first
 */
export function stories(forecasts, from = -Infinity) {
  const all = CAUSES.flatMap((cause) => {
    const ended = stretches(forecasts, cause).filter(({ end }) => end !== null && end.ms >= from);
    return ended.flatMap((stretch) => story(cause, stretch)).slice(-TOLD_MOST);
  });
  return all.sort((a, b) => byTime(b.end, a.end));
}

/**
 * @param {Ends} cause
 * @param {Stretch} stretch
 * @returns {Story[]} one, or none while it lasts
 */
function story(cause, stretch) {
  const { end } = stretch;
  const before = forecastBefore(stretch);
  if (end === null || before === null) return [];
  const ahead = end.ms - before.ms;
  const aheadMs = Math.abs(ahead - AHEAD_MS) <= NEAR_MS ? null : ahead;
  return [{ cause, end, before, aheadMs, verdict: verdict(end, before) }];
}

/**
 * A pack that was changed in time never showed when it would have died.
 * @param {End} end
 * @param {Foreseen} before
 * @returns {Story["verdict"]}
 */
function verdict({ kind, ms }, { p10, p90 }) {
  if (kind === "swap") return "served";
  if (p10 !== null && ms < p10) return "sooner";
  return p90 !== null && ms > p90 ? "later" : "inside";
}

/** @param {Story} told @returns {string} the story in words */
export function storyText({ cause, end, before, aheadMs, verdict: ending }) {
  const clock = (/** @type {number|null} */ ms) => (ms === null ? words.later : clockTime(ms));
  const what = end.kind === "swap" ? words.changed[cause](end.label) : words.ended[cause];
  const said = words.said(aheadMs, clock(before.p50), clock(before.p10), clock(before.p90));
  return words.story(clockTime(end.ms), what, said, words.verdicts[ending]);
}
