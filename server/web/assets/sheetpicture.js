/**
 * The two pictures of the unit sheet as lists of shapes, worked out without touching the page: the past of battery and
 * cards with the forecasts as they were made then, and how the foreseen end moved until something happened.
 * @module sheetpicture
 */

import { sheet as words } from "./panelwords.js";
import { forecastBefore, stretches } from "./sheetstory.js";
import { clockTime, startOfDay, toMs } from "./time.js";
import { LETTERS } from "./words.js";

/** @import { History, HistoryPoint } from "swapcall-wire" */
/** @import { Ends, Forecasts, Stretch } from "./sheetstory.js" */

/**
 * @typedef {{tag: string, class: string, text?: string, inside?: boolean, [attribute: string]: string|number|boolean|undefined}} Shape
 *   `inside`: cut off at the frame of the plot
 *
 * @typedef {{left: number, right: number, top: number, bottom: number}} Frame the plot, without its labels
 *
 * @typedef {{width: number, height: number, frame: Frame, shapes: Shape[]}} Picture
 *
 * @typedef {{from: number, to: number, width: number}} View a stretch of time, milliseconds, and the width it is drawn in
 *
 * @typedef {(value: number) => number} Scale
 *
 * @typedef {[number, number]} Place across and down
 *
 * @typedef {HistoryPoint & {ms: number}} Known a point of the past, and when
 *
 * @typedef {{ms: number, value: number, point: Known}} Valued a point that has the value asked for
 */

const MINUTE = 60_000;

/** Steps of the time axis in minutes, of which the first is taken that leaves room for its labels. */
const STEPS_MIN = [5, 10, 15, 30, 60, 120, 180, 240, 360];

/** Least distance of two labels, in picture units. */
const LABEL_X = 58;
const LABEL_Y = 34;

/** Readings further apart than this many steps of the history have a gap between them. */
const GAP_STEPS = 4;

/**
 * @param {number} from milliseconds
 * @param {number} to milliseconds
 * @param {number} length of the axis, in picture units
 * @param {number} apart least distance of two labels
 * @returns {number[]} moments at full steps of the show's clock
 */
export function timeTicks(from, to, length, apart = LABEL_X) {
  const least = ((to - from) / MINUTE) * (apart / length);
  const step = (STEPS_MIN.find((minutes) => minutes >= least) ?? 360) * MINUTE;
  const midnight = startOfDay(from);
  const ticks = [];
  for (let at = midnight + Math.ceil((from - midnight) / step) * step; at <= to; at += step) ticks.push(at);
  return ticks;
}

/**
 * A straight scale.
 * @param {number} from
 * @param {number} to
 * @param {number} start
 * @param {number} end
 * @returns {Scale}
 */
const scale = (from, to, start, end) => (value) => start + ((end - start) * (value - from)) / (to - from);

const round = (/** @type {number} */ value) => Math.round(value * 10) / 10;

/** @param {Place[]} places */
const polyline = (places) => (places.length === 0 ? "" : `M${places.map(([x, y]) => `${round(x)} ${round(y)}`).join("L")}`);

/** @param {Place[]} places */
const polygon = (places) => `${polyline(places)}Z`;

/**
 * The past of battery and cards.
 * @param {Pick<History, "step_s"|"points">} history
 * @param {Forecasts|null} forecasts `null` when the hub has none to give
 * @param {string[]} slots names, in the order of the fill levels
 * @param {View} view
 * @returns {Picture}
 */
export function pastPicture(history, forecasts, slots, { from, to, width }) {
  const frame = { left: 38, right: width - 22, top: 22, bottom: 182 };
  const x = scale(from, to, frame.left, frame.right);
  const y = scale(0, 100, frame.bottom, frame.top);
  const points = history.points.flatMap((one) => {
    const ms = toMs(one.at);
    return ms === null ? [] : [{ ...one, ms }];
  });
  const gap = GAP_STEPS * Math.max(history.step_s * 1000, usualStep(points));
  const plot = { x, y, frame, gap, to };
  const shapes = [...percentAxis(frame, y), ...timeAxis(frame, x, { from, to }, frame.bottom + 34)];
  if (forecasts !== null) shapes.push(...fans(forecasts, points, plot));
  shapes.push(...batteryShapes(points, plot), ...cardShapes(points, slots, plot), ...modeStrip(points, plot));
  if (forecasts !== null) shapes.push(...airStrip(forecasts, plot, from));
  if (forecasts !== null) shapes.push(...eventMarks(forecasts, frame, x, { from, to }));
  return { width, height: frame.bottom + 40, frame, shapes };
}

/** @typedef {{x: Scale, y: Scale, frame: Frame, gap: number, to: number}} Plot what the parts of the past are drawn by */

/**
 * The usual time between two points: a typed unit speaks every few minutes, and that is no gap.
 * @param {Known[]} points
 */
function usualStep(points) {
  const steps = points.slice(1).map(({ ms }, index) => ms - points[index].ms).sort((a, b) => a - b);
  return steps[Math.floor(steps.length / 2)] ?? MINUTE;
}

/** @param {Frame} frame @param {Scale} y @returns {Shape[]} */
function percentAxis(frame, y) {
  return [0, 25, 50, 75, 100].flatMap((percent) => [
    { tag: "line", class: "pic-grid", x1: frame.left, x2: frame.right, y1: round(y(percent)), y2: round(y(percent)) },
    { tag: "text", class: "pic-label", "text-anchor": "end", x: frame.left - 5, y: round(y(percent) + 4), text: String(percent) },
  ]);
}

/**
 * @param {Frame} frame
 * @param {Scale} x
 * @param {{from: number, to: number}} stretch
 * @param {number} labelY
 * @returns {Shape[]}
 */
function timeAxis(frame, x, { from, to }, labelY) {
  return timeTicks(from, to, frame.right - frame.left).flatMap((at) => [
    { tag: "line", class: "pic-grid", x1: round(x(at)), x2: round(x(at)), y1: frame.top, y2: frame.bottom },
    { tag: "text", class: "pic-label", "text-anchor": "middle", x: round(x(at)), y: labelY, text: clockTime(at) },
  ]);
}

/**
 * Cuts points into runs without a gap, leaving out those without the value.
 * @param {Known[]} points
 * @param {number} gap milliseconds
 * @param {(point: Known) => number|null|undefined} valueOf
 */
function runs(points, gap, valueOf) {
  /** @type {Valued[][]} */
  const found = [];
  let last = -Infinity;
  for (const point of points) {
    const value = valueOf(point);
    if (typeof value !== "number") continue;
    if (point.ms - last > gap) found.push([]);
    found.at(-1)?.push({ ms: point.ms, value, point });
    last = point.ms;
  }
  return found;
}

/** @param {Known[]} points @param {Plot} plot @returns {Shape[]} */
function batteryShapes(points, { x, y, gap }) {
  return runs(points, gap, ({ battery }) => battery).flatMap((run) => batteryRun(run, x, y));
}

/** @param {Valued[]} run @param {Scale} x @param {Scale} y @returns {Shape[]} */
function batteryRun(run, x, y) {
  const at = (/** @type {(one: Valued) => number} */ level) => run.map((one) => /** @type {Place} */ ([x(one.ms), y(level(one))]));
  const line = at(({ value }) => value);
  // A lone reading is a dot, or it would not be seen at all.
  if (run.length === 1) return [{ tag: "circle", class: "pic-battery-dot", cx: round(line[0][0]), cy: round(line[0][1]), r: 3 }];
  const high = at(({ value, point }) => point.battery_high ?? value);
  const low = at(({ value, point }) => point.battery_low ?? value);
  return [
    { tag: "path", class: "pic-battery-band", inside: true, d: polygon([...high, ...low.reverse()]) },
    { tag: "path", class: "pic-battery", inside: true, d: polyline(line) },
  ];
}

/** @param {Known[]} points @param {string[]} slots @param {Plot} plot @returns {Shape[]} */
function cardShapes(points, slots, { x, y, frame, gap }) {
  return slots.flatMap((slot, index) => {
    const found = runs(points, gap, ({ cards }) => cards?.[index]);
    const lines = found.map((run) => {
      const places = run.flatMap((one, at) => {
        /** @type {Place[]} */
        const place = [[x(one.ms), y(one.value)]];
        const before = run[at - 1]?.value ?? 0;
        // A card that was changed falls straight down: a slope would show a card that empties itself.
        return one.value < before ? [/** @type {Place} */ ([x(one.ms), y(before)]), ...place] : place;
      });
      return { tag: "path", class: `pic-card pic-card-${index % 3}`, inside: true, d: polyline(places) };
    });
    const last = found.at(-1)?.at(-1);
    if (last === undefined) return [];
    const letterX = Math.min(round(x(last.ms)) + 4, frame.right + 4);
    return [...lines, { tag: "text", class: "pic-slot", x: letterX, y: round(y(last.value) + 4), text: slot }];
  });
}

/** Heights of the strip of modes. @type {Partial<Record<string, number>>} */
const MODE_HEIGHTS = { recording: 14, standby: 7, off: 2 };

/**
 * What the camera did: tall while it recorded, half in standby, flat when it was off.
 * @param {Known[]} points
 * @param {Plot} plot
 * @returns {Shape[]}
 */
function modeStrip(points, { x, frame, gap, to }) {
  /** @type {{mode: string, height: number, from: number, until: number}[]} */
  const spans = [];
  for (const [index, { mode, ms }] of points.entries()) {
    const height = MODE_HEIGHTS[mode ?? ""];
    if (!mode || height === undefined) continue;
    const next = points[index + 1]?.ms ?? Math.min(to, ms + gap / GAP_STEPS);
    const until = Math.min(next, ms + gap);
    const last = spans.at(-1);
    if (last?.mode === mode && last.until === ms) last.until = until;
    else spans.push({ mode, height, from: ms, until });
  }
  return spans.map(({ mode, height, from, until }) => ({
    tag: "rect",
    class: `pic-mode pic-mode-${mode}`,
    x: round(x(from)),
    y: frame.bottom + 20 - height,
    width: round(Math.max(1, x(until) - x(from))),
    height,
  }));
}

/**
 * When the picture was on air: a thin line below what the camera did.
 * @param {Forecasts} forecasts
 * @param {Plot} plot
 * @param {number} start of the picture, milliseconds
 * @returns {Shape[]}
 */
function airStrip({ on_air: times = [] }, { x, frame, to }, start) {
  return times.flatMap(({ from, until }) => {
    const [begun, ended] = [Math.max(start, toMs(from) ?? start), Math.min(to, toMs(until) ?? to)];
    if (ended <= begun) return [];
    return [{ tag: "rect", class: "pic-air", x: round(x(begun)), y: frame.bottom + 21, width: round(Math.max(1, x(ended) - x(begun))), height: 3 }];
  });
}

/**
 * The forecast of half an hour before each end of a pack, from the level of then down to nothing.
 * @param {Forecasts} forecasts
 * @param {Known[]} points
 * @param {Plot} plot
 * @returns {Shape[]}
 */
function fans(forecasts, points, { x, y, to }) {
  return stretches(forecasts, "battery").flatMap((stretch) => {
    const before = forecastBefore(stretch);
    if (before === null || before.ms > to) return [];
    const level = points.filter(({ ms, battery }) => ms <= before.ms && typeof battery === "number").at(-1)?.battery;
    if (typeof level !== "number") return [];
    /** @type {Place} */
    const start = [x(before.ms), y(level)];
    /** @type {Shape[]} */
    const shapes = [];
    if (before.p10 !== null && before.p90 !== null) {
      shapes.push({ tag: "path", class: "pic-fan", inside: true, d: polygon([start, [x(before.p10), y(0)], [x(before.p90), y(0)]]) });
    }
    if (before.p50 !== null) shapes.push({ tag: "path", class: "pic-fan-middle", inside: true, d: polyline([start, [x(before.p50), y(0)]]) });
    return [...shapes, { tag: "circle", class: "pic-fan-start", cx: round(start[0]), cy: round(start[1]), r: 4 }];
  });
}

/**
 * Swaps and ends, with a label where there is room for it.
 * @param {Forecasts} forecasts
 * @param {Frame} frame
 * @param {Scale} x
 * @param {{from: number, to: number}} stretch
 * @returns {Shape[]}
 */
function eventMarks(forecasts, frame, x, { from, to }) {
  /** @type {Partial<Record<string, string>>} */
  const letters = LETTERS;
  const swaps = forecasts.swaps.map((one) => ({ at: one.at, class: "pic-swap", text: words.swapMark(one.what, one.label) }));
  const ended = forecasts.ended.map((one) => ({ at: one.at, class: "pic-ended", text: words.endMark(letters[one.cause] ?? "") }));
  const marks = [...swaps, ...ended].flatMap((mark) => {
    const ms = toMs(mark.at);
    return ms === null || ms < from || ms > to ? [] : [{ ...mark, ms }];
  });
  let free = -Infinity;
  return marks.sort((a, b) => a.ms - b.ms).flatMap((mark) => {
    const at = round(x(mark.ms));
    const line = { tag: "line", class: mark.class, x1: at, x2: at, y1: frame.top - 4, y2: frame.bottom };
    const half = 4 * mark.text.length;
    if (at - half < free) return [line];
    free = at + half + 6;
    return [line, { tag: "text", class: "pic-event", "text-anchor": "middle", x: Math.min(at, frame.right + 20 - half), y: frame.top - 8, text: mark.text }];
  });
}

/**
 * How the foreseen end moved: across, when it was said; up, for when. The slanted line is the present of each moment, so
 * whatever was foreseen must happen where its line meets it.
 * @param {Forecasts} forecasts
 * @param {Ends} cause
 * @param {View} view
 * @returns {Picture|null} `null` when nothing was foreseen
 */
export function promisePicture(forecasts, cause, { from, to, width }) {
  const found = stretches(forecasts, cause).filter(({ points, end }) => points.length > 0 && (end === null || end.ms >= from));
  if (found.length === 0) return null;
  const frame = { left: 52, right: width - 22, top: 10, bottom: 150 };
  const x = scale(from, to, frame.left, frame.right);
  const top = highest(found, from, to);
  const y = scale(from, top, frame.bottom, frame.top);
  /** @type {Shape[]} */
  const shapes = timeTicks(from, top, frame.bottom - frame.top, LABEL_Y).flatMap((at) => [
    { tag: "line", class: "pic-grid", x1: frame.left, x2: frame.right, y1: round(y(at)), y2: round(y(at)) },
    { tag: "text", class: "pic-label", "text-anchor": "end", x: frame.left - 5, y: round(y(at) + 4), text: clockTime(at) },
  ]);
  shapes.push(...timeAxis(frame, x, { from, to }, frame.bottom + 18));
  shapes.push({ tag: "path", class: "pic-present", inside: true, d: polyline([[x(from), y(from)], [x(to), y(to)]]) });
  for (const stretch of found) shapes.push(...promiseShapes(stretch, cause, { x, y, top }), ...happened(stretch, x, y));
  return { width, height: frame.bottom + 24, frame, shapes };
}

/**
 * How far up the picture must reach: as far as was foreseen, but not so far that the past is a line at the bottom.
 * @param {Stretch[]} found
 * @param {number} from
 * @param {number} to
 */
function highest(found, from, to) {
  const ends = found.flatMap(({ points }) => points.map(({ p50, p90 }) => p90 ?? p50 ?? 0));
  return Math.min(Math.max(to, ...ends) + 5 * MINUTE, to + Math.max(to - from, 120 * MINUTE));
}

/**
 * @param {Stretch} stretch
 * @param {Ends} cause
 * @param {{x: Scale, y: Scale, top: number}} plot
 * @returns {Shape[]}
 */
function promiseShapes({ points }, cause, { x, y, top }) {
  const beyond = top + 10 * MINUTE;
  const at = (/** @type {"p10"|"p50"|"p90"} */ name) => points.map((one) => /** @type {Place} */ ([x(one.ms), y(one[name] ?? beyond)]));
  return [
    { tag: "path", class: `pic-promise-band pic-${cause}-fill`, inside: true, d: polygon([...at("p90"), ...at("p10").reverse()]) },
    { tag: "path", class: `pic-promise pic-${cause}-line`, inside: true, d: polyline(at("p50")) },
  ];
}

/**
 * What happened in the end: a level line at its hour, a full dot where the unit stopped, a diamond where it was served.
 * @param {Stretch} stretch
 * @param {Scale} x
 * @param {Scale} y
 * @returns {Shape[]}
 */
function happened({ points, end }, x, y) {
  if (end === null) return [];
  const [at, height] = [x(end.ms), y(end.ms)];
  const level = { tag: "line", class: "pic-happened", inside: true, x1: round(x(points[0].ms)), x2: round(at), y1: round(height), y2: round(height) };
  if (end.kind === "ended") return [level, { tag: "circle", class: "pic-stopped", cx: round(at), cy: round(height), r: 6 }];
  return [level, { tag: "path", class: "pic-served", d: polygon([[at, height - 7], [at + 7, height], [at, height + 7], [at - 7, height]]) }];
}
