/**
 * The panel of windows: what is held and what is free, now and later, and for lead and owner the buttons to change it.
 * It lies beside the board, not above it: the keys of the board go on working.
 * @module windows
 */

import { arrange, byId, fill, make, setAttribute, setText, show } from "./dom.js";
import { endOf, namesIn } from "./rundown.js";
import { clockTime, toMs } from "./time.js";
import { endNow, longer } from "./windowedit.js";
import { about, mayEdit, windowFrom, windowLines } from "./windowmodel.js";
import { windowPanel as words } from "./words.js";

const MINUTE = 60_000;

/** How long a change can be taken back, milliseconds. */
export const UNDO_MS = 10_000;

/** How long an answer stays, milliseconds. */
const NOTICE_MS = 15_000;

const LENGTHS_MIN = [5, 10, 15, 30];
const KINDS = ["held", "break"];
const LINE_TEXTS = ["word", "whom", "between", "when", "title"];
const ACTIONS = ["longer", "endNow", "remove"];

/** The panel. */
export class WindowPanel {
  /**
   * @param {import("./running.js").Running} running holds and changes the rundown
   * @param {() => number|null} hubNow the hub's clock, milliseconds
   * @param {() => void} redraw asks for a drawing
   */
  constructor(running, hubNow, redraw) {
    Object.assign(this, { running, hubNow, redraw });
    this.root = byId("windows");
    this.kind = KINDS[0];
    this.busy = false;
    this.editable = false;
    /** @type {Map<string, object>} parts of the lines */
    this.lines = new Map();
    /** @type {{change: import("./windowedit.js").Change, until: number}|null} */
    this.takeBack = null;
    this.notice = { text: "", until: 0 };
    this.#label();
    this.#listen();
  }

  #label() {
    const texts = {
      "windows-open": words.open,
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
    byId("window-title").placeholder = words.titlePlaceholder;
    for (const id of ["window-start", "window-end"]) byId(id).placeholder = words.clockPlaceholder;
    this.kinds = new Map(KINDS.map((kind) => [kind, this.#button("window-kinds", words.kinds[kind], () => this.#choose(kind))]));
    for (const minutes of LENGTHS_MIN) {
      this.#button("window-lengths", words.lengths(minutes), () => this.#add(minutes)).dataset.minutes = String(minutes);
    }
  }

  #button(parent, text, press) {
    const button = make("button", "choice", text, { type: "button" });
    button.addEventListener("click", press);
    byId(parent).append(button);
    return button;
  }

  #choose(kind) {
    this.kind = kind;
    this.#drawForm();
  }

  #listen() {
    byId("windows-open").addEventListener("click", () => this.toggle());
    byId("windows-close").addEventListener("click", () => this.close());
    byId("window-undo").addEventListener("click", () => this.undo());
    byId("window-form").addEventListener("submit", (event) => {
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
    const inside = this.root.contains(document.activeElement);
    if (!this.root.hidden && (inside || document.activeElement === byId("windows-open"))) return this.close();
    show(this.root, true);
    setAttribute(byId("windows-open"), "aria-expanded", "true");
    this.#drawForm();
    (this.editable ? this.kinds.get(this.kind) : byId("windows-close")).focus();
    return this.redraw();
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
    const select = byId("window-whom");
    if ([...select.options].some(({ value }) => value === this.suggested)) select.value = this.suggested;
  }

  /** @returns {boolean} whether there was something to take back */
  undo() {
    if (this.takeBack === null || performance.now() >= this.takeBack.until) return false;
    this.#change(this.takeBack.change, words.done.undo());
    return true;
  }

  #add(minutes) {
    const value = (name) => byId(`window-${name}`).value;
    const form = { kind: this.kind, whom: value("whom"), title: value("title"), start: value("start"), end: value("end"), minutes };
    const { window, wrong } = windowFrom(form, this.hubNow());
    if (wrong !== null) return this.#say(wrong);
    return this.#change({ what: "add", after: window }, words.done.add(aboutOf(window)), () => byId("window-form").reset());
  }

  #press(action, window) {
    const changes = {
      longer: () => longer(window, 5 * MINUTE),
      endNow: () => endNow(window, this.hubNow()),
      remove: () => ({ what: "remove", before: window }),
    };
    const change = changes[action]();
    if (change === null) return this.#say(words.tooLong);
    return this.#change(change, words.done[action](aboutOf(change.after ?? window)));
  }

  /** Makes one change and says how it went. */
  async #change(change, said, then = () => {}) {
    if (this.busy || !this.editable) return;
    this.busy = true;
    this.takeBack = null;
    this.#say(words.busy);
    const { outcome, detail, code, undo } = await this.running.change(change);
    this.busy = false;
    if (outcome === "done") {
      // What was taken back is not offered once more: two people would press it for ever.
      if (said !== words.done.undo()) this.takeBack = { change: undo, until: performance.now() + UNDO_MS };
      then();
    }
    const texts = { done: said, changed: words.changed, refused: words.refused(detail, code), unreachable: words.unreachable, signed_out: "" };
    this.#say(texts[outcome]);
  }

  #say(text) {
    this.notice = { text, until: performance.now() + NOTICE_MS };
    this.redraw();
  }

  /**
   * @param {object} scene
   * @param {import("./store.js").Store} scene.store
   * @param {number} scene.now the hub's clock, milliseconds
   * @param {{role: string}} scene.session
   * @param {boolean} scene.lost whether the hub is lost
   */
  draw({ store, now, session, lost }) {
    const role = mayEdit(session);
    this.editable = role && !lost;
    this.#drawNotice();
    if (this.root.hidden) return;
    show(byId("window-form"), role);
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

  /** The choices of "for whom", made anew only when a name has come or gone. */
  #drawWhom(store) {
    const { groups, units } = namesIn([...store.units.values()], this.running.windows ?? []);
    const key = JSON.stringify([groups, units]);
    if (this.whomKey === key) return;
    this.whomKey = key;
    const option = (value, text) => make("option", "", text, { value });
    const select = byId("window-whom");
    const value = select.value || this.suggested || "fleet";
    select.replaceChildren(
      option("fleet", words.fleet),
      ...groups.map((name) => option(`g:${name}`, words.group(name))),
      ...units.map((name) => option(`u:${name}`, words.unit(name))),
    );
    select.value = value;
    if (select.selectedIndex < 0) select.value = "fleet";
  }

  #drawForm() {
    for (const [kind, button] of this.kinds) setAttribute(button, "aria-pressed", String(kind === this.kind));
    const off = this.busy || !this.editable;
    for (const control of byId("window-form").querySelectorAll("button, input, select")) {
      if (control.disabled !== off) control.disabled = off;
    }
  }

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

  #line(id) {
    if (!this.lines.has(id)) this.lines.set(id, this.#makeLine());
    return this.lines.get(id);
  }

  #makeLine() {
    const root = make("li", "window-line");
    const parts = { root, buttons: {}, line: null };
    for (const name of LINE_TEXTS) parts[name] = make("span", `window-${name}-text`);
    fill(root, parts.word);
    fill(root, fill(make("span", "window-about"), parts.whom, parts.title));
    fill(root, fill(make("span", "window-times"), parts.between, parts.when));
    const buttons = make("span", "window-buttons");
    for (const action of ACTIONS) {
      const button = make("button", "choice", words[action], { type: "button" });
      button.addEventListener("click", () => this.#press(action, parts.line.window));
      parts.buttons[action] = button;
      buttons.append(button);
    }
    return fill(root, buttons) && parts;
  }

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

/** One line about a window. */
function aboutOf(window) {
  return about(window, toMs(window.start), endOf(window));
}

/** How old the list is. */
function stateText(running, lost) {
  if (running.readAt === null) return running.doubtful ? words.onlyNext : words.unread;
  const clock = clockTime(running.readAt, true);
  if (lost) return words.lost(clock);
  return running.doubtful ? words.doubtful(clock) : words.asOf(clock);
}
