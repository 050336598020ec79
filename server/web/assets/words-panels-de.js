/**
 * The words of the panels beside the calls, in German: forms, the unit sheet, people, packs in the hours to come, help.
 * @module words-panels-de
 */

import { duration } from "./words-de.js";

/** Around every form. */
export const forms = {
  noNumber: "Das ist keine Zahl.",
  unreachable: "Der Hub hat nicht geantwortet. Was getippt ist, steht noch hier: noch einmal senden.",
  /** @type {(status: number) => string} */
  refused: (status) => `Der Hub hat das abgelehnt (${status}).`,
};

const numbers = (/** @type {number} */ value) => String(Math.round(value * 10) / 10).replace(".", ",");
const percents = (/** @type {number} */ value) => `${numbers(value)} %`;

/** The unit sheet. */
export const sheet = {
  /** @type {(unit: string, position: string|null|undefined) => string} */
  heading: (unit, position) => (position ? `${unit}, ${position}` : unit),
  /** @type {(age: import("./freshness.js").Age, typed: boolean) => string} */
  heard: ({ state, ageMs, lateMs }, typed) => {
    if (state === "never") return "Noch nie gehört. Wartet auf die erste Meldung.";
    const age = ageMs === null ? "" : `vor ${duration(ageMs)}`;
    if (state === "silent") return `STUMM: zuletzt gehört ${age}. Was folgt, ist alt.`;
    if (state === "old") return `ALT: zuletzt gehört ${age}. Der Hub ist weg.`;
    const said = typed ? `Von Hand getippt ${age}` : `Gehört ${age}`;
    return lateMs === null ? `${said}.` : `${said}: ${duration(lateMs)} überfällig.`;
  },
  /** @type {(length: string) => string} */
  ago: (length) => `vor ${length}`,
  battery: "Akku",
  percent: percents,
  /** @type {(step: number) => string} */
  steps: (step) => `in Schritten von ${step} %`,
  external: "am Netz",
  /** @type {(label: string) => string} */
  pack: (label) => `Akku ${label}`,
  /** @type {(volts: number) => string} */
  volts: (volts) => `${volts.toFixed(1).replace(".", ",")} V`,
  /** @type {(degrees: number) => string} */
  celsius: (degrees) => `${Math.round(degrees)} °C`,
  mode: "Betrieb",
  /** @type {(slot: string) => string} */
  slot: (slot) => `Schacht ${slot}`,
  /** @type {(label: string) => string} */
  card: (label) => `Karte ${label}`,
  /** @type {(percent: number) => string} */
  fill: (percent) => `${percents(percent)} voll`,
  /** @type {(percent: number, bytes: number) => string} */
  fillOf: (percent, bytes) => `${percents(percent)} von ${Math.round(bytes / 1e9)} GB voll`,
  slotStates: { recording: "wird beschrieben", ready: "bereit", full: "VOLL", empty: "keine Karte drin" },
  cards: "Karten",
  slotModes: { single: "eine Karte", relay: "nacheinander", simultaneous: "auf allen dasselbe" },
  /** @type {(rate: number) => string} */
  bitRate: (rate) => `${Math.round(rate)} Mb/s`,
  ends: { battery: "Akku leer", cards: "Karten voll" },
  /** @type {(middle: string, low: string, high: string) => string} */
  spread: (middle, low, high) => `etwa ${middle}, acht von zehn Malen zwischen ${low} und ${high}`,
  later: "in mehr als 24 Stunden",
  basis: "Beruht auf",
  window: "Ablauf",
  nextWindow: "Danach",
  tally: "Bildmischer",
  lights: { program: "AUF SENDUNG", preview: "gleich auf Sendung", clear: "nicht auf Sendung" },
  windowKinds: { held: "nicht anfassen", break: "Pause", rolling: "läuft" },
  /** @type {(kind: string, title: string, until: string) => string} */
  windowNow: (kind, title, until) => `${kind}${title ? `, „${title}“` : ""}${until ? `, bis ${until}` : ""}`,
  /** @type {(kind: string, title: string, start: string) => string} */
  windowNext: (kind, title, start) => `${kind}${title ? `, „${title}“` : ""}, ab ${start}`,
  clock: "Ihre Uhr",
  clockRight: "geht richtig",
  /** @type {(ms: number) => string} */
  clockOff: (ms) => `geht ${duration(ms)} ${ms > 0 ? "vor" : "nach"}; der Hub gleicht es aus`,
  past: "Was war",
  stretch: "Wie weit zurück",
  stretches: { hour: "1 h", four: "4 h", today: "heute" },
  asking: "Frage den Hub …",
  emptyPast: "In dieser Zeit wurde nichts gemeldet.",
  /** @type {(detail: string|undefined) => string} */
  noPast: (detail) => `Was war, kann nicht gezeigt werden: ${detail ?? "der Hub hat nicht geantwortet"}`,
  noTrail: "Dieser Hub behält seine Vorhersagen nicht, darum nur die Stände.",
  /** @type {(clock: string) => string} */
  trailSince: (clock) => `Vorhersagen gibt es seit ${clock}; davor nur die Stände.`,
  noTrailNow: "Die Vorhersagen von damals kamen nicht; darum nur die Stände.",
  /** @type {(what: string, label: string|null|undefined) => string} */
  swapMark: (what, label) => label || (what === "pack" ? "neuer Akku" : "neue Karte"),
  /** @type {(letter: string) => string} */
  endMark: (letter) => `✕ ${letter}`.trim(),
  /** @type {(trail: boolean) => string} */
  pastCaption: (trail) =>
    `Volle Linie: Akku in Prozent. Gestrichelte Linien mit Buchstaben: wie voll jede Karte war. Darunter: hoch bei Aufnahme, halb in Bereitschaft, flach wenn aus.${trail ? " Senkrechte: ein Wechsel, ✕ ein Ende. Fächer: die Vorhersage des Akkus von einer halben Stunde vorher." : ""}`,
  airCaption: "Dünne Linie ganz unten: auf Sendung.",
  /** @type {(cause: "battery"|"cards") => string} */
  promiseCaption: (cause) =>
    `Wann ${cause === "battery" ? "der Akku leer" : "die Karten voll"} sein sollten: quer, wann es gesagt wurde; hoch, für wann. Band: acht von zehn Malen; Linie: gleiche Chance. Schräge: die Gegenwart. Waagerechte: was geschah; Punkt: stehen geblieben, Raute: vorher gewechselt.`,
  changed: {
    /** @type {(label: string) => string} */
    battery: (label) => `Akku gewechselt${label ? ` (${label} kam hinein)` : ""}`,
    /** @type {(label: string) => string} */
    cards: (label) => `Karte gewechselt${label ? ` (${label} kam hinein)` : ""}`,
  },
  ended: { battery: "war der Akku leer", cards: "waren die Karten voll" },
  /** @type {(aheadMs: number|null, middle: string, low: string, high: string) => string} */
  said: (aheadMs, middle, low, high) =>
    `${aheadMs === null ? "Eine halbe Stunde" : duration(aheadMs)} vorher war die Vorhersage ${middle}, acht von zehn Malen zwischen ${low} und ${high}.`,
  verdicts: {
    inside: "Es geschah in dieser Spanne.",
    sooner: "Es geschah früher als diese Spanne.",
    later: "Es geschah später als diese Spanne.",
    served: "Vorher wurde gewechselt, also weiß es niemand.",
  },
  /** @type {(clock: string, what: string, said: string, verdict: string) => string} */
  story: (clock, what, said, verdict) => `${clock} ${what}. ${said} ${verdict}`,
  reading: "Einen Stand eintippen",
  sendReading: "Stand senden",
  readingSent: "Gesendet.",
  nothingTyped: "Mindestens einen Wert eintippen.",
  noDisplay: "Eine Anzeige ist eine Zahl, etwa 13, oder Schirm und Zahl, etwa 2:13.",
  packNeedsBattery: "Ein Akku wird zusammen mit seinen Prozent genannt.",
  readAllSlots: "Auch diesen Schacht ablesen (0 für eine leere Karte): ein Kartenstand gilt für alle Schächte.",
  asBefore: "wie vorher",
  profile: "Steckbrief dieser Kamera",
  save: "Speichern",
  saved: "Gespeichert.",
  gauges: { coulomb: "zählt die Ladung", voltage: "liest die Spannung" },
  fields: {
    battery: "Akku, %",
    /** @type {(slot: string) => string} */
    slot: (slot) => `Karte in Schacht ${slot}, % voll`,
    mode: "Betrieb",
    pack: "Akku, wenn er neu ist",
    position: "Ort",
    group: "Gruppe",
    walk_s: "Weg von der Basis, s",
    gauge: "Anzeige",
    pack_wh: "Üblicher Akku, Wh",
    recording_w: "Braucht bei Aufnahme, W",
    standby_w: "Braucht in Bereitschaft, W",
    bit_rate_mbps: "Übliche Datenrate, Mb/s",
    display: "Tally-Anzeige, wie der Bildmischer zählt: 13, oder 2:13 auf Schirm 2",
  },
  limits: "Grenzen für diese Kamera",
  limitsHint: "In Grau: was für alle gilt. Ein leeres Feld lässt das auch hier gelten.",
  limitFields: {
    fetch_s: "Zum Holen an der Basis, s",
    walk_s: "Zum Gehen, wo der Steckbrief nichts sagt, s",
    swap_s: "Für den Wechsel selbst, s",
    margin_s: "Als Reserve, s",
    ease_s: "So viel weiter weg, bis ein Auftrag entfällt, s",
    min_open_s: "Ein Auftrag bleibt mindestens offen, s",
    remind_s: "Zwischen zwei Erinnerungen, s",
  },
};

/** The panel of people. */
export const people = {
  button: "Leute",
  heading: "Leute",
  inviteHeading: "Jemanden einladen",
  invite: "Einladung machen",
  fields: { name: "Name, wie er bei Zusagen steht", role: "Rolle", minutes: "Gilt" },
  minutes: [["10", "10 min"], ["5", "5 min"], ["30", "30 min"], ["60", "1 h"]],
  needName: "Sagen, für wen sie ist.",
  /** @type {(name: string, role: string) => string} */
  guest: (name, role) => `Für ${name}, ${role}. Gilt einmal.`,
  noPicture: "Dieser Hub macht kein Bild zum Abtasten: den Code vorlesen oder den Link senden.",
  /** @type {(name: string) => string} */
  pictureAlt: (name) => `Bild zum Abtasten: meldet ${name} an`,
  /** @type {(letters: string) => string} */
  codeAloud: (letters) => `Code: ${letters}`,
  /** @type {(host: string) => string} */
  ownHost: (host) => `${host} führt jedes Gerät zu sich selbst. Diese Seite unter der Adresse des Hubs im Netz öffnen, dann neu einladen.`,
  /** @type {(length: string) => string} */
  left: (length) => `Gilt noch ${length}.`,
  over: "Diese Einladung ist zu alt. Eine neue machen.",
  on: "Wer dabei ist",
  asking: "Frage den Hub …",
  /** @type {(count: number) => string} */
  count: (count) => (count === 1 ? "Eine Anmeldung oder ein Token" : `${count} Anmeldungen und Tokens`),
  unreachable: "Der Hub hat nicht geantwortet; was hier steht, kann alt sein.",
  tooOld: "Dieser Hub kann nicht sagen, wer dabei ist. Auf seinem Rechner tun „swapcall-hub token list“ und „swapcall-hub token revoke“ dasselbe.",
  /** @type {(detail: string) => string} */
  noList: (detail) => `Die Liste kann nicht gezeigt werden: ${detail}`,
  /** @type {(name: string) => string} */
  you: (name) => `${name} (dein Name)`,
  session: "an einem Bildschirm angemeldet",
  token: "hat ein Token",
  /** @type {(count: number) => string} */
  screens: (count) => (count === 1 ? "1 Bildschirm offen" : `${count} Bildschirme offen`),
  notHeard: "nicht gehört, seit der Hub läuft",
  /** @type {(length: string) => string} */
  heard: (length) => `gehört vor ${length}`,
  /** @type {(length: string) => string} */
  since: (length) => `seit ${length}`,
  /** @type {(length: string) => string} */
  ends: (length) => `endet in ${length}`,
  end: "Beenden",
  /** @type {(name: string) => string} */
  reallyEnd: (name) => `${name} beenden? Noch einmal`,
  ended: "Beendet. Wer es hatte, muss neu eingeladen werden.",
};

/** The hours to come of the packs. */
export const rotation = {
  heading: "Akkus in den nächsten Stunden",
  /** @type {(hours: number, of100: number) => string} */
  lasts: (hours, of100) => `Die Akkus reichen für ${hours} h: in ${of100 === 0 ? "keinem" : of100} von 100 Fällen wird es knapp.`,
  /** @type {(at: string, earliest: string, of100: number) => string} */
  short: (at, earliest, of100) => `AKKUS WERDEN KNAPP gegen ${at}, frühestens ${earliest}, in ${of100} von 100 Fällen.`,
  /** @type {(packs: {p50: number, p90: number}, minutes: {p50: number, p90: number}) => string} */
  missing: (packs, minutes) => `Es fehlen ${packs.p50}, schlimmstenfalls ${packs.p90}, für ${duration(60_000 * minutes.p50)}, schlimmstenfalls ${duration(60_000 * minutes.p90)}.`,
  /** @type {(change: string) => string} */
  cheapest: (change) => `Genug: ${change}.`,
  noCure: "Keine einzelne Abhilfe ist genug.",
  cures: "Was versucht wurde",
  /** @type {(change: string, of100: number) => string} */
  cure: (change, of100) => `${change}: knapp in ${of100} von 100 Fällen`,
  /** @type {(text: string) => string} */
  enough: (text) => `✓ ${text}: genug`,
  change: {
    pack: (/** @type {number} */ count) => (count === 1 ? "1 Akku mehr" : `${count} Akkus mehr`),
    bay: (/** @type {number} */ count) => (count === 1 ? "1 Ladeplatz mehr" : `${count} Ladeplätze mehr`),
    external: (/** @type {number} */ _, /** @type {string} */ unit) => `${unit} am Netz`,
    standby_off: (/** @type {number} */ count) => (count === 1 ? "die Kamera in Bereitschaft aus" : `die ${count} Kameras in Bereitschaft aus`),
  },
  none: "Wie die Akkus in den nächsten Stunden reichen, ist nicht bekannt: Der Hub hat nicht geantwortet.",
  assumed: "Worauf das beruht",
  picture: "Geladene Akkus im Lauf der Zeit.",
  key: "Linie: geladene Akkus im mittleren Fall. Band: acht von zehn Fällen.",
  /** @type {(at: string) => string} */
  shortMark: (at) => `knapp ${at}`,
};

/**
 * The help sheet.
 * @type {typeof import("./words-panels-en.js").help}
 */
export const help = {
  heading: "Tasten und Zeichen",
  keys: [
    ["↓ ↑ oder j k", "Auftrag wählen"],
    ["c", "gewählten Auftrag übernehmen"],
    ["r", "abgeben"],
    ["d", "erledigt (zweimal, wenn es nicht deiner ist)"],
    ["1 … 5 oder + −", "Achse 20 min, 1 h, 2 h, 4 h, ganze Show"],
    ["s", "Reihenfolge: Restzeit, Name, Platz, Gruppe"],
    ["m", "stumm, oder wieder mit Ton"],
    ["t", "Licht: auto, Tag, Nacht"],
    ["?", "dieses Blatt"],
    ["Esc", "schließen"],
  ],
  signs: [
    ["14 min", "Halb und halb, dass die Kamera vorher ausgeht. Daneben: in acht von zehn Fällen geht sie in dieser Spanne aus."],
    ["A / K", "A, voller Balken mit runden Enden, ist der Akku. K, gestreifter Balken mit eckigen Enden, sind die Karten."],
    ["durchgehend", "Klein gedruckt, oder ● bei wenig Platz: was bleibt, wenn die Aufnahme ohne Pause weiterläuft."],
    ["Verbraucht …", "Auf eine Zeile zeigen (am Telefon: darunter): worauf die Vorhersage ihres Akkus beruht."],
    ["▶", "Endet jenseits des rechten Randes der Achse."],
    ["▼", "Bis dahin muss jemand an der Kamera sein."],
    ["12 s überfällig", "So lange ist eine Meldung überfällig."],
    ["STUMM", "Drei Meldungen fehlen: gestreifte Zeile, hohle Balken, Zahlen sind geschätzt."],
    ["SCHWARZ", "Sie ist ausgegangen, bevor jemand kam."],
    ["HUB WEG", "Dieser Bildschirm hört nichts: alles darauf ist alt."],
  ],
  sound: "Ton: zwei steigende Töne für einen neuen Auftrag, drei für eine verfallene Zusage. Am Anfang ist er stumm.",
};
