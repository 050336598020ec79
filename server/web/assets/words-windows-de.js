/**
 * The words of the panel of windows, in German.
 * @module words-windows-de
 */

import { duration } from "./words-de.js";
import { PROBLEMS } from "./words-problems-de.js";

/**
 * The panel in which windows are changed.
 * @type {typeof import("./words-windows-en.js").windowPanel}
 */
export const windowPanel = {
  heading: "Sperren und Pausen",
  close: "Schließen",
  asOf: (clock) => `gelesen um ${clock}`,
  unread: "noch nicht gelesen",
  doubtful: (clock) => `der Hub hat nicht geantwortet: Stand ${clock}`,
  lost: (clock) => `HUB WEG: Stand ${clock}, nichts kann geändert werden`,
  onlyNext: "Der Ablaufplan war nicht zu lesen: Die Zeilen zeigen nur das Jetzige und das Nächste.",
  readOnly: "Nur Leitung und Verwaltung ändern Sperren und Pausen.",
  none: "Nichts jetzt und nichts später.",
  past: (count) => (count === 1 ? "1 ist vorbei" : `${count} sind vorbei`),
  fleet: "alle Einheiten",
  unit: (name) => name,
  group: (name) => `Gruppe ${name}`,
  between: (from, until) => `${from}–${until}`,
  left: (ms) => `noch ${duration(ms)}`,
  starts: (ms) => `in ${duration(ms)}`,
  endNow: "Jetzt enden",
  remove: "Weg",
  longer: "+5 min",
  about: (kind, whom, between) => `${kind}, ${whom}, ${between}`,
  add: "Neu",
  kindLabel: "Art",
  kinds: { held: "Sperre", break: "Pause" },
  whomLabel: "Für",
  titleLabel: "Titel",
  titlePlaceholder: "was läuft",
  startLabel: "Von",
  startNow: "leer: jetzt",
  clockPlaceholder: "14:30",
  lengthLabel: "für",
  lengths: (minutes) => `${minutes} min`,
  endLabel: "oder bis",
  addButton: "Eintragen",
  badStart: "Der Beginn ist keine Uhrzeit.",
  badEnd: "Ein Ende angeben oder eine Länge drücken.",
  tooLong: "Höchstens 24 Stunden.",
  busy: "einen Moment …",
  done: {
    add: (about) => `Eingetragen: ${about}.`,
    longer: (about) => `5 min länger: ${about}.`,
    endNow: (about) => `Beendet: ${about}.`,
    remove: (about) => `Weggenommen: ${about}.`,
    undo: () => "Zurückgenommen.",
  },
  undo: (ms) => `Zurück (u), ${Math.ceil(ms / 1000)} s`,
  changed: "Jemand anders hat das inzwischen geändert oder weggenommen. Nichts ist geschehen; die Liste ist neu, bitte noch einmal ansehen.",
  refused: (detail, code) => `Der Hub hat es nicht angenommen: ${PROBLEMS[code] ?? detail}`,
  unreachable: "Der Hub hat nicht geantwortet. Ob er es angenommen hat, ist nicht bekannt: Die Liste zeigt es, sobald er antwortet.",
  keys: [
    ["w", "Sperren und Pausen: eintragen, verlängern, beenden"],
    ["u", "die letzte Änderung daran zurücknehmen, 10 s lang"],
  ],
};
