/**
 * Every word of the runner's page, in German. Same exports as `words-runner-en.js`.
 * @module words-runner-de
 */

import { duration } from "./words-de.js";

const MINUTE = 60_000;

/** What a press does, in a list. @type {Record<import("./runner-queue.js").PressAction, string>} */
const ACTS = { claim: "nehmen", release: "zurückgeben", done: "erledigt", undo: "rückgängig" };

/** Time to a moment, rounded down. @param {number} ms */
const minutesTo = (ms) => (ms < MINUTE ? "< 1 min" : duration(ms));

/** The runner's page. */
export const runner = {
  linkOps: "Übersicht: alle Einheiten",
  menu: "Menü",
  close: "Zu",
  sound: { on: "Ton an", muted: "STUMM", blocked: "Ton: tippen" },

  bring: "MIT",
  pieces: {
    /** @type {(count: number) => string} */
    pack: (count) => `${count} ${count === 1 ? "AKKU" : "AKKUS"}`,
    /** @type {(count: number) => string} */
    card: (count) => `${count} ${count === 1 ? "KARTE" : "KARTEN"}`,
  },
  /** @type {(what: string, labels: string[]) => string} */
  named: (what, labels) => (labels.length === 0 ? what : `${what} (${labels.join(", ")})`),
  bringNothing: "NICHTS: NACHSEHEN",
  /** @type {(jobs: number, mine: number) => string} */
  sum: (jobs, mine) => {
    const parts = [];
    if (mine > 0) parts.push(`${mine} von dir`);
    if (jobs > mine) parts.push(`${jobs - mine} frei`);
    return `${jobs === 1 ? "1 Auftrag" : `${jobs} Aufträge`}: ${parts.join(", ")}`;
  },
  /** @type {(clock: string) => string} */
  asOf: (clock) => `Stand ${clock}, kann sich geändert haben`,
  none: "Niemand muss jetzt los.",
  noUnits: "Der Hub kennt noch keine Einheit.",
  noneKnown: "Kein Auftrag bekannt: Hub verloren.",
  looking: "Frage den Hub …",
  /** @type {(open: number, others: number) => string} */
  rest: (open, others) => {
    const parts = [];
    if (open > 0) parts.push(`${open} später`);
    if (others > 0) parts.push(`${others} bei anderen`);
    return `${open + others} weitere: ${parts.join(", ")}`;
  },

  noPlace: "Ort nicht bekannt",
  be: "Da sein",
  /** @type {(clock: string) => string} */
  by: (clock) => `bis ${clock}`,
  /** @type {(ms: number) => string} */
  inTime: (ms) => `in ${minutesTo(ms)}`,
  /** @type {(ms: number) => string} */
  over: (ms) => `${duration(ms)} ZU SPÄT`,
  /** @type {(clock: string, ms: number) => string} */
  leave: (clock, ms) => `Los bis ${clock}, in ${minutesTo(ms)}`,
  leaveNow: "JETZT LOS",
  /** @type {(age: string) => string} */
  old: (age) => `ALT: vor ${age} gemeldet`,
  open: "hat noch niemand",
  lapsed: "hat niemand: Zusage abgelaufen",
  mine: "DEINER",
  /** @type {(clock: string) => string} */
  mineUntil: (clock) => `DEINER bis ${clock}`,
  /** @type {(who: string) => string} */
  theirs: (who) => `hat ${who}`,
  unsentMine: "NOCH NICHT GESENDET: andere können ihn nehmen",
  unsentOpen: "NOCH NICHT GESENDET: für andere noch deiner",
  /** @type {(text: string) => string} */
  note: (text) => `„${text}“`,
  claim: "ICH GEHE",
  done: "FERTIG",
  release: "Zurück geben",
  reading: "Werte",
  later: "später gesendet",
  sending: "sende …",
  readingAny: "Werte einer Einheit eintippen",

  /** @type {(seconds: number) => string} */
  undo: (seconds) => `ZURÜCK ${seconds} s`,
  ok: "OK",
  takeBack: "Zurücknehmen",
  sendNow: "Jetzt senden",
  throwAway: "Wegwerfen",
  did: {
    /** @type {(unit: string) => string} */
    claim: (unit) => `${unit}: hast du`,
    /** @type {(unit: string) => string} */
    release: (unit) => `${unit}: zurückgegeben`,
    /** @type {(unit: string) => string} */
    done: (unit) => `${unit}: erledigt`,
  },
  /** @type {(action: import("./runner-queue.js").PressAction, unit: string) => string} */
  kept: (action, unit) => `NOCH NICHT GESENDET. ${unit}: ${ACTS[action]}`,
  undone: {
    /** @type {(unit: string) => string} */
    claim: (unit) => `Zurückgenommen. ${unit}: hat niemand`,
    /** @type {(unit: string) => string} */
    release: (unit) => `Zurückgenommen. ${unit}: hast du`,
    /** @type {(unit: string) => string} */
    done: (unit) => `Zurückgenommen. ${unit}: noch zu tun`,
  },
  /** @type {(who: string, unit: string) => string} */
  takenBy: (who, unit) => `${unit}: ${who} war schneller und hat ihn. Nicht gehen.`,
  /** @type {(action: import("./runner-queue.js").PressAction, unit: string, said: string) => string} */
  refused: (action, unit, said) => `${unit}, ${ACTS[action]}: ${said}`,
  /** @type {(unit: string, said: string) => string} */
  readingRefused: (unit, said) => `${unit}, Werte: ${said}`,
  /** @type {(unit: string) => string} */
  readingStored: (unit) => `${unit}: Werte gespeichert`,
  /** @type {(unit: string) => string} */
  alreadyEnded: (unit) => `${unit}: der Auftrag war schon beendet.`,
  news: {
    /** @type {(unit: string) => string} */
    withdrawn: (unit) => `${unit}: nicht mehr nötig. Nicht gehen.`,
    /** @type {(unit: string) => string} */
    missed: (unit) => `${unit}: SCHWARZ geworden, bevor jemand da war.`,
    /** @type {(unit: string) => string} */
    done: (unit) => `${unit}: erledigt, der Tausch wurde gesehen.`,
    /** @type {(unit: string) => string} */
    gone: (unit) => `${unit}: der Auftrag ist beendet.`,
    /** @type {(unit: string) => string} */
    freed: (unit) => `${unit}: nicht mehr deiner, hat niemand.`,
    /** @type {(unit: string, who: string) => string} */
    taken: (unit, who) => `${unit}: hat jetzt ${who}.`,
  },
  tooMany: "Es wartet schon zu viel aufs Senden. Das wurde nicht behalten.",
  notKept: "Dieser Browser behält nichts: was nicht gesendet ist, geht mit der Seite verloren.",

  /** @type {(count: number) => string} */
  unsent: (count) => `NOCH NICHT GESENDET: ${count}`,
  unsentWhy: "Auf diesem Telefon behalten, wird der Reihe nach gesendet, wenn der Hub wieder da ist.",
  /** @type {(what: string, clock: string, age: string) => string} */
  waits: (what, clock, age) => `${what}, gedrückt ${clock}, vor ${age}`,
  /** @type {(what: string, clock: string, age: string) => string} */
  stillTrue: (what, clock, age) => `${what}, gedrückt ${clock}, vor ${age}. Nie gesendet. Stimmt das noch?`,
  /** @type {(what: string, clock: string) => string} */
  changed: (what, clock) => `${what}, gedrückt ${clock}: keine Antwort, und der Auftrag hat sich geändert. Senden?`,
  /** @type {(what: string, clock: string, who: string) => string} */
  foreign: (what, clock, who) => `${what}, gedrückt ${clock} von ${who}, hier nicht angemeldet.`,
  /** @type {(action: import("./runner-queue.js").PressAction, unit: string) => string} */
  pressed: (action, unit) => `${unit}: ${ACTS[action]}`,
  /** @type {(unit: string) => string} */
  typed: (unit) => `${unit}: Werte`,

  volume: "Ton bei neuem Auftrag",
  volumes: { mute: "stumm", quiet: "leise", middle: "mittel", loud: "laut" },
  buzz: "Vibration",
  buzzes: { on: "an", off: "aus" },
  noBuzz: "Dieser Browser kann nicht vibrieren.",
  light: "Licht",
  lights: { auto: "auto", light: "Tag", dark: "Nacht" },
  hand: "Hand am Telefon",
  hands: { left: "links", right: "rechts" },
  awake: {
    on: "Dieser Bildschirm bleibt an.",
    off: "Dieser Bildschirm kann von selbst ausgehen.",
    none: "Dieser Bildschirm kann von selbst ausgehen: der Browser hält ihn nur über eine verschlüsselte Adresse (https) an.",
  },

  units: "Welche Einheit?",
  search: "Buchstaben von Rufname oder Ort",
  noUnit: "Keine Einheit passt.",
  battery: "Akku",
  /** @type {(slot: string, only: boolean) => string} */
  slot: (slot, only) => (only ? "Karte" : `Karte ${slot}`),
  /** @type {(value: number) => string} */
  percent: (value) => `${value} %`,
  unknown: "unbekannt",
  /** @type {(percent: number) => string} */
  last: (percent) => `war ${Math.round(percent)} %`,
  /** @type {(percent: number) => string} */
  stays: (percent) => `bleibt ${Math.round(percent)} %`,
  /** @type {(mode: string) => string} */
  modeLast: (mode) => `Kamera (war: ${mode})`,
  externalYes: "am Netz",
  externalNo: "nicht am Netz",
  asLast: "wie zuletzt",
  back: "⌫",
  backWord: "letzte Ziffer weg",
  sendNothing: "Zahl tippen oder Modus wählen",
  /** @type {(parts: string) => string} */
  sends: (parts) => `SENDEN ${parts}`,
  /** @type {(percent: number) => string} */
  sendBattery: (percent) => `Akku ${percent} %`,
  /** @type {(slot: string, only: boolean, percent: number) => string} */
  sendCard: (slot, only, percent) => `${only ? "Karte" : `Karte ${slot}`} ${Math.round(percent)} %`,
};
