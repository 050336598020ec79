/**
 * The live connection: opens the socket, notices when the hub falls silent, comes back with the cursor.
 *
 * A socket can look open long after the other end is gone, so only messages count as life: the hub sends a heartbeat
 * about once a second, and when two are missing and the third is due, the hub is lost.
 * @module live
 */

/** @import { LiveMessage } from "swapcall-wire" */
/** @import { Announcement, Store } from "./store.js" */
/** @import { HubClock } from "./time.js" */

import { Backoff, STABLE_MS } from "./backoff.js";
import { openSocket } from "./socket.js";
import { showIsIn, toMs } from "./time.js";

/** Heartbeats without a word after which the hub is lost: two are missing and the third is due, so that the banner is up by then. */
const LOST_AFTER_BEATS = 2.5;

/** A try that has not said hello by then is given up, milliseconds. */
const TRY_LIMIT_MS = 5_000;

/** How often silence is looked for, milliseconds. */
const WATCH_MS = 100;

/** The machine slept when the two local clocks drift apart by this much between two looks, milliseconds. */
const SLEPT_MS = 2_000;

/** Close code: the session was revoked or has expired. */
const SIGNED_OUT = 4003;

/**
 * @typedef {"connecting"|"live"|"lost"|"signed_out"} LinkState
 */

/** One live connection, kept up for as long as the page lives. */
export class LiveLink {
  /**
   * @param {object} parts what it works with
   * @param {Store} parts.store gives the cursor and takes messages
   * @param {HubClock} parts.clock takes the time signals
   * @param {() => Promise<"ok"|"signed_out"|"unreachable">} parts.checkSession tells a refused socket from a dead hub
   * @param {(announcements: Announcement[]) => void} parts.onMessage after every message that was taken
   * @param {(state: LinkState) => void} parts.onState when the state changes
   */
  constructor({ store, clock, checkSession, onMessage, onState }) {
    this.store = store;
    this.clock = clock;
    this.checkSession = checkSession;
    this.onMessage = onMessage;
    this.onState = onState;
    this.backoff = new Backoff();
    /** @type {LinkState} */
    this.state = "connecting";
    /** @type {WebSocket|null} */
    this.socket = null;
    this.heartbeatMs = 1000;
    /** @type {number|null} when anything was heard last, on the steady counter */
    this.heardAt = null;
    /** @type {number|null} the hub's clock as last heard */
    this.heardHub = null;
    /** @type {number|null} since when everything has been received, on the steady counter */
    this.liveSince = null;
    /** @type {number|null} when the next try is due, on the steady counter; none while one is going on */
    this.retryAt = null;
    this.openedAt = 0;
    /** @type {ReturnType<typeof setInterval>|undefined} */
    this.watcher = undefined;
    this.atLeastMs = 0;
    this.greeted = false;
    this.lastLook = { steady: performance.now(), wall: Date.now() };
  }

  /** Connects, and stays connected until `stop`. */
  start() {
    this.stop();
    this.backoff.reset();
    this.#state("connecting");
    this.watcher = setInterval(() => this.#watch(), WATCH_MS);
    this.#open();
  }

  /** Lets go of the hub, for signing out. */
  stop() {
    clearInterval(this.watcher);
    this.retryAt = null;
    this.#drop();
  }

  /** Tries at once, because somebody pressed the button or the network came back. */
  tryNow() {
    if (this.retryAt !== null) this.#open();
  }

  /** @returns {number|null} milliseconds to the next try, `null` while one is going on */
  retryInMs() {
    return this.retryAt === null ? null : Math.max(0, this.retryAt - performance.now());
  }

  #open() {
    this.#drop();
    this.retryAt = null;
    this.greeted = false;
    this.openedAt = performance.now();
    const { cursor, epoch } = this.store;
    const from = cursor !== null && epoch !== null ? { after: String(cursor), epoch } : null;
    this.socket = openSocket(from, {
      onMessage: (event) => this.#hear(event.data),
      onClose: (event) => {
        this.socket = null;
        this.#closed(event.code);
      },
    });
  }

  /** Takes no more word of the present socket. */
  #drop() {
    if (this.socket === null) return;
    this.socket.onmessage = null;
    this.socket.onclose = null;
    this.socket.close();
    this.socket = null;
  }

  /** @param {string} data one text frame */
  #hear(data) {
    const message = readMessage(data);
    if (message === null) return;
    this.heardAt = performance.now();
    if (message.type === "hello" && !this.#hello(message)) return;
    if (message.type === "heartbeat") this.clock.hear(message.now);
    if ("now" in message) this.heardHub = toMs(message.now);
    if (message.type === "bye") this.atLeastMs = message.retry_after_ms;
    const announcements = this.store.apply(message);
    if (message.type === "caught_up") {
      this.liveSince = performance.now();
      this.#state("live");
    }
    this.onMessage(announcements);
  }

  /**
   * @param {Extract<LiveMessage, {type: "hello"}>} message
   * @returns {boolean} whether the greeting fits what is held
   */
  #hello(message) {
    this.greeted = true;
    this.heartbeatMs = message.heartbeat_s * 1000;
    this.clock.forget(message.clock_rate ?? 1);
    this.clock.hear(message.now);
    showIsIn(message.time_zone);
    if (message.start === "resumed" && message.epoch !== this.store.epoch) {
      this.store.forget();
      this.#open();
      return false;
    }
    return true;
  }

  /** @param {number} code why the socket closed */
  async #closed(code) {
    const greeted = this.greeted;
    const atLeastMs = this.atLeastMs;
    this.atLeastMs = 0;
    this.liveSince = null;
    if (code === SIGNED_OUT) return this.#signedOut();
    const wait = this.backoff.next(atLeastMs);
    this.retryAt = performance.now() + wait;
    if (greeted) return undefined;
    this.#state("lost");
    if ((await this.checkSession()) === "signed_out") this.#signedOut();
    return undefined;
  }

  #signedOut() {
    this.stop();
    this.#state("signed_out");
  }

  #watch() {
    const now = performance.now();
    const slept = this.#slept(now);
    const silent = this.heardAt !== null && now - this.heardAt > this.heartbeatMs * LOST_AFTER_BEATS;
    if (this.state === "live" && (silent || slept)) this.#state("lost");
    if (this.liveSince !== null && now - this.liveSince > STABLE_MS) this.backoff.reset();
    if (this.retryAt !== null) {
      if (now >= this.retryAt) this.#open();
      return;
    }
    const quietTry = now - Math.max(this.openedAt, this.heardAt ?? 0) > TRY_LIMIT_MS;
    const deadSocket = this.liveSince !== null && (silent || slept);
    if (this.socket !== null && (deadSocket || quietTry)) {
      this.#drop();
      this.#closed(0);
    }
  }

  /**
   * The steady counter may stand still while a laptop sleeps; the wall clock does not.
   * @param {number} now on the steady counter
   */
  #slept(now) {
    const wall = Date.now();
    const drift = wall - this.lastLook.wall - (now - this.lastLook.steady);
    this.lastLook = { steady: now, wall };
    return Math.abs(drift) > SLEPT_MS;
  }

  /** @param {LinkState} state */
  #state(state) {
    if (this.state === state) return;
    this.state = state;
    this.onState(state);
  }
}

/**
 * One bad frame must not stop the screen.
 * @param {string} data
 * @returns {LiveMessage|null} the message, `null` when it cannot be read
 */
function readMessage(data) {
  try {
    return JSON.parse(data);
  } catch {
    return null;
  }
}
