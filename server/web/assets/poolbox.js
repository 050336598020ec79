/**
 * The chosen pack or card: what is known of it, and a button for each place where it can be now.
 * @module poolbox
 */

/** @import { CardState, PackPlace, UnitView } from "swapcall-wire" */
/** @import { Move, Piece } from "./poolmodel.js" */

import { fill, make, setAttribute, setText, show } from "./dom.js";
import { ageOf, baysOf, copiesOf, lineOf, nameOf, secondPress, standing } from "./poolmodel.js";
import { pool as words } from "./poolwords.js";

/** A button that lets footage go takes no press for so long, so that the press before it cannot be it, milliseconds. */
const DELIBERATE_MS = 900;

/** Boxes made so far, for names in the page. */
let made = 0;

/**
 * @typedef {object} Around what the box works with
 * @property {() => Piece[]} pieces all that are known
 * @property {() => Iterable<UnitView>} units as the hub has them
 * @property {(move: Move) => void} move asks the hub
 * @property {(text: string) => void} find somebody typed another label where a bay's was expected
 */

/** The box. */
export class PieceBox {
  /** @param {Around} around */
  constructor(around) {
    this.around = around;
    /** @type {Piece|null} */
    this.piece = null;
    this.heading = make("h3", "pool-name");
    this.state = make("p", "pool-state");
    this.mark = make("b", "pool-mark");
    this.facts = make("p", "pool-facts");
    this.copies = make("ul", "pool-copies");
    this.moves = make("div", "pool-moves");
    this.caution = make("p", "pool-caution");
    this.confirm = make("div", "pool-confirm", "", { role: "alert" });
    /** @type {Map<string, HTMLButtonElement>} by place or state */
    this.buttons = new Map();
    this.root = make("section", "pool-chosen");
    this.root.hidden = true;
    fill(this.root, this.heading, this.mark, this.state, this.facts, this.copies, this.confirm, this.moves, this.caution);
  }

  /** Shows one, or nothing. @param {Piece|null} piece as the hub has it now */
  show(piece) {
    const same = this.piece !== null && piece !== null && this.piece.kind === piece.kind && this.piece.label === piece.label;
    this.piece = piece;
    show(this.root, piece !== null);
    if (piece === null || same) return;
    this.#dropConfirm();
    setText(this.heading, nameOf(piece));
    this.buttons.clear();
    this.moves.replaceChildren(make("p", "pool-ask", words.whereNow));
    if (piece.kind === "pack") this.#packMoves(piece.label, piece.pack.unit ?? "");
    else this.#cardMoves(piece.label, piece.card.unit ?? "");
  }

  /**
   * @param {number} now the hub's clock
   * @param {{may: boolean, lost: boolean}} how whether this role may move anything, and whether the hub is lost
   */
  draw(now, { may, lost }) {
    const { piece } = this;
    if (piece === null) return;
    const line = lineOf(piece, now);
    setText(this.state, `${line.where} · ${ageOf(piece, now)}`);
    setText(this.facts, line.facts);
    setText(this.mark, line.mark);
    show(this.mark, line.mark !== "");
    show(this.moves, may);
    const copies = piece.kind === "card" ? copiesOf(piece.card, now) : [];
    if (this.copies.children.length !== copies.length) this.copies.replaceChildren(...copies.map(() => make("li")));
    copies.forEach((copy, index) => setText(this.copies.children[index], copy));
    for (const [name, button] of this.buttons) {
      setAttribute(button, "aria-pressed", String(standing(piece) === name));
      button.disabled = lost;
    }
    const cautions = [words.chargeCaution, words.carryCaution, words.lawCaution];
    setText(this.caution, cautions.join(" "));
    show(this.caution, may && piece.kind === "pack");
  }

  /** @param {string} label @param {string} unit where it is */
  #packMoves(label, unit) {
    const to = (/** @type {PackPlace} */ place, more = {}) => this.around.move({ kind: "pack", label, body: { place, ...more } });
    const plain = /** @type {PackPlace[]} */ (["ready", "spent", "out_of_service"]).map((place) => this.#button(place, () => to(place)));
    fill(this.moves, fill(make("div", "pool-places"), ...plain), this.#bayForm((bay) => to("bay", { bay })), this.#unitForm("unit", unit, (chosen) => to("unit", { unit: chosen })));
  }

  /** @param {string} label @param {string} unit where it is */
  #cardMoves(label, unit) {
    const to = (/** @type {CardState} */ state, more = {}) => this.around.move({ kind: "card", label, body: { state, despite_footage: false, ...more } });
    const names = /** @type {CardState[]} */ (["holding_footage", "copying", "safe", "blank", "out_of_service"]);
    const plain = names.map((state) => this.#button(state, () => to(state)));
    fill(this.moves, fill(make("div", "pool-places"), ...plain), this.#unitForm("in_slot", unit, (chosen, slot) => to("in_slot", { unit: chosen, slot })));
  }

  /** @param {PackPlace|CardState} name @param {() => void} press */
  #button(name, press, type = "button") {
    const button = make("button", "pool-move", words.move[name], { type });
    button.dataset.move = name;
    button.addEventListener("click", press);
    this.buttons.set(name, button);
    return button;
  }

  /** @param {(bay: string) => void} move */
  #bayForm(move) {
    made += 1;
    const list = make("datalist", "", "", { id: `pool-bays-${made}` });
    for (const bay of baysOf(this.around.pieces())) list.append(make("option", "", "", { value: bay }));
    const field = make("input", "pool-bay", "", { autocomplete: "off", spellcheck: "false", maxlength: "24", list: list.id, "aria-label": words.bay, placeholder: words.bay });
    const form = make("form", "pool-param");
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const typed = field.value.trim();
      if (typed === "") this.#complain(field, words.needBay);
      else if (this.around.pieces().some(({ label }) => label === typed)) this.around.find(typed);
      else move(typed);
    });
    return fill(form, this.#button("bay", () => {}, "submit"), field, list, make("p", "pool-wrong", "", { role: "alert" }));
  }

  /**
   * @param {"unit"|"in_slot"} name
   * @param {string} present the unit it is on
   * @param {(unit: string, slot: string) => void} move
   */
  #unitForm(name, present, move) {
    const units = [...this.around.units()].sort((a, b) => a.unit.localeCompare(b.unit, undefined, { numeric: true }));
    const select = make("select", "pool-unit", "", { "aria-label": words.unit });
    select.append(make("option", "", words.unit, { value: "" }));
    for (const { unit } of units) select.append(make("option", "", unit, { value: unit }));
    select.value = units.some(({ unit }) => unit === present) ? present : "";
    const slot = make("select", "pool-slot", "", { "aria-label": words.slot });
    const fillSlots = () => slot.replaceChildren(...slotsOf(units, select.value).map((one) => make("option", "", one, { value: one })));
    select.addEventListener("change", fillSlots);
    fillSlots();
    show(slot, name === "in_slot");
    const form = make("form", "pool-param");
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (select.value === "") this.#complain(select, words.needUnit);
      else move(select.value, slot.value);
    });
    return fill(form, this.#button(name, () => {}, "submit"), select, slot, make("p", "pool-wrong", "", { role: "alert" }));
  }

  /** @param {HTMLElement} field @param {string} text */
  #complain(field, text) {
    const wrong = field.parentElement?.querySelector(".pool-wrong");
    if (wrong) setText(wrong, text);
    field.focus();
  }

  /**
   * The hub will not take it: says what would be lost, and asks for a second press that cannot be the first one's
   * echo.
   * @param {Move} move that was refused
   */
  askAgain(move) {
    const { piece } = this;
    if (move.kind !== "card" || piece?.kind !== "card") return;
    const asked = secondPress(piece.card, move);
    const go = make("button", "pool-go", asked.go, { type: "button" });
    const keep = make("button", "pool-keep", words.keep, { type: "button" });
    go.disabled = true;
    setTimeout(() => (go.disabled = false), DELIBERATE_MS);
    go.addEventListener("click", () => {
      this.#dropConfirm();
      this.around.move({ ...move, body: { ...move.body, despite_footage: true } });
    });
    keep.addEventListener("click", () => this.#dropConfirm());
    const told = asked.told.map((text) => make("p", "pool-stake", text));
    this.confirm.replaceChildren(...told, fill(make("div", "pool-confirm-keys"), keep, go));
    show(this.confirm, true);
    keep.focus();
  }

  #dropConfirm() {
    const hadFocus = this.confirm.contains(document.activeElement);
    this.confirm.replaceChildren();
    show(this.confirm, false);
    if (hadFocus) this.buttons.get("holding_footage")?.focus();
  }
}

/** @param {UnitView[]} units @param {string} name @returns {string[]} slots of that unit, as far as it has said */
function slotsOf(units, name) {
  const slots = units.find(({ unit }) => unit === name)?.cards?.slots.map(({ slot }) => slot) ?? [];
  return slots.length > 0 ? slots : ["A", "B"];
}
