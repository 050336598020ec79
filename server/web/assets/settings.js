/**
 * What this device remembers: light, order, length of the axis, language, and how loud it calls. At first it is muted.
 * @module settings
 */

import { WHOLE_SHOW } from "./span.js";

const KEY = "swapcall.screen";

/**
 * @typedef {object} Settings
 * @property {"auto"|"light"|"dark"} theme
 * @property {import("./rowmodel.js").Sort} sort
 * @property {number|"show"} spanMin length of the axis in minutes, or the whole show
 * @property {"auto"|Language} language `auto` is what the browser asks for
 * @property {boolean} muted
 * @property {1|2|3} volume
 * @property {"on"|"off"} buzz whether the phone vibrates
 * @property {"right"|"left"} hand that holds the phone
 */

/** @typedef {"en"|"de"} Language a language that these screens speak */

/** @type {{[Name in keyof Settings]: Settings[Name][]}} */
const CHOICES = {
  theme: ["auto", "light", "dark"],
  sort: ["soonest", "callsign", "position", "group"],
  spanMin: [20, 60, 120, 240, WHOLE_SHOW],
  language: ["auto", "en", "de"],
  muted: [true, false],
  volume: [1, 2, 3],
  buzz: ["on", "off"],
  hand: ["right", "left"],
};

/** @returns {Settings} what was kept, or what suits at first; anything unknown is left out */
export function readSettings() {
  /** @type {Settings} */
  const settings = { theme: "auto", sort: "soonest", spanMin: 60, language: "auto", muted: true, volume: 2, buzz: "on", hand: "right" };
  return { ...settings, ...known(keptBefore()) };
}

/** @returns {any} what an earlier visit left here, by whatever version of this screen */
function keptBefore() {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? "{}") ?? {};
  } catch {
    // A browser that keeps nothing is no reason to show nothing.
    return {};
  }
}

/**
 * @param {any} kept
 * @returns {Partial<Settings>} those that this version of the screen offers
 */
function known(kept) {
  const offered = Object.entries(CHOICES).filter(([name, choices]) => choices.some((choice) => choice === kept[name]));
  return Object.fromEntries(offered.map(([name]) => [name, kept[name]]));
}

/** @param {Settings} settings kept for the next visit, where the browser allows it */
export function keepSettings(settings) {
  try {
    localStorage.setItem(KEY, JSON.stringify(settings));
  } catch {
    // See above.
  }
}

/** @param {number} index @returns {Settings["spanMin"]} the n-th length of the axis, counted from 0 */
export const spanAt = (index) => CHOICES.spanMin[index];

/**
 * @template {keyof Settings} Name
 * @param {Name} name
 * @param {Settings[Name]} value as it is
 * @param {number} [step] how many places on; stops at the ends for the axis, goes round for the others
 * @returns {Settings[Name]}
 */
export function nextChoice(name, value, step = 1) {
  const choices = CHOICES[name];
  const index = choices.indexOf(value) + step;
  if (name === "spanMin") return choices[Math.min(choices.length - 1, Math.max(0, index))];
  return choices[(index + choices.length) % choices.length];
}

/**
 * The language to speak: the one chosen on this device, else the first that the browser asks for and we speak.
 * @param {Settings["language"]} chosen
 * @param {readonly string[]} wanted language tags, the most wanted first
 * @returns {Language}
 */
export function pickLanguage(chosen, wanted) {
  if (chosen !== "auto") return chosen;
  for (const tag of wanted) {
    const [primary] = tag.toLowerCase().split("-");
    if (primary === "en" || primary === "de") return primary;
  }
  return "en";
}
