/**
 * The cards of the jobs: who needs what, where, by when, and one press for it.
 * @module runner-jobs
 */

/** @import { Guard } from "./runner-guard.js" */
/** @import { JobModel } from "./runner-walk.js" */

import { drawBring } from "./calls.js";
import { arrange, fill, make, setAttribute, setText, show } from "./dom.js";
import { runner as words } from "./runnerwords.js";

/** Parts that are plain text. */
const TEXTS = /** @type {const} */ (["unit", "state", "inTime", "position", "by", "out", "leave", "held", "note", "why", "age"]);

/** @typedef {ReturnType<typeof makeCard>} Card the parts of a card, and what it shows */

/** A list of cards, kept by call so that a card moves and is not made anew. */
export class JobList {
  /**
   * @param {HTMLElement} list
   * @param {(id: string, action: "claim"|"release"|"done") => void} press
   * @param {(unit: string) => void} read asks for a typed reading
   * @param {Guard} guard
   */
  constructor(list, press, read, guard) {
    this.list = list;
    this.press = press;
    this.read = read;
    this.guard = guard;
    /** @type {Map<string, Card>} */
    this.cards = new Map();
  }

  /** @param {JobModel[]} models of jobs, in order */
  draw(models) {
    const wanted = new Set(models.map(({ id }) => id));
    for (const id of [...this.cards.keys()]) if (!wanted.has(id)) this.cards.delete(id);
    const elements = models.map((model, index) => {
      const card = this.cards.get(model.id) ?? this.#make(model);
      this.cards.set(model.id, card);
      this.#patch(card, model, index);
      return card.root;
    });
    arrange(this.list, elements);
  }

  /** @param {JobModel} model */
  #make({ id, unit }) {
    const card = makeCard(id);
    const { press, release, reading } = card;
    press.addEventListener("click", () => this.guard.ready(press) && card.main !== "" && this.press(id, card.main));
    release.addEventListener("click", () => this.guard.ready(release) && this.press(id, "release"));
    reading.addEventListener("click", () => this.guard.ready(reading) && this.read(unit));
    return card;
  }

  /**
   * @param {Card} card
   * @param {JobModel} model
   * @param {number} index its place in the list
   */
  #patch(card, model, index) {
    for (const name of TEXTS) {
      setText(card[name], model[name]);
      show(card[name], model[name] !== "");
    }
    drawBring(card.bring, model.bring);
    const { root } = card;
    setAttribute(root, "data-state", model.stateName);
    setAttribute(root, "data-leave-now", String(model.leaveNow));
    setAttribute(root, "data-overdue", String(model.overdue));
    setAttribute(root, "data-held", String(model.heldNow));
    setAttribute(card.unit, "data-long", lengthOf(model.unit));
    this.#patchPresses(card, model, index);
  }

  /**
   * @param {Card} card
   * @param {JobModel} model
   * @param {number} index
   */
  #patchPresses(card, model, index) {
    const { press } = card;
    const { sending } = model;
    const act = model.main === "" ? "" : words[model.main];
    show(press, model.main !== "");
    show(card.release, model.release);
    setText(card.act, sending ? words.sending : act);
    show(card.later, model.lost);
    setAttribute(press, "data-act", model.main);
    const seen = model.lost ? `${act} ${words.later}` : act;
    setAttribute(press, "aria-label", sending || act === "" ? null : `${seen}: ${model.unit}`);
    for (const button of [press, card.reading, card.release]) this.guard.look(button, `${index} ${model.main}`);
    if (sending) setAttribute(press, "aria-disabled", "true");
    card.main = sending ? "" : model.main;
  }
}

/**
 * Makes the parts of a card.
 * @param {string} id of its call
 */
function makeCard(id) {
  const parts = {
    root: make("li", "job"),
    unit: make("h3", "job-unit"),
    state: make("span", "job-state"),
    position: make("p", "job-position"),
    bring: make("p", "job-bring"),
    out: make("p", "job-out"),
    by: make("span", "job-by"),
    inTime: make("span", "job-inTime"),
    leave: make("p", "job-leave"),
    held: make("p", "job-held"),
    note: make("p", "job-note"),
    why: make("span", "job-why"),
    age: make("span", "job-age"),
    press: make("button", "job-press", "", { type: "button" }),
    act: make("b"),
    later: make("span", "job-later", words.later),
    reading: make("button", "job-small", words.reading, { type: "button" }),
    release: make("button", "job-small", words.release, { type: "button" }),
    /** @type {JobModel["main"]} what the press does now */
    main: "",
  };
  parts.root.dataset.call = id;
  // The space is for those who hear it: on the page the second word has a line of its own.
  parts.press.append(parts.act, " ", parts.later);
  const head = fill(make("div", "job-head"), parts.unit, parts.state);
  const when = fill(make("p", "job-when"), make("span", "job-be", words.be), parts.by, parts.inTime);
  const news = fill(make("p", "job-news"), parts.why, parts.age);
  const body = fill(make("div", "job-body"), head, parts.position, parts.bring, parts.out, when, parts.leave, parts.held, parts.note, news);
  fill(parts.root, body, fill(make("div", "job-presses"), parts.press, parts.reading, parts.release));
  return parts;
}

/** Long callsigns are written smaller. @param {string} text */
function lengthOf(text) {
  if (text.length > 12) return "very";
  return text.length > 7 ? "some" : "no";
}
