/**
 * What this screen holds: units, calls, and the cursor to come back with. Delivery is at least once, so whatever is not
 * newer than what is held is dropped.
 * @module store
 */

/** @import { CallView, CardRiskView, LiveMessage, UnitView } from "swapcall-wire" */

import { compareMoments } from "./time.js";

/** How many ended calls are kept. */
const KEPT_ENDED = 5;

/** How many announcements are remembered, so that a repeated message does not sound twice. */
const KEPT_ANNOUNCED = 500;

/**
 * @typedef {object} Announcement
 * @property {"new"|"lapsed"|"reminded"} kind
 * @property {CallView} call the call as sent
 */

/** Units, calls and cursor. Knows nothing of sockets or of the page. */
export class Store {
  constructor() {
    /** @type {Map<string, UnitView>} units by callsign */
    this.units = new Map();
    /** @type {Map<string, CallView>} calls by id: open, claimed, and the last few ended */
    this.calls = new Map();
    /** @type {string|null} identity of the hub's store; belongs to the cursor */
    this.epoch = null;
    /** @type {number|null} everything up to here has been received */
    this.cursor = null;
    /** Inside a snapshot the cursor does not move: half a snapshot is no place to come back to. */
    this.inSnapshot = false;
    /** @type {Map<string, number>} revision last announced, by call; outlives a snapshot */
    this.announced = new Map();
    /**
     * Units that were told anew for what may be a change of the rundown; `true` where nothing else can explain it.
     * @type {Map<string, boolean>}
     */
    this.windowNews = new Map();
    /** @type {CardRiskView[]} cards at risk, as last heard */
    this.risks = [];
    /** @type {number|null} counts the changes of the kit; `null` from a hub that does not tell them */
    this.kitRevision = null;
    /** Whether the hub has said since `hello` which cards are at risk. */
    this.kitHeard = false;
  }

  /** Drops everything that could be out of date. */
  forget() {
    this.units.clear();
    this.calls.clear();
    this.windowNews.clear();
    this.cursor = null;
    this.risks = [];
    this.kitRevision = null;
  }

  /**
   * Takes one message of the live socket.
   * @param {LiveMessage} message as sent
   * @returns {Announcement[]} what should be heard, in order
   */
  apply(message) {
    switch (message.type) {
      case "hello":
        this.#hello(message);
        return [];
      case "unit":
        this.#unit(message.unit);
        this.#advance(message.seq);
        return [];
      case "aged":
        for (const unit of message.units) this.#unit(unit);
        return [];
      case "call": {
        const said = this.call(message.call);
        this.#advance(message.seq);
        return said;
      }
      case "caught_up":
        this.inSnapshot = false;
        this.#advance(message.seq);
        return [];
      case "kit":
        Object.assign(this, { kitHeard: true, kitRevision: message.revision, risks: message.risks });
        return [];
      case "heartbeat":
        // Each screen is told right after it has caught up: a hub that does not do so knows of none.
        if (!this.inSnapshot && !this.kitHeard) this.risks = [];
        return [];
      default:
        return [];
    }
  }

  /** @param {Extract<LiveMessage, {type: "hello"}>} message */
  #hello(message) {
    this.inSnapshot = message.start === "snapshot";
    this.kitHeard = false;
    if (this.inSnapshot) {
      const { risks } = this;
      this.forget();
      // Until the hub has said which ones there are, the danger is not over.
      if (message.epoch === this.epoch) this.risks = risks;
      this.windowNews.set("", true);
    }
    this.epoch = message.epoch;
  }

  /** @param {number} seq */
  #advance(seq) {
    if (!this.inSnapshot && (this.cursor === null || seq > this.cursor)) this.cursor = seq;
  }

  /** @param {UnitView} unit */
  #unit(unit) {
    const held = this.units.get(unit.unit);
    if (held && !newerUnit(unit, held)) return;
    this.units.set(unit.unit, unit);
    if (held) this.#noteWindows(unit, held);
  }

  /**
   * A change of the rundown is told with every unit: its windows differ, or it is told anew and nothing else has changed.
   * @param {UnitView} unit
   * @param {UnitView} held what was held of it before
   */
  #noteWindows(unit, held) {
    const same = (/** @type {(keyof UnitView)[]} */ ...names) => names.every((name) => JSON.stringify(unit[name]) === JSON.stringify(held[name]));
    const unexplained = unit.changed_seq !== held.changed_seq && same("received_at", "observed_at", "call", "profile");
    if (unexplained || !same("window", "next_window")) this.windowNews.set(unit.unit, unexplained);
  }

  /** @returns {[string, boolean][]} what was noted since the last look */
  takeWindowNews() {
    const news = [...this.windowNews];
    this.windowNews.clear();
    return news;
  }

  /**
   * Takes a call, from the live socket or as the answer to a claim.
   * @param {CallView} call as sent
   * @returns {Announcement[]}
   */
  call(call) {
    const held = this.calls.get(call.id);
    if (held && call.revision <= held.revision) return [];
    this.calls.set(call.id, call);
    this.#dropOldEnded();
    return this.#announce(call);
  }

  /** @param {CallView} call @returns {Announcement[]} */
  #announce(call) {
    const heard = this.announced.get(call.id);
    if (heard !== undefined && call.revision <= heard) return [];
    this.announced.set(call.id, call.revision);
    if (this.announced.size > KEPT_ANNOUNCED) this.#forgetOldestAnnounced();
    if (call.state !== "open") return [];
    if (call.reason === "lapsed") return [{ kind: "lapsed", call }];
    if (heard === undefined) return [{ kind: "new", call }];
    return call.reason === "reminded" ? [{ kind: "reminded", call }] : [];
  }

  /** The map keeps the order in which calls were first announced. */
  #forgetOldestAnnounced() {
    for (const id of this.announced.keys()) {
      this.announced.delete(id);
      return;
    }
  }

  #dropOldEnded() {
    for (const call of this.endedCalls().slice(KEPT_ENDED)) this.calls.delete(call.id);
  }

  /** @returns {CallView[]} open and claimed calls, what must be done first on top */
  liveCalls() {
    const live = [...this.calls.values()].filter((call) => call.state === "open" || call.state === "claimed");
    return live.sort((a, b) => compareMoments(a.by, b.by) || a.number - b.number);
  }

  /** @returns {CallView[]} calls that have ended, newest first */
  endedCalls() {
    const ended = [...this.calls.values()].filter((call) => call.ended_at);
    return ended.sort((a, b) => compareMoments(b.ended_at ?? "", a.ended_at ?? ""));
  }

  /** @returns {Map<string, CallView>} open and claimed calls by callsign */
  callsByUnit() {
    return new Map(this.liveCalls().map((call) => [call.unit, call]));
  }
}

/**
 * A unit is newer by the place of its change in the journal; the time of its forecast tells apart two views of the same
 * change. Not the other way round: clocks can be set back.
 * @param {UnitView} fresh
 * @param {UnitView} held
 */
function newerUnit(fresh, held) {
  if (fresh.changed_seq !== held.changed_seq) return fresh.changed_seq > held.changed_seq;
  return compareMoments(fresh.as_of, held.as_of) > 0;
}
