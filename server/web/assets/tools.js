/**
 * The buttons around the board: order, axis, light, sound, help.
 * @module tools
 */

/** @import { Actions } from "./keys.js" */
/** @import { Settings } from "./settings.js" */

import { byId, make, setAttribute, setText } from "./dom.js";
import { LETTERS, SORTS, SPANS, board as words, sound as soundWords, top, windows } from "./words.js";

/** The buttons; each shows by word and by `aria-pressed` what is chosen. */
export class Tools {
  /**
   * @param {Actions & {setSort: (sort: Settings["sort"]) => void}} actions the same as the keys have
   * @param {() => Settings} settings as they are now
   */
  constructor(actions, settings) {
    this.settings = settings;
    setText(byId("name"), top.name);
    setText(byId("help-open"), top.help);
    setText(byId("sign-out"), top.signOut);
    setText(byId("top-menu"), top.menu);
    setText(byId("to-runner"), top.toRunner);
    setText(byId("windows-open"), windows.open);
    setText(byId("board-heading"), words.heading);
    setText(byId("sort-label"), words.sort);
    setText(byId("zoom-label"), words.zoom);
    setText(byId("key-battery"), LETTERS.battery);
    setText(byId("key-cards"), LETTERS.cards);
    setText(byId("legend-battery"), words.legendBattery);
    setText(byId("legend-cards"), words.legendCards);
    setText(byId("legend-bar"), words.legendBar);
    this.sorts = choices("sort", SORTS, (name) => actions.setSort(name));
    this.spans = choices("zoom", SPANS, (_, index) => actions.span(index));
    byId("help-open").addEventListener("click", actions.help);
    byId("windows-open").addEventListener("click", actions.windows);
    byId("theme").addEventListener("click", actions.theme);
    byId("sound").addEventListener("click", actions.sound);
    byId("volume").addEventListener("click", () => actions.volume(1));
    byId("top-menu").addEventListener("click", () => {
      const isOpen = byId("top-menu").getAttribute("aria-expanded") === "true";
      setAttribute(byId("top-menu"), "aria-expanded", String(!isOpen));
    });
  }

  /** @param {"muted"|"blocked"|"on"} sound what the beeper does */
  draw(sound) {
    const { theme, sort, spanMin, volume } = this.settings();
    document.documentElement.dataset.theme = theme;
    setText(byId("theme"), top.theme[theme]);
    setText(byId("sound"), soundWords[sound]);
    setAttribute(byId("sound"), "data-sound", sound);
    setText(byId("volume"), soundWords.volume(volume));
    setAttribute(byId("volume"), "aria-label", soundWords.volumeAloud(volume));
    for (const [name, button] of this.sorts) setAttribute(button, "aria-pressed", String(name === sort));
    for (const [name, button] of this.spans) setAttribute(button, "aria-pressed", String(name === String(spanMin)));
  }
}

/**
 * Makes a row of buttons of which one is pressed.
 * @template {string|number} Name
 * @param {string} id of the element that holds them
 * @param {Record<Name, string>} texts by name
 * @param {(name: Name, index: number) => void} choose called when one is pressed
 * @returns {Map<string, HTMLElement>} by name
 */
function choices(id, texts, choose) {
  const buttons = new Map();
  const names = /** @type {Name[]} */ (Object.keys(texts));
  names.forEach((name, index) => {
    const text = texts[name];
    const button = make("button", "choice", text, { type: "button" });
    button.dataset.choice = String(name);
    button.addEventListener("click", () => choose(name, index));
    buttons.set(name, button);
    byId(id).append(button);
  });
  return buttons;
}
