/**
 * What the rundown says of one unit: which window is shown at every moment, and when the camera rolls.
 *
 * The rules are the hub's (`GET /v1/rundown`): the most specific window decides whether a unit is on a break; one that
 * names the unit comes before one that names its group, and that before one for the whole fleet; of equals the one that
 * starts later, then the later in the list. Without a break, any window that holds the unit holds it, and any that has
 * it roll has it roll.
 * @module rundown
 */

import { toMs } from "./time.js";

/** @import { UnitView, Window as WireWindow } from "swapcall-wire" */

/** How far ahead the hub looks for the next window, milliseconds. */
export const HORIZON_MS = 24 * 3_600_000;

/**
 * @typedef {"rolling"|"held"|"break"} Kind
 *
 * @typedef {object} Said a window, read once
 * @property {WireWindow} window as sent
 * @property {number} index its place in the list
 * @property {number} start milliseconds
 * @property {number} end milliseconds
 *
 * @typedef {{unit: string, profile?: {group?: string|null}}} Named what of a unit the rundown asks for
 *
 * @typedef {object} Stretch a window while it is the one to show
 * @property {Kind} kind
 * @property {string} title empty when it has none
 * @property {number} from milliseconds
 * @property {number} until milliseconds
 *
 * @typedef {object} Stretches
 * @property {Stretch[]} shown in order, without overlap
 * @property {{from: number, until: number}[]} rolling when the camera rolls, also while it is held
 */

/** @param {WireWindow} window as sent @returns {number} when it ends, milliseconds */
export function endOf(window) {
  if (window.end !== undefined && window.end !== null) return toMs(window.end) ?? NaN;
  return (toMs(window.start) ?? NaN) + Math.round(1000 * (window.length_s ?? NaN));
}

/**
 * Reads the list once, so that asking for many units costs little.
 * @param {WireWindow[]} windows as sent
 * @returns {Said[]} what cannot be read is left out
 */
export function readWindows(windows) {
  const said = windows.map((window, index) => ({ window, index, start: toMs(window.start) ?? NaN, end: endOf(window) }));
  return said.filter(({ start, end }) => end > start);
}

/** @typedef {Said & {reach: number}} Ranked a window that speaks of the unit, with how specific it is */

/**
 * Seen from one unit: 2 when a window names it, 1 when it names its group, 0 for the whole fleet; `null` otherwise.
 * @param {WireWindow} window
 * @param {Named} unit
 */
function reachOf(window, unit) {
  const { units = [], groups = [] } = window;
  const group = unit.profile?.group ?? null;
  if (units.includes(unit.unit)) return 2;
  if (group !== null && groups.includes(group)) return 1;
  return units.length + groups.length === 0 ? 0 : null;
}

/**
 * The more specific first; of equals the one that starts later, then the later in the list.
 * @param {Ranked} a
 * @param {Ranked} b
 */
function bySpecific(a, b) {
  return b.reach - a.reach || b.start - a.start || b.index - a.index;
}

/**
 * What holds while these are in force together, the most specific first: the one to show, and whether the camera rolls.
 * @param {Ranked[]} active
 */
function decide(active) {
  if (active.length === 0) return { shown: null, rolls: false };
  if (active[0].window.kind === "break") return { shown: active[0], rolls: false };
  const first = (/** @type {Kind} */ kind) => active.find(({ window }) => window.kind === kind) ?? null;
  const rolling = first("rolling");
  return { shown: first("held") ?? rolling, rolls: rolling !== null };
}

/**
 * @param {Said[]} said from `readWindows`
 * @param {Named} unit
 * @param {number} from milliseconds; what began before is cut off here
 * @param {number} until milliseconds; what begins later is left out
 * @returns {Stretches}
 */
export function stretchesOf(said, unit, from, until) {
  /** @type {Ranked[]} */
  const coming = [];
  for (const one of said) {
    const reach = one.start < until && one.end > from ? reachOf(one.window, unit) : null;
    if (reach !== null) coming.push({ ...one, reach });
  }
  const instants = [...new Set(coming.flatMap(({ start, end }) => [Math.max(start, from), end]))].sort((a, b) => a - b);
  /** @type {Stretches} */
  const stretches = { shown: [], rolling: [] };
  /** @type {Ranked|null} */
  let before = null;
  for (let index = 0; index + 1 < instants.length; index += 1) {
    const [start, end] = [instants[index], instants[index + 1]];
    const active = coming.filter((one) => one.start <= start && one.end > start).sort(bySpecific);
    const { shown, rolls } = decide(active);
    const last = stretches.shown.at(-1);
    if (last !== undefined && shown !== null && shown === before) last.until = end;
    else if (shown !== null) stretches.shown.push({ kind: shown.window.kind, title: shown.window.title ?? "", from: start, until: end });
    before = shown;
    if (rolls) extend(stretches.rolling, start, end);
  }
  return stretches;
}

/**
 * Adds a stretch of rolling, or makes the last one longer.
 * @param {{from: number, until: number}[]} rolling
 * @param {number} from milliseconds
 * @param {number} until milliseconds
 */
function extend(rolling, from, until) {
  const last = rolling.at(-1);
  if (last !== undefined && last.until === from) last.until = until;
  else rolling.push({ from, until });
}

/**
 * @param {Said[]} said
 * @param {Named} unit
 * @param {number} now milliseconds
 * @returns {{window: Stretch|null, next: Stretch|null}} what is in force, and what comes next within a day
 */
export function inForce(said, unit, now) {
  const { shown } = stretchesOf(said, unit, now, now + HORIZON_MS);
  const window = shown.length > 0 && shown[0].from <= now ? shown[0] : null;
  return { window, next: shown[window === null ? 0 : 1] ?? null };
}

/**
 * What the hub says of a unit by itself, for as long as the rundown has not been read: the window in force and the next.
 * @param {UnitView} unit as sent
 * @param {number} from milliseconds; where the window in force is drawn from
 * @returns {Stretches}
 */
export function stretchesByUnit(unit, from) {
  const { window, next_window: next } = unit;
  /** @type {Stretch[]} */
  const shown = [];
  if (window) shown.push({ kind: window.kind, title: window.title ?? "", from, until: toMs(window.until) ?? from });
  if (next) shown.push({ kind: next.kind, title: next.title ?? "", from: toMs(next.start) ?? from, until: toMs(next.until) ?? from });
  return { shown, rolling: shown.filter(({ kind }) => kind === "rolling") };
}

/**
 * Whether a held rundown says the same of a unit as the hub did when it last spoke of it. When not, it is out of date.
 * @param {Said[]} said
 * @param {UnitView} unit as sent
 * @returns {boolean}
 */
export function agrees(said, unit) {
  const asOf = toMs(unit.as_of);
  if (asOf === null) return true;
  const { window, next } = inForce(said, unit, asOf);
  return sameWindow(window, unit.window) && sameWindow(next, unit.next_window);
}

/**
 * The same kind, title and end; the beginning of a window in force is not sent.
 * @param {Stretch|null} mine
 * @param {{kind: Kind, title?: string|null, start?: string, until: string}|null|undefined} sent
 */
function sameWindow(mine, sent) {
  if (mine === null || !sent) return mine === null && !sent;
  const start = toMs(sent.start);
  return (
    mine.kind === sent.kind &&
    mine.title === (sent.title ?? "") &&
    mine.until === toMs(sent.until) &&
    (start === null || start === mine.from)
  );
}

/**
 * The groups and units that are known by name: those of units and those of windows.
 * @param {Named[]} units
 * @param {WireWindow[]} windows
 */
export function namesIn(units, windows) {
  const of = (/** @type {string[]} */ list) => [...new Set(list)].sort((a, b) => a.localeCompare(b, undefined, { numeric: true }));
  return {
    groups: of([...units.flatMap((unit) => unit.profile?.group ?? []), ...windows.flatMap((window) => window.groups ?? [])]),
    units: of(units.map((unit) => unit.unit)),
  };
}
