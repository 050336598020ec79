/**
 * What the unit sheet says, and the stretch of time it asks for, worked out without touching page or hub.
 * @module sheetmodel
 */

import { ageOf } from "./freshness.js";
import { sheet as words } from "./panelwords.js";
import { basis } from "./rowmodel.js";
import { clockTime, startOfDay, toMs } from "./time.js";
import { MODES, duration } from "./words.js";

/** @import { SlotView, Spread, UnitView, WindowKind } from "swapcall-wire" */

/** A clock of a cart that is off by less is right, milliseconds. */
const CLOCK_RIGHT_MS = 2_000;

const HOUR_MS = 3_600_000;

/** @type {("battery"|"cards")[]} */
const CAUSES = ["battery", "cards"];

/**
 * @typedef {object} Line
 * @property {string} name
 * @property {string} value
 * @property {string} age empty for what has none
 */

/**
 * What is known of a unit, each with its age.
 * @param {UnitView} unit as sent by the hub
 * @param {number} now the hub's clock, milliseconds
 * @param {boolean} lost whether the hub is lost
 * @returns {{state: string, heard: string, lines: Line[]}}
 */
export function knownNow(unit, now, lost) {
  const age = ageOf(unit, now, lost);
  const lines = [...batteryLine(unit, now), modeLine(unit, now), ...tallyLine(unit, now), ...slotLines(unit, now), ...cardsLine(unit)];
  lines.push(...endLines(unit), ...windowLines(unit), ...clockLine(unit));
  return { state: unit.dark ? "dark" : age.state, heard: words.heard(age, unit.typed ?? false), lines };
}

/**
 * @param {string|null|undefined} moment
 * @param {number} now
 */
function since(moment, now) {
  const at = toMs(moment);
  return at === null ? "" : words.ago(duration(Math.max(0, now - at)));
}

/** @param {string|null|undefined} moment @returns {string} clock time, or nothing */
function clockOf(moment) {
  const at = toMs(moment);
  return at === null ? "" : clockTime(at);
}

/** @param {UnitView} unit @param {number} now @returns {Line[]} */
function batteryLine({ battery }, now) {
  if (!battery) return [];
  const parts = [battery.external ? words.external : words.percent(battery.percent)];
  if (!battery.external && battery.step > 1) parts.push(words.steps(battery.step));
  if (battery.pack) parts.push(words.pack(battery.pack));
  if (typeof battery.volts === "number") parts.push(words.volts(battery.volts));
  if (typeof battery.celsius === "number") parts.push(words.celsius(battery.celsius));
  return [{ name: words.battery, value: parts.join(" · "), age: since(battery.at, now) }];
}

/** @param {UnitView} unit @param {number} now @returns {Line} */
function modeLine(unit, now) {
  const mode = MODES[unit.mode ?? "unknown"] ?? MODES.unknown;
  return { name: words.mode, value: `${mode.shape} ${mode.word}`, age: since(unit.observed_at, now) };
}

/** @param {UnitView} unit @param {number} now @returns {Line[]} */
function tallyLine({ tally }, now) {
  return tally ? [{ name: words.tally, value: words.lights[tally.light] ?? tally.light, age: since(tally.since, now) }] : [];
}

/** @param {UnitView} unit @param {number} now @returns {Line[]} */
function slotLines({ cards }, now) {
  if (!cards) return [];
  return cards.slots.map((slot) => ({ name: words.slot(slot.slot), value: slotText(slot), age: since(cards.at, now) }));
}

/** @param {SlotView} slot */
function slotText(slot) {
  if (slot.state === "empty") return words.slotStates.empty;
  const parts = [];
  if (slot.card) parts.push(words.card(slot.card));
  parts.push(slot.capacity_bytes ? words.fillOf(slot.used_percent, slot.capacity_bytes) : words.fill(slot.used_percent));
  if (words.slotStates[slot.state]) parts.push(words.slotStates[slot.state]);
  return parts.join(" · ");
}

/** @param {UnitView} unit @returns {Line[]} */
function cardsLine({ cards }) {
  if (!cards) return [];
  const parts = [words.slotModes[cards.slot_mode] ?? cards.slot_mode];
  if (cards.bit_rate_mbps) parts.push(words.bitRate(cards.bit_rate_mbps));
  return [{ name: words.cards, value: parts.join(" · "), age: "" }];
}

/** @param {UnitView} unit @returns {Line[]} */
function endLines(unit) {
  const lines = CAUSES.flatMap((cause) => {
    const spread = unit.run_out[cause];
    return spread ? [{ name: words.ends[cause], value: spreadText(spread), age: "" }] : [];
  });
  const sentence = basis(unit);
  return sentence ? [...lines, { name: words.basis, value: sentence, age: "" }] : lines;
}

/** @param {Spread} spread @returns {string} "about 10:24, eight times in ten between 10:09 and 10:51" */
function spreadText({ p10, p50, p90 }) {
  const clock = (/** @type {string|null|undefined} */ moment) => clockOf(moment) || words.later;
  return words.spread(clock(p50), clock(p10), clock(p90));
}

/** @param {UnitView} unit @returns {Line[]} */
function windowLines({ window, next_window: next }) {
  const lines = [];
  const kind = (/** @type {WindowKind} */ name) => words.windowKinds[name] ?? name;
  if (window) lines.push({ name: words.window, value: words.windowNow(kind(window.kind), window.title ?? "", clockOf(window.until)), age: "" });
  if (next) lines.push({ name: words.nextWindow, value: words.windowNext(kind(next.kind), next.title ?? "", clockOf(next.start)), age: "" });
  return lines;
}

/** @param {UnitView} unit @returns {Line[]} */
function clockLine(unit) {
  if (typeof unit.clock_offset_s !== "number") return [];
  const ms = 1000 * unit.clock_offset_s;
  return [{ name: words.clock, value: Math.abs(ms) < CLOCK_RIGHT_MS ? words.clockRight : words.clockOff(ms), age: "" }];
}

/** @typedef {"hour"|"four"|"today"} Stretched how far back the sheet looks */

/**
 * The stretch of time that a choice stands for, and how finely it is asked for.
 * @param {Stretched} choice
 * @param {number} now the hub's clock, milliseconds
 * @returns {{from: number, to: number, step_s: number}}
 */
export function windowOf(choice, now) {
  const midnight = startOfDay(now);
  // Soon after midnight "today" would show nothing.
  const from = { hour: now - HOUR_MS, four: now - 4 * HOUR_MS, today: Math.min(midnight, now - HOUR_MS) }[choice];
  return { from, to: now, step_s: Math.max(15, 15 * Math.round((now - from) / 240 / 15_000)) };
}
