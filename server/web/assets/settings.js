/**
 * What this device remembers: light, order, length of the axis. Sound is not kept: it starts switched off.
 * @module settings
 */

import { WHOLE_SHOW } from "./span.js";

const KEY = "swapcall.screen";

/** @typedef {{theme: "auto"|"light"|"dark", sort: import("./rowmodel.js").Sort, spanMin: number|"show"}} Settings */

const CHOICES = {
  theme: ["auto", "light", "dark"],
  sort: ["soonest", "callsign", "position", "group"],
  spanMin: [20, 60, 120, 240, WHOLE_SHOW],
};

/** @returns {Settings} what was kept, or what suits at first; anything unknown is left out */
export function readSettings() {
  const settings = { theme: "auto", sort: "soonest", spanMin: 60 };
  let kept = {};
  try {
    kept = JSON.parse(localStorage.getItem(KEY) ?? "{}") ?? {};
  } catch {
    // A browser that keeps nothing is no reason to show nothing.
  }
  for (const [name, choices] of Object.entries(CHOICES)) {
    if (choices.includes(kept[name])) settings[name] = kept[name];
  }
  return settings;
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
