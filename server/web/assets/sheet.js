/**
 * The unit sheet: what is known of one unit now, its past with the forecasts as they were made then, and the forms for
 * those who may change something. A panel, so calls can be taken and finished while it is open.
 * @module sheet
 */

import { unitForecasts, unitHistory } from "./api.js";
import { fill, make, setAttribute, setText, show } from "./dom.js";
import { Panel } from "./panel.js";
import { sheet as words } from "./panelwords.js";
import { LimitsForm, ProfileForm, ReadingForm } from "./sheetforms.js";
import { knownNow, windowOf } from "./sheetmodel.js";
import { pastPicture, promisePicture } from "./sheetpicture.js";
import { slotsOf } from "./sheetsend.js";
import { LEAD_MS, stories, storyText } from "./sheetstory.js";
import { drawPicture } from "./svg.js";
import { clockTime, toMs } from "./time.js";

/** @import { History, Session, UnitView } from "swapcall-wire" */
/** @import { Answer } from "./api.js" */
/** @import { Line, Stretched } from "./sheetmodel.js" */
/** @import { Picture, View } from "./sheetpicture.js" */
/** @import { Forecasts } from "./sheetstory.js" */
/** @import { Store } from "./store.js" */
/** @import { HubClock } from "./time.js" */

/** The past is asked for again after this long, milliseconds. */
const REFRESH_MS = 15_000;

/** Pictures are never drawn narrower than this: their labels would lie on each other. */
const LEAST_WIDTH = 320;

/** A value of more letters is a sentence, and set like one. */
const LONG = 80;

/** @type {Stretched[]} */
const STRETCHES = ["hour", "four", "today"];

/** @typedef {{view: {from: number, to: number}, history: Answer<History>, forecasts: Answer<Forecasts>}} Past what the hub said of it */

/** The sheet. */
export class UnitSheet {
  /**
   * @param {Store} store
   * @param {HubClock} clock
   */
  constructor(store, clock) {
    this.store = store;
    this.clock = clock;
    /** @type {Session|null} */
    this.session = null;
    this.lost = false;
    this.unit = "";
    /** @type {Stretched} */
    this.choice = "hour";
    /** @type {Past|null} */
    this.past = null;
    /** What is drawn of it, and how wide. @type {{past: Past|null, width: number}} */
    this.drawn = { past: null, width: 0 };
    this.askedAt = -Infinity;
    this.asked = 0;
    this.state = make("p", "sheet-state");
    this.known = make("dl", "sheet-known");
    /** @type {{root: HTMLElement, name: HTMLElement, value: HTMLElement, age: HTMLElement}[]} */
    this.lines = [];
    this.choices = new Map(STRETCHES.map((name) => [name, make("button", "choice", words.stretches[name], { type: "button" })]));
    this.trouble = make("p", "sheet-trouble");
    this.pictures = make("div", "sheet-pictures");
    this.told = make("ul", "sheet-told");
    this.forms = { reading: new ReadingForm(clock), profile: new ProfileForm(), limits: new LimitsForm() };
    this.panel = new Panel("sheet", { onOpen: () => this.#forget() });
    this.#build();
    this.#listen();
  }

  #build() {
    const buttons = fill(make("div", "sheet-choices", "", { role: "group", "aria-label": words.stretch }), ...this.choices.values());
    const head = fill(make("div", "sheet-past-head"), make("h3", "", words.past), buttons);
    const past = fill(make("section", "sheet-past"), head, this.trouble, this.pictures, this.told);
    const { reading, profile, limits } = this.forms;
    fill(this.panel.body, this.state, this.known, reading.root, past, profile.root, limits.root);
  }

  #listen() {
    for (const [name, button] of this.choices) button.addEventListener("click", () => this.#choose(name));
  }

  /** @param {string|undefined} name callsign */
  open(name) {
    const unit = this.store.units.get(name ?? "");
    if (unit === undefined) return;
    if (unit.unit !== this.unit) {
      this.#forget();
      for (const form of Object.values(this.forms)) form.reset();
    }
    this.unit = unit.unit;
    this.panel.open(words.heading(unit.unit, unit.profile.position));
    this.#redraw();
  }

  /** @param {Stretched} choice */
  #choose(choice) {
    this.choice = choice;
    this.#forget();
    this.#redraw();
  }

  #forget() {
    this.past = null;
    this.askedAt = -Infinity;
    this.pictures.replaceChildren();
    this.told.replaceChildren();
    setText(this.trouble, words.asking);
  }

  #redraw() {
    if (this.session !== null) this.draw(this.clock.now(), this.session, this.lost);
  }

  /**
   * @param {number|null} now the hub's clock, milliseconds
   * @param {Session} session
   * @param {boolean} lost whether the hub is lost
   */
  draw(now, session, lost) {
    Object.assign(this, { session, lost });
    const unit = this.store.units.get(this.unit);
    if (!this.panel.isOpen || now === null || unit === undefined) return;
    setText(this.panel.heading, words.heading(unit.unit, unit.profile.position));
    const { state, heard, lines } = knownNow(unit, now, lost);
    setText(this.state, heard);
    setAttribute(this.state, "data-state", state);
    this.#drawLines(lines);
    for (const [name, button] of this.choices) setAttribute(button, "aria-pressed", String(name === this.choice));
    for (const form of Object.values(this.forms)) form.draw(unit, session, lost);
    if (!lost && performance.now() - this.askedAt > REFRESH_MS) this.#ask(now);
    this.#drawPast(unit);
  }

  /** @param {Line[]} lines */
  #drawLines(lines) {
    if (this.lines.length !== lines.length) {
      this.lines = lines.map(makeLine);
      this.known.replaceChildren(...this.lines.map(({ root }) => root));
    }
    lines.forEach(({ name, value, age }, index) => {
      const parts = this.lines[index];
      setText(parts.name, name);
      setText(parts.value, value);
      setText(parts.age, age);
      show(parts.age, age !== "");
      setAttribute(parts.root, "data-long", String(value.length > LONG));
    });
  }

  /** @param {number} now */
  async #ask(now) {
    this.askedAt = performance.now();
    this.asked += 1;
    const { asked, unit } = this;
    const view = windowOf(this.choice, now);
    const [early, from, to] = [view.from - LEAD_MS, view.from, view.to].map((ms) => new Date(ms).toISOString());
    const [history, forecasts] = await Promise.all([
      unitHistory(unit, { from, to, step: String(view.step_s) }),
      unitForecasts(unit, { from: early, to }),
    ]);
    // Meanwhile somebody may have opened another unit, or chosen another stretch.
    if (asked !== this.asked || unit !== this.unit) return;
    this.past = { view, history, forecasts };
    this.#redraw();
  }

  /** @param {UnitView} unit */
  #drawPast(unit) {
    const width = Math.max(LEAST_WIDTH, Math.floor(this.pictures.clientWidth));
    const { past } = this;
    if (past === null || (this.drawn.past === past && this.drawn.width === width)) return;
    this.drawn = { past, width };
    const { view, history, forecasts } = past;
    if (history.outcome !== "ok" || history.body === null) {
      const why = history.outcome === "refused" ? history.body?.detail : undefined;
      setText(this.trouble, words.noPast(why));
      return;
    }
    setText(this.trouble, pastTrouble(history.body, forecasts, view.from));
    const trail = forecasts.outcome === "ok" ? forecasts.body : null;
    this.pictures.replaceChildren(...picturesOf(history.body, trail, slotsOf(unit), { ...view, width }));
    const told = trail === null ? [] : stories(trail, view.from);
    this.told.replaceChildren(...told.map((story) => make("li", "", storyText(story))));
  }
}

function makeLine() {
  const [name, value, age] = [make("dt"), make("dd"), make("dd", "sheet-age")];
  return { root: fill(make("div", "sheet-line"), name, value, age), name, value, age };
}

/**
 * What is missing of the past, in words.
 * @param {History} history
 * @param {Answer<Forecasts>} forecasts
 * @param {number} from milliseconds since 1970
 */
function pastTrouble(history, forecasts, from) {
  if (history.points.length === 0) return words.emptyPast;
  if (forecasts.outcome === "ok") {
    const reach = toMs(forecasts.body?.from) ?? from;
    return reach > from ? words.trailSince(clockTime(reach)) : "";
  }
  return forecasts.status === 404 ? words.noTrail : words.noTrailNow;
}

/**
 * The pictures with what they mean below.
 * @param {History} history
 * @param {Forecasts|null} trail
 * @param {string[]} slots
 * @param {View} view
 */
function picturesOf(history, trail, slots, view) {
  if (history.points.length === 0) return [];
  /** @param {Picture} picture @param {string} caption */
  const figure = (picture, caption) => fill(make("figure"), drawPicture(picture, caption), make("figcaption", "", caption));
  const aired = (trail?.on_air ?? []).length > 0;
  const caption = [words.pastCaption(trail !== null), ...(aired ? [words.airCaption] : [])].join(" ");
  const found = [figure(pastPicture(history, trail, slots, view), caption)];
  for (const cause of /** @type {const} */ (["battery", "cards"])) {
    const picture = trail === null ? null : promisePicture(trail, cause, view);
    if (picture !== null) found.push(figure(picture, words.promiseCaption(cause)));
  }
  return found;
}
