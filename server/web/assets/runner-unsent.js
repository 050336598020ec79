/**
 * The list of what has not reached the hub: said plainly, each with its time, and what can be done about it.
 * @module runner-unsent
 */

/** @import { Press, PressQueue, Standing } from "./runner-queue.js" */

import { arrange, byId, fill, make, setText, show } from "./dom.js";
import { leadsTo } from "./poolmodel.js";
import { pool } from "./poolwords.js";
import { runner as words } from "./runnerwords.js";
import { clockTime } from "./time.js";
import { duration } from "./words.js";

/** While the hub is there, a press on its way is no news for this long, milliseconds. */
const QUIET_MS = 1_500;

/** The list. */
export class UnsentList {
  /**
   * @param {PressQueue} queue
   * @param {() => void} changed after somebody decided about a press
   */
  constructor(queue, changed) {
    this.queue = queue;
    this.changed = changed;
    this.list = byId("unsent-list");
    /** @type {Map<string, ReturnType<typeof makeRow>>} */
    this.rows = new Map();
    setText(byId("unsent-why"), words.unsentWhy);
  }

  /** @param {string} who is signed in @param {boolean} live whether the hub is there */
  draw(who, live) {
    const presses = this.queue.all().filter((press) => this.#worthSaying(press, who, live));
    show(byId("unsent"), presses.length > 0);
    setText(byId("unsent-heading"), words.unsent(presses.length));
    show(byId("unsent-not-kept"), !this.queue.durable);
    setText(byId("unsent-not-kept"), words.notKept);
    const ids = new Set(presses.map(({ id }) => id));
    for (const id of [...this.rows.keys()]) if (!ids.has(id)) this.rows.delete(id);
    arrange(this.list, presses.map((press) => this.#row(press, who)));
  }

  /**
   * @param {Press} press
   * @param {string} who
   * @param {boolean} live
   */
  #worthSaying(press, who, live) {
    const standing = this.queue.standing(press, who);
    const fresh = this.queue.wall() - press.at < QUIET_MS && !press.unanswered;
    return !(live && fresh && (standing === "trying" || standing === "waits"));
  }

  /**
   * @param {Press} press
   * @param {string} who
   */
  #row(press, who) {
    const row = this.rows.get(press.id) ?? this.#make(press.id);
    this.rows.set(press.id, row);
    const standing = this.queue.standing(press, who);
    setText(row.text, sentence(press, standing, this.queue.wall()));
    row.root.dataset.standing = standing;
    show(row.send, standing === "ask");
    const drop = standing === "waits" ? words.takeBack : words.throwAway;
    setText(row.drop, drop);
    show(row.drop, standing !== "trying");
    return row.root;
  }

  /** @param {string} id */
  #make(id) {
    const row = makeRow();
    row.send.addEventListener("click", () => {
      this.queue.agree(id);
      this.changed();
    });
    row.drop.addEventListener("click", () => {
      this.queue.remove(id);
      this.changed();
    });
    return row;
  }
}

/** Makes the parts of a row. */
function makeRow() {
  const parts = {
    root: make("li", "unsent"),
    text: make("p", "unsent-text"),
    send: make("button", "unsent-button", words.sendNow, { type: "button" }),
    drop: make("button", "unsent-button", "", { type: "button" }),
  };
  fill(parts.root, parts.text, fill(make("div", "unsent-buttons"), parts.drop, parts.send));
  return parts;
}

/**
 * @param {Press} press
 * @param {Standing} standing
 * @param {number} now
 */
function sentence(press, standing, now) {
  const what = pressOf(press);
  const clock = clockTime(press.at);
  const age = duration(Math.max(0, now - press.at));
  if (standing === "foreign") return words.foreign(what, clock, press.who);
  if (standing === "ask") return press.changed ? words.changed(what, clock) : words.stillTrue(what, clock, age);
  return words.waits(what, clock, age);
}

/** @param {Press} press */
function pressOf({ action, move, unit }) {
  if (move) return pool.pressed(unit, leadsTo(move));
  return action ? words.pressed(action, unit) : words.typed(unit);
}
