/**
 * The sheet with what is set once: loudness, vibration, light, hand; and the ways out.
 * @module runner-menu
 */

/** @import { Settings } from "./settings.js" */

import { byId, byIdAs, make, setAttribute, setText } from "./dom.js";
import { canVibrate } from "./runner-phone.js";
import { runner as words, top } from "./words.js";

/** Which words name the choices of a setting. */
const CHOICES = { volume: words.volumes, buzz: words.buzzes, theme: words.lights, hand: words.hands };

const LABELS = { volume: words.volume, buzz: words.buzz, theme: words.light, hand: words.hand };

/** @typedef {keyof typeof CHOICES} Name a setting of this sheet */

/** The sheet. */
export class Menu {
  /** @param {<Chosen extends Name>(name: Chosen, value: Settings[Chosen]) => void} set changes a setting */
  constructor(set) {
    this.sheet = byIdAs(HTMLDialogElement, "menu");
    /** @type {{name: Name, value: string, button: HTMLElement}[]} */
    this.buttons = [];
    this.#group("volume", set);
    this.#group("buzz", set);
    this.#group("theme", set);
    this.#group("hand", set);
    setText(byId("menu-heading"), words.menu);
    setText(byId("menu-close"), words.close);
    setText(byId("menu-open"), words.menu);
    setText(byId("to-ops"), words.linkOps);
    setText(byId("sign-out"), top.signOut);
    byId("menu-open").addEventListener("click", () => this.sheet.showModal());
    byId("menu-close").addEventListener("click", () => this.sheet.close());
    if (!canVibrate()) setText(byId("set-buzz-note"), words.noBuzz);
  }

  /**
   * @template {Name} Chosen
   * @param {Chosen} name
   * @param {(name: Chosen, value: Settings[Chosen]) => void} set
   */
  #group(name, set) {
    setText(byId(`set-${name}-label`), LABELS[name]);
    const choices = /** @type {Record<Settings[Chosen], string>} */ (CHOICES[name]);
    for (const value of /** @type {Settings[Chosen][]} */ (Object.keys(choices))) {
      const button = make("button", "set-choice", choices[value], { type: "button" });
      button.addEventListener("click", () => set(name, value));
      byId(`set-${name}`).append(button);
      this.buttons.push({ name, value, button });
    }
  }

  /** @param {Settings} settings as they are now */
  draw(settings) {
    for (const { name, value, button } of this.buttons) setAttribute(button, "aria-pressed", String(settings[name] === value));
  }
}
