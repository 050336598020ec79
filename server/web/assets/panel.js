/**
 * Panels: sheets that lie beside the calls and over the board, one at a time, and stop nobody. Keys and buttons of the
 * screen go on working while one is open; `Esc` closes it; the focus goes in, and back to where it was.
 * @module panel
 */

import { byId, fill, make, setText, show } from "./dom.js";
import { panel as words } from "./words.js";

/** @type {Panel|null} the one that is open */
let current = null;

/** One panel. */
export class Panel {
  /**
   * @param {string} id of the element that is made
   * @param {{onOpen?: () => void, onClose?: () => void}} [told]
   */
  constructor(id, told = {}) {
    this.told = told;
    /** @type {Element|null} where the focus goes back to */
    this.cameFrom = null;
    this.root = make("section", "panel", "", { id, role: "dialog", "aria-labelledby": `${id}-heading` });
    this.root.hidden = true;
    this.heading = make("h2", "panel-heading", "", { id: `${id}-heading` });
    this.shut = make("button", "panel-close", words.close, { type: "button" });
    this.shut.addEventListener("click", () => this.close());
    this.lost = make("p", "panel-lost", words.lost);
    this.body = make("div", "panel-body");
    fill(this.root, fill(make("div", "panel-head"), this.heading, this.shut), this.lost, this.body);
    byId("panels").append(this.root);
  }

  /** @returns {boolean} whether it is the one in front */
  get isOpen() {
    return current === this;
  }

  /** Opens it in the place of any other. @param {string} heading */
  open(heading) {
    setText(this.heading, heading);
    if (current === this) return;
    // From panel to panel the way back stays the same.
    this.cameFrom = current === null ? document.activeElement : current.cameFrom;
    if (current !== null) current.#hide();
    current = this;
    place();
    show(this.root, true);
    this.shut.focus({ preventScroll: true });
    this.told.onOpen?.();
  }

  /** Closes it, and gives the focus back. */
  close() {
    if (current !== this) return;
    const hadFocus = this.root.contains(document.activeElement) || document.activeElement === document.body;
    this.#hide();
    current = null;
    const back = this.cameFrom;
    if (hadFocus && back instanceof HTMLElement && back.isConnected) back.focus({ preventScroll: true });
  }

  #hide() {
    show(this.root, false);
    this.told.onClose?.();
  }
}

/** Closes whatever is open: somebody signed out. */
export function closePanels() {
  current?.close();
}

/** A panel begins where the screen begins: below the line at the top, and below the banner when there is one. */
export function place() {
  if (current !== null) byId("panels").style.setProperty("--screen-top", `${Math.max(0, byId("screen").getBoundingClientRect().top)}px`);
}

/** Listens for `Esc`. */
export function listenForEscape() {
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || current === null) return;
    event.preventDefault();
    // One press closes one thing.
    event.stopImmediatePropagation();
    current.close();
  });
}
