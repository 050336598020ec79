/**
 * The list of what has not reached the hub: said plainly, each with its time, and what can be done about it.
 * @module runner-unsent
 */

import { arrange, byId, fill, make, setText, show } from "./dom.js";
import { clockTime } from "./time.js";
import { duration, runner as words } from "./words.js";

/** While the hub is there, a press on its way is no news for this long, milliseconds. */
const QUIET_MS = 1_500;

/** The list. */
export class UnsentList {
  /**
   * @param {import("./runner-queue.js").PressQueue} queue
   * @param {() => void} changed after somebody decided about a press
   */
  constructor(queue, changed) {
    Object.assign(this, { queue, changed });
    this.list = byId("unsent-list");
    /** @type {Map<string, object>} */
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

  #worthSaying(press, who, live) {
    const standing = this.queue.standing(press, who);
    const fresh = this.queue.wall() - press.at < QUIET_MS && !press.unanswered;
    return !(live && fresh && (standing === "trying" || standing === "waits"));
  }

  #row(press, who) {
    if (!this.rows.has(press.id)) this.rows.set(press.id, this.#make(press.id));
    const row = this.rows.get(press.id);
    const standing = this.queue.standing(press, who);
    setText(row.text, sentence(press, standing, this.queue.wall()));
    row.root.dataset.standing = standing;
    show(row.send, standing === "ask");
    setText(row.drop, standing === "waits" ? words.takeBack : words.throwAway);
    show(row.drop, standing !== "trying");
    return row.root;
  }

  #make(id) {
    const root = make("li", "unsent");
    const text = make("p", "unsent-text");
    const send = make("button", "unsent-button", words.sendNow, { type: "button" });
    const drop = make("button", "unsent-button", "", { type: "button" });
    send.addEventListener("click", () => {
      this.queue.agree(id);
      this.changed();
    });
    drop.addEventListener("click", () => {
      this.queue.remove(id);
      this.changed();
    });
    fill(root, text, fill(make("div", "unsent-buttons"), drop, send));
    return { root, text, send, drop };
  }
}

function sentence(press, standing, now) {
  const what = words.what(press);
  const clock = clockTime(press.at);
  const age = duration(Math.max(0, now - press.at));
  if (standing === "foreign") return words.foreign(what, clock, press.who);
  if (standing === "ask") return press.changed ? words.changed(what, clock) : words.old10(what, clock, age);
  return words.waits(what, clock, age);
}
