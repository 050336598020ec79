/**
 * The sheet with what is set once: loudness, vibration, light, hand; and the ways out.
 * @module runner-menu
 */

/** @import { Settings } from "./settings.js" */

import { byId, byIdAs, make, setAttribute, setText } from "./dom.js";
import { canVibrate } from "./runner-phone.js";
import { runner as words } from "./runnerwords.js";
import { top } from "./words.js";

/** Which words name the choices of a setting. */
const CHOICES = { buzz: words.buzzes, theme: words.lights, hand: words.hands };

const LABELS = { buzz: words.buzz, theme: words.light, hand: words.hand };

/** @typedef {keyof typeof CHOICES} Name a setting of this sheet */

/** Mute and the three steps of the volume, as one row. @type {{text: string, changes: Partial<Settings>}[]} */
const LOUDNESS = [
  { text: words.volumes.mute, changes: { muted: true } },
  { text: words.volumes.quiet, changes: { muted: false, volume: 1 } },
  { text: words.volumes.middle, changes: { muted: false, volume: 2 } },
  { text: words.volumes.loud, changes: { muted: false, volume: 3 } },
];

/** The sheet. */
export class Menu {
  /**
   * @param {<Chosen extends Name>(name: Chosen, value: Settings[Chosen]) => void} set changes a setting
   * @param {(changes: Partial<Settings>) => void} setSound changes loudness
   */
  constructor(set, setSound) {
    this.sheet = byIdAs(HTMLDialogElement, "menu");
    /** @type {{changes: Partial<Settings>, button: HTMLElement}[]} */
    this.buttons = [];
    setText(byId("set-volume-label"), words.volume);
    for (const { text, changes } of LOUDNESS) this.#button("volume", text, changes, () => setSound(changes));
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
      this.#button(name, choices[value], { [name]: value }, () => set(name, value));
    }
  }

  /**
   * @param {string} group
   * @param {string} text
   * @param {Partial<Settings>} changes
   * @param {() => void} press
   */
  #button(group, text, changes, press) {
    const button = make("button", "set-choice", text, { type: "button" });
    button.addEventListener("click", press);
    byId(`set-${group}`).append(button);
    this.buttons.push({ changes, button });
  }

  /** @param {Settings} settings as they are now */
  draw(settings) {
    for (const { changes, button } of this.buttons) {
      // Muted, no step of the volume is chosen, though one is remembered.
      const chosen = Object.entries({ ...settings, ...changes }).every(([name, value]) => settings[/** @type {keyof Settings} */ (name)] === value);
      setAttribute(button, "aria-pressed", String(chosen));
    }
  }
}
