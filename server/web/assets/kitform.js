/**
 * The panel of the kit sum: a form for what a show needs and what there is, and below it whether that lasts.
 * @module kitform
 */

import { askKit } from "./api.js";
import { byId, fill, make, setText, show } from "./dom.js";
import { Form, readRefusal } from "./forms.js";
import { AT_FIRST, KINDS_MAX, cautionsSaid, fieldOf, kindSaid, planFor, questionOf, roundSaid, verdictSaid } from "./kitmodel.js";
import { Panel } from "./panel.js";
import { kit as words } from "./panelwords.js";

/** @import { KitAnswer } from "swapcall-wire" */

/** Fields that begin a part of the form, by their names. */
const BEGINS = /^(units_\d+_name|packs_count|cards_count)$/;

/** The panel. */
export class KitSum {
  constructor() {
    this.kinds = 1;
    this.form = new Form(planFor(1), words.send, () => this.#ask());
    this.add = make("button", "kit-kinds", words.addKind, { type: "button" });
    this.drop = make("button", "kit-kinds", words.dropKind, { type: "button" });
    this.add.addEventListener("click", () => this.#setKinds(this.kinds + 1));
    this.drop.addEventListener("click", () => this.#setKinds(this.kinds - 1));
    this.answer = make("div", "kit-answer", "", { role: "status", tabindex: "-1" });
    this.panel = new Panel("kit-sum");
    fill(this.panel.body, make("p", "fold-hint", words.hint), fill(make("p", "kit-buttons"), this.add, this.drop), this.form.root, this.answer);
    this.#setKinds(1);
    this.form.put(AT_FIRST);
    const open = byId("kit-open");
    setText(open, words.button);
    open.addEventListener("click", () => this.toggle());
  }

  /** Opens the panel, or closes it. */
  toggle() {
    if (this.panel.isOpen) this.panel.close();
    else this.panel.open(words.heading);
  }

  /** Anybody who is signed in may ask. @param {boolean} lost whether the hub is lost */
  draw(lost) {
    show(byId("kit-open"), true);
    this.form.block(lost);
  }

  /** @param {number} count */
  #setKinds(count) {
    this.kinds = Math.min(KINDS_MAX, Math.max(1, count));
    this.form.setPlan(planFor(this.kinds));
    for (const [name, { root }] of this.form.fields) if (BEGINS.test(name)) root.dataset.begins = "true";
    this.add.disabled = this.kinds === KINDS_MAX;
    show(this.drop, this.kinds > 1);
  }

  /** @returns {Promise<void>} */
  async #ask() {
    const { question, wrong } = questionOf(this.form.values(), this.kinds);
    if (Object.keys(wrong).length > 0) return this.form.complain(wrong, "");
    const answer = await askKit(question);
    if (answer.outcome !== "ok" || answer.body === null) {
      const refusal = readRefusal(answer, (pointer) => (this.form.fields.has(fieldOf(pointer)) ? fieldOf(pointer) : ""));
      return this.form.complain(refusal.wrong, refusal.rest);
    }
    this.form.complain({}, "");
    return this.#show(answer.body);
  }

  /** @param {KitAnswer} answer */
  #show(answer) {
    const { verdict, first } = verdictSaid(answer);
    /** @type {HTMLElement[]} */
    const parts = [make("p", "kit-verdict", verdict)];
    if (first) parts.push(make("p", "kit-first", first));
    for (const which of /** @type {const} */ (["power", "media"])) {
      const round = answer[which];
      if (round) parts.push(roundOf(roundSaid(which, round)));
    }
    for (const kind of answer.units.map(kindSaid)) if (kind.lines.length > 0) parts.push(listed(kind.title, kind.lines));
    parts.push(listed(words.mind, cautionsSaid(answer)));
    this.answer.replaceChildren(...parts);
    this.answer.dataset.lasts = String(answer.lasts);
    this.answer.focus({ preventScroll: true });
    this.answer.scrollIntoView({ block: "start" });
  }
}

/** @param {import("./kitmodel.js").RoundSaid} round */
function roundOf({ title, lasts, lines, cures, rule }) {
  const root = make("section", "kit-round");
  root.dataset.lasts = String(lasts);
  fill(root, make("h3", "", title), ...lines.map((line) => make("p", "", line)));
  if (cures.length > 0) fill(root, make("h4", "", words.mended), fill(make("ul", "kit-cures"), ...cures.map((cure) => make("li", "", cure))));
  return fill(root, fill(make("p", "kit-rule"), make("b", "", `${words.rule}: `), make("span", "", rule)));
}

/** @param {string} title @param {string[]} lines */
function listed(title, lines) {
  const items = lines.map((line) => make("li", "", line));
  return fill(make("section", "kit-listed"), make("h3", "", title), fill(make("ul"), ...items));
}
