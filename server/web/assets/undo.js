/**
 * What this person pressed a moment ago, and how each press is taken back. Knows neither page nor hub.
 * @module undo
 */

/** @import { CallView } from "swapcall-wire" */

/** How long a press can be taken back, milliseconds. */
export const UNDO_MS = 10_000;

/**
 * What takes back what, as the hub calls it.
 * @type {Record<Pressed, "release"|"claim"|"undo">}
 */
const BACK = { claim: "release", release: "claim", done: "undo" };

/** @typedef {"claim"|"release"|"done"} Pressed what can be taken back */

/**
 * @typedef {object} Press
 * @property {Pressed} action
 * @property {CallView} call as it was before
 * @property {string} who pressed
 * @property {number} until on the counter
 * @property {string} trouble why it could not be taken back, once that was tried in vain
 */

/** The presses that can still be taken back, at most one per call. */
export class Undo {
  /** @param {() => number} counter milliseconds that only ever go up */
  constructor(counter) {
    this.counter = counter;
    /** @type {Map<string, Press>} by call id, newest last */
    this.presses = new Map();
  }

  /**
   * Notes a press. Noted when it is sent, not when the answer is there: the word of it may come by the socket first.
   * @param {Pressed} action
   * @param {CallView} call as it is before
   * @param {string} who is signed in
   */
  note(action, call, who) {
    this.presses.delete(call.id);
    // What somebody else had is not handed back in their name: they were told that it is free, and may be gone.
    if (action === "release" && call.claimed_by !== who) return;
    this.presses.set(call.id, { action, call, who, until: this.counter() + UNDO_MS, trouble: "" });
  }

  /** @param {string} id of a call whose press counts no more */
  drop(id) {
    this.presses.delete(id);
  }

  /** It could not be taken back; what was said stays as long as the offer would have. @param {string} id @param {string} trouble */
  failed(id, trouble) {
    const press = this.presses.get(id);
    if (press) Object.assign(press, { trouble, until: this.counter() + UNDO_MS });
  }

  /**
   * @param {string} id of a call
   * @param {CallView|undefined} call as it is now
   * @returns {Press|null} the press that brought it where it is, while it can be taken back
   */
  of(id, call) {
    const press = this.presses.get(id);
    if (press === undefined) return null;
    if (this.counter() < press.until && stands(press, call)) return press;
    if (this.counter() >= press.until) this.presses.delete(id);
    return null;
  }

  /** @returns {string[]} ids of the calls with a press, newest first */
  newestFirst() {
    return [...this.presses.keys()].reverse();
  }

  /** @param {Press} press @returns {number} whole seconds for which it can still be taken back */
  secondsLeft(press) {
    return Math.max(1, Math.ceil((press.until - this.counter()) / 1000));
  }
}

/** @param {Press} press @returns what the hub is asked to do */
export const takingBack = (press) => BACK[press.action];

/**
 * Whether the call is still as the press left it; a call that is no longer held was done long ago, or is gone with its hub.
 * @param {Press} press
 * @param {CallView|undefined} call
 */
function stands(press, call) {
  if (press.action === "done") return call === undefined || call.state === "done";
  if (press.action === "release") return call?.state === "open";
  return call?.state === "claimed" && call.claimed_by === press.who;
}
