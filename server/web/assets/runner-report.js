/**
 * Typing a reading with gloves on: big fields, a number pad, three modes, one key to send; and the list of units to find
 * the one that stands before the runner.
 * @module runner-report
 */

/** @import { Report, UnitView } from "swapcall-wire" */
/** @import { Field, KnownUnit, TypedSlot } from "./runner-typed.js" */

import { arrange, byId, byIdAs, fill, make, setAttribute, setText, show } from "./dom.js";
import { TypedReading, unitsLike } from "./runner-typed.js";
import { runner as words } from "./runnerwords.js";
import { uuidV7 } from "./uuid.js";
import { MODES } from "./words.js";

const PAD = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "last", "0", "back"];

const TYPED_MODES = /** @type {const} */ (["recording", "standby", "off"]);

/** @typedef {typeof TYPED_MODES[number]} TypedMode what a person can see a camera do */

/** The sheet for one reading. */
export class ReadingSheet {
  /** @param {(report: Report) => void} send takes what was typed, without `sent_at` */
  constructor(send) {
    this.sheet = byIdAs(HTMLDialogElement, "reading");
    this.sendKey = byIdAs(HTMLButtonElement, "reading-send");
    this.send = send;
    this.reading = new TypedReading({ unit: "" });
    /** @type {ReturnType<typeof makeField>[]} */
    this.fields = [];
    setText(byId("reading-close"), words.close);
    byId("reading-close").addEventListener("click", () => this.sheet.close());
    this.sendKey.addEventListener("click", () => this.#send());
    byId("reading-external").addEventListener("click", () => this.#do((reading) => (reading.external = !reading.external)));
    this.modes = new Map(TYPED_MODES.map((mode) => [mode, this.#modeButton(mode)]));
    fill(byId("reading-modes"), ...this.modes.values());
    this.padKeys = PAD.map((key) => this.#padButton(key));
    fill(byId("reading-pad"), ...this.padKeys);
    this.sheet.addEventListener("keydown", (event) => this.#key(event));
  }

  /** @param {KnownUnit} unit as sent by the hub */
  open(unit) {
    this.reading = new TypedReading(unit);
    setText(byId("reading-unit"), unit.unit);
    setText(byId("reading-place"), unit.profile?.position ?? "");
    this.fields = this.reading.fields.map((field) => this.#makeField(field));
    byId("reading-fields").replaceChildren(...this.fields.map(({ root }) => root));
    const lastMode = MODES[unit.mode ?? "unknown"].word;
    setText(byId("reading-modes-label"), words.modeLast(lastMode));
    this.#draw();
    if (!this.sheet.open) this.sheet.showModal();
    this.padKeys[0].focus();
  }

  /** Whether the camera has one card at most: then it needs no letter. */
  #oneCard() {
    return this.reading.fields.length === 2;
  }

  /** @param {Field} field */
  #makeField(field) {
    const parts = makeField(field, this.#oneCard());
    parts.root.addEventListener("click", () => this.#do((reading) => reading.choose(field.name)));
    return parts;
  }

  /** @param {TypedMode} mode */
  #modeButton(mode) {
    const button = make("button", "reading-mode", `${MODES[mode].shape} ${MODES[mode].word}`, { type: "button" });
    button.addEventListener("click", () => this.#do((reading) => (reading.mode = reading.mode === mode ? null : mode)));
    return button;
  }

  /** @param {string} key */
  #padButton(key) {
    /** @type {Record<string, string>} */
    const named = { last: words.asLast, back: words.back };
    const text = named[key] ?? key;
    const button = make("button", "pad-key", "", { type: "button" });
    button.dataset.key = key;
    if (key === "back") {
      // A sign that no voice can read: the style sheet draws it.
      button.dataset.sign = text;
      button.setAttribute("aria-label", words.backWord);
    } else {
      setText(button, text);
    }
    button.addEventListener("click", () => this.#pad(key));
    return button;
  }

  /** @param {string} key */
  #pad(key) {
    this.#do((reading) => {
      if (key === "last") reading.asLast();
      else if (key === "back") reading.back();
      else reading.digit(key);
    });
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (/^\d$/.test(event.key)) this.#pad(event.key);
    if (event.key === "Backspace") this.#pad("back");
  }

  /** @param {(reading: TypedReading) => void} change */
  #do(change) {
    change(this.reading);
    this.#draw();
  }

  #draw() {
    const { reading } = this;
    const slots = reading.slots();
    for (const { root, value, last, field } of this.fields) {
      const typed = reading.value(field.name);
      const goesAlong = typed === null && slots.some(({ slot }) => slot === field.slot);
      setText(value, typed === null ? "–" : words.percent(typed));
      setText(last, lastText(field.last, goesAlong));
      setAttribute(root, "aria-pressed", String(field.name === reading.chosen));
      setAttribute(root, "data-typed", String(typed !== null));
    }
    for (const [mode, button] of this.modes) setAttribute(button, "aria-pressed", String(mode === reading.mode));
    show(byId("reading-external"), reading.unit.battery?.external === true);
    setText(byId("reading-external"), reading.external ? words.externalYes : words.externalNo);
    this.sendKey.disabled = !reading.ready();
    setText(this.sendKey, reading.ready() ? words.sends(this.#parts(slots).join(", ")) : words.sendNothing);
  }

  /** What would be sent, in words: what is not shown is not sent. @param {TypedSlot[]} slots */
  #parts(slots) {
    const { reading } = this;
    const parts = [];
    const battery = reading.value("battery");
    if (battery !== null) parts.push(words.sendBattery(battery));
    for (const { slot, percent } of slots) parts.push(words.sendCard(slot, this.#oneCard(), percent));
    if (reading.mode !== null) parts.push(MODES[reading.mode].word);
    return parts;
  }

  #send() {
    const at = Date.now();
    this.send(this.reading.report(uuidV7(at), at));
    this.sheet.close();
  }
}

/**
 * Makes the parts of a field.
 * @param {Field} field
 * @param {boolean} oneCard
 */
function makeField(field, oneCard) {
  const root = make("button", "reading-field", "", { type: "button" });
  const label = make("span", "reading-label", field.slot === "" ? words.battery : words.slot(field.slot, oneCard));
  const value = make("b", "reading-value");
  const last = make("span", "reading-last");
  fill(root, label, value, last);
  return { root, value, last, field };
}

/**
 * @param {number|null} percent last known
 * @param {boolean} goesAlong whether it is sent along with what was typed
 */
function lastText(percent, goesAlong) {
  if (percent === null) return words.unknown;
  return goesAlong ? words.stays(percent) : words.last(percent);
}

/** The list of units. */
export class UnitList {
  /** @param {() => Iterable<UnitView>} units as the hub has them @param {(unit: UnitView) => void} choose */
  constructor(units, choose) {
    this.units = units;
    this.choose = choose;
    this.sheet = byIdAs(HTMLDialogElement, "units");
    this.field = byIdAs(HTMLInputElement, "units-search");
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

  /** @param {UnitView} unit */
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
