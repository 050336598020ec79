/**
 * The words of the panel of windows, in English.
 * @module words-windows-en
 */

import { duration } from "./words-en.js";

/** The panel in which windows are changed. */
export const windowPanel = {
  heading: "Held and free times",
  close: "Close",
  /** @type {(clock: string) => string} */
  asOf: (clock) => `as read at ${clock}`,
  unread: "not read yet",
  /** @type {(clock: string) => string} */
  doubtful: (clock) => `the hub did not answer: as of ${clock}`,
  /** @type {(clock: string) => string} */
  lost: (clock) => `HUB LOST: as of ${clock}, nothing can be changed`,
  onlyNext: "The rundown could not be read: rows show the present and the next window only.",
  readOnly: "Only lead and owner change windows.",
  none: "No window now or later.",
  /** @type {(count: number) => string} */
  past: (count) => (count === 1 ? "1 window is over" : `${count} windows are over`),
  fleet: "whole fleet",
  /** @type {(name: string) => string} */
  unit: (name) => name,
  /** @type {(name: string) => string} */
  group: (name) => `group ${name}`,
  /** @type {(from: string, until: string) => string} */
  between: (from, until) => `${from}–${until}`,
  /** @type {(ms: number) => string} */
  left: (ms) => `${duration(ms)} left`,
  /** @type {(ms: number) => string} */
  starts: (ms) => `in ${duration(ms)}`,
  endNow: "End now",
  remove: "Remove",
  longer: "+5 min",
  /** @type {(kind: string, whom: string, between: string) => string} */
  about: (kind, whom, between) => `${kind}, ${whom}, ${between}`,
  add: "New window",
  kindLabel: "Kind",
  kinds: { held: "Held", break: "Break" },
  whomLabel: "For",
  titleLabel: "Title",
  titlePlaceholder: "what is going on",
  startLabel: "From",
  startNow: "empty: now",
  clockPlaceholder: "14:30",
  lengthLabel: "for",
  /** @type {(minutes: number) => string} */
  lengths: (minutes) => `${minutes} min`,
  endLabel: "or until",
  addButton: "Add",
  badStart: "The beginning is no clock time.",
  badEnd: "Say until when, or press a length.",
  tooLong: "A window lasts 24 hours at most.",
  busy: "one moment …",
  done: {
    /** @type {(about: string) => string} */
    add: (about) => `Added: ${about}.`,
    /** @type {(about: string) => string} */
    longer: (about) => `5 min longer: ${about}.`,
    /** @type {(about: string) => string} */
    endNow: (about) => `Ended: ${about}.`,
    /** @type {(about: string) => string} */
    remove: (about) => `Removed: ${about}.`,
    undo: () => "Taken back.",
  },
  /** @type {(ms: number) => string} */
  undo: (ms) => `Undo (u), ${Math.ceil(ms / 1000)} s`,
  changed: "Somebody else changed or removed this window meanwhile. Nothing was done; the list is new, look again.",
  /** The code of the problem is for languages that have their own words for it. @type {(detail: string, code: string) => string} */
  refused: (detail, _code) => `The hub did not take it: ${detail}`,
  unreachable: "The hub did not answer. Whether it took the change is not known: the list shows it as soon as it answers.",
  /** @type {[string, string][]} */
  keys: [
    ["w", "held and free times: add, lengthen, end"],
    ["u", "take the last change of them back, for 10 s"],
  ],
};
