/**
 * Whom a runner serves next, as one walk: one's own calls first, then those nobody has, by when one must leave. Worked
 * out without touching the page.
 * @module runner-walk
 */

import { callModel } from "./callmodel.js";
import { ageOf } from "./freshness.js";
import { clockTime, toMs } from "./time.js";
import { duration, row, runner as words } from "./words.js";

/** As many as two hands carry and a head keeps. */
export const JOBS_OF_A_WALK = 3;

/** A held window that begins within this time is told, milliseconds: a walk and a swap end before. */
const HELD_SOON_MS = 30 * 60_000;

const BRINGS = ["pack", "card", "look"];

/**
 * A call as it will be when what was pressed here has reached the hub.
 * @param {object} call as sent by the hub
 * @param {import("./runner-queue.js").Press[]} presses that are on their way, oldest first
 * @param {string} me
 * @returns {object} the call; a copy where presses change it
 */
export function projected(call, presses, me) {
  let seen = call;
  for (const { action } of presses.filter((press) => press.call === call.id)) {
    if (action === "claim") seen = { ...seen, state: "claimed", claimed_by: me };
    if (action === "release") seen = { ...seen, state: "open", claimed_by: undefined };
    if (action === "done") seen = { ...seen, state: "done" };
  }
  return seen;
}

/**
 * @param {object[]} calls open and claimed ones
 * @param {import("./runner-queue.js").Press[]} presses on their way to the hub
 * @param {string} me
 * @returns {{jobs: object[], rest: object[], others: object[], mine: number, bring: Record<string, number>}}
 *   the next jobs, what comes after them, and what other people have
 */
export function walkOf(calls, presses, me) {
  const seen = calls.map((call) => projected(call, presses, me));
  const own = seen.filter((call) => call.state === "claimed" && call.claimed_by === me).sort(byLeaving);
  const open = seen.filter((call) => call.state === "open").sort(byLeaving);
  const others = seen.filter((call) => call.state === "claimed" && call.claimed_by !== me).sort(byLeaving);
  const line = [...own, ...open];
  const jobs = line.slice(0, JOBS_OF_A_WALK);
  const bring = Object.fromEntries(BRINGS.map((item) => [item, jobs.filter((call) => call.bring.includes(item)).length]));
  return { jobs, rest: line.slice(JOBS_OF_A_WALK), others, mine: Math.min(own.length, jobs.length), bring };
}

function byLeaving(a, b) {
  return leaving(a) - leaving(b) || (toMs(a.by) ?? 0) - (toMs(b.by) ?? 0) || a.number - b.number;
}

/** @param {object} call @returns {number} when somebody must leave base, milliseconds */
export function leaving(call) {
  return toMs(call.leave_by) ?? toMs(call.by) ?? Number.MAX_SAFE_INTEGER;
}

/**
 * Whether a unit must not be touched, now or soon. The hub says from when until when; this screen ages it by itself.
 * @param {object|undefined} unit as sent by the hub
 * @param {number} now the hub's clock, milliseconds
 * @returns {{from: number|null, until: number, title: string}|null} `from` is `null` while it is held
 */
export function heldWindow(unit, now) {
  const windows = [unit?.window, unit?.next_window].filter((one) => one?.kind === "held");
  for (const one of windows) {
    const from = toMs(one.start) ?? Number.MIN_SAFE_INTEGER;
    const until = toMs(one.until) ?? Number.MIN_SAFE_INTEGER;
    if (until <= now || from > now + HELD_SOON_MS) continue;
    return { from: from <= now ? null : from, until, title: one.title ?? "" };
  }
  return null;
}

/**
 * @param {object} call projected
 * @param {object|undefined} unit as sent by the hub
 * @param {{now: number, session: {name: string, role: string}, lost: boolean, unsent: boolean}} seen
 *   `unsent`: a press for this call has not reached the hub
 * @returns {object} plain values for every part of a job's card
 */
export function jobModel(call, unit, { now, session, lost, unsent }) {
  const model = callModel(call, now, session);
  const by = toMs(call.by) ?? now;
  const leaveBy = leaving(call);
  const held = heldWindow(unit, now);
  const serves = model.buttons.done;
  let main = "";
  if (serves && model.mine) main = "done";
  if (serves && call.state === "open") main = "claim";
  return {
    id: call.id,
    unit: model.unit,
    position: model.position || words.noPlace,
    bring: model.bring,
    inTime: by >= now ? words.inTime(by - now) : words.over(now - by),
    overdue: model.overdue,
    by: words.by(clockTime(by)),
    leave: leaveBy <= now ? words.leaveNow : words.leave(clockTime(leaveBy), leaveBy - now),
    leaveNow: leaveBy <= now,
    held: held === null ? "" : words.held(held.from === null ? "" : clockTime(held.from), clockTime(held.until), held.title),
    heldNow: held !== null && held.from === null,
    why: call.why,
    age: ageText(unit, now, lost),
    state: stateText(call, model, unsent),
    stateName: stateName(call, model, unsent),
    note: call.note && !model.mine ? words.note(call.note) : "",
    main,
    lost,
    release: serves && model.mine,
  };
}

/** Whose it is, in a word that the style sheet knows. */
function stateName(call, model, unsent) {
  if (unsent) return "unsent";
  if (model.mine) return "mine";
  return call.state === "claimed" ? "others" : "open";
}

function stateText(call, model, unsent) {
  if (unsent) return model.mine ? words.unsentMine : words.unsentOpen;
  const until = toMs(call.lapses_at);
  if (model.mine) return until === null ? words.mine : words.mineUntil(clockTime(until));
  if (call.state === "claimed") return words.theirs(call.claimed_by ?? "");
  return model.lapsed ? words.lapsed : words.open;
}

/** How old what is known of the unit is; told on every card, because the why rests on it. */
function ageText(unit, now, lost) {
  if (unit === undefined) return "";
  const age = ageOf(unit, now, lost);
  if (age.state === "never" || age.ageMs === null) return row.never;
  if (age.state === "silent") return row.silentSince(clockTime(age.heardAt));
  if (age.state === "old") return words.old(duration(age.ageMs));
  if (unit.typed) return row.typed(age.ageMs);
  return age.lateMs === null ? row.age(age.ageMs) : row.late(age.lateMs);
}

/**
 * What happened to one's own jobs without one's own doing: a walk that is no longer needed must not be walked.
 */
export class OwnJobs {
  constructor() {
    /** @type {Map<string, object>} calls that are mine, by id */
    this.mine = new Map();
  }

  /** A press of my own changes this call: no news. @param {string} id */
  expect(id) {
    this.mine.delete(id);
  }

  /** Another hub, or another person. */
  clear() {
    this.mine.clear();
  }

  /**
   * @param {Map<string, object>} calls all that the hub told, by id
   * @param {string} me
   * @returns {{call: object, what: "withdrawn"|"missed"|"done"|"gone"|"freed"|"taken"}[]}
   */
  news(calls, me) {
    const news = [];
    for (const [id, before] of this.mine) {
      const call = calls.get(id);
      if (call?.state === "claimed" && call.claimed_by === me) continue;
      this.mine.delete(id);
      news.push({ call: call ?? before, what: whatBecame(call) });
    }
    for (const call of calls.values()) if (call.state === "claimed" && call.claimed_by === me) this.mine.set(call.id, call);
    return news;
  }
}

function whatBecame(call) {
  if (call === undefined) return "gone";
  if (call.state === "open") return "freed";
  return call.state === "claimed" ? "taken" : call.state;
}
