/**
 * The words of the pool and of cards at risk, in German. Handed on by `words-de.js`.
 * @module words-pool-de
 */

import { duration } from "./words-de.js";

const size = (/** @type {number} */ bytes) => `${Math.round(bytes / 1e9)} GB`;

const percents = (/** @type {number} */ value) => `${Math.round(value)} %`;

/**
 * A card at risk.
 * @type {typeof import("./words-pool-en.js").risk}
 */
export const risk = {
  heading: (count) => (count === 1 ? "KARTE IN GEFAHR" : `${count} KARTEN IN GEFAHR`),
  where: (card, unit, slot) => `${card} in ${unit} ${slot}`,
  also: (unit, slot) => `und in ${unit} ${slot}`,
  kinds: {
    footage_in_slot: "Material, das noch nicht kopiert ist, steckt wieder in einer Kamera und kann überschrieben werden.",
    fill_dropped: "Auf ihr wurde Material gelöscht, bevor es kopiert war.",
    two_units: "Zwei Schächte zeigen eine Karte mit diesem Etikett: eine davon ist eine andere.",
  },
  full: (percent) => `sie war ${percents(percent)} voll`,
  copies: (verified, wanted) => (verified === 0 ? `NICHT KOPIERT (${wanted} gewünscht)` : `${verified} von ${wanted} Kopien geprüft`),
  twin: (card, copies) => `ihr Zwilling ${card}: ${copies}`,
  noTwin: "kein Zwilling",
  since: (clock, age) => `seit ${clock}, ${age}`,
  todo: {
    footage_in_slot: (card, unit, slot) => `Nicht mehr darauf aufnehmen. Karte ${card} aus ${unit} ${slot} ziehen, eine leere einlegen, ${card} kopieren.`,
    fill_dropped: (card, unit, slot) => `Nicht mehr darauf aufnehmen. Karte ${card} aus ${unit} ${slot} ziehen, nichts mehr darauf schreiben: Gelöschtes ist vielleicht noch zu retten. Dann im Vorrat sagen, wo sie ist.`,
    two_units: (card, unit, slot, otherUnit, otherSlot) => `Beide ansehen: ${unit} ${slot} und ${otherUnit} ${otherSlot}. Der Karte, die nicht ${card} ist, ihr eigenes Etikett geben. Keine leeren.`,
  },
  seen: "Gesehen: Ton aus",
  old: (clock) => `HUB WEG: Stand ${clock}. Selbst nachsehen.`,
  title: (text) => `‼ ${text}`,
  sign: ["KARTE IN GEFAHR", "Gestreifter Rahmen, drei fallende Töne, alle 20 s wieder: Material kann verloren gehen. Er geht, wenn der Hub sieht, dass die Gefahr vorbei ist."],
};

/**
 * Packs and cards, and where they are.
 * @type {typeof import("./words-pool-en.js").pool}
 */
export const pool = {
  button: "Vorrat",
  heading: "Vorrat: Akkus und Karten",
  keys: [["b", "Vorrat: Akkus und Karten. Darin geht jeder Buchstabe ans Etikett, wie von einem Scanner"]],
  label: "Etikett: scannen oder tippen",
  find: "Suchen",
  placeholder: "etwa P07",
  asking: "Fragt den Hub …",
  unreachable: "Der Hub hat nicht geantwortet; was hier steht, ist vielleicht alt.",
  noList: (detail) => `Die Listen sind nicht zu haben: ${detail}`,
  lookOnly: "Zum Ansehen: diese Rolle bewegt nichts.",
  counts: {
    packs: (count) => `${count} ${count === 1 ? "Akku" : "Akkus"} bereit`,
    cards: (count) => `${count} ${count === 1 ? "Karte" : "Karten"} leer`,
    risks: (count) => `${count} in Gefahr`,
    unsafe: (count) => `${count} mit Material, nicht sicher`,
  },
  packs: "Akkus",
  cards: "Karten",
  noPacks: "Kein Akku bekannt. Etikett tippen und Enter drücken.",
  noCards: "Keine Karte bekannt. Etikett tippen und Enter drücken.",
  noneFits: "Nichts passt zum Getippten.",
  group: (name, count) => `${name}: ${count}`,
  places: { ready: "Bereit", bay: "Lädt", spent: "Leer", unit: "An Kameras", out_of_service: "Nicht benutzen" },
  states: { blank: "Leer", in_slot: "In Schächten", holding_footage: "Mit Material", copying: "Wird kopiert", safe: "Gesichert", out_of_service: "Nicht benutzen" },
  onUnit: (unit) => `an ${unit}`,
  inBay: (bay) => `in Ladeschacht ${bay}`,
  inSlot: (unit, slot) => `in ${unit} ${slot}`,
  percent: percents,
  percentThen: (percent, age) => `${percents(percent)} (vor ${age})`,
  wattHours: (wattHours) => `${wattHours} Wh`,
  size,
  used: (percent) => `${percents(percent)} voll`,
  call: (call) => `Auftrag ${call} braucht das`,
  readyAt: (clock, low, high) => `fertig etwa ${clock} (${low}–${high})`,
  readyNow: "müsste voll sein",
  progress: (percent, bay) => `${percents(percent)} in Ladeschacht ${bay}`,
  cycles: (cycles) => `${cycles} ${cycles === 1 ? "Entladung" : "Entladungen"} gesehen`,
  usable: (percent) => `gibt ${percents(percent)} von dem, was seine Art gibt`,
  /** The hub's sentence is English; the same facts are not. */
  weak: ({ minutes, kind_minutes: others, discharges }) =>
    `SCHWACH: ${Math.round(minutes)} min Aufnahme von voll bis leer, andere seiner Art ${Math.round(others)} min; ${discharges} ${discharges === 1 ? "Entladung" : "Entladungen"}`,
  copies: (verified, wanted) => (verified === 0 ? `nicht kopiert (${wanted} gewünscht)` : `${verified} von ${wanted} Kopien geprüft`),
  copy: (place, verified, algorithm, files, bytes, age, who) =>
    `${place}: ${verified ? `geprüft (${algorithm})` : "NICHT GEPRÜFT"}, ${files} ${files === 1 ? "Datei" : "Dateien"}, ${size(bytes)}, vor ${age}${who === "" ? "" : `, ${who}`}`,
  twin: (card, copies) => `Zwilling von ${card}, gleichzeitig aufgenommen; ${card} ist ${copies}`,
  twinUnknown: (card) => `Zwilling von ${card}, gleichzeitig aufgenommen`,
  risk: "IN GEFAHR",
  said: (age, who) => `${age}, sagt ${who}`,
  seen: (age) => `${age}, aus einer Meldung`,
  pack: (label) => `Akku ${label}`,
  card: (label) => `Karte ${label}`,
  both: (label) => `${label} heißen ein Akku und eine Karte: was ist gemeint?`,
  unknown: (label) => `${label} ist nicht im Vorrat. Was ist es?`,
  newPack: "Ein Akku, bereit",
  newCard: "Eine Karte, leer",
  whereNow: "Wo ist es jetzt?",
  move: {
    ready: "Bereit",
    bay: "Lädt in",
    spent: "Leer",
    unit: "An Kamera",
    blank: "Leer",
    in_slot: "In Schacht",
    holding_footage: "Mit Material",
    copying: "Wird kopiert",
    safe: "Gesichert",
    out_of_service: "Nicht benutzen",
  },
  bay: "Ladeschacht",
  whichBay: "Welcher Ladeschacht? Drücken, oder sein Etikett scannen oder tippen.",
  unit: "Kamera",
  slot: "Schacht",
  needBay: "Erst den Ladeschacht tippen oder scannen.",
  needUnit: "Erst die Kamera wählen.",
  moved: (what, where) => `${what}: ${where}`,
  takenBack: (what, where) => `Zurückgenommen. ${what}: ${where}.`,
  movedSince: (what) => `${what} wurde inzwischen wieder bewegt: nichts wurde zurückgenommen.`,
  noAnswer: "Keine Antwort. Wenn der Hub wieder da ist, nachsehen, wo es steht, dann noch einmal drücken.",
  refused: (what, detail) => `${what}: nicht bewegt. ${detail}`,
  holds: (card) => `${card} hat vielleicht das einzige Material von etwas. Erst kopieren (swapcall offload), dann ist sie gesichert, dann leer.`,
  wouldGo: (facts) => `Was verloren ginge: ${facts}.`,
  tooSeldom: (card, copies) => `${card}: ${copies}. Noch einmal kopieren (swapcall offload); dann ist sie von selbst gesichert.`,
  safeAllTheSame: (card, copies) => `Trotzdem gesichert: ${card}, ${copies}`,
  forgotten: (text) => `${text} Was von ihren Kopien bekannt war, ist weg.`,
  unknownFill: "niemand weiß, wie voll sie ist",
  goesAllTheSame: (card, facts) => `Darf trotzdem weg: ${card}, ${facts}`,
  keep: "Behalten",
  chargeCaution: "Nicht unter 0 °C. Gebläht, gefallen oder heiß: nicht benutzen, nicht laden.",
  carryCaution: "Kontakte abdecken. Im Flugzeug bis 100 Wh; bis 160 Wh nur, wenn die Airline zustimmt; mehr gar nicht.",
  lawCaution: "Örtliche Vorschriften, die Anleitung des Herstellers und zugelassene Fachleute gehen vor.",
  help: [
    ["Akkus", "Nicht unter 0 °C laden. Gebläht, gefallen, nass oder heiß: nicht benutzen, weg von Menschen. Kontakte beim Tragen und Lagern abdecken."],
    ["100 / 160 Wh", "Im Flugzeug in der Kabine: bis 100 Wh; über 100 bis 160 Wh nur, wenn die Airline zustimmt; mehr gar nicht. Nie im aufgegebenen Gepäck."],
    ["Zuerst", "Örtliche Vorschriften, die Anleitung des Herstellers und zugelassene Fachleute gehen vor."],
  ],
  phone: "Akkus und Karten: wo ist es jetzt?",
  phoneHeading: "Wo ist es jetzt?",
  phoneEmpty: "Etikett eines Akkus oder einer Karte scannen oder tippen.",
  phoneOld: "HUB WEG: die Liste ist alt. Was gedrückt wird, wird später gesendet.",
  phoneUnknownList: "HUB WEG: ohne seine Liste weiß hier niemand, was Akku und was Karte ist.",
  needsHub: "Material verloren geben geht nur mit dem Hub: er ist weg.",
  pressed: (label, where) => `${label}: ${where}`,
  kept: (label, where) => `NOCH NICHT GESENDET. ${label}: ${where}`,
  age: (length) => `seit ${length}`,
  duration,
};
