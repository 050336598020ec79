/**
 * What one call says to the person in front of the screen, worked out without touching the page.
 * @module callmodel
 */

/** @import { CallView, Session } from "swapcall-wire" */

import { clockTime, toMs } from "./time.js";
import { BRING, ENDINGS, calls } from "./words.js";

/** Roles that may take and finish calls. */
const MAY_ACT = ["runner", "lead", "owner"];

/** Roles that may hand back what somebody else has. */
const MAY_OVERRULE = ["lead", "owner"];

/**
 * @typedef {ReturnType<typeof callModel>} CallModel plain values for every part of the card
 */

/**
 * @param {CallView} call as sent by the hub
 * @param {number} now the hub's clock, milliseconds
 * @param {Session} session who is signed in
 */
export function callModel(call, now, session) {
  const by = toMs(call.by) ?? now;
  const leaveBy = toMs(call.leave_by) ?? by;
  const mine = call.state === "claimed" && call.claimed_by === session.name;
  const mayAct = MAY_ACT.includes(session.role);
  const claimed = call.state === "claimed";
  return {
    number: String(call.number),
    state: call.state,
    stateWord: wordFor(calls.state, call.state),
    mine,
    unit: call.unit,
    position: call.position ?? "",
    bring: call.bring.filter((item) => item in BRING),
    inTime: by >= now ? calls.inTime(by - now) : calls.overdue(now - by),
    overdue: by < now,
    by: calls.by(clockTime(by)),
    why: calls.why(call.why),
    leave: claimed && !mine ? "" : leaveText(leaveBy, now),
    leaveNow: leaveBy <= now && !claimed,
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
 * @param {number} leaveBy
 * @param {number} now
 */
function leaveText(leaveBy, now) {
  return leaveBy <= now ? calls.leaveNow : calls.leaveBy(clockTime(leaveBy), leaveBy - now);
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
  return call.bring.map((item) => wordFor(BRING, item)).join(", ");
}

/** @param {CallView} call one that has ended @returns {string} one line */
export function endedLine(call) {
  const at = toMs(call.ended_at);
  return calls.endedLine(call.number, call.unit, wordFor(ENDINGS, call.state), at === null ? "" : clockTime(at));
}
