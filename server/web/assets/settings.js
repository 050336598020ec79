/**
 * What this device remembers: light, order, length of the axis; for the runner's page loudness, vibration and hand. The ops
 * screen does not keep its sound: it starts switched off.
 * @module settings
 */

const KEY = "swapcall.screen";

/**
 * @typedef {object} Settings
 * @property {"auto"|"light"|"dark"} theme
 * @property {"soonest"|"callsign"|"position"} sort
 * @property {number} spanMin
 * @property {"mute"|"quiet"|"middle"|"loud"} volume
 * @property {"on"|"off"} buzz whether the phone vibrates
 * @property {"right"|"left"} hand that holds the phone
 */

const CHOICES = {
  theme: ["auto", "light", "dark"],
  sort: ["soonest", "callsign", "position"],
  spanMin: [20, 60, 120, 240],
  volume: ["mute", "quiet", "middle", "loud"],
  buzz: ["on", "off"],
  hand: ["right", "left"],
};

/** @returns {Settings} what was kept, or what suits at first; anything unknown is left out */
export function readSettings() {
  const settings = { theme: "auto", sort: "soonest", spanMin: 60, volume: "loud", buzz: "on", hand: "right" };
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
