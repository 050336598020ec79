/**
 * Every word of the runner's page, in English.
 * @module words-runner-en
 */

import { duration } from "./words-en.js";

const MINUTE = 60_000;

/** What a press does, in a list. @type {Record<import("./runner-queue.js").PressAction, string>} */
const ACTS = { claim: "take", release: "hand back", done: "done", undo: "undo" };

/** Time to a moment, rounded down. @param {number} ms */
const minutesTo = (ms) => (ms < MINUTE ? "< 1 min" : duration(ms));

/** The runner's page. */
export const runner = {
  linkOps: "Ops screen: all units",
  menu: "Menu",
  close: "Close",
  sound: { on: "Sound on", muted: "MUTED", blocked: "Silent: tap" },

  bring: "BRING",
  pieces: {
    /** @type {(count: number) => string} */
    pack: (count) => `${count} ${count === 1 ? "PACK" : "PACKS"}`,
    /** @type {(count: number) => string} */
    card: (count) => `${count} ${count === 1 ? "CARD" : "CARDS"}`,
  },
  /** @type {(what: string, labels: string[]) => string} */
  named: (what, labels) => (labels.length === 0 ? what : `${what} (${labels.join(", ")})`),
  bringNothing: "NOTHING: GO AND LOOK",
  /** @type {(jobs: number, mine: number) => string} */
  sum: (jobs, mine) => {
    const parts = [];
    if (mine > 0) parts.push(`${mine} yours`);
    if (jobs > mine) parts.push(`${jobs - mine} to take`);
    return `${jobs === 1 ? "1 job" : `${jobs} jobs`}: ${parts.join(", ")}`;
  },
  /** @type {(clock: string) => string} */
  asOf: (clock) => `as of ${clock}, may have changed`,
  none: "Nobody has to move now.",
  noUnits: "The hub knows no unit yet.",
  noneKnown: "No job known: the hub is lost.",
  looking: "Asking the hub …",
  /** @type {(open: number, others: number) => string} */
  rest: (open, others) => {
    const parts = [];
    if (open > 0) parts.push(`${open} later`);
    if (others > 0) parts.push(`${others} taken by others`);
    return `${open + others} more: ${parts.join(", ")}`;
  },

  noPlace: "place not noted",
  be: "Be there",
  /** @type {(clock: string) => string} */
  by: (clock) => `by ${clock}`,
  /** @type {(ms: number) => string} */
  inTime: (ms) => `in ${minutesTo(ms)}`,
  /** @type {(ms: number) => string} */
  over: (ms) => `${duration(ms)} LATE`,
  /** @type {(clock: string, ms: number) => string} */
  leave: (clock, ms) => `Leave by ${clock}, in ${minutesTo(ms)}`,
  leaveNow: "LEAVE NOW",
  /** @type {(age: string) => string} */
  old: (age) => `OLD: heard ${age} ago`,
  open: "nobody has it",
  lapsed: "nobody has it: claim ran out",
  mine: "YOURS",
  /** @type {(clock: string) => string} */
  mineUntil: (clock) => `YOURS until ${clock}`,
  /** @type {(who: string) => string} */
  theirs: (who) => `${who} has it`,
  unsentMine: "NOT SENT YET: others may take it",
  unsentOpen: "NOT SENT YET: for others it is still yours",
  /** @type {(text: string) => string} */
  note: (text) => `“${text}”`,
  claim: "TAKE",
  done: "DONE",
  release: "Hand back",
  reading: "Reading",
  later: "sent later",
  sending: "sending …",
  readingAny: "Type a reading of any unit",

  /** @type {(seconds: number) => string} */
  undo: (seconds) => `UNDO ${seconds} s`,
  ok: "OK",
  takeBack: "Take back",
  sendNow: "Send now",
  throwAway: "Throw away",
  did: {
    /** @type {(unit: string) => string} */
    claim: (unit) => `${unit}: you have it`,
    /** @type {(unit: string) => string} */
    release: (unit) => `${unit}: handed back`,
    /** @type {(unit: string) => string} */
    done: (unit) => `${unit}: done`,
  },
  /** @type {(action: import("./runner-queue.js").PressAction, unit: string) => string} */
  kept: (action, unit) => `NOT SENT YET. ${unit}: ${ACTS[action]}`,
  undone: {
    /** @type {(unit: string) => string} */
    claim: (unit) => `Undone. ${unit}: nobody has it`,
    /** @type {(unit: string) => string} */
    release: (unit) => `Undone. ${unit}: you have it`,
    /** @type {(unit: string) => string} */
    done: (unit) => `Undone. ${unit}: still to do`,
  },
  /** @type {(who: string, unit: string) => string} */
  takenBy: (who, unit) => `${unit}: ${who} was first and has it. Do not go.`,
  /** @type {(action: import("./runner-queue.js").PressAction, unit: string, said: string) => string} */
  refused: (action, unit, said) => `${unit}, ${ACTS[action]}: ${said}`,
  /** @type {(unit: string, said: string) => string} */
  readingRefused: (unit, said) => `${unit}, reading: ${said}`,
  /** @type {(unit: string) => string} */
  readingStored: (unit) => `${unit}: reading stored`,
  /** @type {(unit: string) => string} */
  alreadyEnded: (unit) => `${unit}: the call had ended already.`,
  news: {
    /** @type {(unit: string) => string} */
    withdrawn: (unit) => `${unit}: no longer needed. Do not go.`,
    /** @type {(unit: string) => string} */
    missed: (unit) => `${unit}: it went DARK before it was served.`,
    /** @type {(unit: string) => string} */
    done: (unit) => `${unit}: done, the swap was seen.`,
    /** @type {(unit: string) => string} */
    gone: (unit) => `${unit}: the call has ended.`,
    /** @type {(unit: string) => string} */
    freed: (unit) => `${unit}: no longer yours, nobody has it.`,
    /** @type {(unit: string, who: string) => string} */
    taken: (unit, who) => `${unit}: ${who} has it now.`,
  },
  tooMany: "Too much waits to be sent already. This press was not kept.",
  notKept: "This browser keeps nothing: what is not sent is lost when the page closes.",

  /** @type {(count: number) => string} */
  unsent: (count) => `NOT SENT YET: ${count}`,
  unsentWhy: "Kept on this phone, sent in order when the hub is back.",
  /** @type {(what: string, clock: string, age: string) => string} */
  waits: (what, clock, age) => `${what}, pressed ${clock}, ${age} ago`,
  /** @type {(what: string, clock: string, age: string) => string} */
  stillTrue: (what, clock, age) => `${what}, pressed ${clock}, ${age} ago. Never sent. Still true?`,
  /** @type {(what: string, clock: string) => string} */
  changed: (what, clock) => `${what}, pressed ${clock}: no answer came, and the call has changed since. Send it?`,
  /** @type {(what: string, clock: string, who: string) => string} */
  foreign: (what, clock, who) => `${what}, pressed ${clock} by ${who}, who is not signed in here.`,
  /** @type {(action: import("./runner-queue.js").PressAction, unit: string) => string} */
  pressed: (action, unit) => `${unit}: ${ACTS[action]}`,
  /** @type {(unit: string) => string} */
  typed: (unit) => `${unit}: reading`,

  volume: "Sound of a new call",
  volumes: { mute: "mute", quiet: "quiet", middle: "middle", loud: "loud" },
  buzz: "Vibration",
  buzzes: { on: "on", off: "off" },
  noBuzz: "This browser cannot vibrate.",
  light: "Light",
  lights: { auto: "auto", light: "day", dark: "night" },
  hand: "Hand that holds the phone",
  hands: { left: "left", right: "right" },
  awake: {
    on: "This screen stays on.",
    off: "This screen may go dark by itself.",
    none: "This screen may go dark by itself: the browser can keep it on only over an encrypted address (https).",
  },

  units: "Which unit?",
  search: "Letters of callsign or place",
  noUnit: "No unit fits.",
  battery: "Battery",
  /** @type {(slot: string, only: boolean) => string} */
  slot: (slot, only) => (only ? "Card" : `Card ${slot}`),
  /** @type {(value: number) => string} */
  percent: (value) => `${value} %`,
  unknown: "not known",
  /** @type {(percent: number) => string} */
  last: (percent) => `was ${Math.round(percent)} %`,
  /** @type {(percent: number) => string} */
  stays: (percent) => `stays ${Math.round(percent)} %`,
  /** @type {(mode: string) => string} */
  modeLast: (mode) => `Camera (was: ${mode})`,
  externalYes: "on external power",
  externalNo: "not on external power",
  asLast: "as it was",
  back: "⌫",
  backWord: "take the last digit away",
  sendNothing: "Type a number, or choose a mode",
  /** @type {(parts: string) => string} */
  sends: (parts) => `SEND ${parts}`,
  /** @type {(percent: number) => string} */
  sendBattery: (percent) => `battery ${percent} %`,
  /** @type {(slot: string, only: boolean, percent: number) => string} */
  sendCard: (slot, only, percent) => `${only ? "card" : `card ${slot}`} ${Math.round(percent)} %`,
};
