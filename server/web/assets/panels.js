/**
 * The panels that are fetched after the board: the sheet of a unit, the people, the pool, the kit sum, the windows, the
 * help. A press that comes sooner fetches them at once and is carried out when they are there, unless another follows.
 * @module panels
 */

/** @import { Session } from "swapcall-wire" */
/** @import { KitSum } from "./kitform.js" */
/** @import { People } from "./people.js" */
/** @import { Pool } from "./pool.js" */
/** @import { UnitSheet } from "./sheet.js" */
/** @import { Running } from "./running.js" */
/** @import { Store } from "./store.js" */
/** @import { HubClock } from "./time.js" */
/** @import { WindowPanel } from "./windows.js" */

import { make } from "./dom.js";

/** After a failure they are not fetched again by themselves before this, milliseconds. */
const AGAIN_MS = 5_000;

/** What they look like. */
const STYLES = ["panels.css", "pool.css"];

/**
 * @typedef {object} Fetched the panels, once they are there
 * @property {UnitSheet} sheet
 * @property {People} people
 * @property {Pool} pool
 * @property {KitSum} kitSum
 * @property {WindowPanel} windows
 * @property {() => void} toggleHelp
 */

/** The panels, or the way to them. */
export class Panels {
  /**
   * @param {Store} store
   * @param {HubClock} clock
   * @param {Running} running the rundown
   * @param {() => void} redraw asks for a drawing
   */
  constructor(store, clock, running, redraw) {
    this.store = store;
    this.clock = clock;
    this.running = running;
    this.redraw = redraw;
    /** @type {Fetched|null} */
    this.fetched = null;
    /** @type {Promise<Fetched|null>|null} while they are being fetched */
    this.coming = null;
    this.triedAt = -Infinity;
    /** @type {((fetched: Fetched) => void)|null} what was pressed last and not anything else since */
    this.wanted = null;
    /** @type {string|null} the unit that was chosen last */
    this.chosen = null;
    /** What is drawn of them. @type {[number, Session, boolean]|null} */
    this.scene = null;
    // Whoever has gone on to something else is not to be called back by a panel that comes late and takes the keys.
    for (const press of ["keydown", "pointerdown"]) document.addEventListener(press, () => (this.wanted = null), { capture: true });
    // From the board, which need not know who shows a unit.
    document.addEventListener("swapcall:open-unit", (event) => event instanceof CustomEvent && this.openUnit(event.detail.unit));
  }

  /** @param {string|undefined} unit callsign */
  openUnit(unit) {
    this.#with(({ sheet }) => sheet.open(unit));
  }

  /** Opens the panel of people for whoever may see it, or closes it. */
  togglePeople() {
    this.#with(({ people }) => people.toggle());
  }

  /** Opens the panel of packs and cards, or closes it. */
  togglePool() {
    this.#with(({ pool }) => pool.toggle());
  }

  /** Opens the kit sum before a show, or closes it. */
  toggleKitSum() {
    this.#with(({ kitSum }) => kitSum.toggle());
  }

  /** Opens the panel of windows and goes into it, or closes it. */
  toggleWindows() {
    this.#with(({ windows }) => windows.toggle());
  }

  /** @returns {boolean} whether the panel of windows was open */
  closeWindows() {
    return this.fetched?.windows.close() ?? false;
  }

  /** Takes back the last change of a window. @returns {boolean} whether there was one */
  undoWindow() {
    return this.fetched?.windows.undo() ?? false;
  }

  /** A new window is for this unit, unless another choice is made. @param {string} unit */
  suggest(unit) {
    this.chosen = unit;
    this.fetched?.windows.suggest(unit);
  }

  /** Opens the help, or closes it. */
  toggleHelp() {
    this.#with(({ toggleHelp }) => toggleHelp());
  }

  /**
   * @param {number} now the hub's clock, milliseconds
   * @param {Session} session
   * @param {boolean} lost whether the hub is lost
   */
  draw(now, session, lost) {
    this.scene = [now, session, lost];
    if (this.fetched !== null) {
      this.fetched.sheet.draw(now, session, lost);
      this.fetched.people.draw(now, session, lost);
      this.fetched.pool.draw(now, session, lost);
      this.fetched.kitSum.draw(lost);
      this.fetched.windows.draw({ store: this.store, now, session, lost });
    } else if (this.coming === null && !lost && performance.now() - this.triedAt > AGAIN_MS) {
      // When the frame that is being drawn has been seen.
      requestAnimationFrame(() => setTimeout(() => this.#fetch()));
    }
  }

  /** @param {(fetched: Fetched) => void} work */
  async #with(work) {
    this.wanted = work;
    const fetched = this.fetched ?? (await this.#fetch());
    if (fetched !== null && this.wanted === work) work(fetched);
  }

  /** @returns {Promise<Fetched|null>} `null` when the hub did not answer: a later drawing, or the next press, tries again */
  #fetch() {
    this.coming ??= this.#make();
    return this.coming;
  }

  async #make() {
    this.triedAt = performance.now();
    try {
      const [late] = await Promise.all([import("./late.js"), ...STYLES.map(style)]);
      this.fetched = {
        sheet: new late.UnitSheet(this.store, this.clock),
        people: new late.People(this.clock, this.redraw),
        pool: new late.Pool(this.store, this.redraw),
        kitSum: new late.KitSum(),
        windows: new late.WindowPanel(this.running, () => this.clock.now(), this.redraw),
        toggleHelp: late.prepareHelp(),
      };
      if (this.chosen !== null) this.suggest(this.chosen);
      // Each needs to know who is signed in before it is opened.
      if (this.scene !== null) this.draw(...this.scene);
      return this.fetched;
    } catch {
      this.coming = null;
      return null;
    }
  }
}

/**
 * Fetches a style sheet. It takes its place before the one for narrow windows, which has the last word.
 * @param {string} name
 * @returns {Promise<void>} once the page looks like it
 */
function style(name) {
  const { href } = new URL(name, import.meta.url);
  const last = document.querySelector('link[href$="/narrow.css"]');
  if (last === null) throw new Error("the page has no styles for narrow windows");
  if (document.querySelector(`link[href="${href}"]`) !== null) return Promise.resolve();
  const link = make("link", "", "", { rel: "stylesheet", href });
  return new Promise((resolve, reject) => {
    link.addEventListener("load", () => resolve());
    link.addEventListener("error", () => {
      link.remove();
      reject(new Error(`${name} did not come`));
    });
    last.before(link);
  });
}
