/**
 * One row of the board on the page: its parts, and how a model is written into them.
 * @module rowview
 */

import { fill, make, setAttribute, setText, show } from "./dom.js";
import { LETTERS, row as words, windows as windowWords } from "./words.js";

/** @import { Lane, WindowLane } from "./axis.js" */
/** @import { RowModel } from "./rowmodel.js" */

/**
 * @typedef {ReturnType<typeof makeRow>} Row the parts of a row
 * @typedef {ReturnType<typeof makeLane>} LaneParts the bar, mark and labels of one cause
 */

const TEXTS = /** @type {const} */ (["unit", "position", "flag", "since", "shape", "mode", "air", "levels", "age", "big", "range", "hint", "ifRecording", "ifShort", "why"]);

/** Makes the parts of a row. @param {string} name the unit's callsign */
export function makeRow(name) {
  const root = make("li", "row");
  root.dataset.unit = name;
  const track = make("div", "track", "", { role: "img" });
  const moving = make("div", "moving");
  const windows = make("div", "windows");
  moving.append(windows);
  const parts = {
    root,
    track,
    windows,
    /** What is shown, to see whether anything differs. */
    key: "",
    windowKey: "",
    /** @type {unknown[]} what it was worked out from */
    seen: [],
    flag: make("span", "flag"),
    since: make("span", "since", "", { "data-word": windowWords.since }),
    position: make("span", "position"),
    unit: make("h3", "callsign"),
    shape: make("span", "shape"),
    mode: make("span", "mode"),
    air: make("span", "air"),
    age: make("p", "age"),
    levels: make("p", "levels"),
    cause: make("span", "cause"),
    big: make("span", "big"),
    range: make("span", "range"),
    hint: make("span", "hint"),
    ifRecording: make("span", "if-recording"),
    ifShort: make("span", "if-short"),
    why: make("p", "why"),
    battery: makeLane("battery", moving, track),
    cards: makeLane("cards", moving, track),
    by: make("span", "be-there", words.be),
  };
  const where = fill(make("div", "where"), fill(make("span", "call-tag"), parts.flag, parts.since), parts.position);
  const identity = fill(make("div", "cell-id"), parts.unit, where);
  const mode = fill(make("p", "mode-line"), parts.shape, parts.mode, parts.air);
  const state = fill(make("div", "cell-state"), parts.age, mode, parts.levels);
  const number = fill(make("p", "number"), parts.cause, parts.big, parts.range);
  const second = fill(make("p", "second"), parts.hint, parts.ifRecording, parts.ifShort);
  moving.append(parts.by);
  track.prepend(moving);
  fill(root, identity, state, fill(make("div", "cell-out"), number, second), track, parts.why);
  return parts;
}

/**
 * Makes the bar, mark and label of one cause.
 * @param {"battery"|"cards"} cause
 * @param {Element} moving what moves left as time goes on
 * @param {Element} track
 */
function makeLane(cause, moving, track) {
  const lane = {
    bar: make("i", `bar bar-${cause}`),
    mark: make("b", `mark mark-${cause}`, LETTERS[cause]),
    label: make("span", `label label-${cause}`),
    beyond: make("span", `beyond beyond-${cause}`),
    over: make("span", `over over-${cause}`),
  };
  moving.append(lane.bar, lane.label, lane.mark);
  track.append(lane.beyond, lane.over);
  return lane;
}

/**
 * Writes what differs.
 * @param {Row} parts
 * @param {RowModel} model
 * @returns {boolean} whether anything was written
 */
export function patchRow(parts, model) {
  const key = JSON.stringify(model);
  if (parts.key === key) return false;
  parts.key = key;
  for (const name of TEXTS) setText(parts[name], model[name]);
  setAttribute(parts.root, "data-state", model.state);
  setAttribute(parts.root, "data-call", model.flagKind);
  setAttribute(parts.air, "data-light", model.airKind);
  setAttribute(parts.air, "title", model.airTitle);
  setText(parts.cause, model.cause === null ? "" : LETTERS[model.cause]);
  setAttribute(parts.cause, "class", `cause cause-${model.cause ?? "none"}`);
  if (model.cause !== null) setAttribute(parts.cause, "title", words.first(model.cause));
  setAttribute(parts.big, "data-long", String(model.big.length > 7));
  setAttribute(parts.range, "data-long", String(model.range.length > 12));
  setAttribute(parts.unit, "data-long", lengthClass([...model.unit].length));
  setAttribute(parts.root, "title", model.why);
  setAttribute(parts.unit, "title", model.unit);
  setAttribute(parts.position, "title", model.position);
  setAttribute(parts.track, "aria-label", model.aria);
  patchLane(parts.battery, model.battery);
  patchLane(parts.cards, model.cards);
  patchWindows(parts, model.windows);
  show(parts.by, model.by !== null);
  if (model.by !== null) parts.by.style.left = `${model.by}%`;
  return true;
}

/**
 * Writes one lane.
 * @param {LaneParts} parts
 * @param {Lane|null} lane
 */
function patchLane(parts, lane) {
  for (const part of [parts.bar, parts.mark, parts.label]) show(part, lane !== null);
  setText(parts.beyond, lane?.beyond ?? "");
  setText(parts.over, lane?.over ?? "");
  if (lane === null) return;
  parts.bar.style.left = `${lane.left}%`;
  parts.bar.style.width = `${lane.width}%`;
  parts.mark.style.left = `${lane.mark}%`;
  setText(parts.label, lane.label);
  setAttribute(parts.label, "data-side", lane.labelSide);
  const ends = { after: lane.left + lane.width, before: lane.left, inside: lane.mark };
  parts.label.style.left = `${ends[lane.labelSide]}%`;
}

/**
 * Windows change a few times in an hour: they are made anew then.
 * @param {Row} parts
 * @param {WindowLane} lane
 */
function patchWindows(parts, lane) {
  const key = JSON.stringify(lane);
  if (parts.windowKey === key) return;
  parts.windowKey = key;
  parts.windows.replaceChildren(...lane.lines.map(makeLine), ...lane.boxes.flatMap(makeBox));
}

/** @param {WindowLane["lines"][number]} line */
function makeLine({ left, width }) {
  const line = make("i", "window window-rolling");
  line.style.left = `${left}%`;
  line.style.width = `${width}%`;
  return line;
}

/**
 * The box, and its words, which stay in sight when the box began before now or goes on beyond the axis.
 * @param {WindowLane["boxes"][number]} box
 */
function makeBox({ kind, left, right, word, title, until }) {
  const box = make("i", `window window-${kind}`);
  box.style.left = `${left}%`;
  box.style.width = `${right - left}%`;
  const texts = [make("b", "window-word", word), make("span", "window-title", title), make("span", "window-until", until)];
  const text = fill(make("span", "window-text"), ...texts);
  const label = fill(make("span", `window-label window-label-${kind}`), text);
  label.style.setProperty("--from", `${left}%`);
  label.style.setProperty("--to", `${100 - right}%`);
  return [box, label];
}

/**
 * How a callsign of this many letters is set so that it fits: big, smaller, or small.
 * @param {number} letters
 */
function lengthClass(letters) {
  if (letters > 8) return "true";
  return letters > 5 ? "some" : "false";
}
