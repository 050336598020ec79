/**
 * The words of the pool, in English.
 * @module words-pool-en
 */

import { duration } from "./words-en.js";

/** @param {number} bytes decimal, as cards are sold */
const size = (bytes) => `${Math.round(bytes / 1e9)} GB`;

const percents = (/** @type {number} */ value) => `${Math.round(value)} %`;

/** Packs and cards, and where they are. */
export const pool = {
  button: "Pool",
  heading: "Pool: packs and cards",
  keys: [["b", "pool: packs and cards. In it every letter goes to the label, as from a scanner"]],
  label: "Label: scan or type",
  find: "Find",
  placeholder: "such as P07",
  asking: "Asking the hub …",
  unreachable: "The hub did not answer; what stands here may be old.",
  /** @type {(detail: string) => string} */
  noList: (detail) => `The lists cannot be shown: ${detail}`,
  lookOnly: "To look at: this role moves nothing.",
  counts: {
    /** @type {(count: number) => string} */
    packs: (count) => `${count} ${count === 1 ? "pack" : "packs"} ready`,
    /** @type {(count: number) => string} */
    cards: (count) => `${count} ${count === 1 ? "card" : "cards"} blank`,
    /** @type {(count: number) => string} */
    risks: (count) => `${count} at risk`,
    /** @type {(count: number) => string} */
    unsafe: (count) => `${count} with footage not safe`,
  },
  packs: "Packs",
  cards: "Cards",
  noPacks: "No packs are known. Type the label of one and press Enter.",
  noCards: "No cards are known. Type the label of one and press Enter.",
  noneFits: "None fits what is typed.",
  /** @type {(name: string, count: number) => string} */
  group: (name, count) => `${name}: ${count}`,
  places: { ready: "Ready", bay: "Charging", spent: "Spent", unit: "On units", out_of_service: "Out of use" },
  states: { blank: "Blank", in_slot: "In slots", holding_footage: "Holding footage", copying: "Copying", safe: "Safe", out_of_service: "Out of use" },
  /** @type {(unit: string) => string} */
  onUnit: (unit) => `on ${unit}`,
  /** @type {(bay: string) => string} */
  inBay: (bay) => `in bay ${bay}`,
  /** @type {(unit: string, slot: string) => string} */
  inSlot: (unit, slot) => `in ${unit} ${slot}`,
  /** @type {(percent: number) => string} */
  percent: percents,
  /** @type {(percent: number, age: string) => string} */
  percentThen: (percent, age) => `${percents(percent)} (${age} ago)`,
  /** @type {(wattHours: number) => string} */
  wattHours: (wattHours) => `${wattHours} Wh`,
  /** @type {(bytes: number) => string} */
  size,
  /** @type {(percent: number) => string} */
  used: (percent) => `${percents(percent)} full`,
  /** @type {(call: number) => string} */
  call: (call) => `asked for by call ${call}`,
  /** @type {(clock: string, low: string, high: string) => string} */
  readyAt: (clock, low, high) => `ready about ${clock} (${low}–${high})`,
  readyNow: "should be full",
  /** @type {(percent: number, bay: string) => string} */
  progress: (percent, bay) => `${percents(percent)} in bay ${bay}`,
  /** @type {(cycles: number) => string} */
  cycles: (cycles) => `${cycles} ${cycles === 1 ? "discharge" : "discharges"} seen`,
  /** @type {(percent: number) => string} */
  usable: (percent) => `gives ${percents(percent)} of what its kind gives`,
  /** @type {(weak: Pick<import("swapcall-wire").WeakPack, "evidence"|"minutes"|"kind_minutes"|"discharges">) => string} */
  weak: ({ evidence }) => `WEAK: ${evidence}`,
  /** @type {(verified: number, wanted: number) => string} */
  copies: (verified, wanted) => (verified === 0 ? `not copied (${wanted} wanted)` : `${verified} of ${wanted} copies verified`),
  /** @type {(place: string, verified: boolean, algorithm: string, files: number, bytes: number, age: string, who: string) => string} */
  copy: (place, verified, algorithm, files, bytes, age, who) =>
    `${place}: ${verified ? `verified (${algorithm})` : "NOT VERIFIED"}, ${files} ${files === 1 ? "file" : "files"}, ${size(bytes)}, ${age} ago${who === "" ? "" : `, ${who}`}`,
  /** @type {(card: string, copies: string) => string} */
  twin: (card, copies) => `twin of ${card}, recorded at the same time; ${card} is ${copies}`,
  /** @type {(card: string) => string} */
  twinUnknown: (card) => `twin of ${card}, recorded at the same time`,
  risk: "AT RISK",
  /** @type {(age: string, who: string) => string} */
  said: (age, who) => `${age}, said ${who}`,
  /** @type {(age: string) => string} */
  seen: (age) => `${age}, from a report`,
  /** @type {(label: string) => string} */
  pack: (label) => `Pack ${label}`,
  /** @type {(label: string) => string} */
  card: (label) => `Card ${label}`,
  /** @type {(label: string) => string} */
  both: (label) => `${label} is a pack and a card: which one?`,
  /** @type {(label: string) => string} */
  unknown: (label) => `${label} is not in the pool. What is it?`,
  newPack: "A pack, ready",
  newCard: "A card, blank",
  whereNow: "Where is it now?",
  move: {
    ready: "Ready",
    bay: "In bay",
    spent: "Spent",
    unit: "On unit",
    blank: "Blank",
    in_slot: "In slot",
    holding_footage: "Holds footage",
    copying: "Copying",
    safe: "Safe",
    out_of_service: "Out of use",
  },
  bay: "Bay",
  whichBay: "Which bay? Press it, or scan or type its label.",
  unit: "Unit",
  slot: "Slot",
  needBay: "Type or scan the bay first.",
  needUnit: "Choose the unit first.",
  /** @type {(what: string, where: string) => string} */
  moved: (what, where) => `${what}: ${where}`,
  /** @type {(what: string, where: string) => string} */
  takenBack: (what, where) => `Taken back. ${what}: ${where}.`,
  /** @type {(what: string) => string} */
  movedSince: (what) => `${what} was moved again meanwhile: nothing was taken back.`,
  noAnswer: "No answer came. Look where it stands when the hub is back, then press again.",
  /** @type {(what: string, detail: string) => string} */
  refused: (what, detail) => `${what}: not moved. ${detail}`,
  /** @type {(card: string) => string} */
  holds: (card) => `${card} may hold the only footage of something. Copy it first (swapcall offload), then it becomes safe, then blank.`,
  /** @type {(facts: string) => string} */
  wouldGo: (facts) => `What would go: ${facts}.`,
  /** @type {(card: string, copies: string) => string} */
  tooSeldom: (card, copies) => `${card}: ${copies}. Copy it again (swapcall offload); then it becomes safe by itself.`,
  /** @type {(card: string, copies: string) => string} */
  safeAllTheSame: (card, copies) => `Safe all the same: ${card}, ${copies}`,
  /** @type {(text: string) => string} */
  forgotten: (text) => `${text} What was known of its copies is gone.`,
  unknownFill: "nobody knows how full it is",
  /** @type {(card: string, facts: string) => string} */
  goesAllTheSame: (card, facts) => `May go all the same: ${card}, ${facts}`,
  keep: "Keep it",
  chargeCaution: "Not below 0 °C. Swollen, dropped or hot: out of use, not into a bay.",
  carryCaution: "Cover the terminals. By air up to 100 Wh; to 160 Wh only if the airline agrees; more not at all.",
  lawCaution: "Local codes, the maker's instructions and licensed practice come first.",
  help: [
    ["Packs", "No charging below 0 °C. Swollen, dropped, wet or hot: out of use, away from people. Terminals covered when carried or stored."],
    ["100 / 160 Wh", "By air in the cabin: up to 100 Wh; over 100 to 160 Wh only if the airline agrees; more not at all. Never in checked baggage."],
    ["First", "Local codes, the maker's instructions and licensed practice come first."],
  ],
  phone: "Packs and cards: where is it now?",
  phoneHeading: "Where is it now?",
  phoneEmpty: "Scan or type the label of a pack or card.",
  phoneOld: "HUB LOST: the list is old. Presses are kept and sent later.",
  phoneUnknownList: "HUB LOST: without its list nobody can tell packs from cards here.",
  needsHub: "Letting footage go needs the hub: it is lost.",
  /** @type {(label: string, where: string) => string} */
  pressed: (label, where) => `${label}: ${where}`,
  /** @type {(label: string, where: string) => string} */
  kept: (label, where) => `NOT SENT YET. ${label}: ${where}`,
  /** @type {(length: string) => string} */
  age: (length) => `for ${length}`,
  /** @type {(ms: number) => string} */
  duration,
};
