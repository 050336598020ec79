/**
 * The words of the kit sum before a show, in German. Fetched with its panel.
 * @module words-kit-de
 */

const counted = (/** @type {number} */ count, /** @type {string} */ one, /** @type {string} */ many) => `${count} ${count === 1 ? one : many}`;
const comma = (/** @type {number|string} */ value) => String(value).replace(".", ",");
const packs = (/** @type {number} */ count) => counted(count, "Akku", "Akkus");
const bays = (/** @type {number} */ count) => counted(count, "Ladeplatz", "Ladeplätze");
const cards = (/** @type {number} */ count) => counted(count, "Karte", "Karten");
const readers = (/** @type {number} */ count) => counted(count, "Leser", "Leser");
const more = (/** @type {string} */ text) => `${text} mehr`;

export const kit = {
  button: "Material",
  heading: "Reicht das Material für die Show?",
  hint: "Nichts davon wird aufgehoben oder ändert den Hub. Was keine Rolle spielt, bleibt leer.",
  send: "Reicht es?",
  addKind: "Noch eine Art Einheiten",
  dropKind: "Letzte Art wegnehmen",
  noNumber: "Das ist keine Zahl.",
  needed: "Das wird gebraucht.",
  slotModes: { relay: "Staffel: eine nach der anderen", simultaneous: "dasselbe auf beide Karten", single: "eine Karte" },
  families: { "": "alle", sdhc: "bis SDHC", sdxc: "bis SDXC", sduc: "bis SDUC" },
  fields: {
    hours: "Show: wie viele Stunden",
    celsius: "Temperatur an den Kameras, °C",
    spread_percent: "Zeiten schwanken um, %",
    handling_min: "Von der Einheit zur Basis, min",
    packs_count: "Akkus: wie viele",
    packs_nominal_wh: "Ein Akku fasst, Wh",
    packs_usable_percent: "Davon nutzbar, %",
    bays_count: "Ladeplätze",
    bays_charge_min: "Leer bis voll, min",
    cards_count: "Karten: wie viele",
    cards_capacity_gb: "Eine Karte fasst, GB",
    cards_speed_class: "Klasse darauf, etwa V60",
    readers_count: "Kartenleser",
    readers_mb_per_s: "Einer kopiert, MB/s",
    name: "Einheiten: wie diese Art heißt",
    count: "Wie viele",
    pack_min: "Ein Akku reicht, min",
    recording_w: "… oder zieht bei Aufnahme, W",
    standby_w: "… und in Bereitschaft, W",
    recording_percent: "Nimmt auf, % der Zeit",
    bit_rate_mbps: "Bitrate, Mb/s",
    slot_mode: "Kartenfächer",
    slot_family: "Fächer nehmen",
  },
  /** @type {(hours: number) => string} */
  lasts: (hours) => `REICHT: ${comma(hours)} h`,
  /** @type {(hours: number) => string} */
  fails: (hours) => `REICHT NICHT: ${comma(hours)} h`,
  nothing: "Nichts zu rechnen: sagen, was an Akkus oder Karten da ist und was die Einheiten ziehen oder aufnehmen.",
  /** @type {Record<string, (unit: string, at: string) => string>} */
  first: {
    packs: (unit, at) => `Zuerst fehlt: ein Akku für ${unit}, nach ${at}`,
    cards: (unit, at) => `Zuerst fehlt: eine Karte für ${unit}, nach ${at}`,
    speed: (unit, at) => `Zuerst fehlt: Tempo, die Karten sind zu langsam für ${unit}, ab ${at}`,
  },
  /** @type {(at: string) => string} */
  earliest: (at) => `in der schlechtesten Show nach ${at}`,
  titles: { power: "Akkus", media: "Karten" },
  /** @type {(hours: number, minutes: number) => string} */
  length: (hours, minutes) => (hours === 0 ? `${minutes} min` : `${hours} h ${String(minutes).padStart(2, "0")} min`),
  pieces: { power: packs, media: cards },
  places: { power: bays, media: readers },
  /** @type {(parts: string[]) => string} */
  cure: (parts) => parts.map(more).join(" und "),
  mended: "Was hilft",
  /** @type {(pieces: string) => string} */
  short: (pieces) => `es fehlen ${pieces}`,
  /** @type {(pieces: string) => string} */
  spare: (pieces) => `${pieces} übrig`,
  endless: "endlos, wie auch immer die Anfänge liegen",
  enough: "genug für diese Show",
  /** @type {(percent: number, plays: number, low: number, high: number) => string} */
  chance: (percent, plays, low, high) => `Reicht in ${comma(percent)} % von ${plays} durchgespielten Shows; mit 95 % Sicherheit ${comma(low)} bis ${comma(high)} %. Verlangt sind 95 %.`,
  bears: {
    power: (/** @type {number} */ percent) => `Reicht auch, wenn alle Akkus ${percent} % kürzer halten.`,
    media: (/** @type {number} */ percent) => `Reicht auch, wenn alle Karten ${percent} % früher voll sind.`,
  },
  notAllTried: "Mehr zu versuchen war zu viel: vielleicht geht es mit weniger.",
  rule: "Regel",
  /** @type {Record<string, (given: string, asked: string, bound: string, endless: string) => string>} */
  rules: {
    endless: (given, asked, bound, endless) =>
      `Formel je Einheit: 1 + (Laden oder Kopieren + Weg) / Laufzeit, und Laden oder Kopieren / Laufzeit, je aufgerundet: ${endless}. Da sind ${given}; die Show verlangt ${asked}, das Gesetz von Little ${bound}.`,
    once: (given, asked, bound, endless) =>
      `Formel: Show / Laufzeit, aufgerundet, über alle Einheiten addiert; nichts muss zurückkommen. Da sind ${given}; die Show verlangt ${asked}. Ohne Ende: mindestens ${bound} (eine Schranke), ${endless}, wie auch immer die Anfänge liegen.`,
    played: (given, asked, bound, endless) =>
      `Wechsel für Wechsel durchgespielt, alle Einheiten beginnen zugleich, das ist der schwerere Fall. Da sind ${given}; die Show verlangt ${asked}. Eine Schranke für Shows ohne Ende (Gesetz von Little; genug nur bei versetzten Anfängen): ${bound}. Wie auch immer die Anfänge liegen: ${endless}.`,
  },
  /** @type {(name: string, count: number) => string} */
  kind: (name, count) => `${name} (${count})`,
  /** @type {(length: string) => string} */
  packRuns: (length) => `Ein Akku hält ${length}.`,
  /** @type {(length: string) => string} */
  cardLasts: (length) => `Eine Karte hält ${length}, Pausen der Aufnahme eingerechnet.`,
  /** @type {(rate: number, bytes: number, show: number) => string} */
  rate: (rate, bytes, show) => `${comma(rate)} Mb/s sind ${comma(bytes)} MB/s, ${comma(show)} GB in der Show.`,
  /** @type {(size: number, minutes: string, planned: string) => string} */
  size: (size, minutes, planned) => `${size} GB: gerechnet ${comma(minutes)} min, zum Planen ${comma(planned)} min (neun Zehntel, eine Faustregel)`,
  /** @type {Record<string, (label: string, bytes: number) => string>} */
  classes: {
    enough: (label, bytes) => `${label} hält ${bytes} MB/s: schnell genug.`,
    tight: (label, bytes) => `${label} hält ${bytes} MB/s: nach der Zahl erlaubt, nicht zu empfehlen: höchstens ein Fünftel Reserve.`,
    too_slow: (label, bytes) => `${label} hält ${bytes} MB/s: ZU LANGSAM, Aufnahmen brechen ab.`,
  },
  /** @type {(allowed: string, advised: string) => string} */
  slowest: (allowed, advised) => `Langsamste Klasse nach der Zahl: ${allowed}; mit Reserve (über 1,2, eine Faustregel): ${advised}.`,
  or: " oder ",
  noClass: "keine",
  mind: "Zu beachten",
  /** @type {Record<string, string>} */
  cautions: {
    packs_not_said: "Von Akkus ist nichts gesagt, also ist der Strom nicht gerechnet.",
    cards_not_said: "Von Karten ist nichts gesagt, also sind sie nicht gerechnet.",
    not_endless: "Reicht für diese Show, wenn jeder Wechsel gleich geschieht; endlos ist es nach der Formel nicht.",
    single_stops: "Eine Einheit mit einer Karte nimmt nicht auf, während sie gewechselt wird.",
    slots_not_filled: "Weniger Karten als Fächer: nicht in jedem zweiten Fach liegt am Anfang eine.",
    no_headroom: "Die Karten sind nach der Zahl schnell genug, ohne Reserve: die nächste Klasse nehmen.",
    cold_is_example: "Was ein Akku in der Kälte gibt, stammt aus dem Datenblatt eines Herstellers: die eigenen ausprobieren.",
    no_charging_in_frost: "Lithium-Akkus nie unter 0 °C laden: erst aufwärmen, drinnen laden.",
    airline_must_agree: "Akkus über 100 bis 160 Wh: in der Kabine, zwei Ersatzakkus je Person, mit Zusage der Fluglinie (übliche Grenzen der Luftfahrt).",
    not_with_passenger: "Akkus über 160 Wh fliegen nicht mit Passagieren (übliche Grenzen der Luftfahrt).",
    damaged_packs: "Geblähte, gefallene oder nasse Akkus bleiben außer Gebrauch; Kontakte abdecken.",
    codes_come_first: "Örtliche Vorschriften, die Anleitung des Herstellers und Fachleute gehen vor.",
  },
};
