/**
 * The rundown and the shows as this screen holds them: read anew whenever the hub tells of a change, and changed one
 * window at a time. It says how old it is, and when it could not be read.
 * @module running
 */

import { readRundown, readShows, writeRundown } from "./api.js";
import { agrees, readWindows } from "./rundown.js";
import { merge } from "./windowedit.js";

/** @import { Show, Window as WireWindow } from "swapcall-wire" */

/** News of many units come together; one reading serves all, milliseconds. */
const GATHER_MS = 150;

/** After a failure, or when the hub has not caught up with itself, milliseconds. */
const AGAIN_MS = 5_000;

/** So often a change is merged anew into a list that others change at the same moment. */
const TRIES = 4;

/** Shows are not told live; while the axis follows one, they are read this often, milliseconds. */
const SHOWS_MS = 60_000;

/**
 * @typedef {object} Outcome of a change
 * @property {"done"|"changed"|"refused"|"unreachable"|"signed_out"} outcome `changed`: somebody else was there first
 * @property {string} detail what the hub said
 * @property {string} code the hub's short name of the problem
 * @property {import("./windowedit.js").Change|null} undo takes the change back
 */

/** The rundown and the shows. */
export class Running {
  /**
   * @param {() => number|null} hubNow the hub's clock, milliseconds
   * @param {() => void} changed asks for a drawing
   */
  constructor(hubNow, changed) {
    this.hubNow = hubNow;
    this.changed = changed;
    /** @type {number|null} */
    this.timer = null;
    /** When the timer goes off, by the monotonic counter. */
    this.due = 0;
    /** Nothing is read while there is no live link to the hub. */
    this.away = true;
    this.reading = false;
    this.wanted = false;
    /** @type {WireWindow[]|null} the windows as sent; `null` until they have been read */
    this.windows = null;
    /** @type {import("./rundown.js").Said[]} */
    this.said = [];
    /** @type {number|null} when they were read, by the hub's clock */
    this.readAt = null;
    /** Whether the last reading failed, so that what is held may be out of date. */
    this.doubtful = false;
    /** @type {Show[]} */
    this.shows = [];
    this.showsReadAt = -Infinity;
    /** Readings under way when everything was forgotten say nothing any more. */
    this.generation = 0;
  }

  /** Knows nothing: nobody is signed in, or another hub answers. */
  forget() {
    this.leave();
    this.reading = false;
    this.wanted = false;
    this.windows = null;
    this.said = [];
    this.readAt = null;
    this.doubtful = false;
    this.shows = [];
    this.showsReadAt = -Infinity;
    this.generation += 1;
  }

  /** The link to the hub is live: whatever was missed is read. */
  arrive() {
    this.away = false;
    this.soon(0);
  }

  /** The hub is lost: nothing is read, what is held stays. */
  leave() {
    this.away = true;
    this.#cancel();
  }

  #cancel() {
    clearTimeout(this.timer ?? undefined);
    this.timer = null;
  }

  /** Reads soon. @param {number} [inMs] */
  soon(inMs = GATHER_MS) {
    const due = performance.now() + inMs;
    if (this.away || (this.timer !== null && this.due <= due)) return;
    this.#cancel();
    this.due = due;
    this.timer = setTimeout(() => {
      this.timer = null;
      this.#read();
    }, inMs);
  }

  /**
   * Looks at units that were told anew: reads the rundown when what is held no longer explains them.
   * @param {import("./store.js").Store} store
   */
  heed(store) {
    const news = store.takeWindowNews();
    const differs = news.some(([name, unexplained]) => {
      const unit = store.units.get(name);
      return unexplained || this.windows === null || unit === undefined || !agrees(this.said, unit);
    });
    if (differs) this.soon();
  }

  async #read() {
    this.wanted = this.reading;
    if (this.reading) return;
    this.reading = true;
    const { generation } = this;
    const answer = await readRundown();
    if (generation !== this.generation) return;
    this.reading = false;
    if (answer.outcome === "ok" && Array.isArray(answer.body?.windows)) {
      this.#take(answer.body.windows);
    } else {
      this.doubtful = true;
      if (answer.status !== 401) this.soon(AGAIN_MS);
    }
    if (this.wanted) this.soon();
    this.changed();
  }

  /** @param {WireWindow[]} windows as sent */
  #take(windows) {
    this.windows = windows;
    this.said = readWindows(windows);
    this.readAt = this.hubNow();
    this.doubtful = false;
  }

  /** Reads the shows, unless that was done lately; not having them only makes the axis shorter. */
  async freshShows() {
    if (performance.now() - this.showsReadAt < SHOWS_MS) return;
    this.showsReadAt = performance.now();
    const { generation } = this;
    const answer = await readShows();
    if (generation !== this.generation || answer.outcome !== "ok" || !Array.isArray(answer.body?.shows)) return;
    this.shows = answer.body.shows;
    this.changed();
  }

  /**
   * Makes one change: reads the list, merges the change into it, sets it. When others set theirs in between, once more.
   * @param {import("./windowedit.js").Change} change
   * @returns {Promise<Outcome>}
   */
  async change(change) {
    for (let left = TRIES; ; left -= 1) {
      const outcome = await this.#try(change);
      if (outcome.code !== "rundown-changed" || left === 1) return outcome;
    }
  }

  /** @param {import("./windowedit.js").Change} change @returns {Promise<Outcome>} */
  async #try(change) {
    const { generation } = this;
    const now = await readRundown();
    if (generation !== this.generation) return nothing("signed_out");
    if (now.outcome !== "ok" || now.body === null) return failure(now);
    const { windows, undo } = merge(now.body.windows, change);
    if (windows === null) {
      this.#take(now.body.windows);
      this.changed();
      return nothing("changed");
    }
    const set = await writeRundown(windows, now.body.revision);
    if (generation !== this.generation) return nothing("signed_out");
    if (set.outcome !== "ok" || set.body === null) {
      // Whether it was taken is not known when no answer came: the hub's list tells.
      this.soon();
      return failure(set);
    }
    this.#take(set.body.windows);
    this.changed();
    return { ...nothing("done"), undo };
  }
}

/**
 * @param {import("./api.js").Answer<unknown>} answer
 * @returns {Outcome}
 */
function failure(answer) {
  if (answer.outcome !== "refused") return nothing("unreachable");
  if (answer.status === 401) return nothing("signed_out");
  const problem = answer.body;
  const code = problem?.type?.split(":").at(-1) ?? "";
  return { ...nothing("refused", problem?.detail ?? problem?.title ?? String(answer.status)), code };
}

/**
 * @param {Outcome["outcome"]} outcome
 * @param {string} [detail]
 * @returns {Outcome} nothing was changed, as far as is known
 */
function nothing(outcome, detail = "") {
  return { outcome, detail, code: "", undo: null };
}
