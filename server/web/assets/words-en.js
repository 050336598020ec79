/**
 * The words that a screen begins with, in English. The other languages' files have the same exports.
 * @module words-en
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

/**
 * What the words for a battery's basis depend on beside its facts.
 * @typedef {object} BasisSetting
 * @property {import("swapcall-wire").Mode|null|undefined} mode what the camera does
 * @property {boolean} external on external power
 * @property {boolean} voltage the gauge looks at the voltage
 * @property {boolean} planned the rundown says something of the unit
 */

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

/**
 * The roles of tokens.
 * @type {Record<string, string>}
 */
export const ROLES = { cart: "cart", runner: "runner", lead: "lead", owner: "owner" };

/** Orders of the board. */
export const SORTS = { soonest: "soonest", callsign: "callsign", position: "place", group: "group" };

/** Lengths of the axis in minutes, and what the buttons say. */
export const SPANS = { 20: "20 min", 60: "1 h", 120: "2 h", 240: "4 h", show: "show" };

/** Everything about one row of the board. */
export const row = {
  noPosition: "no position",
  external: "B external",
  /** @type {(percent: number) => string} */
  battery: (percent) => `B ${Math.round(percent)} %`,
  /** @type {(percents: number[]) => string} */
  cards: (percents) => `C ${percents.map((percent) => Math.round(percent)).join(" / ")} %`,
  /** @type {(ms: number) => string} */
  clockOff: (ms) => `⚠ clock ${duration(Math.abs(ms))} ${ms > 0 ? "ahead" : "behind"}`,
  /** @type {(ms: number) => string} */
  age: (ms) => (ms < 1000 ? "heard just now" : `heard ${duration(ms)} ago`),
  /** @type {(ms: number) => string} */
  typed: (ms) => `typed ${duration(ms)} ago`,
  /** @type {(ms: number) => string} */
  late: (ms) => `late ${duration(ms)}`,
  /** @type {(clock: string) => string} */
  silentSince: (clock) => `SILENT since ${clock}`,
  silent: "SILENT",
  /** @type {(ms: number) => string} */
  old: (ms) => `OLD: ${duration(ms)}`,
  never: "never heard",
  neverHint: "waiting for its first report",
  dark: "DARK",
  darkHint: "stopped before it was served",
  /** By the vision mixer. */
  onAir: "ON AIR",
  onNext: "NEXT",
  /** @type {(light: "program"|"preview"|"clear") => string} */
  wasOn: (light) => (light === "program" ? "was on air" : "was next"),
  /** @type {(clock: string) => string} */
  darkSince: (clock) => `stopped at ${clock}`,
  noForecast: "no forecast",
  noForecastHint: "no battery or card reading yet",
  anyMoment: "NOW",
  anyMomentHint: "may stop at any moment",
  /** @type {(ms: number) => string} */
  overdue: (ms) => `${duration(ms)} over`,
  overdueHint: "should have stopped: go and look",
  deadReckoning: "guessed, nothing heard",
  /** What to do where no call says it, and the same in a row of one line. */
  hints: { look: "stopped, and no call: go and look", radio: "guessed, nothing heard: ask by radio" },
  short: { "": "", look: "go and look", radio: "ask by radio" },
  /** @type {(cause: "battery"|"cards") => string} */
  first: (cause) => `${CAUSES[cause]} first`,
  /** @type {(each: {letter: string, text: string}[]) => string} */
  ifRecording: (each) => `recording on: ${each.map(({ letter, text }) => `${letter} ${text}`).join(" · ")}`,
  /** @type {(left: string) => string} */
  ifShort: (left) => `● ${left}`,
  /** @type {(letter: string, text: string) => string} */
  beyond: (letter, text) => `${letter} ${text} ▶`,
  /** @type {(letter: string, clock: string) => string} */
  over: (letter, clock) => `◀ ${letter} was due ${clock}`,
  /**
   * What a battery forecast rests on. The hub words it in English; the setting is for languages that word it anew.
   * @type {(facts: import("swapcall-wire").BatteryBasis, setting: BasisSetting) => string}
   */
  basis: (facts, _setting) => facts.sentence,
  /** @type {(number: number) => string} */
  callOpen: (number) => `! ${number}`,
  /** @type {(number: number, who: string) => string} */
  callClaimed: (number, who) => `${number} ▸ ${who}`,
  be: "▼",
  /** @type {(cause: "battery"|"cards", low: string, middle: string, high: string) => string} */
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
  /** @type {(minutes: number) => string} */
  ahead: (minutes) => (minutes % 60 === 0 ? `+${minutes / 60} h` : `+${duration(minutes * MINUTE)}`),
  legendBattery: "battery, % left",
  legendCards: "cards, % full",
  legendBar: "bar: 8 in 10 · mark: even chance",
  /** @type {(count: number, name: string, left: string) => string} */
  below: (count, name, left) => `▼ ${count} more below: next ${name}, ${left}`,
  /** @type {(count: number) => string} */
  belowPlain: (count) => `▼ ${count} more below`,
};

/** The calls panel. */
export const calls = {
  /** @type {(count: number) => string} */
  heading: (count) => (count === 0 ? "Calls" : `Calls: ${count}`),
  /** @type {(count: number, clock: string) => string} */
  headingOld: (count, clock) => `Calls: ${count}, as of ${clock}. Buttons are off: call by radio`,
  none: "Nobody has to move now.",
  /** @type {(unit: string, left: string, clock: string) => string} */
  next: (unit, left, clock) => `Next to stop: ${unit}, in about ${left} (${clock}).`,
  /** @type {(unit: string) => string} */
  nextNow: (unit) => `Next to stop: ${unit}, at any moment.`,
  /** @type {(number: string) => string} */
  number: (number) => `call ${number}`,
  /**
   * Why somebody must go, as the hub words it, and when it said so where that is a while ago.
   * @type {(text: string, clock: string) => string}
   */
  why: (text, clock) => (clock === "" ? text : `${text} (at ${clock})`),
  state: { open: "OPEN", claimed: "TAKEN" },
  /** @type {(ms: number) => string} */
  inTime: (ms) => (ms < MINUTE ? "< 1 min" : duration(ms)),
  /** @type {(ms: number) => string} */
  overdue: (ms) => `${duration(ms)} over`,
  /** @type {(clock: string) => string} */
  by: (clock) => `by ${clock}`,
  /** @type {(clock: string, ms: number) => string} */
  leaveBy: (clock, ms) => `Leave by ${clock}, in ${duration(ms)}`,
  leaveNow: "LEAVE NOW",
  /** @type {(clock: string) => string} */
  onAir: (clock) => `ON AIR since ${clock}: do not touch.`,
  onNext: "NEXT on air: ask before you touch it.",
  /** @type {(until: string, title: string) => string} */
  heldNow: (until, title) => `HELD until ${until}${title === "" ? "" : ` (${title})`}: do not touch.`,
  /** @type {(from: string, until: string, title: string) => string} */
  heldSoon: (from, until, title) => `HELD ${from} to ${until}${title === "" ? "" : ` (${title})`}: do not touch then.`,
  /** @type {(from: string) => string} */
  swapBefore: (from) => `Swap before ${from}.`,
  /** @type {(from: string, by: string) => string} */
  swapBetween: (from, by) => `Swap from ${from}, at the latest at ${by}.`,
  /** @type {(by: string) => string} */
  swapNever: (by) => `No gap to swap before ${by}: ask the lead.`,
  bring: "Bring",
  /** @type {(what: string, label: string) => string} */
  labelled: (what, label) => `${what} ${label}`,
  /** @type {(pieces: string) => string} */
  out: (pieces) => `Remove: ${pieces}`,
  /** @type {(facts: string[]) => string} */
  outPack: (facts) => ["pack", ...facts].join(" "),
  /** @type {(wh: number) => string} */
  wattHours: (wh) => `${wh} Wh`,
  /** @type {(slot: string, label: string, used: number) => string} */
  outCard: (slot, label, used) => `card${label === "" ? "" : ` ${label}`} in ${slot}, ${Math.round(used)} % full`,
  lapsed: "The claim lapsed: nobody has it.",
  /** @type {(who: string, clock: string, mine: boolean) => string} */
  claimedBy: (who, clock, mine) => `${mine ? "You have" : `${who} has`} it since ${clock}.`,
  /** @type {(clock: string, ms: number) => string} */
  lapses: (clock, ms) => `The claim lapses at ${clock}, in ${duration(ms)}.`,
  lapsesNow: "The claim lapses now.",
  /** @type {(times: number) => string} */
  reopened: (times) => (times === 1 ? "Came back once" : `Came back ${times} times`),
  /** @type {(times: number) => string} */
  reminded: (times) => (times === 1 ? "Reminded once" : `Reminded ${times} times`),
  /** @type {(text: string) => string} */
  note: (text) => `“${text}”`,
  claim: "Claim",
  release: "Hand back",
  done: "Done",
  reallyDone: "Really done? Press again",
  busy: "one moment",
  ended: "Ended lately",
  /** @type {(number: number, unit: string, ending: string, clock: string) => string} */
  endedLine: (number, unit, ending, clock) => `${number} ${unit}: ${ending}, ${clock}`,
  /** @type {(who: string) => string} */
  takenBy: (who) => `${who} was first and has this call.`,
  /**
   * The hub words what went wrong in English; the problem's code is for languages that word it anew.
   * @type {(detail: string, code: string|undefined) => string}
   */
  failed: (detail, _code) => `Did not work: ${detail}`,
  unreachable: "The hub did not answer. Nothing was changed here; look again when it is back.",
  /** @type {(call: import("swapcall-wire").CallView, bring: string) => string} */
  opened: (call, bring) => `New call ${call.number}: ${call.unit}, ${call.position ?? ""}, bring ${bring}.`,
  /** @type {(call: import("swapcall-wire").CallView) => string} */
  lapsedAloud: (call) => `The claim of call ${call.number}, ${call.unit}, lapsed. Nobody has it.`,
};

/** The line at the top, and the banner. */
export const link = {
  connecting: "looking for the hub …",
  live: "hub: live",
  lostShort: "hub: LOST",
  signedOut: "signed out",
  /** @type {(clock: string) => string} */
  lost: (clock) => `HUB LOST since ${clock}: values are old, call by radio`,
  neverReached: "HUB NOT REACHED: nothing on this screen is live",
  trying: "trying now …",
  /** @type {(ms: number) => string} */
  retry: (ms) => `next try in ${Math.ceil(ms / 1000)} s`,
  tryNow: "Try now",
};

/** Buttons of the top line. */
export const top = {
  name: "Swapcall",
  theme: { auto: "Light: auto", light: "Light: day", dark: "Light: night" },
  help: "Help",
  menu: "Menu",
  toRunner: "Runner's page",
  signOut: "Sign out",
  /** @type {(place: string) => string} */
  timeIn: (place) => `${place} time`,
  /**
   * The button shows the other language in that language, for whoever cannot read this one.
   * @type {{name: string, code: import("./settings.js").Language}}
   */
  language: { name: "Deutsch", code: "de" },
  /** @type {(name: string, role: string) => string} */
  who: (name, role) => (name === role ? name : `${name}, ${ROLES[role] ?? role}`),
  /** @type {(count: number) => string} */
  toCalls: (count) => `Calls ${count}`,
  toBoard: "Board",
  /** @type {(count: number) => string} */
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
  /** @type {(seconds: number) => string} */
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

/** Held windows and breaks of the rundown, on the axis. */
export const windows = {
  open: "Windows",
  kinds: { held: "HELD", break: "BREAK", rolling: "rolling" },
  /** @type {(clock: string) => string} */
  until: (clock) => `to ${clock}`,
  /** @type {(kind: "held"|"break"|"rolling", from: string, until: string, title: string) => string} */
  aloud: (kind, from, until, title) => `${windows.kinds[kind].toLowerCase()} from ${from} to ${until}${title === "" ? "" : `, ${title}`}`,
  since: "since",
  /** @type {[string, string][]} */
  signs: [
    ["HELD", "Hatched lane: the unit must not be touched until then."],
    ["BREAK", "Open outline: the unit pauses and may be touched. A thin line instead: it is meant to roll."],
  ],
};

/** Filter, groups and the chosen unit. */
export const sifting = {
  label: "Filter",
  placeholder: "callsign, place, group",
  chips: { call: "has call", quiet: "silent or dark", held: "held now" },
  clear: "Show all",
  /** @type {(shown: number, total: number) => string} */
  hidden: (shown, total) => `${shown} of ${total} shown, ${total - shown} hidden`,
  /** @type {(count: number) => string} */
  outsideCalls: (count) => (count === 1 ? "1 call outside the filter" : `${count} calls outside the filter`),
  /** @type {(count: number) => string} */
  outsideDark: (count) => `${count} dark outside`,
  /** @type {(count: number) => string} */
  outsideSilent: (count) => `${count} silent outside`,
  none: "No unit fits the filter.",
  noGroup: "no group",
  /** @type {(name: string, count: number) => string} */
  group: (name, count) => (count === 1 ? `${name}: 1 unit` : `${name}: ${count} units`),
  /** @type {(unit: string, big: string, range: string) => string} */
  chosen: (unit, big, range) => `${unit} chosen: ${big} ${range}`,
  /** @type {(name: string, clock: string) => string} */
  showTitle: (name, clock) => (name === "" ? `to the end of the rundown, ${clock}` : `to the end of ${name}, ${clock}`),
  showNone: "no show and no rundown: 8 hours",
  /** @type {[string, string][]} */
  keys: [
    ["PgDn PgUp or ] [", "choose a unit"],
    ["Enter", "open the chosen unit"],
    ["/", "filter: words of callsign, place, group"],
    ["f", "take every filter away"],
  ],
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
  /** Begins with what is seen, so that whoever speaks to the page can say that. @type {(step: number) => string} */
  volumeAloud: (step) => `Vol ${step} of 3: volume, press for the next`,
  keys: [["v", "volume: soft, middle, loud"]],
};

/** Around every panel. */
export const panel = {
  close: "Close",
  lost: "HUB LOST: values are old",
  keys: [["o", "the sheet of the chosen call's unit"], ["p", "people, for leads and owners"], ["l", "before a show: does the kit last?"]],
};

/** Beside the three commands on an empty hub. */
export const firstHelp = {
  rights: "The first command needs a lead's or the owner's token; the third runs until Ctrl-C.",
  https: "Over https each command also wants the hub's fingerprint, which the hub prints when it starts: put it into SWAPCALL_HUB_FINGERPRINT.",
};

const percents = (/** @type {number} */ value) => `${Math.round(value)} %`;

/** A card at risk. */
export const risk = {
  /** @type {(count: number) => string} */
  heading: (count) => (count === 1 ? "CARD AT RISK" : `${count} CARDS AT RISK`),
  /** @type {(card: string, unit: string, slot: string) => string} */
  where: (card, unit, slot) => `${card} in ${unit} ${slot}`,
  /** @type {(unit: string, slot: string) => string} */
  also: (unit, slot) => `and in ${unit} ${slot}`,
  kinds: {
    footage_in_slot: "Footage that is not copied yet is in a camera again and can be recorded over.",
    fill_dropped: "Footage was erased on it before it was copied.",
    two_units: "Two slots show a card of this label: one of them is another card.",
  },
  /** @type {(percent: number) => string} */
  full: (percent) => `it was ${percents(percent)} full`,
  /** @type {(verified: number, wanted: number) => string} */
  copies: (verified, wanted) => (verified === 0 ? `NOT COPIED (${wanted} wanted)` : `${verified} of ${wanted} copies verified`),
  /** @type {(card: string, copies: string) => string} */
  twin: (card, copies) => `its twin ${card}: ${copies}`,
  noTwin: "no twin",
  /** @type {(clock: string, age: string) => string} */
  since: (clock, age) => `since ${clock}, ${age}`,
  todo: {
    /** @type {(card: string, unit: string, slot: string) => string} */
    footage_in_slot: (card, unit, slot) => `Stop recording on it. Pull card ${card} from ${unit} ${slot}, put in a blank one, copy ${card}.`,
    /** @type {(card: string, unit: string, slot: string) => string} */
    fill_dropped: (card, unit, slot) => `Stop recording on it. Pull card ${card} from ${unit} ${slot}, write nothing more on it: what was erased may still be saved. Then say in the pool where it is.`,
    /** @type {(card: string, unit: string, slot: string, otherUnit: string, otherSlot: string) => string} */
    two_units: (card, unit, slot, otherUnit, otherSlot) => `Look at both: ${unit} ${slot} and ${otherUnit} ${otherSlot}. Give the card that is not ${card} its own label. Blank neither.`,
  },
  seen: "Seen: stop the sound",
  /** @type {(clock: string) => string} */
  old: (clock) => `HUB LOST: as of ${clock}. Look for yourself.`,
  /** @type {(risk: string) => string} */
  title: (risk) => `‼ ${risk}`,
  sign: ["CARD AT RISK", "Striped frame, three falling tones, again every 20 s: footage can be lost. It goes when the hub sees that the danger is over."],
};
