/**
 * Sends what waits in the queue, one after the other, while the hub is there and the screen has caught up with it.
 * @module runner-send
 */

/** @import { CallView, Problem, Report } from "swapcall-wire" */
/** @import { Answer } from "./api.js" */
/** @import { Move } from "./poolmodel.js" */
/** @import { Press, PressQueue } from "./runner-queue.js" */

import { actOnCall, putPiece, sendReport } from "./api.js";
import { verdict } from "./runner-queue.js";

/** After a try without an answer, or a hub that asked to wait, milliseconds. */
const AGAIN_MS = 2_000;

/** Of these a hub, or what stands before it, says that nothing was done. */
const NOTHING_DONE = [429, 503, 507];

/**
 * @typedef {object} Settled
 * @property {Press} press
 * @property {"ok"|"refused"|"ended"} outcome `ended`: it was not sent, the hub is already where it would have led
 * @property {CallView|null} call as it is after the press
 * @property {Problem|null} problem why it was refused
 */

/** The one sender of this page. */
export class PressSender {
  /**
   * @param {object} parts
   * @param {PressQueue} parts.queue
   * @param {() => string|null} parts.sender name of who may send now; `null` while the hub is away
   * @param {(id: string) => CallView|undefined} parts.callOf a call as the hub has it
   * @param {(settled: Settled) => void} parts.onSettled before the press leaves the queue
   * @param {() => void} parts.onChange after every step
   * @param {() => void} parts.onSignedOut the hub no longer knows this session
   */
  constructor({ queue, sender, callOf, onSettled, onChange, onSignedOut }) {
    this.queue = queue;
    this.sender = sender;
    this.callOf = callOf;
    this.onSettled = onSettled;
    this.onChange = onChange;
    this.onSignedOut = onSignedOut;
    this.busy = false;
    /** @type {ReturnType<typeof setTimeout>|undefined} the next look by itself */
    this.again = undefined;
  }

  /** Sends all that may be sent; safe to call whenever something may have changed. */
  async run() {
    if (this.busy) return;
    this.busy = true;
    clearTimeout(this.again);
    try {
      while (await this.#one());
    } finally {
      this.busy = false;
    }
  }

  /** @returns {Promise<boolean>} whether to look for another one at once */
  async #one() {
    const who = this.sender();
    const press = who === null ? null : this.queue.next(who);
    if (press === null) {
      // Another page of this browser may be sending; its mark grows old if it is gone.
      if (who !== null && this.queue.all().length > 0) this.#later(AGAIN_MS);
      return false;
    }
    const decided = verdict(press, this.callOf(press.call ?? ""));
    if (decided === "ask") this.queue.ask(press.id);
    if (decided === "arrived") this.#settle({ press, outcome: "ended", call: null, problem: null });
    if (decided !== "send") {
      this.onChange();
      return true;
    }
    this.queue.begin(press.id);
    this.onChange();
    if (press.move) return this.#moved(press, press.move);
    return press.report ? this.#reported(press, press.report) : this.#acted(press);
  }

  /** @param {Press} press @param {Move} move */
  async #moved(press, move) {
    const answer = await putPiece(move);
    if (answer.outcome !== "ok") return this.#notDone(press, answer);
    return this.#settle({ press, outcome: "ok", call: null, problem: null });
  }

  /** @param {Press} press @param {Report} report */
  async #reported(press, report) {
    const answer = await sendReport({ ...report, sent_at: new Date(this.queue.wall()).toISOString() });
    if (answer.outcome !== "ok") return this.#notDone(press, answer);
    const problem = answer.body?.results[0]?.problem ?? null;
    return this.#settle({ press, outcome: problem === null ? "ok" : "refused", call: null, problem });
  }

  /** @param {Press} press */
  async #acted(press) {
    const answer = await actOnCall(press.call ?? "", press.action ?? "claim", press.id);
    if (answer.outcome !== "ok") return this.#notDone(press, answer);
    return this.#settle({ press, outcome: "ok", call: answer.body, problem: null });
  }

  /**
   * @param {Press} press
   * @param {Exclude<Answer<unknown>, {outcome: "ok"}>} answer
   * @returns {boolean} whether to look for another press at once
   */
  #notDone(press, { outcome, status, body }) {
    if (status === 401) {
      this.queue.pause(press.id, false);
      this.onSignedOut();
      return false;
    }
    if (outcome === "refused" && status < 500 && !NOTHING_DONE.includes(status)) {
      return this.#settle({ press, outcome, call: null, problem: body });
    }
    this.queue.pause(press.id, !NOTHING_DONE.includes(status));
    this.onChange();
    this.#later(Math.max(AGAIN_MS, 1000 * (body?.retry_after_s ?? 0)));
    return false;
  }

  /** @param {Settled} settled */
  #settle(settled) {
    const { press, outcome } = settled;
    this.onSettled(settled);
    this.queue.remove(press.id);
    // A claim that was refused leaves nothing to hand back; a lead's word would even free what somebody else has.
    if (press.action === "claim" && outcome === "refused") this.#dropHandBack(press);
    this.onChange();
    return true;
  }

  /** @param {Press} claim */
  #dropHandBack(claim) {
    const later = this.queue.all().find((press) => press.call === claim.call && press.undoes === "claim");
    if (later) this.queue.remove(later.id);
  }

  /** @param {number} ms */
  #later(ms) {
    clearTimeout(this.again);
    this.again = setTimeout(() => this.run(), ms);
  }
}
