/**
 * Typing a reading with gloves on: big fields, a number pad, three modes, one key to send; and the list of units to find
 * the one that stands before the runner.
 * @module runner-report
 */

import { arrange, byId, fill, make, setAttribute, setText, show } from "./dom.js";
import { TypedReading, unitsLike } from "./runner-typed.js";
import { uuidV7 } from "./uuid.js";
import { MODES, runner as words } from "./words.js";

const PAD = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "last", "0", "back"];

const TYPED_MODES = ["recording", "standby", "off"];

/** The sheet for one reading. */
export class ReadingSheet {
  /** @param {(report: object) => void} send takes what was typed, without `sent_at` */
  constructor(send) {
    this.sheet = byId("reading");
    this.send = send;
    /** @type {TypedReading|null} */
    this.reading = null;
    this.fields = new Map();
    setText(byId("reading-close"), words.close);
    byId("reading-close").addEventListener("click", () => this.sheet.close());
    byId("reading-send").addEventListener("click", () => this.#send());
    byId("reading-external").addEventListener("click", () => this.#do((reading) => (reading.external = !reading.external)));
    this.modes = new Map(TYPED_MODES.map((mode) => [mode, this.#modeButton(mode)]));
    fill(byId("reading-modes"), ...this.modes.values());
    fill(byId("reading-pad"), ...PAD.map((key) => this.#padButton(key)));
    this.sheet.addEventListener("keydown", (event) => this.#key(event));
  }

  /** @param {object} unit as sent by the hub */
  open(unit) {
    this.reading = new TypedReading(unit);
    setText(byId("reading-unit"), unit.unit);
    setText(byId("reading-place"), unit.profile?.position ?? "");
    const only = this.reading.fields.length === 2;
    this.fields = new Map(this.reading.fields.map((field) => [field.name, this.#fieldButton(field, only)]));
    byId("reading-fields").replaceChildren(...[...this.fields.values()].map(({ root }) => root));
    setText(byId("reading-modes-label"), words.modeLast(unit.mode));
    this.#draw();
    if (!this.sheet.open) this.sheet.showModal();
    byId("reading-pad").firstElementChild.focus();
  }

  #fieldButton(field, only) {
    const root = make("button", "reading-field", "", { type: "button" });
    const label = make("span", "reading-label", field.slot === "" ? words.fields.battery : words.slot(field.slot, only));
    const value = make("b", "reading-value");
    const last = make("span", "reading-last");
    fill(root, label, value, last);
    root.addEventListener("click", () => this.#do((reading) => reading.choose(field.name)));
    return { root, value, last, field };
  }

  #modeButton(mode) {
    const button = make("button", "reading-mode", `${MODES[mode].shape} ${MODES[mode].word}`, { type: "button" });
    button.addEventListener("click", () => this.#do((reading) => (reading.mode = reading.mode === mode ? null : mode)));
    return button;
  }

  #padButton(key) {
    const text = { last: words.asLast, back: words.back }[key] ?? key;
    const button = make("button", "pad-key", text, { type: "button" });
    button.dataset.key = key;
    if (key === "back") button.setAttribute("aria-label", words.backWord);
    button.addEventListener("click", () => this.#pad(key));
    return button;
  }

  #pad(key) {
    this.#do((reading) => {
      if (key === "last") reading.asLast();
      else if (key === "back") reading.back();
      else reading.digit(key);
    });
  }

  #key(event) {
    if (/^\d$/.test(event.key)) this.#pad(event.key);
    if (event.key === "Backspace") this.#pad("back");
  }

  #do(change) {
    change(this.reading);
    this.#draw();
  }

  #draw() {
    const { reading } = this;
    const slots = reading.slots();
    for (const [name, { root, value, last, field }] of this.fields) {
      const typed = reading.value(name);
      const goesAlong = typed === null && slots.some(({ slot }) => slot === field.slot);
      setText(value, typed === null ? "–" : words.percent(typed));
      setText(last, goesAlong ? words.stays(field.last) : words.last(field.last));
      setAttribute(root, "aria-pressed", String(name === reading.chosen));
      setAttribute(root, "data-typed", String(typed !== null));
    }
    for (const [mode, button] of this.modes) setAttribute(button, "aria-pressed", String(mode === reading.mode));
    show(byId("reading-external"), reading.unit.battery?.external === true);
    setText(byId("reading-external"), words.external[reading.external]);
    const send = byId("reading-send");
    send.disabled = !reading.ready();
    setText(send, reading.ready() ? words.sends(this.#parts(slots)) : words.sendNothing);
  }

  /** What would be sent, in words: what is not shown is not sent. */
  #parts(slots) {
    const { reading } = this;
    const parts = [];
    if (reading.value("battery") !== null) parts.push(words.sendBattery(reading.value("battery")));
    const only = reading.fields.length === 2;
    for (const { slot, percent } of slots) parts.push(`${words.slot(slot, only).toLowerCase()} ${words.percent(Math.round(percent))}`);
    if (reading.mode !== null) parts.push(MODES[reading.mode].word);
    return parts;
  }

  #send() {
    const at = Date.now();
    this.send(this.reading.report(uuidV7(at), at));
    this.sheet.close();
  }
}

/** The list of units. */
export class UnitList {
  /** @param {() => Iterable<object>} units as the hub has them @param {(unit: object) => void} choose */
  constructor(units, choose) {
    Object.assign(this, { units, choose });
    this.sheet = byId("units");
    this.field = byId("units-search");
    setText(byId("units-heading"), words.units);
    setText(byId("units-close"), words.close);
    this.field.setAttribute("placeholder", words.search);
    this.field.setAttribute("aria-label", words.search);
    setText(byId("units-none"), words.noUnit);
    this.field.addEventListener("input", () => this.#draw());
    byId("units-close").addEventListener("click", () => this.sheet.close());
  }

  /** Shows all units, to be narrowed down. */
  open() {
    this.field.value = "";
    this.#draw();
    this.sheet.showModal();
    // Not the search field: a keyboard would cover half of the list that may hold the unit already.
    byId("units-close").focus();
  }

  #draw() {
    const found = unitsLike(this.units(), this.field.value);
    show(byId("units-none"), found.length === 0);
    arrange(byId("units-list"), found.map((unit) => this.#row(unit)));
  }

  #row(unit) {
    const button = make("button", "unit-choice", "", { type: "button" });
    fill(button, make("b", "", unit.unit), make("span", "", unit.profile?.position ?? ""));
    button.addEventListener("click", () => {
      this.sheet.close();
      this.choose(unit);
    });
    return fill(make("li"), button);
  }
}
