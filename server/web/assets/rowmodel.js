/**
 * What one row of the board says, worked out from a unit without touching the page.
 * @module rowmodel
 */

/** @import { CallView, RunOutView, UnitView } from "swapcall-wire" */
/** @import { View } from "./axis.js" */
/** @import { Age } from "./freshness.js" */

import { lane, place, windowLane } from "./axis.js";
import { ageOf } from "./freshness.js";
import { clockTime, toMs } from "./time.js";
import { LETTERS, MODES, range, row, timeLeft, windows } from "./words.js";

const MINUTE = 60_000;

/** A cart's clock that is off by this much is worth mending, though the hub corrects it, in milliseconds. */
const CLOCK_OFF_MS = 10_000;

/** Two keys closer than this do not change places, so that rows do not dance. */
const SETTLE_MS = 20_000;

/** Made once: `localeCompare` with options makes one anew for every two names it compares. */
const NAMES = new Intl.Collator(undefined, { numeric: true });

/** What ends a unit's run, in the order of their lanes. @type {("battery"|"cards")[]} */
const LANES = ["battery", "cards"];

/**
 * @typedef {ReturnType<typeof rowModel>} RowModel plain values for every part of the row
 */

/**
 * @param {UnitView} unit a unit as sent by the hub
 * @param {CallView|null} call its open or claimed call
 * @param {View} view
 * @param {boolean} lost whether the hub is lost
 * @param {import("./rundown.js").Stretches} [stretches] what the rundown says of it
 */
export function rowModel(unit, call, view, lost, stretches = { shown: [], rolling: [] }) {
  const age = ageOf(unit, view.now, lost);
  const runOut = unit.run_out ?? {};
  const big = bigNumber(unit, age, view.now);
  const todo = toDo(unit, call, age);
  const recording = big.hint === "" ? ifRecording(unit, view.now) : null;
  // What a camera did before it stopped stands in its sheet: beside the word that it stopped it would deny it.
  const silentOnMode = age.state === "never" || unit.dark;
  const mode = MODES[unit.mode ?? "unknown"] ?? MODES.unknown;
  const air = airText(unit, lost);
  return {
    unit: unit.unit,
    position: unit.profile?.position ?? row.noPosition,
    state: unit.dark ? "dark" : age.state,
    shape: silentOnMode ? "" : mode.shape,
    // Beside what the mixer does there is room for the sign alone.
    mode: silentOnMode || air !== "" ? "" : mode.word,
    air,
    airTitle: air === "" || silentOnMode ? "" : mode.word,
    airKind: unit.tally?.light ?? "",
    levels: levels(unit),
    age: ageText(unit, age),
    big: big.text,
    range: big.range,
    cause: big.range === "" ? null : LANES.find((cause) => cause === runOut.cause) ?? null,
    hint: todo === "" ? big.hint : row.hints[todo],
    ifRecording: recording === null ? "" : row.ifRecording(recording.each),
    ifShort: recording === null ? row.short[todo] : row.ifShort(recording.least),
    why: age.state === "never" ? "" : basis(unit),
    battery: lane(view, "battery", runOut.battery),
    cards: lane(view, "cards", runOut.cards),
    windows: windowLane(view, stretches),
    flag: flag(call),
    since: since(call),
    flagKind: call ? call.state : "",
    by: call ? place(view, toMs(call.by) ?? view.now) : null,
    aria: aria(runOut, stretches, view.now),
  };
}

/**
 * What the battery's forecast rests on; the words depend on what the camera does and on what is planned.
 * @param {UnitView} unit
 */
export function basis(unit) {
  const facts = unit.run_out?.battery_basis;
  if (!facts) return "";
  return row.basis(facts, {
    mode: unit.mode,
    external: unit.battery?.external ?? false,
    voltage: unit.profile?.gauge === "voltage",
    planned: Boolean(unit.window ?? unit.next_window),
  });
}

/**
 * What the vision mixer does with the picture. Of a hub that is lost nobody knows it any more.
 * @param {UnitView} unit
 * @param {boolean} lost
 */
function airText({ tally }, lost) {
  if (!tally || tally.light === "clear") return "";
  if (lost) return row.wasOn(tally.light);
  return tally.light === "program" ? row.onAir : row.onNext;
}

/**
 * What was last read: percent of the battery and fill of the cards; and a clock of the cart that is off.
 * @param {UnitView} unit
 */
function levels(unit) {
  const parts = [];
  if (unit.battery?.external) parts.push(row.external);
  else if (unit.battery) parts.push(row.battery(unit.battery.percent));
  const filled = (unit.cards?.slots ?? []).filter((slot) => slot.state !== "empty");
  if (filled.length > 0) parts.push(row.cards(filled.map((slot) => slot.used_percent)));
  const offMs = 1000 * (unit.clock_offset_s ?? 0);
  if (Math.abs(offMs) >= CLOCK_OFF_MS) parts.push(row.clockOff(offMs));
  return parts.join("  ");
}

/**
 * The age of the newest value, in the words of its state.
 * @param {UnitView} unit
 * @param {Age} age
 */
function ageText(unit, age) {
  if (age.state === "never") return row.never;
  if (age.state === "silent") return age.heardAt === null ? row.silent : row.silentSince(clockTime(age.heardAt));
  if (age.ageMs === null) return row.never;
  if (age.state === "old") return row.old(age.ageMs);
  const heard = unit.typed ? row.typed(age.ageMs) : row.age(age.ageMs);
  return age.lateMs === null ? heard : row.late(age.lateMs);
}

/**
 * The number to be read from three metres, its range and the line below.
 * @param {UnitView} unit
 * @param {Age} age
 * @param {number} now
 */
function bigNumber(unit, age, now) {
  if (unit.dark) return { text: row.dark, range: "", hint: row.darkHint };
  const earliest = unit.run_out?.earliest;
  if (age.state === "never") return { text: "–", range: "", hint: row.neverHint };
  if (!earliest) return { text: "–", range: row.noForecast, hint: row.noForecastHint };
  const [low, middle, high] = [earliest.p10, earliest.p50, earliest.p90].map((moment) => left(moment, now));
  if (high !== null && high < 0) return { text: row.overdue(high), range: "", hint: row.overdueHint };
  const hint = age.state === "silent" ? row.deadReckoning : "";
  if (middle !== null && middle < 0) return { text: row.anyMoment, range: range(low, high), hint: row.anyMomentHint };
  return { text: timeLeft(middle), range: range(low, high), hint };
}

/**
 * What somebody should do about a unit that is dark or silent while no call says it.
 * @param {UnitView} unit
 * @param {CallView|null} call
 * @param {Age} age
 * @returns {"look"|"radio"|""}
 */
function toDo(unit, call, age) {
  if (call !== null) return "";
  if (unit.dark) return "look";
  return age.state === "silent" ? "radio" : "";
}

/**
 * Milliseconds from now to a moment; `null` beyond the horizon.
 * @param {string|null|undefined} moment
 * @param {number} now
 */
function left(moment, now) {
  const at = toMs(moment);
  return at === null ? null : at - now;
}

/**
 * The second answer: what is left of the battery and of the cards if recording goes on without a pause, and the lesser
 * of the two; `null` when nothing is known.
 * @param {UnitView} unit
 * @param {number} now
 */
function ifRecording(unit, now) {
  const gone = now - (toMs(unit.as_of) ?? now);
  const answers = LANES.flatMap((cause) => {
    const answer = unit.run_out?.[`${cause}_if_recording`];
    if (!answer) return [];
    const minutes = answer.p50_min;
    const ms = typeof minutes === "number" ? Math.max(0, minutes * MINUTE - gone) : Infinity;
    return [{ ms, letter: LETTERS[cause], text: timeLeft(Number.isFinite(ms) ? ms : null) }];
  });
  if (answers.length === 0) return null;
  return { each: answers, least: answers.reduce((a, b) => (b.ms < a.ms ? b : a)).text };
}

/**
 * The tag that ties a row to its call.
 * @param {CallView|null} call
 */
function flag(call) {
  if (!call) return "";
  return call.state === "claimed" ? row.callClaimed(call.number, call.claimed_by ?? "") : row.callOpen(call.number);
}

/** Since when somebody has the call. @param {CallView|null} call */
function since(call) {
  const at = call?.state === "claimed" ? toMs(call.claimed_at) : null;
  return at === null ? "" : clockTime(at);
}

/**
 * Bars and windows in words, for those who do not see them.
 * @param {RunOutView} runOut
 * @param {import("./rundown.js").Stretches} stretches
 * @param {number} now
 */
function aria(runOut, { shown }, now) {
  const clock = (/** @type {string|null|undefined} */ moment) => {
    const at = toMs(moment);
    return at === null ? row.later : clockTime(at);
  };
  const said = LANES.flatMap((cause) => {
    const spread = runOut[cause];
    return spread ? [row.spread(cause, clock(spread.p10), clock(spread.p50), clock(spread.p90))] : [];
  });
  const spreads = said.length === 0 ? [row.noSpread] : said;
  const coming = shown.filter(({ until }) => until > now);
  return [...spreads, ...coming.map((one) => windows.aloud(one.kind, clockTime(one.from), clockTime(one.until), one.title))].join("; ");
}

/** @typedef {"soonest"|"callsign"|"position"|"group"} Sort */

/**
 * The order of the board. By run-out, rows stay where they are until they differ clearly.
 * @param {UnitView[]} units as sent by the hub
 * @param {Sort} sort
 * @param {string[]} before callsigns in the order shown until now
 * @returns {string[]} callsigns, top row first
 */
export function orderOf(units, sort, before) {
  /** @param {UnitView} a @param {UnitView} b */
  const byName = (a, b) => NAMES.compare(a.unit, b.unit);
  if (sort === "callsign") return [...units].sort(byName).map((unit) => unit.unit);
  if (sort === "position" || sort === "group") {
    // What has no place or no group comes last.
    const text = (/** @type {UnitView} */ unit) => unit.profile?.[sort] ?? "\uffff";
    /** @param {UnitView} a @param {UnitView} b */
    const byText = (a, b) => NAMES.compare(text(a), text(b)) || byName(a, b);
    return [...units].sort(byText).map((unit) => unit.unit);
  }
  return settle([...units].sort(byName), before);
}

/**
 * Insertion sort that starts from the order shown and moves a row only past one that is clearly later.
 * @param {UnitView[]} units
 * @param {string[]} before
 */
function settle(units, before) {
  const rank = new Map(before.map((name, index) => [name, index]));
  const known = (/** @type {UnitView} */ unit) => rank.get(unit.unit) ?? Infinity;
  const start = [...units].sort((a, b) => known(a) - known(b) || 0);
  /** @type {UnitView[]} */
  const order = [];
  for (const unit of start) {
    const slack = rank.has(unit.unit) ? SETTLE_MS : 0;
    let index = order.length;
    while (index > 0 && urgency(unit) < urgency(order[index - 1]) - slack) index -= 1;
    order.splice(index, 0, unit);
  }
  return order.map((unit) => unit.unit);
}

/**
 * Smaller is sooner: dark units first, then by P50, then those without a forecast.
 * @param {UnitView} unit
 */
function urgency(unit) {
  if (unit.dark) return Number.MIN_SAFE_INTEGER;
  return toMs(unit.run_out?.earliest?.p50) ?? Number.MAX_SAFE_INTEGER;
}
