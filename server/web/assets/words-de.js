/**
 * The words that a screen begins with, in German. Same exports as `words-en.js`.
 * @module words-de
 */

/** @import { BatteryBasis } from "swapcall-wire" */
/** @import { BasisSetting } from "./words-en.js" */

import { PROBLEMS } from "./words-problems-de.js";

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;

/**
 * A length of time as one says it: `40 s`, `14 min`, `2 h 10`.
 * @param {number} ms milliseconds; the sign is dropped
 * @returns {string}
 */
export function duration(ms) {
  const length = Math.abs(ms);
  if (length < MINUTE) return `${Math.floor(length / 1000)} s`;
  const minutes = Math.floor(length / MINUTE);
  if (minutes < 100) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")}`;
}

/**
 * Time that is left, never more exact than it is: `< 1 min`, `14 min`, `2 h 10`.
 * @param {number|null} ms milliseconds, `null` for beyond the forecast's horizon
 * @returns {string}
 */
export function timeLeft(ms) {
  if (ms === null) return "> 24 h";
  if (ms < 0) return "jetzt";
  return ms < MINUTE ? "< 1 min" : duration(ms);
}

/** @param {number} ms @returns {string} hours with one digit behind the comma */
const hours = (ms) => (ms / HOUR).toFixed(1).replace(".", ",");

/**
 * The range beside a big number: `11–19 min`, `5,1–8,4 h`.
 * @param {number|null} low milliseconds to the P10
 * @param {number|null} high milliseconds to the P90
 * @returns {string}
 */
export function range(low, high) {
  if (low === null) return "";
  if (high === null) return `ab ${timeLeft(low)}`;
  if (low < MINUTE) return `bis ${timeLeft(high)}`;
  // One unit for both ends, as in English.
  if (high < 300 * MINUTE) return `${Math.floor(low / MINUTE)}–${Math.floor(high / MINUTE)} min`;
  return `${hours(low)}–${hours(high)} h`;
}

/**
 * The hub's own words for why somebody must go, and ours. What is not among them stays as the hub says it.
 * @type {[RegExp, string][]}
 */
const WHY = [
  [/\bjust went dark\b/, "gerade schwarz geworden"],
  [/\bdark for (\d+ (?:s|min))/, "schwarz seit $1"],
  [/\bnothing heard for (\d+ (?:s|min))/, "seit $1 nichts gehört"],
  [/\bnever heard\b/, "nie gemeldet"],
  [/\bbattery\b/, "Akku"],
  [/\bcards\b/, "Karten"],
  [/ no card\b/g, " ohne Karte"],
  [/\bfull(?=,|;|$)/, "voll"],
  [/, recording\b/g, ", Aufnahme"],
  [/, standby\b/g, ", Standby"],
  [/, off\b/g, ", aus"],
  [/\babout (\d+) min left/g, "noch etwa $1 min"],
];

/**
 * What most of a battery forecast's width comes from.
 * @param {BatteryBasis} facts
 * @param {BasisSetting} setting
 * @returns {string}
 */
function doubt(facts, setting) {
  const ranOut = "einmal bis zum Ende gefahren, weiß man es genauer";
  if (facts.doubt === "end" && facts.curve === "general" && !setting.voltage) return `Das ist am unsichersten: ${ranOut}`;
  if (facts.doubt === "end") return `Am unsichersten ist, wo er ausgeht: ${ranOut}`;
  if (facts.doubt === "charge") return "Am unsichersten ist, wie viel noch drin ist: eine feinere Anzeige würde helfen";
  if (facts.doubt === "drain") return "Am unsichersten ist, wie schnell er sich leert: ein paar Minuten Aufnahme helfen";
  const habit = "Am unsichersten ist, was die Kamera tun wird";
  return setting.planned ? habit : `${habit}: ein Ablaufplan würde helfen`;
}

/**
 * Whose discharges taught where the pack ends.
 * @param {BatteryBasis} facts
 * @param {BasisSetting} setting
 * @returns {string}
 */
function curve(facts, setting) {
  const end = facts.end_pct.mean.toFixed(0);
  const unknown = "dieser Akku wurde hier nie bis zum Ende gefahren";
  if (facts.curve === "general") {
    if (setting.voltage) return `${unknown}, was seine Anzeige bedeutet, ist also geschätzt`;
    return `${unknown}, wo er ausgeht, ist also geschätzt (${end} % ± ${facts.end_pct.sd.toFixed(0)})`;
  }
  const count = facts.discharges > 1 ? `${facts.discharges} Entladungen` : "1 Entladung";
  const [whose, ends] =
    facts.curve === "pack" ? ["dieses Akkus", `der bei etwa ${end} % ausgeht`] : ["anderer Akkus hier", `die bei etwa ${end} % ausgehen`];
  return `Kurve aus ${count} ${whose}${setting.voltage ? "" : `, ${ends}`}`;
}

/**
 * How fast the pack drains, and how much of the time the camera records.
 * @param {BatteryBasis} facts
 * @param {BasisSetting} setting
 * @returns {string}
 */
function drain(facts, setting) {
  const recording = `${facts.recording_pct_per_h.mean.toFixed(0)} %/h bei Aufnahme`;
  const share = `nimmt ${(facts.recording_share * 100).toFixed(0)} % der Zeit auf`;
  if (setting.external) return `Am Netz, sonst ${recording}, ${share}`;
  if (setting.mode === "recording" || !setting.mode) return `Verbraucht ${recording}, ${share}`;
  return `Verbraucht jetzt ${facts.drain_pct_per_h.mean.toFixed(0)} %/h, ${recording}, ${share}`;
}

/** Modes of a camera: a shape and a word. */
export const MODES = {
  recording: { shape: "●", word: "Aufnahme" },
  standby: { shape: "◐", word: "Standby" },
  off: { shape: "○", word: "aus" },
  unknown: { shape: "–", word: "Betrieb unbekannt" },
};

/** What a runner brings: the picture drawn beside it is named by the key. */
export const BRING = { pack: "AKKU", card: "KARTE", look: "NACHSEHEN" };

/** What stops a unit. */
export const CAUSES = { battery: "Akku", cards: "Karten", silent: "stumm" };

/** Letters on the marks of the run-out axis. */
export const LETTERS = { battery: "A", cards: "K" };

/** How a call ended. */
export const ENDINGS = { done: "erledigt", withdrawn: "nicht mehr nötig", missed: "VERPASST: Kamera war schwarz" };

/**
 * The roles of tokens.
 * @type {Record<string, string>}
 */
export const ROLES = { cart: "Wagen", runner: "Runner", lead: "Leitung", owner: "Verwaltung" };

/** Orders of the board. */
export const SORTS = { soonest: "Restzeit", callsign: "Name", position: "Platz", group: "Gruppe" };

/** Lengths of the axis in minutes, and what the buttons say. */
export const SPANS = { 20: "20 min", 60: "1 h", 120: "2 h", 240: "4 h", show: "Show" };

/**
 * Everything about one row of the board.
 * @type {typeof import("./words-en.js").row}
 */
export const row = {
  noPosition: "ohne Platz",
  external: "A Netz",
  battery: (percent) => `A ${Math.round(percent)} %`,
  cards: (percents) => `K ${percents.map((percent) => Math.round(percent)).join(" / ")} %`,
  clockOff: (ms) => `⚠ Uhr geht ${duration(Math.abs(ms))} ${ms > 0 ? "vor" : "nach"}`,
  age: (ms) => (ms < 1000 ? "Stand: jetzt" : `Stand vor ${duration(ms)}`),
  typed: (ms) => `vor ${duration(ms)} getippt`,
  late: (ms) => `${duration(ms)} überfällig`,
  silentSince: (clock) => `STUMM seit ${clock}`,
  silent: "STUMM",
  old: (ms) => `ALT: ${duration(ms)}`,
  never: "nie gemeldet",
  neverHint: "wartet auf die erste Meldung",
  dark: "SCHWARZ",
  darkHint: "ausgegangen, bevor jemand kam",
  onAir: "AUF SENDUNG",
  onNext: "GLEICH",
  wasOn: (light) => (light === "program" ? "war auf Sendung" : "war gleich dran"),
  darkSince: (clock) => `ausgegangen um ${clock}`,
  noForecast: "ohne Vorhersage",
  noForecastHint: "noch kein Stand von Akku oder Karte",
  anyMoment: "JETZT",
  anyMomentHint: "kann jeden Moment ausgehen",
  overdue: (ms) => `${duration(ms)} drüber`,
  overdueHint: "müsste schon aus sein: nachsehen",
  deadReckoning: "geschätzt, nichts gehört",
  hints: { look: "aus, und kein Auftrag: nachsehen", radio: "geschätzt, nichts gehört: anfunken" },
  short: { "": "", look: "nachsehen", radio: "anfunken" },
  first: (cause) => `${CAUSES[cause]} zuerst`,
  ifRecording: (each) => `durchgehend: ${each.map(({ letter, text }) => `${letter} ${text}`).join(" · ")}`,
  ifShort: (left) => `● ${left}`,
  beyond: (letter, text) => `${letter} ${text} ▶`,
  over: (letter, clock) => `◀ ${letter} war fällig ${clock}`,
  /** What a battery forecast rests on, worded from the facts; an older hub sends only its own words. */
  basis: (facts, setting) =>
    facts.recording_pct_per_h ? `${drain(facts, setting)}; ${curve(facts, setting)}. ${doubt(facts, setting)}.` : facts.sentence,
  callOpen: (number) => `! ${number}`,
  callClaimed: (number, who) => `${number} ▸ ${who}`,
  be: "▼",
  spread: (cause, low, middle, high) =>
    `${CAUSES[cause]} zu Ende etwa ${middle}, in acht von zehn Fällen zwischen ${low} und ${high}`,
  noSpread: "kein Ende bekannt",
  later: "in mehr als 24 Stunden",
};

/**
 * The board around its rows.
 * @type {typeof import("./words-en.js").board}
 */
export const board = {
  heading: "Wer geht wann aus",
  sort: "Nach",
  zoom: "Achse",
  now: "jetzt",
  ahead: (minutes) => (minutes % 60 === 0 ? `+${minutes / 60} h` : `+${duration(minutes * MINUTE)}`),
  legendBattery: "Akku, % übrig",
  legendCards: "Karten, % voll",
  legendBar: "Balken: 8 von 10 · Marke: 50:50",
  below: (count, name, left) => `▼ ${count} weitere unten: als Nächste ${name}, ${left}`,
  belowPlain: (count) => `▼ ${count} weitere unten`,
};

/**
 * The calls panel.
 * @type {typeof import("./words-en.js").calls}
 */
export const calls = {
  heading: (count) => (count === 0 ? "Aufträge" : `Aufträge: ${count}`),
  headingOld: (count, clock) => `Aufträge: ${count}, Stand ${clock}. Knöpfe sind aus: über Funk rufen`,
  none: "Im Moment muss niemand los.",
  next: (unit, left, clock) => `Als Nächste geht ${unit} aus, in etwa ${left} (${clock}).`,
  nextNow: (unit) => `Als Nächste geht ${unit} aus, jeden Moment.`,
  number: (number) => `Auftrag ${number}`,
  /** Why somebody must go: the hub's English, phrase by phrase. */
  why: (text, clock) => WHY.reduce((said, [theirs, ours]) => said.replace(theirs, ours), text) + (clock === "" ? "" : ` (um ${clock})`),
  state: { open: "OFFEN", claimed: "VERGEBEN" },
  inTime: (ms) => (ms < MINUTE ? "< 1 min" : duration(ms)),
  overdue: (ms) => `${duration(ms)} drüber`,
  by: (clock) => `bis ${clock}`,
  leaveBy: (clock, ms) => `Los bis ${clock}, in ${duration(ms)}`,
  leaveNow: "JETZT LOS",
  onAir: (clock) => `AUF SENDUNG seit ${clock}: nicht anfassen.`,
  onNext: "GLEICH auf Sendung: erst fragen.",
  /** @type {(until: string, title: string) => string} */
  heldNow: (until, title) => `GESPERRT bis ${until}${title === "" ? "" : ` (${title})`}: nicht anfassen.`,
  /** @type {(from: string, until: string, title: string) => string} */
  heldSoon: (from, until, title) => `GESPERRT ${from} bis ${until}${title === "" ? "" : ` (${title})`}: dann nicht anfassen.`,
  swapBefore: (from) => `Tauschen vor ${from}.`,
  swapBetween: (from, by) => `Tauschen ab ${from}, spätestens um ${by}.`,
  swapNever: (by) => `Keine Lücke zum Tauschen vor ${by}: die Leitung fragen.`,
  bring: "Mitnehmen",
  labelled: (what, label) => `${what} ${label}`,
  out: (pieces) => `Entnehmen: ${pieces}`,
  outPack: (facts) => ["Akku", ...facts].join(" "),
  wattHours: (wh) => `${wh} Wh`,
  outCard: (slot, label, used) => `Karte${label === "" ? "" : ` ${label}`} in ${slot}, ${Math.round(used)} % voll`,
  lapsed: "Zusage verfallen: niemand hat ihn.",
  claimedBy: (who, clock, mine) => `${mine ? "Du hast" : `${who} hat`} ihn seit ${clock}.`,
  lapses: (clock, ms) => `Die Zusage verfällt um ${clock}, in ${duration(ms)}.`,
  lapsesNow: "Die Zusage verfällt jetzt.",
  reopened: (times) => (times === 1 ? "Kam einmal wieder" : `Kam ${times}-mal wieder`),
  reminded: (times) => (times === 1 ? "Einmal erinnert" : `${times}-mal erinnert`),
  note: (text) => `„${text}“`,
  claim: "Übernehmen",
  release: "Abgeben",
  done: "Erledigt",
  reallyDone: "Wirklich erledigt? Noch einmal drücken",
  busy: "Moment",
  ended: "Zuletzt beendet",
  endedLine: (number, unit, ending, clock) => `${number} ${unit}: ${ending}, ${clock}`,
  takenBy: (who) => `${who} war schneller und hat diesen Auftrag.`,
  failed: (detail, code) => `Hat nicht geklappt: ${PROBLEMS[code ?? ""] ?? detail}`,
  unreachable: "Der Hub hat nicht geantwortet. Hier wurde nichts geändert; sieh nach, sobald er wieder da ist.",
  opened: (call, bring) => `Neuer Auftrag ${call.number}: ${call.unit}, ${call.position ?? ""}, mitnehmen: ${bring}.`,
  lapsedAloud: (call) => `Die Zusage für Auftrag ${call.number}, ${call.unit}, ist verfallen. Niemand hat ihn.`,
};

/**
 * The line at the top, and the banner.
 * @type {typeof import("./words-en.js").link}
 */
export const link = {
  connecting: "sucht den Hub …",
  live: "Hub: live",
  lostShort: "Hub: WEG",
  signedOut: "abgemeldet",
  lost: (clock) => `HUB WEG seit ${clock}: Werte sind alt, per Funk rufen`,
  neverReached: "HUB NICHT ERREICHT: nichts hier ist live",
  trying: "Versuch läuft …",
  retry: (ms) => `nächster Versuch in ${Math.ceil(ms / 1000)} s`,
  tryNow: "Jetzt versuchen",
};

/**
 * Buttons of the top line.
 * @type {typeof import("./words-en.js").top}
 */
export const top = {
  name: "Swapcall",
  theme: { auto: "Licht: auto", light: "Licht: Tag", dark: "Licht: Nacht" },
  help: "Hilfe",
  menu: "Menü",
  toRunner: "Seite für Läufer",
  signOut: "Abmelden",
  timeIn: (place) => `Zeit in ${place}`,
  language: { name: "English", code: "en" },
  who: (name, role) => (name === role ? name : `${name}, ${ROLES[role] ?? role}`),
  toCalls: (count) => `Aufträge ${count}`,
  toBoard: "Tafel",
  title: (count) => (count === 0 ? "Swapcall" : `(${count}) Swapcall`),
  titleLost: "HUB WEG · Swapcall",
};

/**
 * The sign-in form.
 * @type {typeof import("./words-en.js").signIn}
 */
export const signIn = {
  heading: "Wer ist da?",
  label: "Dein Token oder Einladungscode",
  button: "Anmelden",
  where: [
    "Frag deine Kameraleitung nach einem Einladungscode oder öffne ihren Link: der meldet dich von selbst an.",
    "Das allererste Token hat der Hub dort ausgegeben, wo er zum ersten Mal gestartet wurde.",
  ],
  refused: "Der Hub kennt dieses Token nicht. Fehlt ein Zeichen, ist eins zu viel? Sonst lass dir ein neues geben.",
  refusedCode: "Dieser Code geht nicht: vertippt, schon benutzt oder zu alt. Lass dir einen neuen geben.",
  wait: (seconds) => `Von hier kamen zu viele falsche Tokens oder Codes. Versuch es in ${seconds} s noch einmal.`,
  unreachable: "Der Hub hat nicht geantwortet. Ist dieses Gerät im Netz der Crew?",
  empty: "Tippe oder füge zuerst dein Token oder deinen Code ein.",
};

/**
 * The three commands that bring an empty hub to life.
 * @param {string} origin this hub's address
 * @returns {{say: string, command: string}[]}
 */
export function firstSteps(origin) {
  const swapcall = `swapcall --hub ${origin}`;
  return [
    { say: "Eine Kamera benennen", command: `${swapcall} put-unit BOW1 --position "Startlinie" --walk-s 120` },
    { say: "Ihre erste Meldung von Hand schicken", command: `${swapcall} report BOW1 80 rec A=10` },
    { say: "Oder ihren Wagen selbst melden lassen", command: `${swapcall} watch BOW1 --power-supply --mount A=/media/card` },
  ];
}

/** The empty hub. */
export const empty = {
  heading: "Noch keine Kameras. Drei Schritte:",
  token: "Jeder Befehl braucht ein Token: leg es in SWAPCALL_TOKEN ab oder nenne seine Datei in SWAPCALL_TOKEN_FILE.",
};

/**
 * Held windows and breaks of the rundown, on the axis.
 * @type {typeof import("./words-en.js").windows}
 */
export const windows = {
  open: "Sperren",
  kinds: { held: "SPERRE", break: "PAUSE", rolling: "dreht" },
  until: (clock) => `bis ${clock}`,
  aloud: (kind, from, until, title) => `${windows.kinds[kind].toLowerCase()} von ${from} bis ${until}${title === "" ? "" : `, ${title}`}`,
  since: "seit",
  signs: [
    ["SPERRE", "Gitter in der Zeile: Bis dahin darf niemand an die Einheit."],
    ["PAUSE", "Offener Rahmen: Die Einheit hat Pause, man darf hin. Nur eine dünne Linie: Sie soll drehen."],
  ],
};

/**
 * Filter, groups and the chosen unit.
 * @type {typeof import("./words-en.js").sifting}
 */
export const sifting = {
  label: "Filter",
  placeholder: "Name, Platz, Gruppe",
  chips: { call: "mit Auftrag", quiet: "stumm oder schwarz", held: "jetzt gesperrt" },
  clear: "Alle zeigen",
  hidden: (shown, total) => `${shown} von ${total} zu sehen, ${total - shown} verborgen`,
  outsideCalls: (count) => (count === 1 ? "1 Auftrag außerhalb des Filters" : `${count} Aufträge außerhalb des Filters`),
  outsideDark: (count) => `${count} schwarz außerhalb`,
  outsideSilent: (count) => `${count} stumm außerhalb`,
  none: "Keine Einheit passt zum Filter.",
  noGroup: "ohne Gruppe",
  group: (name, count) => (count === 1 ? `${name}: 1 Einheit` : `${name}: ${count} Einheiten`),
  chosen: (unit, big, range) => `${unit} gewählt: ${big} ${range}`,
  showTitle: (name, clock) => (name === "" ? `bis zum Ende des Ablaufplans, ${clock}` : `bis zum Ende von ${name}, ${clock}`),
  showNone: "keine Show, kein Ablaufplan: 8 Stunden",
  keys: [
    ["Bild ↓ ↑ oder ] [", "eine Einheit wählen"],
    ["Enter", "die gewählte Einheit öffnen"],
    ["/", "Filter: Wörter aus Name, Platz, Gruppe"],
    ["f", "jeden Filter wegnehmen"],
  ],
};

/** Taking back a press. */
export const undo = {
  /** @type {(seconds: number) => string} */
  button: (seconds) => `Zurück (${seconds} s)`,
  /** @type {(number: number, unit: string) => string} */
  done: (number, unit) => `${number} ${unit}: erledigt`,
  /** @type {(unit: string) => string} */
  takenBack: (unit) => `Zurückgenommen: ${unit} ist wie vorher.`,
  tooOld: "Dieser Hub kann kein „erledigt“ zurücknehmen. Braucht die Kamera noch jemanden, ruft ihre nächste Meldung wieder.",
  keys: [["z", "den letzten Druck zurücknehmen, 10 Sekunden lang"]],
};

/** The sound button, in each state of the beeper, and the volume. */
export const sound = {
  muted: "STUMM: kein Ton",
  blocked: "Noch kein Ton: hier berühren",
  on: "Ton an",
  /** @type {(step: number) => string} */
  volume: (step) => `Ton ${step} von 3`,
  /** @type {(step: number) => string} */
  volumeAloud: (step) => `Ton ${step} von 3: Lautstärke, drücken für die nächste`,
  keys: [["v", "Lautstärke: leise, mittel, laut"]],
};

/** Around every panel. */
export const panel = {
  close: "Schließen",
  lost: "HUB WEG: die Werte sind alt",
  keys: [["o", "das Blatt der Kamera des gewählten Auftrags"], ["p", "Leute, für Leitung und Besitzer"], ["l", "vor der Show: reicht das Material?"]],
};

/** Beside the three commands on an empty hub. */
export const firstHelp = {
  rights: "Der erste Befehl braucht das Token einer Leitung oder des Besitzers; der dritte läuft bis Strg-C.",
  https: "Über https braucht jeder Befehl auch den Fingerabdruck des Hubs, den dieser beim Start nennt: in SWAPCALL_HUB_FINGERPRINT.",
};

const percents = (/** @type {number} */ value) => `${Math.round(value)} %`;

/**
 * A card at risk.
 * @type {typeof import("./words-en.js").risk}
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
