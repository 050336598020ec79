/**
 * The panel of windows: what is held and what is free, now and later, and for lead and owner the buttons to change it.
 * It lies beside the board, not above it: the keys of the board go on working.
 * @module windows
 */

import { arrange, byId, byIdAs, fill, make, setAttribute, setText, show } from "./dom.js";
import { windowPanel as words } from "./panelwords.js";
import { endOf, namesIn } from "./rundown.js";
import { clockTime, toMs } from "./time.js";
import { endNow, longer } from "./windowedit.js";
import { about, mayEdit, windowFrom, windowLines } from "./windowmodel.js";

/** @import { Window as WireWindow } from "swapcall-wire" */
/** @import { Running } from "./running.js" */
/** @import { Store } from "./store.js" */
/** @import { Change } from "./windowedit.js" */
/** @import { WindowLine } from "./windowmodel.js" */

const MINUTE = 60_000;

/** How long a change can be taken back, milliseconds. */
export const UNDO_MS = 10_000;

/** How long an answer stays, milliseconds. */
const NOTICE_MS = 15_000;

const LENGTHS_MIN = [5, 10, 15, 30];
const KINDS = /** @type {const} */ (["held", "break"]);
const LINE_TEXTS = /** @type {const} */ (["word", "whom", "between", "when", "title"]);
const ACTIONS = /** @type {const} */ (["longer", "endNow", "remove"]);

/**
 * @typedef {typeof KINDS[number]} Kind
 * @typedef {typeof ACTIONS[number]} Action
 * @typedef {ReturnType<typeof makeLine>} LineParts the parts of a line, and what it shows
 */

/** The panel. */
export class WindowPanel {
  /**
   * @param {Running} running holds and changes the rundown
   * @param {() => number|null} hubNow the hub's clock, milliseconds
   * @param {() => void} redraw asks for a drawing
   */
  constructor(running, hubNow, redraw) {
    this.running = running;
    this.hubNow = hubNow;
    this.redraw = redraw;
    this.root = byId("windows");
    this.whom = byIdAs(HTMLSelectElement, "window-whom");
    this.form = byIdAs(HTMLFormElement, "window-form");
    /** @type {Kind} */
    this.kind = "held";
    this.busy = false;
    this.editable = false;
    /** The hub's clock when this was last drawn. */
    this.now = 0;
    /** For whom a new window is, unless another choice is made. */
    this.suggested = "fleet";
    this.whomKey = "";
    /** @type {Map<string, LineParts>} */
    this.lines = new Map();
    /** @type {{change: Change, until: number}|null} */
    this.takeBack = null;
    this.notice = { text: "", until: 0 };
    this.kinds = new Map(KINDS.map((kind) => [kind, this.#button("window-kinds", words.kinds[kind], () => this.#choose(kind))]));
    this.#label();
    this.#listen();
  }

  #label() {
    const texts = {
      "windows-heading": words.heading,
      "windows-close": words.close,
      "window-read-only": words.readOnly,
      "window-none": words.none,
      "window-add-heading": words.add,
      "window-kind-label": words.kindLabel,
      "window-whom-label": words.whomLabel,
      "window-title-label": words.titleLabel,
      "window-start-label": words.startLabel,
      "window-start-hint": words.startNow,
      "window-length-label": words.lengthLabel,
      "window-end-label": words.endLabel,
      "window-add": words.addButton,
    };
    for (const [id, text] of Object.entries(texts)) setText(byId(id), text);
    byIdAs(HTMLInputElement, "window-title").placeholder = words.titlePlaceholder;
    for (const id of ["window-start", "window-end"]) byIdAs(HTMLInputElement, id).placeholder = words.clockPlaceholder;
    for (const minutes of LENGTHS_MIN) {
      this.#button("window-lengths", words.lengths(minutes), () => this.#add(minutes)).dataset.minutes = String(minutes);
    }
  }

  /**
   * @param {string} parent id of an element
   * @param {string} text
   * @param {() => void} press
   */
  #button(parent, text, press) {
    const button = make("button", "choice", text, { type: "button" });
    button.addEventListener("click", press);
    byId(parent).append(button);
    return button;
  }

  /** @param {Kind} kind */
  #choose(kind) {
    this.kind = kind;
    this.#drawForm();
  }

  #listen() {
    byId("windows-close").addEventListener("click", () => this.close());
    byId("window-undo").addEventListener("click", () => this.undo());
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#add(null);
    });
    this.root.addEventListener("keydown", (event) => {
      if (event.key !== "Escape") return;
      event.stopPropagation();
      this.close();
    });
  }

  /** Opens the panel and goes into it; closes it when that is where one is. */
  toggle() {
    const inside = this.root.contains(document.activeElement) || document.activeElement === byId("windows-open");
    if (!this.root.hidden && inside) {
      this.close();
      return;
    }
    show(this.root, true);
    setAttribute(byId("windows-open"), "aria-expanded", "true");
    // What is hidden takes no focus; the next drawing would come too late.
    show(this.form, this.editable);
    this.#drawForm();
    const first = this.editable ? this.kinds.get(this.kind) : undefined;
    (first ?? byId("windows-close")).focus();
    this.redraw();
  }

  /** @returns {boolean} whether it was open */
  close() {
    if (this.root.hidden) return false;
    const inside = this.root.contains(document.activeElement);
    show(this.root, false);
    setAttribute(byId("windows-open"), "aria-expanded", "false");
    if (inside) byId("windows-open").focus();
    this.redraw();
    return true;
  }

  /** A new window is for this unit, unless another choice is made. @param {string|null} unit */
  suggest(unit) {
    this.suggested = unit === null ? "fleet" : `u:${unit}`;
    if ([...this.whom.options].some(({ value }) => value === this.suggested)) this.whom.value = this.suggested;
  }

  /** @returns {boolean} whether there was something to take back */
  undo() {
    if (this.takeBack === null || performance.now() >= this.takeBack.until) return false;
    this.#change(this.takeBack.change, words.done.undo());
    return true;
  }

  /** @param {number|null} minutes the length of the pressed button; `null` when an end was typed */
  #add(minutes) {
    const now = this.hubNow();
    if (now === null) return;
    const value = (/** @type {string} */ name) => byIdAs(HTMLInputElement, `window-${name}`).value;
    const form = { kind: this.kind, whom: this.whom.value, title: value("title"), start: value("start"), end: value("end"), minutes };
    const { window, wrong } = windowFrom(form, now);
    if (window === null) this.#say(wrong);
    else this.#change({ what: "add", after: window }, words.done.add(aboutOf(window)), () => this.#emptyForm());
  }

  /** Kind and "for whom" stay as they are: the next window is often for the same. */
  #emptyForm() {
    for (const name of ["start", "end", "title"]) byIdAs(HTMLInputElement, `window-${name}`).value = "";
  }

  /**
   * @param {Action} action
   * @param {WireWindow} window
   */
  #press(action, window) {
    const change = this.#changeFor(action, window);
    if (change === null) return this.#say(words.tooLong);
    const left = change.what === "remove" ? window : change.after;
    return this.#change(change, words.done[action](aboutOf(left)));
  }

  /**
   * @param {Action} action
   * @param {WireWindow} window
   * @returns {Change|null}
   */
  #changeFor(action, window) {
    if (action === "longer") return longer(window, 5 * MINUTE);
    if (action === "endNow") return endNow(window, this.hubNow() ?? this.now);
    return { what: "remove", before: window };
  }

  /**
   * Makes one change and says how it went.
   * @param {Change} change
   * @param {string} said what to say when it went well
   * @param {() => void} [then]
   */
  async #change(change, said, then = () => {}) {
    if (this.busy || !this.editable) return;
    this.busy = true;
    this.takeBack = null;
    this.#say(words.busy);
    const { outcome, detail, code, undo } = await this.running.change(change);
    this.busy = false;
    if (outcome === "done") {
      // What was taken back is not offered once more: two people would press it for ever.
      if (undo !== null && said !== words.done.undo()) this.takeBack = { change: undo, until: performance.now() + UNDO_MS };
      then();
    }
    const texts = { done: said, changed: words.changed, refused: words.refused(detail, code), unreachable: words.unreachable, signed_out: "" };
    this.#say(texts[outcome]);
  }

  /** @param {string} text */
  #say(text) {
    this.notice = { text, until: performance.now() + NOTICE_MS };
    this.redraw();
  }

  /**
   * @param {object} scene
   * @param {Store} scene.store
   * @param {number} scene.now the hub's clock, milliseconds
   * @param {{role: string}|null} scene.session
   * @param {boolean} scene.lost whether the hub is lost
   */
  draw({ store, now, session, lost }) {
    const role = mayEdit(session);
    this.now = now;
    this.editable = role && !lost;
    this.#drawNotice();
    if (this.root.hidden) return;
    show(this.form, role);
    show(byId("window-read-only"), !role);
    setText(byId("windows-state"), stateText(this.running, lost));
    setAttribute(this.root, "data-old", String(lost || this.running.doubtful));
    this.#drawWhom(store);
    this.#drawForm();
    this.#drawList(now, role);
  }

  #drawNotice() {
    const now = performance.now();
    const text = now < this.notice.until || this.busy ? this.notice.text : "";
    const left = this.takeBack === null ? 0 : this.takeBack.until - now;
    show(byId("window-notice"), text !== "" || left > 0);
    setText(byId("window-said"), text);
    show(byId("window-undo"), left > 0 && this.editable);
    setText(byId("window-undo"), words.undo(Math.max(0, left)));
  }

  /** The choices of "for whom", made anew only when a name has come or gone. @param {Store} store */
  #drawWhom(store) {
    const { groups, units } = namesIn([...store.units.values()], this.running.windows ?? []);
    const key = JSON.stringify([groups, units]);
    if (this.whomKey === key) return;
    this.whomKey = key;
    const option = (/** @type {string} */ value, /** @type {string} */ text) => make("option", "", text, { value });
    const value = this.whom.value || this.suggested;
    this.whom.replaceChildren(
      option("fleet", words.fleet),
      ...groups.map((name) => option(`g:${name}`, words.group(name))),
      ...units.map((name) => option(`u:${name}`, words.unit(name))),
    );
    this.whom.value = value;
    if (this.whom.selectedIndex < 0) this.whom.value = "fleet";
  }

  #drawForm() {
    for (const [kind, button] of this.kinds) setAttribute(button, "aria-pressed", String(kind === this.kind));
    const off = this.busy || !this.editable;
    for (const control of this.form.elements) {
      const known = control instanceof HTMLButtonElement || control instanceof HTMLInputElement || control instanceof HTMLSelectElement;
      if (known && control.disabled !== off) control.disabled = off;
    }
  }

  /**
   * @param {number} now the hub's clock, milliseconds
   * @param {boolean} role whether this person may change windows
   */
  #drawList(now, role) {
    const { lines, past } = windowLines(this.running.said, now);
    show(byId("window-none"), lines.length === 0 && this.running.windows !== null);
    setText(byId("window-past"), past > 0 ? words.past(past) : "");
    const there = new Set(lines.map(({ id }) => id));
    for (const id of this.lines.keys()) if (!there.has(id)) this.lines.delete(id);
    const elements = lines.map((line) => {
      const parts = this.#line(line.id);
      this.#patch(parts, line, role);
      return parts.root;
    });
    arrange(byId("window-list"), elements);
  }

  /** @param {string} id */
  #line(id) {
    const parts = this.lines.get(id) ?? this.#newLine();
    this.lines.set(id, parts);
    return parts;
  }

  #newLine() {
    const parts = makeLine();
    for (const action of ACTIONS) {
      parts.buttons[action].addEventListener("click", () => parts.line && this.#press(action, parts.line.window));
    }
    return parts;
  }

  /**
   * @param {LineParts} parts
   * @param {WindowLine} line
   * @param {boolean} role whether this person may change windows
   */
  #patch(parts, line, role) {
    parts.line = line;
    for (const name of LINE_TEXTS) setText(parts[name], line[name]);
    setAttribute(parts.root, "data-kind", line.kind);
    setAttribute(parts.root, "data-read-only", String(!role));
    setAttribute(parts.root, "data-in-force", String(line.inForce));
    for (const action of ACTIONS) {
      const button = parts.buttons[action];
      show(button, role && (action !== "endNow" || line.inForce));
      setAttribute(button, "aria-label", `${words[action]}: ${line.about}`);
      const off = this.busy || !this.editable;
      if (button.disabled !== off) button.disabled = off;
    }
  }
}

/** Makes the parts of a line. */
function makeLine() {
  const text = (/** @type {string} */ name) => make("span", `window-${name}-text`);
  const button = (/** @type {Action} */ action) => make("button", "choice", words[action], { type: "button" });
  const parts = {
    root: make("li", "window-line"),
    word: text("word"),
    whom: text("whom"),
    title: text("title"),
    between: text("between"),
    when: text("when"),
    buttons: { longer: button("longer"), endNow: button("endNow"), remove: button("remove") },
    /** @type {WindowLine|null} what is shown */
    line: null,
  };
  const told = fill(make("span", "window-about"), parts.whom, parts.title);
  const times = fill(make("span", "window-times"), parts.between, parts.when);
  const buttons = fill(make("span", "window-buttons"), ...ACTIONS.map((action) => parts.buttons[action]));
  fill(parts.root, parts.word, told, times, buttons);
  return parts;
}

/** One line about a window. @param {WireWindow} window */
function aboutOf(window) {
  return about(window, toMs(window.start) ?? NaN, endOf(window));
}

/**
 * How old the list is.
 * @param {Running} running
 * @param {boolean} lost
 */
function stateText(running, lost) {
  if (running.readAt === null) return running.doubtful ? words.onlyNext : words.unread;
  const clock = clockTime(running.readAt, true);
  if (lost) return words.lost(clock);
  return running.doubtful ? words.doubtful(clock) : words.asOf(clock);
}
