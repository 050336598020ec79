/**
 * The words of the panels beside the calls, in English: forms, the unit sheet, people, packs in the hours to come, help.
 * @module words-panels-en
 */

import { duration } from "./words-en.js";

/** Around every form. */
export const forms = {
  noNumber: "This is not a number.",
  unreachable: "The hub did not answer. What you typed is still here: send it again.",
  /** @type {(status: number) => string} */
  refused: (status) => `The hub refused this (${status}).`,
};

const percents = (/** @type {number} */ value) => `${Math.round(value * 10) / 10} %`;

/** The unit sheet. */
export const sheet = {
  /** @type {(unit: string, position: string|null|undefined) => string} */
  heading: (unit, position) => (position ? `${unit}, ${position}` : unit),
  /** @type {(age: import("./freshness.js").Age, typed: boolean) => string} */
  heard: ({ state, ageMs, lateMs }, typed) => {
    if (state === "never") return "Never heard. Waiting for its first report.";
    const age = ageMs === null ? "" : `${duration(ageMs)} ago`;
    if (state === "silent") return `SILENT: last heard ${age}. What follows is old.`;
    if (state === "old") return `OLD: last heard ${age}. The hub is lost.`;
    const said = typed ? `Typed by hand ${age}` : `Heard ${age}`;
    return lateMs === null ? `${said}.` : `${said}: late by ${duration(lateMs)}.`;
  },
  /** @type {(length: string) => string} */
  ago: (length) => `${length} ago`,
  battery: "Battery",
  percent: percents,
  /** @type {(step: number) => string} */
  steps: (step) => `in steps of ${step} %`,
  external: "on external power",
  /** @type {(label: string) => string} */
  pack: (label) => `pack ${label}`,
  /** @type {(volts: number) => string} */
  volts: (volts) => `${volts.toFixed(1)} V`,
  /** @type {(degrees: number) => string} */
  celsius: (degrees) => `${Math.round(degrees)} °C`,
  mode: "Mode",
  /** @type {(slot: string) => string} */
  slot: (slot) => `Slot ${slot}`,
  /** @type {(label: string) => string} */
  card: (label) => `card ${label}`,
  /** @type {(percent: number) => string} */
  fill: (percent) => `${percents(percent)} full`,
  /** @type {(percent: number, bytes: number) => string} */
  fillOf: (percent, bytes) => `${percents(percent)} of ${Math.round(bytes / 1e9)} GB full`,
  slotStates: { recording: "being written", ready: "ready", full: "FULL", empty: "no card in it" },
  cards: "Cards",
  slotModes: { single: "one card", relay: "relay: one after the other", simultaneous: "the same on all cards" },
  /** @type {(rate: number) => string} */
  bitRate: (rate) => `${Math.round(rate)} Mb/s`,
  ends: { battery: "Battery ends", cards: "Cards full" },
  /** @type {(middle: string, low: string, high: string) => string} */
  spread: (middle, low, high) => `about ${middle}, eight times in ten between ${low} and ${high}`,
  later: "more than 24 hours from now",
  basis: "Rests on",
  window: "Running order",
  nextWindow: "After that",
  tally: "Vision mixer",
  lights: { program: "ON AIR", preview: "next on air", clear: "not on air" },
  windowKinds: { held: "held", break: "break", rolling: "rolling" },
  /** @type {(kind: string, title: string, until: string) => string} */
  windowNow: (kind, title, until) => `${kind}${title ? `, “${title}”` : ""}${until ? `, until ${until}` : ""}`,
  /** @type {(kind: string, title: string, start: string) => string} */
  windowNext: (kind, title, start) => `${kind}${title ? `, “${title}”` : ""}, from ${start}`,
  clock: "Its clock",
  clockRight: "right",
  /** @type {(ms: number) => string} */
  clockOff: (ms) => `${duration(ms)} ${ms > 0 ? "ahead" : "behind"}; the hub corrects it`,
  past: "What was",
  stretch: "How far back",
  stretches: { hour: "1 h", four: "4 h", today: "today" },
  asking: "Asking the hub …",
  emptyPast: "Nothing was reported in this time.",
  /** @type {(detail: string|undefined) => string} */
  noPast: (detail) => `The past cannot be shown: ${detail ?? "the hub did not answer"}`,
  noTrail: "This hub does not keep its forecasts, so only the readings are shown.",
  /** @type {(clock: string) => string} */
  trailSince: (clock) => `Forecasts are kept since ${clock}; before that there are only the readings.`,
  noTrailNow: "The forecasts of then did not come; only the readings are shown.",
  /** @type {(what: string, label: string|null|undefined) => string} */
  swapMark: (what, label) => label || (what === "pack" ? "new pack" : "new card"),
  /** @type {(letter: string) => string} */
  endMark: (letter) => `✕ ${letter}`.trim(),
  /** @type {(trail: boolean) => string} */
  pastCaption: (trail) =>
    `Full line: battery in percent. Broken lines with a letter: how full each card was. Below: tall while it recorded, half in standby, flat when off.${trail ? " Upright line: a swap, ✕ an end. Fan: the battery forecast of half an hour before." : ""}`,
  airCaption: "Thin line at the bottom: on air.",
  /** @type {(cause: "battery"|"cards") => string} */
  promiseCaption: (cause) =>
    `When the ${cause === "battery" ? "battery was expected to end" : "cards were expected to be full"}: across, when it was said; up, for when. Band: eight times in ten; line: even chance. Slanted line: the present. Level line: what happened; dot: it stopped, diamond: it was served.`,
  changed: {
    /** @type {(label: string) => string} */
    battery: (label) => `pack changed${label ? ` (${label} went in)` : ""}`,
    /** @type {(label: string) => string} */
    cards: (label) => `card changed${label ? ` (${label} went in)` : ""}`,
  },
  ended: { battery: "the battery ended", cards: "the cards were full" },
  /** @type {(aheadMs: number|null, middle: string, low: string, high: string) => string} */
  said: (aheadMs, middle, low, high) =>
    `${aheadMs === null ? "Half an hour" : duration(aheadMs)} before, the forecast was ${middle}, eight times in ten between ${low} and ${high}.`,
  verdicts: {
    inside: "It happened inside that range.",
    sooner: "It happened sooner than that range.",
    later: "It happened later than that range.",
    served: "It was changed first, so nobody will know.",
  },
  /** @type {(clock: string, what: string, said: string, verdict: string) => string} */
  story: (clock, what, said, verdict) => `${clock} ${what}. ${said} ${verdict}`,
  reading: "Type a reading",
  sendReading: "Send reading",
  readingSent: "Sent.",
  nothingTyped: "Type at least one value.",
  noDisplay: "A display is a number, such as 13, or screen and number, such as 2:13.",
  packNeedsBattery: "A pack is named together with its percent.",
  readAllSlots: "Read this slot too (0 for an empty card): a card reading counts for all slots.",
  asBefore: "as before",
  profile: "Profile of this unit",
  save: "Save",
  saved: "Saved.",
  gauges: { coulomb: "counts charge", voltage: "reads the voltage" },
  fields: {
    battery: "Battery, %",
    /** @type {(slot: string) => string} */
    slot: (slot) => `Card in slot ${slot}, % full`,
    mode: "Mode",
    pack: "Pack, if it is a new one",
    position: "Position",
    group: "Coverage group",
    walk_s: "Walk from base, s",
    gauge: "Gauge",
    pack_wh: "Usual pack, Wh",
    recording_w: "Draws while recording, W",
    standby_w: "Draws in standby, W",
    bit_rate_mbps: "Usual bit rate, Mb/s",
    display: "Tally display, as the mixer counts: 13, or 2:13 on screen 2",
  },
  limits: "Limits for this unit",
  limitsHint: "In grey: what holds for every unit. Leave a field empty to let that hold here too.",
  limitFields: {
    fetch_s: "To fetch at base, s",
    walk_s: "To walk, where the profile does not say, s",
    swap_s: "For the swap itself, s",
    margin_s: "To spare, s",
    ease_s: "Further away before a call is withdrawn, s",
    min_open_s: "A call stays open at least, s",
    remind_s: "Between two reminders, s",
  },
};

/** The panel of people. */
export const people = {
  button: "People",
  heading: "People",
  inviteHeading: "Invite somebody",
  invite: "Make an invitation",
  fields: { name: "Name, as it stands on claims", role: "Role", minutes: "Works for" },
  minutes: [["10", "10 min"], ["5", "5 min"], ["30", "30 min"], ["60", "1 h"]],
  needName: "Say who it is for.",
  /** @type {(name: string, role: string) => string} */
  guest: (name, role) => `For ${name}, ${role}. Works once.`,
  noPicture: "This hub makes no picture to scan: read the code out, or send the link.",
  /** @type {(name: string) => string} */
  pictureAlt: (name) => `Picture to scan: signs ${name} in`,
  /** @type {(letters: string) => string} */
  codeAloud: (letters) => `Code: ${letters}`,
  /** @type {(host: string) => string} */
  ownHost: (host) => `${host} leads every device to itself. Open this page by the hub's address in the network, then invite again.`,
  /** @type {(length: string) => string} */
  left: (length) => `Works for ${length} more.`,
  over: "This invitation is too old now. Make another one.",
  on: "Who is on",
  asking: "Asking the hub …",
  /** @type {(count: number) => string} */
  count: (count) => (count === 1 ? "One sign-in or token" : `${count} sign-ins and tokens`),
  unreachable: "The hub did not answer; what stands here may be old.",
  tooOld: "This hub cannot say who is on. On its machine, “swapcall-hub token list” and “swapcall-hub token revoke” do the same.",
  /** @type {(detail: string) => string} */
  noList: (detail) => `The list cannot be shown: ${detail}`,
  /** @type {(name: string) => string} */
  you: (name) => `${name} (your name)`,
  session: "signed in on a screen",
  token: "has a token",
  /** @type {(count: number) => string} */
  screens: (count) => (count === 1 ? "1 screen open" : `${count} screens open`),
  notHeard: "not heard since the hub started",
  /** @type {(length: string) => string} */
  heard: (length) => `heard ${length} ago`,
  /** @type {(length: string) => string} */
  since: (length) => `since ${length}`,
  /** @type {(length: string) => string} */
  ends: (length) => `ends in ${length}`,
  end: "End",
  /** @type {(name: string) => string} */
  reallyEnd: (name) => `End ${name}'s? Press again`,
  ended: "Ended. Whoever had it must be invited again.",
};

/** The hours to come of the packs. */
export const rotation = {
  heading: "Packs in the hours to come",
  /** @type {(hours: number, of100: number) => string} */
  lasts: (hours, of100) => `Packs last for ${hours} h: ${of100 === 0 ? "none" : of100} of 100 cases ${of100 > 1 ? "run" : "runs"} short.`,
  /** @type {(at: string, earliest: string, of100: number) => string} */
  short: (at, earliest, of100) => `PACKS RUN SHORT about ${at}, at the earliest ${earliest}, in ${of100} of 100 cases.`,
  /** @type {(packs: {p50: number, p90: number}, minutes: {p50: number, p90: number}) => string} */
  missing: (packs, minutes) => `${packs.p50} missing, ${packs.p90} at worst, for ${duration(60_000 * minutes.p50)}, ${duration(60_000 * minutes.p90)} at worst.`,
  /** @type {(change: string) => string} */
  cheapest: (change) => `Enough: ${change}.`,
  noCure: "No single cure is enough.",
  cures: "What was tried",
  /** @type {(change: string, of100: number) => string} */
  cure: (change, of100) => `${change}: short in ${of100} of 100 cases`,
  /** @type {(text: string) => string} */
  enough: (text) => `✓ ${text}: enough`,
  change: {
    pack: (/** @type {number} */ count) => (count === 1 ? "1 more pack" : `${count} more packs`),
    bay: (/** @type {number} */ count) => (count === 1 ? "1 more bay" : `${count} more bays`),
    external: (/** @type {number} */ _, /** @type {string} */ unit) => `${unit} on outside power`,
    standby_off: (/** @type {number} */ count) => (count === 1 ? "the unit in standby off" : `the ${count} units in standby off`),
  },
  none: "How the packs last in the hours to come is not known: the hub gave no answer.",
  assumed: "What this rests on",
  picture: "Packs that lie ready over time.",
  key: "Line: packs ready, in the middle case. Band: eight cases in ten.",
  /** @type {(at: string) => string} */
  shortMark: (at) => `short ${at}`,
};

/** The help sheet. */
export const help = {
  heading: "Keys and signs",
  /** @type {[string, string][]} */
  keys: [
    ["↓ ↑ or j k", "choose a call"],
    ["c", "claim the chosen call"],
    ["r", "hand it back"],
    ["d", "done (twice, if it is not yours)"],
    ["1 … 5 or + −", "axis 20 min, 1 h, 2 h, 4 h, whole show"],
    ["s", "order: soonest, callsign, place, group"],
    ["m", "mute, or sound again"],
    ["t", "light: auto, day, night"],
    ["?", "this sheet"],
    ["Esc", "close"],
  ],
  /** @type {[string, string][]} */
  signs: [
    ["14 min", "Even chance that the unit stops before. Beside it: eight times in ten it stops in this range."],
    ["B / C", "B, full bar with round ends, is the battery. C, striped bar with square ends, is the cards."],
    ["recording on", "Small print, or ● where there is little room: what is left if recording goes on without a pause."],
    ["Drains …", "Point at a row (on a phone: below it): what its battery forecast rests on."],
    ["▶", "Ends beyond the right end of the axis."],
    ["▼", "Somebody must be at the unit by then."],
    ["late 12 s", "A report is overdue by that much."],
    ["SILENT", "Three reports are missing: striped row, hollow bars, numbers are guesses."],
    ["DARK", "It stopped before it was served."],
    ["HUB LOST", "This screen hears nothing: all of it is old."],
  ],
  sound: "Sound: two rising tones for a new call, three for a claim that lapsed. It starts muted.",
};
