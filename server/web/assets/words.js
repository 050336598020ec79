/**
 * Every word a person reads on the screens. Nothing else in this folder holds text for people.
 * @module words
 */

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
  if (ms < 0) return "now";
  return ms < MINUTE ? "< 1 min" : duration(ms);
}

/**
 * The range beside a big number: `11–19 min`, `5.1–8.4 h`.
 * @param {number|null} low milliseconds to the P10
 * @param {number|null} high milliseconds to the P90
 * @returns {string}
 */
export function range(low, high) {
  if (low === null) return "";
  if (high === null) return `from ${timeLeft(low)}`;
  if (low < MINUTE) return `up to ${timeLeft(high)}`;
  // One unit for both ends: two mixed times beside a big number take three lines and a second look.
  if (high < 300 * MINUTE) return `${Math.floor(low / MINUTE)}–${Math.floor(high / MINUTE)} min`;
  return `${(low / HOUR).toFixed(1)}–${(high / HOUR).toFixed(1)} h`;
}

/** Modes of a camera: a shape and a word. */
export const MODES = {
  recording: { shape: "●", word: "recording" },
  standby: { shape: "◐", word: "standby" },
  off: { shape: "○", word: "off" },
  unknown: { shape: "–", word: "mode unknown" },
};

/** What a runner brings: the picture drawn beside it is named by the key. */
export const BRING = { pack: "PACK", card: "CARD", look: "GO AND LOOK" };

/** What stops a unit. */
export const CAUSES = { battery: "battery", cards: "cards", silent: "silent" };

/** Letters on the marks of the run-out axis. */
export const LETTERS = { battery: "B", cards: "C" };

/** How a call ended. */
export const ENDINGS = { done: "done", withdrawn: "no longer needed", missed: "MISSED: it went dark" };

/** The roles of tokens. */
export const ROLES = { cart: "cart", runner: "runner", lead: "lead", owner: "owner" };

/** Orders of the board. */
export const SORTS = { soonest: "soonest", callsign: "callsign", position: "position" };

/** Lengths of the axis in minutes, and what the buttons say. */
export const SPANS = { 20: "20 min", 60: "1 h", 120: "2 h", 240: "4 h" };

/** Everything about one row of the board. */
export const row = {
  noPosition: "no position",
  external: "B external",
  battery: (percent) => `B ${Math.round(percent)} %`,
  cards: (percents) => `C ${percents.map((percent) => Math.round(percent)).join(" / ")} %`,
  clockOff: (ms) => `⚠ clock ${duration(Math.abs(ms))} ${ms > 0 ? "ahead" : "behind"}`,
  age: (ms) => (ms < 1000 ? "heard just now" : `heard ${duration(ms)} ago`),
  typed: (ms) => `typed ${duration(ms)} ago`,
  late: (ms) => `late ${duration(ms)}`,
  silentSince: (clock) => `SILENT since ${clock}`,
  silent: "SILENT",
  old: (ms) => `OLD: ${duration(ms)}`,
  never: "never heard",
  neverHint: "waiting for its first report",
  dark: "DARK",
  darkHint: "stopped before it was served",
  darkSince: (clock) => `stopped at ${clock}`,
  noForecast: "no forecast",
  noForecastHint: "no battery or card reading yet",
  anyMoment: "NOW",
  anyMomentHint: "may stop at any moment",
  overdue: (ms) => `${duration(ms)} over`,
  overdueHint: "should have stopped: go and look",
  deadReckoning: "guessed, nothing heard",
  first: (cause) => `${CAUSES[cause]} first`,
  ifRecording: (each) => `recording on: ${each.map(({ letter, text }) => `${letter} ${text}`).join(" · ")}`,
  ifShort: (left) => `● ${left}`,
  beyond: (letter, text) => `${letter} ${text} ▶`,
  over: (letter, clock) => `◀ ${letter} was due ${clock}`,
  callOpen: (number) => `! ${number}`,
  callClaimed: (number, who) => `${number} ▸ ${who}`,
  be: "▼",
  spread: (cause, low, middle, high) =>
    `${CAUSES[cause]} ends about ${middle}, eight times in ten between ${low} and ${high}`,
  noSpread: "no run-out known",
  later: "more than 24 hours from now",
};

/** The board around its rows. */
export const board = {
  heading: "Run-out board",
  sort: "Order",
  zoom: "Axis",
  now: "now",
  ahead: (minutes) => (minutes < 60 ? `+${minutes} min` : `+${minutes / 60} h`),
  legendBattery: "battery",
  legendCards: "cards",
  legendBar: "bar: 8 in 10 · mark: even chance",
  below: (count, name, left) => `▼ ${count} more below: next ${name}, ${left}`,
  belowPlain: (count) => `▼ ${count} more below`,
};

/** The calls panel. */
export const calls = {
  heading: (count) => (count === 0 ? "Calls" : `Calls: ${count}`),
  headingOld: (count, clock) => `Calls: ${count}, as of ${clock}`,
  none: "Nobody has to move now.",
  next: (unit, left, clock) => `Next to stop: ${unit}, in about ${left} (${clock}).`,
  nextNow: (unit) => `Next to stop: ${unit}, at any moment.`,
  number: (number) => `call ${number}`,
  state: { open: "OPEN", claimed: "TAKEN" },
  inTime: (ms) => (ms < MINUTE ? "< 1 min" : duration(ms)),
  overdue: (ms) => `${duration(ms)} over`,
  by: (clock) => `by ${clock}`,
  leaveBy: (clock, ms) => `Leave by ${clock}, in ${duration(ms)}`,
  leaveNow: "LEAVE NOW",
  bring: "Bring",
  lapsed: "The claim lapsed: nobody has it.",
  claimedBy: (who, clock, mine) => `${mine ? "You have" : `${who} has`} it since ${clock}.`,
  lapses: (clock, ms) => `The claim lapses at ${clock}, in ${duration(ms)}.`,
  lapsesNow: "The claim lapses now.",
  reopened: (times) => (times === 1 ? "came back once" : `came back ${times} times`),
  reminded: (times) => (times === 1 ? "reminded once" : `reminded ${times} times`),
  note: (text) => `“${text}”`,
  claim: "Claim",
  release: "Hand back",
  done: "Done",
  reallyDone: "Really done? Press again",
  busy: "one moment",
  ended: "Ended lately",
  endedLine: (number, unit, ending, clock) => `${number} ${unit}: ${ending}, ${clock}`,
  takenBy: (who) => `${who} was first and has this call.`,
  failed: (detail) => `Did not work: ${detail}`,
  unreachable: "The hub did not answer. Nothing was changed here; look again when it is back.",
  opened: (call, bring) => `New call ${call.number}: ${call.unit}, ${call.position ?? ""}, bring ${bring}.`,
  lapsedAloud: (call) => `The claim of call ${call.number}, ${call.unit}, lapsed. Nobody has it.`,
};

/** The line at the top, and the banner. */
export const link = {
  connecting: "looking for the hub …",
  live: "hub: live",
  lostShort: "hub: LOST",
  signedOut: "signed out",
  lost: (clock) => `HUB LOST since ${clock}: values are old`,
  neverReached: "HUB NOT REACHED: nothing on this screen is live",
  trying: "trying now …",
  retry: (ms) => `next try in ${Math.ceil(ms / 1000)} s`,
  tryNow: "Try now",
};

/** Buttons of the top line. */
export const top = {
  name: "Swapcall",
  theme: { auto: "Light: auto", light: "Light: day", dark: "Light: night" },
  help: "Help",
  signOut: "Sign out",
  who: (name, role) => (name === role ? name : `${name}, ${ROLES[role] ?? role}`),
  toCalls: (count) => `Calls ${count}`,
  toBoard: "Board",
  title: (count) => (count === 0 ? "Swapcall" : `(${count}) Swapcall`),
  titleLost: "HUB LOST · Swapcall",
};

/** The sign-in form. */
export const signIn = {
  heading: "Who is there?",
  label: "Your token or join code",
  button: "Sign in",
  where: [
    "Ask your camera lead for a join code, or open the link they give you: it signs you in by itself.",
    "The very first token was printed by the hub where it was started for the first time.",
  ],
  refused: "The hub does not know this token. Look for a missing or extra character, or ask for a new one.",
  refusedCode: "This code does not work: a wrong letter, used already, or too old. Ask for a new one.",
  wait: (seconds) => `Too many wrong tokens or codes came from here. Try again in ${seconds} s.`,
  unreachable: "The hub did not answer. Is this device in the crew's network?",
  empty: "Type or paste your token or code first.",
};

/**
 * The three commands that bring an empty hub to life.
 * @param {string} origin this hub's address
 * @returns {{say: string, command: string}[]}
 */
export function firstSteps(origin) {
  const swapcall = `swapcall --hub ${origin}`;
  return [
    { say: "Name a unit", command: `${swapcall} put-unit BOW1 --position "start line" --walk-s 120` },
    { say: "Send its first report by hand", command: `${swapcall} report BOW1 80 rec A=10` },
    { say: "Or let its cart report by itself", command: `${swapcall} watch BOW1 --power-supply --mount A=/media/card` },
  ];
}

/** The empty hub. */
export const empty = {
  heading: "No units yet. Three steps:",
  token: "Each command needs a token: put it into SWAPCALL_TOKEN, or name its file in SWAPCALL_TOKEN_FILE.",
};

/** The help sheet. */
export const help = {
  heading: "Keys and signs",
  keys: [
    ["↓ ↑ or j k", "choose a call"],
    ["c", "claim the chosen call"],
    ["r", "hand it back"],
    ["d", "done (twice, if it is not yours)"],
    ["1 2 3 4 or + −", "axis 20 min, 1 h, 2 h, 4 h"],
    ["s", "order: soonest, callsign, position"],
    ["m", "mute, or sound again"],
    ["t", "light: auto, day, night"],
    ["?", "this sheet"],
    ["Esc", "close"],
  ],
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

/** Taking back a press. */
export const undo = {
  /** @type {(seconds: number) => string} */
  button: (seconds) => `Undo (${seconds} s)`,
  /** @type {(number: number, unit: string) => string} */
  done: (number, unit) => `${number} ${unit}: done`,
  /** @type {(unit: string) => string} */
  takenBack: (unit) => `Taken back: ${unit} is as it was.`,
  tooOld: "This hub cannot take back a “done”. If the unit still needs somebody, its next report raises the call again.",
  keys: [["z", "undo the last press, for 10 seconds"]],
};

/** The sound button, in each state of the beeper, and the volume. */
export const sound = {
  muted: "MUTED: no sound",
  blocked: "No sound yet: touch here",
  on: "Sound on",
  /** @type {(step: number) => string} */
  volume: (step) => `Vol ${step} of 3`,
  /** @type {(step: number) => string} */
  volumeAloud: (step) => `Volume ${step} of 3, press for the next`,
  keys: [["v", "volume: soft, middle, loud"]],
};

/** Around every panel. */
export const panel = {
  close: "Close",
  lost: "HUB LOST: values are old",
  keys: [["o", "the sheet of the chosen call's unit"], ["p", "people, for leads and owners"]],
};

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
  /** @type {(window: {kind: string, title?: string|null}, until: string) => string} */
  windowNow: ({ kind, title }, until) => `${kind}${title ? `, “${title}”` : ""}${until ? `, until ${until}` : ""}`,
  /** @type {(window: {kind: string, title?: string|null}, start: string) => string} */
  windowNext: ({ kind, title }, start) => `${kind}${title ? `, “${title}”` : ""}, from ${start}`,
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
  fields: { name: "Name, as it stands on claims", role: "May do what a … may", minutes: "Works for" },
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

/** Beside the three commands on an empty hub. */
export const firstHelp = {
  rights: "The first command needs a lead's or the owner's token; the third runs until Ctrl-C.",
  https: "Over https each command also wants the hub's fingerprint, which the hub prints when it starts: put it into SWAPCALL_HUB_FINGERPRINT.",
};
