/**
 * Small forms on the panels: a label, a field, and below it what is wrong with it, in the words of whoever found it.
 * @module forms
 */

import { fill, make, setAttribute, setText, show } from "./dom.js";
import { forms as words } from "./panelwords.js";

/** @import { Answer } from "./api.js" */

/**
 * @typedef {object} FieldPlan
 * @property {string} name
 * @property {string} label with its unit of measure
 * @property {"number"|"text"|"choice"} kind
 * @property {[string, string][]} [choices] value and word, for a choice; the first is chosen at first
 * @property {string} [key] a field with another key is made anew
 */

/**
 * @param {string} text as typed, with a point or a comma
 * @returns {number|null|undefined} `null` for nothing, `undefined` for what is no number
 */
export function readNumber(text) {
  const trimmed = text.trim();
  if (trimmed === "") return null;
  return /^[-+]?(\d+([.,]\d*)?|[.,]\d+)$/.test(trimmed) ? Number(trimmed.replace(",", ".")) : undefined;
}

/**
 * What the hub said of a request, sorted to the fields it means.
 * @param {Answer<unknown>} answer
 * @param {(pointer: string) => string} fieldOf the field that a JSON Pointer (RFC 6901) of the request's body stands for
 * @returns {{wrong: Record<string, string>, rest: string}} by field, and what belongs to none
 */
export function readRefusal(answer, fieldOf) {
  if (answer.outcome === "unreachable") return { wrong: {}, rest: words.unreachable };
  const problem = answer.outcome === "refused" ? answer.body : null;
  const errors = problem?.errors ?? [];
  /** @type {Record<string, string>} */
  const wrong = {};
  const rest = [];
  for (const { pointer, detail } of errors) {
    const name = fieldOf(pointer);
    if (name) wrong[name] = detail;
    else rest.push(detail);
  }
  if (errors.length === 0) rest.push(problem?.detail ?? words.refused(answer.status));
  return { wrong, rest: rest.join(" ") };
}

/**
 * @typedef {object} Field
 * @property {FieldPlan} plan
 * @property {HTMLElement} root
 * @property {HTMLInputElement|HTMLSelectElement} field
 * @property {HTMLElement} wrong what is wrong with it
 * @property {string} shown what was put in, to tell it from what was typed
 */

/** Fields made so far, for their names in the page. */
let made = 0;

/** One form. */
export class Form {
  /**
   * @param {FieldPlan[]} plan
   * @param {string} button
   * @param {() => Promise<void>} send
   */
  constructor(plan, button, send) {
    this.send = send;
    this.busy = false;
    this.lost = false;
    this.root = make("form", "form");
    this.root.noValidate = true;
    this.grid = make("div", "form-fields");
    /** @type {Map<string, Field>} by name, in their order */
    this.fields = new Map();
    this.button = make("button", "form-send", button, { type: "submit" });
    this.said = make("p", "form-said", "", { role: "status" });
    fill(this.root, this.grid, fill(make("div", "form-end"), this.button, this.said));
    this.setPlan(plan);
    this.root.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#submit();
    });
  }

  /** Makes the fields; those that are there already stay, with what was typed. @param {FieldPlan[]} plan */
  setPlan(plan) {
    for (const [name, { plan: old, root }] of this.fields) {
      if (plan.some((field) => field.name === name && field.key === old.key)) continue;
      root.remove();
      this.fields.delete(name);
    }
    const kept = new Map(plan.map((one) => [one.name, this.fields.get(one.name) ?? this.#make(one)]));
    this.fields = kept;
    [...kept.values()].forEach(({ root }, index) => {
      if (this.grid.children[index] !== root) this.grid.insertBefore(root, this.grid.children[index] ?? null);
    });
  }

  /** @param {FieldPlan} plan @returns {Field} */
  #make(plan) {
    made += 1;
    const id = `field-${made}`;
    const root = make("div", "form-field");
    const field = plan.kind === "choice" ? choice(plan.choices ?? []) : make("input", "", "", { autocomplete: "off", spellcheck: "false" });
    if (plan.kind === "number") field.inputMode = "decimal";
    field.id = id;
    field.name = plan.name;
    const wrong = make("p", "form-wrong", "", { id: `${id}-wrong`, role: "alert" });
    wrong.hidden = true;
    fill(root, make("label", "", plan.label, { for: id }), field, wrong);
    field.addEventListener("input", () => this.#mark(plan.name, ""));
    return { plan, root, field, wrong, shown: field.value };
  }

  /** Puts values in, but never over what somebody is typing. @param {Record<string, string>} values @param {Record<string, string>} [hints] */
  put(values, hints = {}) {
    for (const [name, entry] of this.fields) {
      if (entry.field.value === entry.shown) entry.field.value = values[name] ?? "";
      entry.shown = values[name] ?? "";
      if (hints[name] !== undefined) setAttribute(entry.field, "placeholder", hints[name]);
    }
  }

  /** Empties every field; a choice goes back to its first. */
  clear() {
    for (const entry of this.fields.values()) {
      entry.field.value = entry.plan.choices?.[0][0] ?? "";
      entry.shown = entry.field.value;
    }
    this.complain({}, "");
  }

  /** @returns {Record<string, string>} what stands in the fields */
  values() {
    return Object.fromEntries([...this.fields].map(([name, { field }]) => [name, field.value.trim()]));
  }

  /** @returns {Record<string, string>} only what somebody changed */
  changes() {
    return Object.fromEntries(Object.entries(this.values()).filter(([name, value]) => value !== this.fields.get(name)?.shown));
  }

  /**
   * Says what is wrong, at the fields and below; the first wrong field gets the focus.
   * @param {Record<string, string>} wrong by field
   * @param {string} rest
   */
  complain(wrong, rest) {
    for (const name of this.fields.keys()) this.#mark(name, wrong[name] ?? "");
    const first = [...this.fields].find(([name]) => wrong[name]);
    first?.[1].field.focus();
    setAttribute(this.said, "data-wrong", String(rest !== ""));
    setText(this.said, rest);
  }

  /** Says that it went well; what stands in the fields is what holds now. @param {string} text */
  praise(text) {
    for (const entry of this.fields.values()) entry.shown = entry.field.value;
    this.complain({}, "");
    setText(this.said, text);
  }

  /**
   * @param {string} name
   * @param {string} text what is wrong; empty for nothing
   */
  #mark(name, text) {
    const entry = this.fields.get(name);
    if (entry === undefined) return;
    const { field, wrong } = entry;
    setText(wrong, text);
    show(wrong, text !== "");
    setAttribute(field, "aria-invalid", text === "" ? null : "true");
    setAttribute(field, "aria-describedby", text === "" ? null : wrong.id);
  }

  /** Nothing can be sent while the hub is lost; what was typed stays. @param {boolean} lost */
  block(lost) {
    this.lost = lost;
    this.button.disabled = lost || this.busy;
  }

  async #submit() {
    if (this.button.disabled) return;
    this.busy = true;
    this.block(this.lost);
    await this.send();
    this.busy = false;
    this.block(this.lost);
  }
}

/** @param {[string, string][]} choices value and word */
function choice(choices) {
  const field = make("select");
  for (const [value, text] of choices) field.append(make("option", "", text, { value }));
  return field;
}
