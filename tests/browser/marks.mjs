/**
 * The marks by which the screens tell their states apart: where the colour of each stands, and what else differs.
 *
 * A place is a selector, with `::before` where the mark is made by the style sheet. What can be read of one:
 * `word` its letters without figures, `glyph` the sign before it, `pattern` its hatch, `edge` its border, `round` whether
 * its ends are, `dash` its stroke, `shape` what is drawn, `high` how high it is.
 */

import { unitView, inMinutes } from "./fleet-data.mjs";

/**
 * @typedef {object} Kind states that must be told from each other
 * @property {string} kind
 * @property {Record<string, Record<string, any>>} states by name: `mark` is a place and the property with its colour; all
 *   others are what is read, and where: `[reading, place]`
 * @property {[string, string, string[]][]} pairs two states, and what of the readings differs between them beside colour
 */

const row = (state, part = "") => `.row[data-state=${state}] ${part}`;

/** What is told of the age of a row. */
const ageOf = (state) => ({
  mark: [row(state, ".age"), "color"],
  age: ["word", row(state, ".age")],
  number: ["word", row(state, ".big")],
  line: ["edge", row(state)],
  sign: ["glyph", row(state, ".age::before")],
  hatch: ["pattern", row(state)],
});

const barOf = (state) => ({ bar: ["edge", row(state, ".bar-battery")] });

const modeOf = (unit) => ({
  mark: [`.row[data-unit=${unit}] .shape`, "color"],
  shape: ["word", `.row[data-unit=${unit}] .shape`],
  word: ["word", `.row[data-unit=${unit}] .mode`],
});

const callOf = (state) => ({
  mark: [`.call[data-state=${state}][data-lapsed=false] .call-slab`, "backgroundColor"],
  word: ["word", `.call[data-state=${state}][data-lapsed=false] .call-state`],
  edge: ["edge", `.call[data-state=${state}][data-lapsed=false] .call-slab`],
});

const endedOf = (number) => ({ mark: [`#ended-list li:nth-child(${number})`, "color"], word: ["ending", `#ended-list li:nth-child(${number})`] });

const tagOf = (state) => ({
  mark: [`.row[data-call=${state}]::before`, "backgroundColor"],
  edge: ["edge", `.row[data-call=${state}]::before`],
  word: ["word", `.row[data-call=${state}] .flag`],
});

const bringOf = (item) => ({ mark: [`.bring-${item} i`, "borderTopColor"], word: ["word", `.bring-${item} b`], pattern: ["pattern", `.bring-${item} i`] });

const airOf = (light) => ({ mark: [`.air[data-light=${light}]`, "borderTopColor"], word: ["word", `.air[data-light=${light}]`] });

const laneOf = (kind) => ({
  fence: ["pattern", row("fresh", `.window-${kind}`)],
  high: ["high", row("fresh", `.window-${kind}`)],
  edge: ["edge", row("fresh", `.window-${kind}`)],
  ends: ["round", row("fresh", `.window-${kind}`)],
});

/** What is on the board and in the calls, with every state at once. @type {Kind[]} */
export const BOARD = [
  {
    kind: "what ends first, on the axis",
    states: {
      battery: { mark: [row("fresh", ".bar-battery"), "backgroundColor"], letter: ["word", row("fresh", ".mark-battery")], ends: ["round", row("fresh", ".bar-battery")], hatch: ["pattern", row("fresh", ".bar-battery")] },
      cards: { mark: [row("fresh", ".bar-cards"), "borderTopColor"], letter: ["word", row("fresh", ".mark-cards")], ends: ["round", row("fresh", ".bar-cards")], hatch: ["pattern", row("fresh", ".bar-cards")] },
    },
    pairs: [["battery", "cards", ["letter", "ends", "hatch"]]],
  },
  {
    kind: "what ends first, beside the number",
    states: {
      battery: { mark: [row("fresh", ".cause-battery"), "backgroundColor"], letter: ["word", row("fresh", ".cause-battery")], ends: ["round", row("fresh", ".cause-battery")] },
      cards: { mark: [row("fresh", ".cause-cards"), "borderTopColor"], letter: ["word", row("fresh", ".cause-cards")], ends: ["round", row("fresh", ".cause-cards")] },
    },
    pairs: [["battery", "cards", ["letter", "ends"]]],
  },
  {
    kind: "how old",
    states: {
      fresh: { ...ageOf("fresh"), ...barOf("fresh") },
      late: { ...ageOf("late"), ...barOf("late") },
      silent: { ...ageOf("silent"), ...barOf("silent") },
      never: ageOf("never"),
      dark: { ...ageOf("dark"), mark: [row("dark"), "backgroundColor"] },
    },
    pairs: [
      ["fresh", "late", ["age", "sign"]],
      ["fresh", "silent", ["age", "hatch", "bar"]],
      ["late", "silent", ["age", "sign", "hatch", "bar"]],
      ["fresh", "never", ["age", "number", "line"]],
      ["silent", "never", ["age", "number", "hatch"]],
      ["silent", "dark", ["number", "line", "hatch"]],
      ["never", "dark", ["age", "number", "line"]],
    ],
  },
  {
    kind: "what the camera does",
    states: { recording: modeOf("BOW1"), standby: modeOf("MID2"), off: modeOf("POD") },
    pairs: [["recording", "standby", ["shape", "word"]], ["standby", "off", ["shape", "word"]], ["recording", "off", ["shape", "word"]]],
  },
  {
    kind: "whose a call is",
    states: {
      open: { ...callOf("open"), told: ["word", ".call[data-state=open][data-lapsed=false] .call-claim"] },
      taken: { ...callOf("claimed"), told: ["word", ".call[data-state=claimed] .call-claim"] },
      lapsed: { mark: [".call[data-lapsed=true] .call-slab", "backgroundColor"], told: ["word", ".call[data-lapsed=true] .call-claim"], word: ["word", ".call[data-lapsed=true] .call-state"] },
    },
    pairs: [["open", "taken", ["word", "edge", "told"]], ["open", "lapsed", ["told"]], ["taken", "lapsed", ["word", "told"]]],
  },
  {
    kind: "how a call ended",
    states: { missed: endedOf(1), withdrawn: endedOf(2), done: endedOf(3) },
    pairs: [["missed", "withdrawn", ["word"]], ["withdrawn", "done", ["word"]], ["missed", "done", ["word"]]],
  },
  {
    kind: "a call, on the row",
    states: { open: tagOf("open"), taken: tagOf("claimed") },
    pairs: [["open", "taken", ["edge", "word"]]],
  },
  {
    kind: "windows",
    states: {
      held: { ...laneOf("held"), mark: [row("fresh", ".window-held"), "borderTopColor"], word: ["word", row("fresh", ".window-label-held .window-word")] },
      break: { ...laneOf("break"), mark: [row("fresh", ".window-break"), "borderTopColor"], word: ["word", row("fresh", ".window-label-break .window-word")] },
      rolling: { ...laneOf("rolling"), mark: [row("fresh", ".window-rolling"), "backgroundColor"] },
    },
    pairs: [["held", "break", ["fence", "ends", "word"]], ["held", "rolling", ["fence", "high", "edge"]], ["break", "rolling", ["high", "edge"]]],
  },
  {
    kind: "what the vision mixer does",
    states: { "on air": airOf("program"), next: airOf("preview") },
    pairs: [["on air", "next", ["word"]]],
  },
  {
    kind: "what to bring",
    states: { pack: bringOf("pack"), card: bringOf("card"), look: bringOf("look") },
    pairs: [["pack", "card", ["word", "pattern"]], ["card", "look", ["word", "pattern"]], ["pack", "look", ["word", "pattern"]]],
  },
];

/** Sixty units: one line each, so few words are left. @type {Kind[]} */
export const CROWDED = [
  {
    kind: "what the camera does, one line each",
    states: {
      recording: { mark: [".row[data-unit=MID1] .shape", "color"], shape: ["word", ".row[data-unit=MID1] .shape"] },
      standby: { mark: [".row[data-unit=BOW1] .shape", "color"], shape: ["word", ".row[data-unit=BOW1] .shape"] },
    },
    pairs: [["recording", "standby", ["shape"]]],
  },
  { kind: "how old, one line each", states: { fresh: { ...ageOf("fresh"), ...barOf("fresh") }, silent: { ...ageOf("silent"), ...barOf("silent") } }, pairs: [["fresh", "silent", ["age", "hatch", "bar"]]] },
];

const linkOf = (place) => ({ mark: ["#link", "backgroundColor"], sign: ["glyph", "#link::before"], word: ["word", "#link"], age: ["word", place], banner: ["there", "#banner"] });

/** The hub, there and lost: read at two moments. */
export const LINKED = {
  ops: { kind: "the hub", state: linkOf(".row[data-unit=BOW1] .age"), by: ["sign", "word", "age", "banner"] },
  runner: { kind: "the hub, on a phone", state: linkOf(".job .job-age"), by: ["sign", "word", "age", "banner"] },
};

const jobOf = (place) => ({ mark: [place, "borderLeftColor"], edge: ["left", place], sign: ["glyph", `${place} .job-state::before`], word: ["word", `${place} .job-state`] });

/** The runner's page with a press that waits for the hub. @type {Kind[]} */
export const RUNNER = [
  {
    kind: "whose a job is",
    states: { mine: jobOf(".job[data-state=mine]"), open: jobOf("#jobs .job[data-state=open]"), others: jobOf("#rest .job[data-state=others]"), unsent: jobOf(".job[data-state=unsent]") },
    pairs: [["mine", "open", ["edge", "sign", "word"]], ["mine", "unsent", ["edge", "sign", "word"]], ["open", "unsent", ["edge", "sign", "word"]], ["open", "others", ["sign", "word"]]],
  },
];

const stroke = (name) => ({ mark: [`.${name}`, "stroke"], dash: ["dash", `.${name}`] });
const point = (name, colour) => ({ mark: [`.${name}`, colour], shape: ["shape", `.${name}`] });

/** The pictures on the sheet of one unit. @type {Kind[]} */
export const PICTURES = [
  { kind: "lines of the past", states: { battery: stroke("pic-battery"), card: stroke("pic-card-0"), other: stroke("pic-card-1") }, pairs: [["battery", "card", ["dash"]], ["card", "other", ["dash"]], ["battery", "other", ["dash"]]] },
  { kind: "lines of the forecasts", states: { battery: stroke("pic-battery-line"), cards: stroke("pic-cards-line") }, pairs: [["battery", "cards", ["dash"]]] },
  { kind: "marks of what happened", states: { swap: stroke("pic-swap"), ended: stroke("pic-ended") }, pairs: [["swap", "ended", ["dash"]]] },
  { kind: "how a forecast came out", states: { stopped: point("pic-stopped", "fill"), served: point("pic-served", "fill") }, pairs: [["stopped", "served", ["shape"]]] },
  {
    kind: "what the camera did",
    states: { recording: { mark: [".pic-mode-recording", "fill"], high: ["high", ".pic-mode-recording"] }, standby: { mark: [".pic-mode-standby", "fill"], high: ["high", ".pic-mode-standby"] } },
    pairs: [["recording", "standby", ["high"]]],
  },
];

/** Puts every age into a fleet, and lets none of them pass while a test looks. @param {object} hub */
export function everyAge(hub) {
  const now = Date.now();
  const lasting = { late_after: inMinutes(now, 5), silent_after: inMinutes(now, 10) };
  for (const unit of hub.units.values()) if (unit.freshness === "fresh" && !unit.dark) hub.put("unit", { ...unit, ...lasting });
  const late = unitView(now, { unit: "LATE", position: "pontoon", battery: [50, 61, 75], cards: [80, 91, 110], heardAgo_s: 17 });
  hub.put("unit", { ...late, silent_after: lasting.silent_after });
  hub.put("unit", unitView(now, { unit: "NEW", position: "pontoon", never: true }));
}

/**
 * Reads colours and everything else of marks off the page.
 * @param {import("playwright-core").Page} page
 * @param {Record<string, Record<string, any>>} states
 * @returns {Promise<Record<string, Record<string, string>>>} by state; `mark` is `#rrggbb`
 */
export function readMarks(page, states) {
  return page.evaluate((wanted) => {
    const found = (place) => {
      const element = document.querySelector(place.split("::")[0]);
      if (element === null) throw new Error(`nothing is ${place}`);
      return element;
    };
    const style = (place) => getComputedStyle(found(place), place.includes("::") ? `::${place.split("::")[1]}` : null);
    const shown = (place) => (found(place).getClientRects().length > 0 ? found(place).textContent.trim() : "");
    const sides = ["Top", "Right", "Bottom", "Left"];
    const readings = {
      word: (place) => shown(place).replace(/\d+/g, "#"),
      ending: (place) => shown(place).split(":")[1].split(",")[0],
      glyph: (place) => style(place).content,
      pattern: (place) => style(place).backgroundImage.replace(/rgba?\([^)]*\)/g, "colour"),
      edge: (place) => sides.map((side) => `${style(place)[`border${side}Style`]} ${style(place)[`border${side}Width`]}`).join(", "),
      left: (place) => style(place).borderLeftStyle,
      round: (place) => String(parseFloat(style(place).borderTopLeftRadius) > 4),
      dash: (place) => style(place).strokeDasharray,
      shape: (place) => found(place).tagName,
      high: (place) => String(Math.round(found(place).getBoundingClientRect().height)),
      there: (place) => String(found(place).getClientRects().length > 0),
    };
    const hex = (colour, place) => {
      const [red, green, blue, alpha = 1] = colour.match(/[\d.]+/g).map(Number);
      if (alpha === 1) return `#${[red, green, blue].map((part) => part.toString(16).padStart(2, "0")).join("")}`;
      if (alpha > 0) throw new Error(`${place} is half transparent: ${colour}`);
      // Nothing is painted there, so what lies behind is seen.
      let at = place.includes("::") ? found(place) : found(place).parentElement;
      while (/^rgba\(.*, 0\)$/.test(getComputedStyle(at).backgroundColor)) at = at.parentElement;
      return hex(getComputedStyle(at).backgroundColor, place);
    };
    const read = ({ mark: [place, property], ...rest }) => ({
      mark: hex(style(place)[property], place),
      ...Object.fromEntries(Object.entries(rest).map(([name, [reading, where]]) => [name, readings[reading](where)])),
    });
    return Object.fromEntries(Object.entries(wanted).map(([name, state]) => [name, read(state)]));
  }, states);
}
