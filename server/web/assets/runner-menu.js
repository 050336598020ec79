/**
 * The sheet with what is set once: loudness, vibration, light, hand; and the ways out.
 * @module runner-menu
 */

import { byId, make, setAttribute, setText } from "./dom.js";
import { canVibrate } from "./runner-phone.js";
import { runner as words, top } from "./words.js";

/** Which words name the choices of a setting. */
const CHOICES = { volume: words.volumes, buzz: words.buzzes, theme: words.lights, hand: words.hands };
const LABELS = { volume: words.volume, buzz: words.buzz, theme: words.light, hand: words.hand };

/** The sheet. */
export class Menu {
  /** @param {(name: string, value: string) => void} set changes a setting */
  constructor(set) {
    this.sheet = byId("menu");
    /** @type {{name: string, value: string, button: HTMLElement}[]} */
    this.buttons = [];
    for (const [name, choices] of Object.entries(CHOICES)) this.#group(name, choices, set);
    setText(byId("menu-heading"), words.menu);
    setText(byId("menu-close"), words.close);
    setText(byId("menu-open"), words.menu);
    setText(byId("to-ops"), words.linkOps);
    setText(byId("sign-out"), top.signOut);
    byId("menu-open").addEventListener("click", () => this.sheet.showModal());
    byId("menu-close").addEventListener("click", () => this.sheet.close());
    if (!canVibrate()) setText(byId("set-buzz-note"), words.noBuzz);
  }

  #group(name, choices, set) {
    setText(byId(`set-${name}-label`), LABELS[name]);
    for (const [value, text] of Object.entries(choices)) {
      const button = make("button", "set-choice", text, { type: "button" });
      button.addEventListener("click", () => set(name, value));
      byId(`set-${name}`).append(button);
      this.buttons.push({ name, value, button });
    }
  }

  /** @param {import("./settings.js").Settings} settings as they are now */
  draw(settings) {
    for (const { name, value, button } of this.buttons) setAttribute(button, "aria-pressed", String(settings[name] === value));
  }
}
