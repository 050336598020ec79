/**
 * What was pressed or typed on this device and has no answer of the hub yet. Every press goes through here, so that one
 * made without the hub and one made with it take the same way: kept first, sent once and in order, then forgotten.
 *
 * Kept in `localStorage`, because a phone in a pocket reloads its pages. Before a press is sent it is marked as under way;
 * a mark left behind by a page that is gone means "may have arrived", and such a press is judged by what the hub says of
 * the call (`verdict`) instead of being sent again blindly.
 * @module runner-queue
 */

/** @import { CallView, Report } from "swapcall-wire" */
/** @import { Move } from "./poolmodel.js" */

import { uuidV7 } from "./uuid.js";

const KEY = "swapcall.presses";

/** More than anybody does on one walk; what comes beyond is refused, and said. */
export const KEPT_PRESSES = 50;

/** Older ones are asked about: the world has gone on. A reading carries its time and stays true for longer. */
export const ASK_AFTER_MS = { call: 10 * 60_000, report: 6 * 60 * 60_000, kit: 10 * 60_000 };

/** A mark of another page older than this belongs to a page that is gone: no request lasts so long. */
const UNDER_WAY_MS = 10_000;

/** The wall clock may be set by this much between press and look, milliseconds; more makes an age that means nothing. */
const CLOCK_SLACK_MS = 5_000;

/** @typedef {"claim"|"release"|"done"|"undo"} PressAction what can be done with a call */

/**
 * @typedef {object} Press
 * @property {string} id UUIDv7; for a reading also the report's id
 * @property {"call"|"report"|"kit"} kind
 * @property {string} who the name of whoever pressed
 * @property {number} at this device's clock, milliseconds since 1970
 * @property {string} unit the callsign; of a pack or card its label
 * @property {string} [call] the call's id
 * @property {PressAction} [action]
 * @property {PressAction} [undoes] the action this one takes back
 * @property {number} [revision] of the call when it was pressed
 * @property {Report} [report] the reading, without `sent_at`
 * @property {Move} [move] where a pack or card is
 * @property {Move} [back] what takes that move back
 * @property {{page: string, at: number}} [trying] a request is under way, or was when its page went
 * @property {boolean} [unanswered] a request went out and no answer came: it may have arrived
 * @property {boolean} [changed] no answer came, and the call has changed since
 * @property {boolean} [agreed] somebody said "send it all the same"
 */

/** @typedef {"waits"|"trying"|"ask"|"foreign"} Standing */

/** Presses in order. Reads and writes what is kept each time, because a second page may do so as well. */
export class PressQueue {
  /**
   * @param {Pick<Storage, "getItem"|"setItem">|null} storage
   * @param {() => number} [wall] this device's clock
   * @param {string} [page] identity of this page
   */
  constructor(storage, wall = Date.now, page = uuidV7()) {
    this.storage = storage;
    this.wall = wall;
    this.page = page;
    /** Whether presses outlive the page; a browser may refuse. */
    this.durable = storage !== null;
    /** @type {Press[]} */
    this.memory = [];
  }

  /** @returns {Press[]} oldest first */
  all() {
    if (!this.durable || this.storage === null) return this.memory;
    try {
      return readKept(this.storage.getItem(KEY));
    } catch {
      this.durable = false;
      return this.memory;
    }
  }

  /** @param {Press[]} presses */
  #write(presses) {
    this.memory = presses;
    if (!this.durable || this.storage === null) return;
    try {
      this.storage.setItem(KEY, JSON.stringify(presses));
    } catch {
      this.durable = false;
    }
  }

  /**
   * @param {Omit<Press, "id"|"at">} press
   * @returns {Press|null} as kept; `null` when too many wait already
   */
  add(press) {
    const presses = this.all();
    if (presses.length >= KEPT_PRESSES) return null;
    const at = this.wall();
    const kept = { ...press, id: press.report?.id ?? uuidV7(at), at };
    this.#write([...presses, kept]);
    return kept;
  }

  /** @param {Press} press @param {string} who is signed in @returns {Standing} */
  standing(press, who) {
    if (press.who !== who) return "foreign";
    const now = this.wall();
    const mark = press.trying;
    if (mark && (mark.page === this.page || (now >= mark.at && now - mark.at < UNDER_WAY_MS))) return "trying";
    if (press.agreed) return "waits";
    const age = now - press.at;
    return press.changed || age > ASK_AFTER_MS[press.kind] || age < -CLOCK_SLACK_MS ? "ask" : "waits";
  }

  /**
   * The one to be sent now. One that is asked about holds back what was pressed later for the same unit; one under way
   * holds back everything.
   * @param {string} who is signed in
   * @returns {Press|null}
   */
  next(who) {
    const heldBack = new Set();
    for (const press of this.all()) {
      const standing = this.standing(press, who);
      if (standing === "trying") return null;
      if (standing === "ask") heldBack.add(press.unit);
      if (standing === "waits" && !heldBack.has(press.unit)) return press;
    }
    return null;
  }

  /** Marks a press as under way. @param {string} id */
  begin(id) {
    this.#change(id, (press) => ({ ...press, trying: { page: this.page, at: this.wall() } }));
  }

  /** The request came to nothing. @param {string} id @param {boolean} mayHaveArrived */
  pause(id, mayHaveArrived) {
    this.#change(id, ({ trying, ...press }) => (mayHaveArrived ? { ...press, unanswered: true } : press));
  }

  /** No answer came, and the call is not as it was: somebody must say whether to send. @param {string} id */
  ask(id) {
    this.#change(id, ({ trying, ...press }) => ({ ...press, changed: true }));
  }

  /** Somebody said "send it all the same". @param {string} id */
  agree(id) {
    this.#change(id, ({ trying, unanswered, ...press }) => ({ ...press, agreed: true }));
  }

  /** Answered, or taken back before it was sent. @param {string} id */
  remove(id) {
    this.#write(this.all().filter((press) => press.id !== id));
  }

  /**
   * @param {string} id
   * @param {(press: Press) => Press} change
   */
  #change(id, change) {
    this.#write(this.all().map((press) => (press.id === id ? change(press) : press)));
  }
}

/**
 * @param {string|null} text
 * @returns {Press[]} what can be read of it: what is kept may have been written by another version
 */
function readKept(text) {
  try {
    const kept = JSON.parse(text ?? "[]");
    return Array.isArray(kept) ? kept.filter(isPress).slice(0, KEPT_PRESSES) : [];
  } catch {
    return [];
  }
}

/** @param {Partial<Press>|null} press @returns {boolean} */
function isPress(press) {
  if (typeof press !== "object" || press === null) return false;
  const named = [press.id, press.unit, press.who].every((name) => typeof name === "string");
  return named && isWhole(press) && Number.isFinite(press.at);
}

/** @param {Partial<Press>} press @returns {boolean} whether it says what is to be sent */
function isWhole({ kind, call, move, report }) {
  if (kind === "kit") return typeof move?.label === "string" && Boolean(move.body);
  return kind === "report" ? Boolean(report) : kind === "call" && typeof call === "string";
}

/**
 * Whether a press may be sent, seen from what the hub says of its call now.
 * @param {Press} press
 * @param {CallView|undefined} call as the hub has it now; `undefined` when it no longer lists it
 * @returns {"send"|"arrived"|"ask"}
 */
export function verdict(press, call) {
  // A mark left by a page that is gone counts as a request without an answer.
  const mayHaveArrived = press.unanswered || press.trying;
  if (!mayHaveArrived || press.agreed || press.kind !== "call") return "send";
  if (hasArrived(press, call)) return "arrived";
  return call && call.revision === press.revision ? "send" : "ask";
}

/**
 * Whether the call is as the press would have made it.
 * @param {Press} press
 * @param {CallView|undefined} call
 */
function hasArrived({ action, who }, call) {
  if (call === undefined || call.ended_at) return action === "done";
  if (action === "claim") return call.state === "claimed" && call.claimed_by === who;
  if (action === "release") return call.claimed_by !== who;
  return action === "undo";
}
