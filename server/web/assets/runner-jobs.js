/**
 * The cards of the jobs: who needs what, where, by when, and one press for it.
 * @module runner-jobs
 */

import { drawBring } from "./calls.js";
import { arrange, fill, make, setAttribute, setText, show } from "./dom.js";
import { runner as words } from "./words.js";

const TEXTS = ["unit", "state", "inTime", "position", "by", "leave", "held", "note", "why", "age"];

/** Parts that stand in one line with others. */
const INLINE = ["state", "by", "inTime", "why", "age"];

/** A list of cards, kept by call so that a card moves and is not made anew. */
export class JobList {
  /**
   * @param {HTMLElement} list
   * @param {(id: string, action: "claim"|"release"|"done") => void} press
   * @param {(unit: string) => void} read asks for a typed reading
   * @param {import("./runner-guard.js").Guard} guard
   */
  constructor(list, press, read, guard) {
    Object.assign(this, { list, press, read, guard });
    /** @type {Map<string, object>} */
    this.cards = new Map();
  }

  /** @param {object[]} models of jobs, in order @param {Set<string>} sending calls with a press under way */
  draw(models, sending) {
    const wanted = new Set(models.map(({ id }) => id));
    for (const id of [...this.cards.keys()]) if (!wanted.has(id)) this.cards.delete(id);
    const elements = models.map((model, index) => {
      if (!this.cards.has(model.id)) this.cards.set(model.id, this.#make(model.id));
      const card = this.cards.get(model.id);
      this.#patch(card, model, index, sending.has(model.id));
      return card.root;
    });
    arrange(this.list, elements);
  }

  #make(id) {
    const part = (tag, name) => make(tag, `job-${name}`);
    const card = { root: make("li", "job"), bringKey: null, main: "", model: null };
    card.root.dataset.call = id;
    for (const name of TEXTS) card[name] = part(INLINE.includes(name) ? "span" : "p", name);
    card.unit = part("h3", "unit");
    card.bring = part("p", "bring");
    card.press = make("button", "job-press", "", { type: "button" });
    card.act = make("b");
    card.later = make("span", "job-later", words.later);
    fill(card.press, card.act, card.later);
    card.reading = make("button", "job-small", words.reading, { type: "button" });
    card.release = make("button", "job-small", words.release, { type: "button" });
    const head = fill(part("div", "head"), card.unit, card.state);
    const when = fill(part("p", "when"), make("span", "job-be", words.be), card.by, card.inTime);
    const news = fill(part("p", "news"), card.why, card.age);
    const body = fill(part("div", "body"), head, card.position, card.bring, when, card.leave, card.held, card.note, news);
    fill(card.root, body, fill(part("div", "presses"), card.press, card.reading, card.release));
    card.press.addEventListener("click", () => this.guard.ready(card.press) && card.main !== "" && this.press(id, card.main));
    card.release.addEventListener("click", () => this.guard.ready(card.release) && this.press(id, "release"));
    card.reading.addEventListener("click", () => this.guard.ready(card.reading) && this.read(card.model.unit));
    return card;
  }

  #patch(card, model, index, sending) {
    for (const name of TEXTS) {
      setText(card[name], model[name]);
      show(card[name], model[name] !== "");
    }
    const bringKey = model.bring.join();
    if (card.bringKey !== bringKey) drawBring(card.bring, model.bring);
    const { root } = card;
    setAttribute(root, "data-state", model.stateName);
    setAttribute(root, "data-leave-now", String(model.leaveNow));
    setAttribute(root, "data-overdue", String(model.overdue));
    setAttribute(root, "data-held", String(model.heldNow));
    setAttribute(card.unit, "data-long", lengthOf(model.unit));
    show(card.press, model.main !== "");
    show(card.release, model.release);
    setText(card.act, sending ? words.sending : words[model.main] ?? "");
    show(card.later, model.lost);
    setAttribute(card.press, "data-act", model.main);
    setAttribute(card.press, "aria-label", sending || model.main === "" ? null : `${words[model.main]}: ${model.unit}`);
    for (const button of [card.press, card.reading, card.release]) this.guard.look(button, `${index} ${model.main}`);
    if (sending) setAttribute(card.press, "aria-disabled", "true");
    Object.assign(card, { bringKey, main: sending ? "" : model.main, model });
  }
}

/** Long callsigns are written smaller. */
function lengthOf(text) {
  if (text.length > 12) return "very";
  return text.length > 7 ? "some" : "no";
}
