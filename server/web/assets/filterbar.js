/**
 * The filter above the board: a line of text, chips, and what they hide.
 * @module filterbar
 */

import { byId, byIdAs, make, setAttribute, setText, show } from "./dom.js";
import { CHIPS, NO_FILTER, isOn } from "./filter.js";
import { sifting as words } from "./words.js";

/** @import { Filter } from "./filter.js" */

/** The filter. It is not kept: a screen that was opened anew hides nothing. */
export class FilterBar {
  /** @param {() => void} changed asks for a drawing */
  constructor(changed) {
    this.changed = changed;
    /** @type {Filter} */
    this.filter = { ...NO_FILTER };
    this.input = byIdAs(HTMLInputElement, "filter-text");
    setText(byId("filter-label"), words.label);
    setText(byId("filter-clear"), words.clear);
    setText(byId("rows-none"), words.none);
    this.input.placeholder = words.placeholder;
    this.input.addEventListener("input", () => this.#set({ text: this.input.value }));
    this.input.addEventListener("keydown", (event) => this.#typed(event));
    this.chips = new Map(CHIPS.map((chip) => [chip, this.#chip(chip)]));
    byId("filter-clear").addEventListener("click", () => this.clear());
    this.#drawChips();
  }

  /** @param {typeof CHIPS[number]} name */
  #chip(name) {
    const button = make("button", "choice", words.chips[name], { type: "button" });
    button.dataset.choice = name;
    button.addEventListener("click", () => this.#set({ [name]: !this.filter[name] }));
    byId("filter-chips").append(button);
    return button;
  }

  /** @param {Partial<Filter>} changes */
  #set(changes) {
    Object.assign(this.filter, changes);
    this.#drawChips();
    this.changed();
  }

  #drawChips() {
    for (const [name, button] of this.chips) setAttribute(button, "aria-pressed", String(this.filter[name]));
  }

  /** Escape empties the line, and leaves it when it is empty; Enter goes back to the keys of the board. @param {KeyboardEvent} event */
  #typed(event) {
    if (event.key === "Escape" && this.input.value !== "") {
      event.preventDefault();
      this.input.value = "";
      this.#set({ text: "" });
    } else if (event.key === "Escape" || event.key === "Enter") {
      event.preventDefault();
      this.input.blur();
    }
  }

  /** Somebody wants to type. */
  focus() {
    this.input.focus();
    this.input.select();
  }

  /** Shows everything again. */
  clear() {
    this.input.value = "";
    this.#set({ ...NO_FILTER });
  }

  /**
   * Says what is hidden; what is urgent among it is never hidden silently.
   * @param {import("./filter.js").Hidden} hidden
   * @param {number} total how many units there are
   */
  draw(hidden, total) {
    const on = isOn(this.filter);
    show(byId("filter-told"), on);
    setAttribute(byId("board"), "data-filtered", String(on));
    setText(byId("filter-count"), on ? words.hidden(total - hidden.count, total) : "");
    setText(byId("filter-calls"), hidden.calls > 0 ? words.outsideCalls(hidden.calls) : "");
    setText(byId("filter-dark"), hidden.dark > 0 ? words.outsideDark(hidden.dark) : "");
    setText(byId("filter-silent"), hidden.silent > 0 ? words.outsideSilent(hidden.silent) : "");
  }
}
