/**
 * The panels that are fetched after the board: the sheet of a unit, the people, the pool, the kit sum.
 * A press that comes sooner fetches them
 * at once and is carried out when they are there.
 * @module panels
 */

/** @import { Session } from "swapcall-wire" */
/** @import { KitSum } from "./kitform.js" */
/** @import { People } from "./people.js" */
/** @import { Pool } from "./pool.js" */
/** @import { UnitSheet } from "./sheet.js" */
/** @import { Store } from "./store.js" */
/** @import { HubClock } from "./time.js" */

/** After a failure they are not fetched again by themselves before this, milliseconds. */
const AGAIN_MS = 5_000;

/** @typedef {{sheet: UnitSheet, people: People, pool: Pool, kitSum: KitSum}} Fetched the panels, once they are there */

/** The panels, or the way to them. */
export class Panels {
  /**
   * @param {Store} store
   * @param {HubClock} clock
   * @param {() => void} redraw asks for a drawing
   */
  constructor(store, clock, redraw) {
    this.store = store;
    this.clock = clock;
    this.redraw = redraw;
    /** @type {Fetched|null} */
    this.fetched = null;
    /** @type {Promise<Fetched|null>|null} while they are being fetched */
    this.coming = null;
    this.triedAt = -Infinity;
    /** What is drawn of them. @type {[number, Session, boolean]|null} */
    this.scene = null;
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
    } else if (this.coming === null && !lost && performance.now() - this.triedAt > AGAIN_MS) {
      // When the frame that is being drawn has been seen.
      requestAnimationFrame(() => setTimeout(() => this.#fetch()));
    }
  }

  /** @param {(fetched: Fetched) => void} work */
  async #with(work) {
    const fetched = this.fetched ?? (await this.#fetch());
    if (fetched !== null) work(fetched);
  }

  /** @returns {Promise<Fetched|null>} `null` when the hub did not answer: a later drawing, or the next press, tries again */
  #fetch() {
    this.coming ??= this.#make();
    return this.coming;
  }

  async #make() {
    this.triedAt = performance.now();
    try {
      const { KitSum, People, Pool, UnitSheet } = await import("./late.js");
      const [people, pool] = [new People(this.clock, this.redraw), new Pool(this.store, this.redraw)];
      this.fetched = { sheet: new UnitSheet(this.store, this.clock), people, pool, kitSum: new KitSum() };
      // Each needs to know who is signed in before it is opened.
      if (this.scene !== null) this.draw(...this.scene);
      return this.fetched;
    } catch {
      this.coming = null;
      return null;
    }
  }
}
