/**
 * Sends what waits in the queue, one after the other, while the hub is there and the screen has caught up with it.
 * @module runner-send
 */

import { actOnCall, postReport } from "./api.js";
import { verdict } from "./runner-queue.js";

/** After a try without an answer, or a hub that asked to wait, milliseconds. */
const AGAIN_MS = 2_000;

/** Of these a hub, or what stands before it, says that nothing was done. */
const NOTHING_DONE = [429, 503, 507];

/**
 * @typedef {object} Settled
 * @property {import("./runner-queue.js").Press} press
 * @property {"ok"|"refused"|"ended"} outcome `ended`: it was not sent, the hub is already where it would have led
 * @property {object|null} body the hub's answer
 */

/** The one sender of this page. */
export class PressSender {
  /**
   * @param {object} parts
   * @param {import("./runner-queue.js").PressQueue} parts.queue
   * @param {() => string|null} parts.sender name of who may send now; `null` while the hub is away
   * @param {(id: string) => object|undefined} parts.callOf a call as the hub has it
   * @param {(settled: Settled) => void} parts.onSettled before the press leaves the queue
   * @param {() => void} parts.onChange after every step
   * @param {() => void} parts.onSignedOut the hub no longer knows this session
   */
  constructor(parts) {
    Object.assign(this, parts);
    this.busy = false;
  }

  /** Sends all that may be sent; safe to call at any time. */
  async run() {
    if (this.busy) return;
    this.busy = true;
    clearTimeout(this.again);
    while (await this.#one());
    this.busy = false;
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
    const decided = verdict(press, this.callOf(press.call));
    if (decided === "ask") this.queue.ask(press.id);
    if (decided === "arrived") this.#settle(press, "ended", null);
    if (decided !== "send") {
      this.onChange();
      return true;
    }
    this.queue.begin(press.id);
    this.onChange();
    return this.#answered(press, await request(press, this.queue.wall()));
  }

  #answered(press, answer) {
    const { outcome, status, body } = answer;
    if (outcome === "ok") return this.#settle(press, ...reading(press, body));
    if (status === 401) {
      this.queue.pause(press.id, false);
      this.onSignedOut();
      return false;
    }
    if (outcome === "refused" && status < 500 && !NOTHING_DONE.includes(status)) return this.#settle(press, "refused", body);
    this.queue.pause(press.id, !NOTHING_DONE.includes(status));
    this.onChange();
    this.#later(Math.max(AGAIN_MS, 1000 * (body?.retry_after_s ?? 0)));
    return false;
  }

  #settle(press, outcome, body) {
    this.onSettled({ press, outcome, body });
    this.queue.remove(press.id);
    // A claim that was refused leaves nothing to hand back; a lead's word would even free what somebody else has.
    if (press.action === "claim" && outcome === "refused") this.#dropHandBack(press);
    this.onChange();
    return true;
  }

  #dropHandBack(claim) {
    const later = this.queue.all().find((press) => press.call === claim.call && press.undoes === "claim");
    if (later) this.queue.remove(later.id);
  }

  #later(ms) {
    clearTimeout(this.again);
    this.again = setTimeout(() => this.run(), ms);
  }
}

function request(press, now) {
  if (press.kind === "call") return actOnCall(press.call, press.action, press.id);
  return postReport({ ...press.report, sent_at: new Date(now).toISOString() });
}

/** A report is answered item by item. @returns {["ok"|"refused", object|null]} */
function reading(press, body) {
  const item = press.kind === "report" ? body?.results?.[0] : undefined;
  return item?.status === "refused" ? ["refused", item.problem] : ["ok", body];
}
