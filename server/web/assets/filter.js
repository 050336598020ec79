/**
 * Which units are shown. Whatever is hidden is counted, and what is urgent among it is named.
 * @module filter
 */

/** @import { CallView, UnitView } from "swapcall-wire" */

/**
 * @typedef {object} Filter
 * @property {string} text words; each must be found in callsign, place or group
 * @property {boolean} call only units with an open or claimed call
 * @property {boolean} quiet only silent and dark units
 * @property {boolean} held only units that are held now
 *
 * @typedef {object} Facts what the filter asks for, of one unit
 * @property {CallView|null} call its open or claimed call
 * @property {boolean} silent
 * @property {boolean} dark
 * @property {boolean} held
 *
 * @typedef {{count: number, calls: number, dark: number, silent: number}} Hidden how many units are hidden, and what of them is urgent
 */

/** Nothing is hidden. @type {Readonly<Filter>} */
export const NO_FILTER = Object.freeze({ text: "", call: false, quiet: false, held: false });

/** Chips, in order. */
export const CHIPS = /** @type {const} */ (["call", "quiet", "held"]);

/** @param {Filter} filter @returns {boolean} whether it can hide anything */
export function isOn(filter) {
  return wordsOf(filter).length > 0 || CHIPS.some((chip) => filter[chip]);
}

/** The words somebody looks for. @param {Filter} filter */
function wordsOf(filter) {
  return filter.text.toLowerCase().split(/\s+/).filter((word) => word !== "");
}

/**
 * @param {UnitView} unit
 * @param {Facts} facts
 * @param {Filter} filter
 * @param {string[]} words
 * @returns {boolean} whether a unit is shown
 */
function passes(unit, facts, filter, words) {
  if (filter.call && facts.call === null) return false;
  if (filter.quiet && !facts.silent && !facts.dark) return false;
  if (filter.held && !facts.held) return false;
  if (words.length === 0) return true;
  const text = [unit.unit, unit.profile?.position ?? "", unit.profile?.group ?? ""].join("\n").toLowerCase();
  return words.every((word) => text.includes(word));
}

/**
 * @param {UnitView[]} units as sent, in any order
 * @param {(unit: UnitView) => Facts} factsOf
 * @param {Filter} filter
 * @returns {{shown: Set<string>, hidden: Hidden}}
 */
export function sift(units, factsOf, filter) {
  /** @type {Set<string>} */
  const shown = new Set();
  const hidden = { count: 0, calls: 0, dark: 0, silent: 0 };
  if (!isOn(filter)) return { shown: new Set(units.map(({ unit }) => unit)), hidden };
  const words = wordsOf(filter);
  for (const unit of units) {
    const facts = factsOf(unit);
    if (passes(unit, facts, filter, words)) {
      shown.add(unit.unit);
    } else {
      hidden.count += 1;
      hidden.calls += Number(facts.call !== null);
      hidden.dark += Number(facts.dark);
      hidden.silent += Number(facts.silent && !facts.dark);
    }
  }
  return { shown, hidden };
}
