/**
 * The kit sum before a show, worked out without touching page or hub: from what stands in the form to the hub's question,
 * and from its answer to what is said.
 * @module kitmodel
 */

import { readNumber } from "./forms.js";
import { kit as words } from "./panelwords.js";

/** @import { KitAnswer, KitNeeds, KitQuestion, KitRound, KitUnitsView } from "swapcall-wire" */
/** @import { FieldPlan } from "./forms.js" */

/** As many kinds as a form can still be looked over with. */
export const KINDS_MAX = 6;

/** Numbers beside the units, as `part_member`; the part alone is the show. */
const SHOW = /** @type {const} */ (["hours", "celsius", "spread_percent", "handling_min"]);
const PARTS = {
  packs: ["count", "nominal_wh", "usable_percent"],
  bays: ["count", "charge_min"],
  cards: ["count", "capacity_gb", "speed_class"],
  readers: ["count", "mb_per_s"],
};
const KIND = /** @type {const} */ (["name", "count", "pack_min", "recording_w", "standby_w", "recording_percent", "bit_rate_mbps", "slot_mode", "slot_family"]);

/** What is a text, or chosen from a list. */
const TEXTS = ["name", "speed_class", "slot_mode", "slot_family"];

/** What no question can do without, by the last part of its name. */
const NEEDED = ["hours", "name", "count", "charge_min", "capacity_gb", "mb_per_s"];

/** What stands in the form at first. @type {Record<string, string>} */
export const AT_FIRST = { hours: "8", handling_min: "5", spread_percent: "10", packs_usable_percent: "85", units_0_recording_percent: "100", units_0_slot_mode: "relay" };

/** @param {number} kinds how many kinds of units @returns {FieldPlan[]} */
export function planFor(kinds) {
  const label = (/** @type {string} */ name) => words.fields[/** @type {keyof typeof words.fields} */ (name)];
  /** @type {(name: string, labelled: string) => FieldPlan} */
  const field = (name, labelled) => {
    if (labelled === "slot_mode") return { name, label: label(labelled), kind: "choice", choices: Object.entries(words.slotModes) };
    if (labelled === "slot_family") return { name, label: label(labelled), kind: "choice", choices: Object.entries(words.families) };
    return { name, label: label(labelled), kind: TEXTS.some((text) => labelled.endsWith(text)) ? "text" : "number" };
  };
  const units = Array.from({ length: kinds }, (_, index) => KIND.map((member) => field(`units_${index}_${member}`, member)));
  const parts = Object.entries(PARTS).flatMap(([part, members]) => members.map((member) => field(`${part}_${member}`, `${part}_${member}`)));
  return [...SHOW.map((name) => field(name, name)), ...units.flat(), ...parts];
}

/** The field that a JSON Pointer of the question stands for. @param {string} pointer */
export const fieldOf = (pointer) => pointer.slice(1).replaceAll("/", "_");

/**
 * Reads some members; what is empty is left out.
 * @param {Record<string, string>} values of the form
 * @param {string} prefix of the fields
 * @param {readonly string[]} members
 * @param {Record<string, string>} wrong gathers what is wrong, by field
 */
function read(values, prefix, members, wrong) {
  /** @type {Record<string, string|number>} */
  const found = {};
  for (const member of members) {
    const text = (values[prefix + member] ?? "").trim();
    const value = TEXTS.includes(member) ? text || null : readNumber(text);
    if (value === undefined) wrong[prefix + member] = words.noNumber;
    else if (value !== null) found[member] = value;
  }
  return found;
}

/**
 * @param {Record<string, string>} values what stands in the form
 * @param {number} kinds how many kinds of units it has
 * @returns {{question: KitQuestion, wrong: Record<string, string>}} the question, and by field what is wrong with it
 */
export function questionOf(values, kinds) {
  /** @type {Record<string, string>} */
  const wrong = {};
  /** @type {(prefix: string, found: object) => void} */
  const need = (prefix, found) => {
    for (const member of NEEDED) {
      const name = prefix + member;
      if (name in values && !(member in found) && wrong[name] === undefined) wrong[name] = words.needed;
    }
  };
  const show = read(values, "", SHOW, wrong);
  if (!("hours" in show)) wrong.hours ??= words.needed;
  const units = Array.from({ length: kinds }, (_, index) => {
    const unit = read(values, `units_${index}_`, KIND, wrong);
    need(`units_${index}_`, unit);
    return unit;
  });
  /** @type {Record<string, object>} */
  const parts = {};
  for (const [part, members] of Object.entries(PARTS)) {
    const found = read(values, `${part}_`, members, wrong);
    // What somebody filled in half is a question that is not finished; the share of a pack stands there from the start.
    const begun = Object.keys(found).some((member) => member !== "usable_percent");
    if (!begun) continue;
    need(`${part}_`, found);
    parts[part] = found;
  }
  const question = /** @type {KitQuestion} */ (/** @type {unknown} */ ({ ...show, units, ...parts }));
  return { question, wrong };
}

/** @param {number} minutes @returns {string} as a crew says it */
export function lengthOf(minutes) {
  const whole = Math.floor(minutes);
  return words.length(Math.floor(whole / 60), whole % 60);
}

/**
 * @typedef {object} RoundSaid packs or cards, as they are told
 * @property {string} title
 * @property {boolean} lasts
 * @property {string[]} lines how it stands, and how sure that is
 * @property {string[]} cures
 * @property {string} rule
 */

/**
 * @param {"power"|"media"} which
 * @param {KitRound} round
 * @returns {RoundSaid}
 */
export function roundSaid(which, round) {
  const pieces = words.pieces[which];
  const places = words.places[which];
  const both = (/** @type {KitNeeds} */ needs) => `${pieces(needs.pieces)}, ${places(needs.places)}`;
  const percent = (/** @type {number} */ share) => Math.round(share * 1000) / 10;
  const asked = pieces(round.given.pieces - round.spare);
  const how = round.rule === "endless" ? words.endless : words.enough;
  const stands = round.lasts ? `${how}; ${words.spare(pieces(round.spare))}` : words.short(pieces(-round.spare));
  const lines = [`${both(round.given)}: ${stands}.`];
  if (round.plays > 1) lines.push(words.chance(percent(round.chance), round.plays, percent(round.chance_low), percent(round.chance_high)));
  if (round.bears_percent) lines.push(words.bears[which](round.bears_percent));
  if (!round.all_tried) lines.push(words.notAllTried);
  const cures = round.cures.map(({ pieces: some, places: others }) =>
    words.cure([...(some > 0 ? [pieces(some)] : []), ...(others > 0 ? [places(others)] : [])]),
  );
  return { title: words.titles[which], lasts: round.lasts, lines, cures, rule: words.rules[round.rule](both(round.given), asked, both(round.bound), both(round.endless)) };
}

/**
 * @param {KitUnitsView} unit one kind
 * @returns {{title: string, lines: string[]}}
 */
export function kindSaid({ name, count, pack_min: pack, card_min: card, media }) {
  const lines = [];
  if (pack) lines.push(words.packRuns(lengthOf(pack)));
  if (card) lines.push(words.cardLasts(lengthOf(card)));
  if (media) {
    lines.push(words.rate(media.bit_rate_mbps, media.mb_per_s, media.show_gb));
    for (const size of media.sizes) lines.push(words.size(size.capacity_gb, size.minutes.toFixed(1), size.planned_min.toFixed(1)));
    if (media.class) lines.push(words.classes[media.class.fitness](media.class.label, media.class.mb_per_s));
    const labels = (/** @type {{label: string}[]} */ classes) => classes.map(({ label }) => label).join(words.or) || words.noClass;
    lines.push(words.slowest(labels(media.allowed), labels(media.advised)));
  }
  return { title: words.kind(name, count), lines };
}

/**
 * @param {KitAnswer} answer
 * @returns {{verdict: string, first: string}} whether it lasts, and what fails first
 */
export function verdictSaid({ lasts, hours, first, power, media }) {
  if (lasts && !power && !media) return { verdict: words.nothing, first: "" };
  const verdict = lasts ? words.lasts(hours) : words.fails(hours);
  if (!first) return { verdict, first: "" };
  const when = words.first[first.what](first.unit, lengthOf(first.at_min));
  const earlier = first.earliest_min < first.at_min ? `; ${words.earliest(lengthOf(first.earliest_min))}` : "";
  return { verdict, first: `${when}${earlier}.` };
}

/** @param {KitAnswer} answer @returns {string[]} what to mind; what this screen has no words for, as the hub says it */
export const cautionsSaid = ({ cautions }) => cautions.map(({ code, text }) => words.cautions[code] ?? text);
