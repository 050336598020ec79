/**
 * One row of the board on the page: its parts, and how a model is written into them.
 * @module rowview
 */

import { fill, make, setAttribute, setText, show } from "./dom.js";
import { LETTERS, row as words } from "./words.js";

const TEXTS = ["unit", "position", "flag", "since", "shape", "mode", "levels", "age", "big", "range", "hint", "ifRecording", "ifShort", "why"];

/** Makes the parts of a row. @param {string} name the unit's callsign @returns {object} */
export function makeRow(name) {
  const root = make("li", "row");
  root.dataset.unit = name;
  const parts = { root, key: "", seen: [] };
  const part = (key, tag, className) => {
    parts[key] = make(tag, className);
    return parts[key];
  };
  const call = fill(make("span", "call-tag"), part("flag", "span", "flag"), part("since", "span", "since"));
  const where = fill(make("div", "where"), call, part("position", "span", "position"));
  const identity = fill(make("div", "cell-id"), part("unit", "h3", "callsign"), where);
  const mode = fill(make("p", "mode-line"), part("shape", "span", "shape"), part("mode", "span", "mode"));
  const state = fill(make("div", "cell-state"), part("age", "p", "age"), mode, part("levels", "p", "levels"));
  const number = fill(make("p", "number"), part("cause", "span", "cause"), part("big", "span", "big"), part("range", "span", "range"));
  const second = fill(make("p", "second"), part("hint", "span", "hint"), part("ifRecording", "span", "if-recording"), part("ifShort", "span", "if-short"));
  const out = fill(make("div", "cell-out"), number, second);
  fill(root, identity, state, out, makeTrack(parts, part), part("why", "p", "why"));
  return parts;
}

/** Makes the row's piece of the axis: windows at the bottom, then the bars. */
function makeTrack(parts, part) {
  const track = part("track", "div", "track");
  track.setAttribute("role", "img");
  const moving = make("div", "moving");
  moving.append(part("windows", "div", "windows"));
  parts.battery = makeLane("battery", moving, track);
  parts.cards = makeLane("cards", moving, track);
  part("by", "span", "be-there").textContent = words.be;
  moving.append(parts.by);
  track.prepend(moving);
  return track;
}

/** Makes the bar, mark and label of one cause. */
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
 * @param {object} parts from `makeRow`
 * @param {object} model from `rowModel`
 * @returns {boolean} whether anything was written
 */
export function patchRow(parts, model) {
  const key = JSON.stringify(model);
  if (parts.key === key) return false;
  parts.key = key;
  for (const name of TEXTS) setText(parts[name], model[name]);
  setAttribute(parts.root, "data-state", model.state);
  setAttribute(parts.root, "data-call", model.flagKind);
  setText(parts.cause, LETTERS[model.cause] ?? "");
  setAttribute(parts.cause, "class", `cause cause-${model.cause}`);
  if (model.cause) setAttribute(parts.cause, "title", words.first(model.cause));
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

/** Writes one lane. */
function patchLane(parts, lane) {
  for (const name of ["bar", "mark", "label"]) show(parts[name], lane !== null);
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

/** Windows change a few times in an hour: they are made anew then. */
function patchWindows(parts, lane) {
  const key = JSON.stringify(lane);
  if (parts.windowKey === key) return;
  parts.windowKey = key;
  parts.windows.replaceChildren(...lane.lines.map(makeLine), ...lane.boxes.flatMap(makeBox));
}

function makeLine({ left, width }) {
  const line = make("i", "window window-rolling");
  line.style.left = `${left}%`;
  line.style.width = `${width}%`;
  return line;
}

/** The box, and its words, which stay in sight when the box began before now. */
function makeBox({ kind, left, right, word, title, until }) {
  const box = make("i", `window window-${kind}`);
  box.style.left = `${left}%`;
  box.style.width = `${right - left}%`;
  const texts = [make("b", "window-word", word), make("span", "window-title", title), make("span", "window-until", until)];
  const text = fill(make("span", "window-text"), ...texts);
  const label = fill(make("span", `window-label window-label-${kind}`), text);
  label.style.setProperty("--from", `${left}%`);
  label.style.right = `${100 - right}%`;
  return [box, label];
}

/** How a callsign of this many letters is set so that it fits: big, smaller, or small. */
function lengthClass(letters) {
  if (letters > 8) return "true";
  return letters > 5 ? "some" : "false";
}
