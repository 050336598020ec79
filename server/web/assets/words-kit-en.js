/**
 * The words of the kit sum before a show, in English. Fetched with its panel, because nobody needs them to see the board.
 * @module words-kit-en
 */

const counted = (/** @type {number} */ count, /** @type {string} */ one, /** @type {string} */ many) => `${count} ${count === 1 ? one : many}`;
const packs = (/** @type {number} */ count) => counted(count, "pack", "packs");
const bays = (/** @type {number} */ count) => counted(count, "bay", "bays");
const cards = (/** @type {number} */ count) => counted(count, "card", "cards");
const readers = (/** @type {number} */ count) => counted(count, "reader", "readers");
const more = (/** @type {string} */ text) => text.replace(" ", " more ");

export const kit = {
  button: "Kit sum",
  heading: "Kit sum before a show",
  hint: "Nothing of this is kept or changes the hub. Leave empty what does not matter.",
  send: "Does it last?",
  addKind: "Another kind of units",
  dropKind: "Take the last kind away",
  noNumber: "This is not a number.",
  needed: "This is needed.",
  slotModes: { relay: "relay: one after the other", simultaneous: "the same on both cards", single: "one card" },
  families: { "": "any", sdhc: "up to SDHC", sdxc: "up to SDXC", sduc: "up to SDUC" },
  fields: {
    hours: "Show: how many hours",
    celsius: "Temperature at the cameras, °C",
    spread_percent: "Times vary by, %",
    handling_min: "From a unit to base, min",
    packs_count: "Packs: how many",
    packs_nominal_wh: "A pack holds, Wh",
    packs_usable_percent: "Of that usable, %",
    bays_count: "Charger bays",
    bays_charge_min: "Empty to full, min",
    cards_count: "Cards: how many",
    cards_capacity_gb: "A card holds, GB",
    cards_speed_class: "Class on it, such as V60",
    readers_count: "Card readers",
    readers_mb_per_s: "One copies, MB/s",
    name: "Units: what you call this kind",
    count: "How many",
    pack_min: "A pack runs one, min",
    recording_w: "… or draws recording, W",
    standby_w: "… and in standby, W",
    recording_percent: "Records of the time, %",
    bit_rate_mbps: "Bit rate, Mb/s",
    slot_mode: "Card slots",
    slot_family: "Slots take",
  },
  /** @type {(hours: number) => string} */
  lasts: (hours) => `LASTS: ${hours} h`,
  /** @type {(hours: number) => string} */
  fails: (hours) => `DOES NOT LAST: ${hours} h`,
  nothing: "Nothing to sum: say what there is of packs or cards, and what the units draw or record.",
  /** @type {Record<string, (unit: string, at: string) => string>} */
  first: {
    packs: (unit, at) => `First to fail: no pack for ${unit}, after ${at}`,
    cards: (unit, at) => `First to fail: no card for ${unit}, after ${at}`,
    speed: (unit, at) => `First to fail: the cards are too slow for ${unit}, from ${at} on`,
  },
  /** @type {(at: string) => string} */
  earliest: (at) => `in the worst show after ${at}`,
  titles: { power: "Packs", media: "Cards" },
  /** @type {(hours: number, minutes: number) => string} */
  length: (hours, minutes) => (hours === 0 ? `${minutes} min` : `${hours} h ${String(minutes).padStart(2, "0")} min`),
  pieces: { power: packs, media: cards },
  places: { power: bays, media: readers },
  /** @type {(parts: string[]) => string} */
  cure: (parts) => parts.map(more).join(" and "),
  mended: "What mends it",
  /** @type {(pieces: string) => string} */
  short: (pieces) => `short by ${pieces}`,
  /** @type {(pieces: string) => string} */
  spare: (pieces) => `${pieces} to spare`,
  endless: "endless, however the starts lie",
  enough: "enough for this show",
  /** @type {(percent: number, plays: number, low: number, high: number) => string} */
  chance: (percent, plays, low, high) => `Lasts in ${percent} % of ${plays} shows played; with 95 % confidence ${low} to ${high} %. 95 % are asked for.`,
  bears: {
    power: (/** @type {number} */ percent) => `Still lasts when all packs run ${percent} % shorter.`,
    media: (/** @type {number} */ percent) => `Still lasts when all cards fill ${percent} % sooner.`,
  },
  notAllTried: "More was too much to try: there may be a smaller way.",
  rule: "Rule",
  /** @type {Record<string, (given: string, asked: string, bound: string, endless: string) => string>} */
  rules: {
    endless: (given, asked, bound, endless) =>
      `Closed form, for every unit: 1 + (charging or copying + handling) / running, and charging or copying / running, each rounded up: ${endless}. There are ${given}; the show asks for ${asked}, Little's law for ${bound}.`,
    once: (given, asked, bound, endless) =>
      `Closed form: the show / running, rounded up, added up over all units; none has to come back. There are ${given}; the show asks for ${asked}. Without end: at least ${bound} (a bound), ${endless} however the starts lie.`,
    played: (given, asked, bound, endless) =>
      `Played swap by swap, all units beginning together, the harder case. There are ${given}; the show asks for ${asked}. A bound for shows without end (Little's law; enough only for staggered starts): ${bound}. However the starts lie: ${endless}.`,
  },
  /** @type {(name: string, count: number) => string} */
  kind: (name, count) => `${name} (${count})`,
  /** @type {(length: string) => string} */
  packRuns: (length) => `A pack runs ${length}.`,
  /** @type {(length: string) => string} */
  cardLasts: (length) => `A card lasts ${length}, pauses in recording reckoned in.`,
  /** @type {(rate: number, bytes: number, show: number) => string} */
  rate: (rate, bytes, show) => `${rate} Mb/s are ${bytes} MB/s, ${show} GB in the show.`,
  /** @type {(size: number, minutes: string, planned: string) => string} */
  size: (size, minutes, planned) => `${size} GB: ${minutes} min by arithmetic, ${planned} min to plan with (nine tenths, a rule of thumb)`,
  /** @type {Record<string, (label: string, bytes: number) => string>} */
  classes: {
    enough: (label, bytes) => `${label} sustains ${bytes} MB/s: fast enough.`,
    tight: (label, bytes) => `${label} sustains ${bytes} MB/s: allowed by the number, not advised: no more than a fifth to spare.`,
    too_slow: (label, bytes) => `${label} sustains ${bytes} MB/s: TOO SLOW, recordings stop.`,
  },
  /** @type {(allowed: string, advised: string) => string} */
  slowest: (allowed, advised) => `Slowest class by the number: ${allowed}; with headroom (above 1.2, a rule of thumb): ${advised}.`,
  or: " or ",
  noClass: "none",
  mind: "Mind",
  /** @type {Record<string, string>} */
  cautions: {
    packs_not_said: "Nothing was said of packs, so power is not looked at.",
    cards_not_said: "Nothing was said of cards, so media are not looked at.",
    not_endless: "Lasts for this show, every swap made at once; it is not endless by the closed form.",
    single_stops: "A unit with one card does not record while it is changed.",
    slots_not_filled: "Fewer cards than the slots hold: not every second slot has a card at the beginning.",
    no_headroom: "Cards are fast enough by the number, without headroom: take the next class.",
    cold_is_example: "What a pack gives in the cold is one maker's data sheet: try your own packs.",
    no_charging_in_frost: "Never charge lithium packs below 0 °C: warm them up first, charge indoors.",
    airline_must_agree: "Packs above 100 Wh, up to 160 Wh: in the cabin, two spares each, with the airline's word (common aviation limits).",
    not_with_passenger: "Packs above 160 Wh do not fly with passengers (common aviation limits).",
    damaged_packs: "Swollen, dropped or wet packs stay out of use; keep terminals covered.",
    codes_come_first: "Local codes, the maker's instructions and licensed practice come first.",
  },
};
