/**
 * Whom a runner serves next, as one walk: one's own calls first, then those nobody has, by when one must leave. Worked
 * out without touching the page.
 * @module runner-walk
 */

/** @import { Bring, CallView, Session, UnitView } from "swapcall-wire" */
/** @import { CallModel } from "./callmodel.js" */
/** @import { Press } from "./runner-queue.js" */

import { callModel, isNextDoor } from "./callmodel.js";
import { ageOf } from "./freshness.js";
import { runner as words } from "./runnerwords.js";
import { clockTime, toMs } from "./time.js";
import { duration, row } from "./words.js";

/** As many as two hands carry and a head keeps. */
export const JOBS_OF_A_WALK = 3;

/**
 * @typedef {object} Walk
 * @property {CallView[]} jobs the next ones
 * @property {CallView[]} rest what comes after them
 * @property {CallView[]} others what other people have
 * @property {number} mine how many of the jobs are one's own
 * @property {Record<Bring, number>} bring what to carry for all jobs together
 * @property {{pack: string[], card: string[]}} labels which of them, as far as they are named
 */

/**
 * A call as it will be when what was pressed here has reached the hub.
 * @param {CallView} call as sent by the hub
 * @param {Press[]} presses that are on their way, oldest first
 * @param {string} me
 * @returns {CallView} the call; a copy where presses change it
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
 * @param {CallView[]} jobs
 * @param {"pack"|"card"} item
 * @returns {string[]} which of them to carry, as far as they are named
 */
const labelsOf = (jobs, item) => jobs.filter((call) => call.bring.includes(item)).flatMap((call) => call[item] ?? []);

/**
 * @param {CallView[]} calls open and claimed ones
 * @param {Press[]} presses on their way to the hub
 * @param {string} me
 * @returns {Walk}
 */
export function walkOf(calls, presses, me) {
  const seen = calls.map((call) => projected(call, presses, me));
  const own = seen.filter((call) => call.state === "claimed" && call.claimed_by === me).sort(byLeaving);
  const open = seen.filter((call) => call.state === "open").sort(byLeaving);
  const others = seen.filter((call) => call.state === "claimed" && call.claimed_by !== me).sort(byLeaving);
  const line = [...own, ...open];
  const jobs = line.slice(0, JOBS_OF_A_WALK);
  const count = (/** @type {Bring} */ item) => jobs.filter((call) => call.bring.includes(item)).length;
  const bring = { pack: count("pack"), card: count("card"), look: count("look") };
  const labels = { pack: labelsOf(jobs, "pack"), card: labelsOf(jobs, "card") };
  return { jobs, rest: line.slice(JOBS_OF_A_WALK), others, mine: Math.min(own.length, jobs.length), bring, labels };
}

/**
 * @param {CallView} a
 * @param {CallView} b
 */
function byLeaving(a, b) {
  return leaving(a) - leaving(b) || (toMs(a.by) ?? 0) - (toMs(b.by) ?? 0) || a.number - b.number;
}

/**
 * @param {number} leaveBy milliseconds
 * @param {number} by milliseconds
 * @param {number} now milliseconds
 */
function leaveText(leaveBy, by, now) {
  if (leaveBy <= now) return words.leaveNow;
  return isNextDoor(leaveBy, by) ? "" : words.leave(clockTime(leaveBy), leaveBy - now);
}

/** @param {CallView} call @returns {number} when somebody must leave base, milliseconds */
export function leaving(call) {
  return toMs(call.leave_by) ?? toMs(call.by) ?? Number.MAX_SAFE_INTEGER;
}

/** @typedef {ReturnType<typeof jobModel>} JobModel plain values for every part of a job's card */

/**
 * @param {CallView} call projected
 * @param {UnitView|undefined} unit as sent by the hub
 * @param {{now: number, session: Session, lost: boolean, sending: boolean, unsent: boolean}} seen
 *   `sending`: a press for this call is on its way; `unsent`: one waits
 */
export function jobModel(call, unit, { now, session, lost, sending, unsent }) {
  const model = callModel(call, now, session, unit);
  const by = toMs(call.by) ?? now;
  const leaveBy = leaving(call);
  const serves = model.buttons.done;
  /** @type {"claim"|"done"|""} */
  let main = "";
  if (serves && model.mine) main = "done";
  if (serves && call.state === "open") main = "claim";
  return {
    id: call.id,
    unit: model.unit,
    position: model.position || words.noPlace,
    bring: model.bring,
    out: model.out,
    inTime: by >= now ? words.inTime(by - now) : words.over(now - by),
    overdue: model.overdue,
    by: words.by(clockTime(by)),
    leave: leaveText(leaveBy, by, now),
    leaveNow: leaveBy <= now,
    held: model.held,
    heldNow: model.heldNow,
    why: model.why,
    age: ageText(unit, now, lost),
    state: sending ? words.sending : stateText(call, model, unsent),
    stateName: stateName(call, model, unsent),
    note: call.note && !model.mine ? words.note(call.note) : "",
    main,
    sending,
    lost,
    release: serves && model.mine,
  };
}

/**
 * Whose it is, in a word that the style sheet knows.
 * @param {CallView} call
 * @param {CallModel} model
 * @param {boolean} unsent
 */
function stateName(call, model, unsent) {
  if (unsent) return "unsent";
  if (model.mine) return "mine";
  return call.state === "claimed" ? "others" : "open";
}

/**
 * @param {CallView} call
 * @param {CallModel} model
 * @param {boolean} unsent
 */
function stateText(call, model, unsent) {
  if (unsent) return model.mine ? words.unsentMine : words.unsentOpen;
  const until = toMs(call.lapses_at);
  if (model.mine) return until === null ? words.mine : words.mineUntil(clockTime(until));
  if (call.state === "claimed") return words.theirs(call.claimed_by ?? "");
  return model.lapsed ? words.lapsed : words.open;
}

/**
 * How old what is known of the unit is; told on every card, because the why rests on it.
 * @param {UnitView|undefined} unit
 * @param {number} now
 * @param {boolean} lost
 */
function ageText(unit, now, lost) {
  if (unit === undefined) return "";
  const age = ageOf(unit, now, lost);
  if (age.state === "never" || age.ageMs === null || age.heardAt === null) return row.never;
  if (age.state === "silent") return row.silentSince(clockTime(age.heardAt));
  if (age.state === "old") return words.old(duration(age.ageMs));
  if (unit.typed) return row.typed(age.ageMs);
  return age.lateMs === null ? row.age(age.ageMs) : row.late(age.lateMs);
}

/** @typedef {"withdrawn"|"missed"|"done"|"gone"|"freed"|"taken"} Fate what became of a job */

/**
 * What happened to one's own jobs without one's own doing: a walk that is no longer needed must not be walked.
 */
export class OwnJobs {
  constructor() {
    /** @type {Map<string, CallView>} calls that are mine, by id */
    this.mine = new Map();
  }

  /** Another hub, or another person. */
  clear() {
    this.mine.clear();
  }

  /**
   * @param {Map<string, CallView>} calls all that the hub told, by id
   * @param {string} me
   * @param {Set<string>} ending calls that a press of one's own ends or gives away: no news
   * @returns {{call: CallView, what: Fate}[]}
   */
  news(calls, me, ending) {
    const news = [];
    for (const id of ending) this.mine.delete(id);
    for (const [id, before] of this.mine) {
      const call = calls.get(id);
      if (call?.state === "claimed" && call.claimed_by === me) continue;
      this.mine.delete(id);
      news.push({ call: call ?? before, what: whatBecame(call) });
    }
    for (const call of calls.values()) {
      if (call.state === "claimed" && call.claimed_by === me && !ending.has(call.id)) this.mine.set(call.id, call);
    }
    return news;
  }
}

/** @param {CallView|undefined} call @returns {Fate} */
function whatBecame(call) {
  if (call === undefined) return "gone";
  if (call.state === "open") return "freed";
  return call.state === "claimed" ? "taken" : call.state;
}
