/**
 * A reading that a person types: battery, cards, mode. Worked out without touching the page.
 * @module runner-typed
 */

/** @import { Report, SlotReport, UnitView } from "swapcall-wire" */

/** The slot of a camera of whose cards nothing is known. */
const FIRST_SLOT = "A";

/** @typedef {Pick<UnitView, "unit"> & Partial<UnitView>} KnownUnit a unit of which perhaps no more than the callsign is known */

/**
 * @typedef {object} Field
 * @property {string} name `battery`, or `slot:` and the slot's name
 * @property {string} slot the slot's name, empty for the battery
 * @property {number|null} last percent last known
 * @property {number|null} [capacity] bytes of the card last seen there
 */

/** @typedef {{slot: string, percent: number, typed: boolean, capacity?: number|null}} TypedSlot one card as it would be sent */

/** One reading while it is typed. */
export class TypedReading {
  /** @param {KnownUnit} unit as sent by the hub */
  constructor(unit) {
    this.unit = unit;
    /** @type {Field[]} */
    this.fields = fieldsOf(unit);
    this.chosen = this.fields[0].name;
    /** @type {Map<string, string>} digits by field */
    this.digits = new Map();
    /** @type {"recording"|"standby"|"off"|null} */
    this.mode = null;
    this.external = unit.battery?.external ?? false;
  }

  /** @param {string} name of the field that digits go to from now on */
  choose(name) {
    this.chosen = name;
  }

  /** @param {string} digit @returns {boolean} whether it fits: no more than 100 */
  digit(digit) {
    const text = String(Number((this.digits.get(this.chosen) ?? "") + digit));
    if (Number(text) > 100) return false;
    this.digits.set(this.chosen, text);
    return true;
  }

  /** Takes the last digit away. */
  back() {
    const text = (this.digits.get(this.chosen) ?? "").slice(0, -1);
    if (text === "") this.digits.delete(this.chosen);
    else this.digits.set(this.chosen, text);
  }

  /** Types what was known last, where something was. */
  asLast() {
    const last = this.fields.find(({ name }) => name === this.chosen)?.last ?? null;
    if (last !== null) this.digits.set(this.chosen, String(Math.round(last)));
  }

  /** @param {string} name @returns {number|null} what was typed */
  value(name) {
    return this.digits.has(name) ? Number(this.digits.get(name)) : null;
  }

  /** @returns {TypedSlot[]} the cards as they would be sent; none typed, none sent */
  slots() {
    const fields = this.fields.filter(({ slot }) => slot !== "");
    if (fields.every(({ name }) => this.value(name) === null)) return [];
    // A reading of the cards replaces the last one as a whole: a slot left out would be a slot that is gone.
    return fields.flatMap(({ name, slot, last, capacity }) => {
      const percent = this.value(name) ?? last;
      return percent === null ? [] : [{ slot, capacity, percent, typed: this.value(name) !== null }];
    });
  }

  /** @returns {boolean} whether there is anything to send */
  ready() {
    return this.mode !== null || this.digits.size > 0;
  }

  /**
   * @param {string} id UUIDv7
   * @param {number} at this device's clock, milliseconds since 1970
   * @returns {Report} in wire format, without `sent_at`
   */
  report(id, at) {
    /** @type {Report} */
    const report = { id, unit: this.unit.unit, at: new Date(at).toISOString(), source: "typed" };
    if (this.mode !== null) report.mode = this.mode;
    const percent = this.value("battery");
    if (percent !== null) {
      report.battery = { percent, external: this.external };
      if (this.unit.battery?.step) report.battery.step = this.unit.battery.step;
    }
    const slots = this.slots();
    if (slots.length > 0) {
      report.cards = { slots: slots.map(slotReport) };
      if (this.unit.cards?.slot_mode) report.cards.slot_mode = this.unit.cards.slot_mode;
    }
    return report;
  }
}

/**
 * One slot in wire format. The size goes along: without it the forecast would have to change from bytes to percent.
 * @param {TypedSlot} typed
 * @returns {SlotReport}
 */
function slotReport({ slot, percent, capacity }) {
  return capacity ? { slot, used_percent: percent, capacity_bytes: capacity } : { slot, used_percent: percent };
}

/**
 * The battery, then each slot that the camera is known to have.
 * @param {KnownUnit} unit
 * @returns {Field[]}
 */
function fieldsOf(unit) {
  const cards = (unit.cards?.slots ?? []).map(({ slot, state, used_percent: used, capacity_bytes: capacity }) => {
    return { name: `slot:${slot}`, slot, last: state === "empty" ? null : used, capacity };
  });
  if (cards.length === 0) cards.push({ name: `slot:${FIRST_SLOT}`, slot: FIRST_SLOT, last: null, capacity: null });
  return [{ name: "battery", slot: "", last: unit.battery?.percent ?? null }, ...cards];
}

/**
 * @param {Iterable<UnitView>} units
 * @param {string} wanted letters of a callsign or place
 * @returns {UnitView[]} units that fit, by callsign
 */
export function unitsLike(units, wanted) {
  const letters = wanted.trim().toLowerCase();
  const fits = (/** @type {UnitView} */ unit) => [unit.unit, unit.profile?.position ?? ""].some((text) => text.toLowerCase().includes(letters));
  return [...units].filter(fits).sort((a, b) => a.unit.localeCompare(b.unit, undefined, { numeric: true }));
}
