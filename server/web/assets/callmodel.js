/**
 * What one call says to the person in front of the screen, worked out without touching the page.
 * @module callmodel
 */

/** @import { Bring, CallView, Session, UnitView } from "swapcall-wire" */

/** @typedef {{item: Bring, text: string}} Piece one thing to bring, and its words */

import { clockTime, toMs } from "./time.js";
import { BRING, ENDINGS, calls } from "./words.js";

/** Roles that may take and finish calls. */
const MAY_ACT = ["runner", "lead", "owner"];

/** Roles that may hand back what somebody else has. */
const MAY_OVERRULE = ["lead", "owner"];

const MINUTE = 60_000;

/** A held window that begins within this time is told, milliseconds: a walk and a swap end before. */
const HELD_SOON_MS = 30 * MINUTE;

/**
 * Whether a unit must not be touched, now or soon. The hub says from when until when; this screen ages it by itself.
 * @param {Pick<UnitView, "window"|"next_window">|undefined} unit as sent by the hub
 * @param {number} now the hub's clock, milliseconds
 * @returns {{from: number|null, until: number, title: string}|null} `from` is `null` while it is held
 */
export function heldWindow(unit, now) {
  const next = unit?.next_window;
  for (const { start, held } of [{ start: null, held: unit?.window }, { start: next?.start, held: next }]) {
    if (held?.kind !== "held") continue;
    const from = toMs(start) ?? Number.MIN_SAFE_INTEGER;
    const until = toMs(held.until) ?? Number.MIN_SAFE_INTEGER;
    if (until <= now || from > now + HELD_SOON_MS) continue;
    return { from: from <= now ? null : from, until, title: held.title ?? "" };
  }
  return null;
}

/**
 * @param {ReturnType<typeof heldWindow>} held
 * @param {number} by when the swap must begin, milliseconds
 * @returns {string} when not to touch the camera, and when to swap
 */
function heldText(held, by) {
  if (held === null) return "";
  const { from, until, title } = held;
  const text = from === null ? calls.heldNow(clockTime(until), title) : calls.heldSoon(clockTime(from), clockTime(until), title);
  return [text, swapText(from, until, by)].filter((part) => part !== "").join(" ");
}

/**
 * What is left of the time to swap. A window that begins after the swap must have begun takes nothing away.
 * @param {number|null} from `null` while it is held
 * @param {number} until
 * @param {number} by
 * @returns {string}
 */
function swapText(from, until, by) {
  if (from !== null) return from <= by ? calls.swapBefore(clockTime(from)) : "";
  return until < by ? calls.swapBetween(clockTime(until), clockTime(by)) : calls.swapNever(clockTime(by));
}

/**
 * What the vision mixer does with the unit's picture, as far as it matters to whoever walks there.
 * @param {Pick<UnitView, "tally">|undefined} unit as sent by the hub
 * @returns {string}
 */
function airText(unit) {
  if (unit?.tally?.light === "preview") return calls.onNext;
  return unit?.tally?.light === "program" ? calls.onAir(clockTime(toMs(unit.tally.since) ?? 0)) : "";
}

/**
 * @typedef {ReturnType<typeof callModel>} CallModel plain values for every part of the card
 */

/**
 * @param {CallView} call as sent by the hub
 * @param {number} now the hub's clock, milliseconds
 * @param {Session} session who is signed in
 * @param {UnitView} [unit] as sent by the hub
 */
export function callModel(call, now, session, unit) {
  const by = toMs(call.by) ?? now;
  const leaveBy = toMs(call.leave_by) ?? by;
  const mine = call.state === "claimed" && call.claimed_by === session.name;
  const mayAct = MAY_ACT.includes(session.role);
  const claimed = call.state === "claimed";
  const held = heldWindow(unit, now);
  return {
    number: String(call.number),
    state: call.state,
    stateWord: wordFor(calls.state, call.state),
    mine,
    unit: call.unit,
    position: call.position ?? "",
    bring: call.bring.filter((item) => item in BRING).map((item) => bringText(call, item)),
    out: outText(call, unit),
    inTime: by >= now ? calls.inTime(by - now) : calls.overdue(now - by),
    overdue: by < now,
    by: calls.by(clockTime(by)),
    why: whyText(call, now),
    leave: claimed && !mine ? "" : leaveText(leaveBy, by, now),
    leaveNow: leaveBy <= now && !claimed,
    held: [airText(unit), heldText(held, by)].filter((text) => text !== "").join(" "),
    heldNow: unit?.tally?.light === "program" || (held !== null && held.from === null),
    claim: claimText(call, mine),
    lapse: claimed ? lapseText(toMs(call.lapses_at), now) : "",
    lapsed: call.state === "open" && call.reason === "lapsed",
    history: historyText(call),
    buttons: {
      claim: mayAct && !claimed,
      release: mayAct && claimed && (mine || MAY_OVERRULE.includes(session.role)),
      done: mayAct,
    },
  };
}

/**
 * One thing to bring: which one, where the hub knows one that is ready.
 * @param {CallView} call
 * @param {Bring} item
 * @returns {Piece}
 */
function bringText(call, item) {
  const label = item === "look" ? "" : call[item] ?? "";
  return { item, text: label === "" ? BRING[item] : calls.labelled(BRING[item], label) };
}

/**
 * Which pack and which card come out, as far as the unit said: the pack's label and size, the fullest slot's card.
 * @param {CallView} call
 * @param {UnitView} [unit]
 */
function outText({ bring }, unit) {
  const parts = [];
  const size = unit?.profile?.pack_wh;
  const pack = [unit?.battery?.pack ?? "", size ? calls.wattHours(size) : ""].filter((fact) => fact !== "");
  if (bring.includes("pack") && pack.length > 0) parts.push(calls.outPack(pack));
  const filled = (unit?.cards?.slots ?? []).filter(({ state }) => state !== "empty");
  const [fullest] = filled.sort((a, b) => b.used_percent - a.used_percent);
  if (bring.includes("card") && fullest) parts.push(calls.outCard(fullest.slot, fullest.card ?? "", fullest.used_percent));
  return parts.length === 0 ? "" : calls.out(parts.join(", "));
}

/**
 * The hub's sentence counts from when it was said; the row beside it counts on. So one that is older says its time.
 * @param {CallView} call
 * @param {number} now
 */
function whyText(call, now) {
  const said = toMs(call.said_at) ?? now;
  return calls.why(call.why, now - said < MINUTE ? "" : clockTime(said));
}

/**
 * @param {number} leaveBy
 * @param {number} by
 * @param {number} now
 */
function leaveText(leaveBy, by, now) {
  if (leaveBy <= now) return calls.leaveNow;
  return isNextDoor(leaveBy, by) ? "" : calls.leaveBy(clockTime(leaveBy), leaveBy - now);
}

/**
 * Whether somebody may leave in the same minute in which they must be there: a second time that reads like the first says
 * nothing, and looks like a mistake.
 * @param {number} leaveBy milliseconds
 * @param {number} by milliseconds
 */
export function isNextDoor(leaveBy, by) {
  return clockTime(leaveBy) === clockTime(by);
}

/**
 * @param {CallView} call
 * @param {boolean} mine
 */
function claimText(call, mine) {
  if (call.state === "claimed") {
    const since = toMs(call.claimed_at);
    return calls.claimedBy(call.claimed_by ?? "", since === null ? "" : clockTime(since), mine);
  }
  return call.reason === "lapsed" ? calls.lapsed : "";
}

/**
 * @param {number|null} lapsesAt
 * @param {number} now
 */
function lapseText(lapsesAt, now) {
  if (lapsesAt === null) return "";
  return lapsesAt <= now ? calls.lapsesNow : calls.lapses(clockTime(lapsesAt), lapsesAt - now);
}

/** @param {CallView} call */
function historyText(call) {
  const parts = [];
  if (call.reopened > 0) parts.push(calls.reopened(call.reopened));
  if (call.reminders > 0) parts.push(calls.reminded(call.reminders));
  if (call.note) parts.push(calls.note(call.note));
  return parts.join(" · ");
}

/**
 * @param {Record<string, string>} words
 * @param {string} name as sent by the hub
 * @returns {string} the word for it; the name itself where a newer hub sends one that is not known here
 */
function wordFor(words, name) {
  return Object.hasOwn(words, name) ? words[name] : name;
}

/** @param {CallView} call @returns {string} what to bring, as it is read out */
export function bringAloud(call) {
  return call.bring.map((item) => (item in BRING ? bringText(call, item).text : item)).join(", ");
}

/** @param {CallView} call one that has ended @returns {string} one line */
export function endedLine(call) {
  const at = toMs(call.ended_at);
  return calls.endedLine(call.number, call.unit, wordFor(ENDINGS, call.state), at === null ? "" : clockTime(at));
}
