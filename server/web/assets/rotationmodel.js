/**
 * The hours to come of the packs: what is said of them, and their picture as a list of shapes, without touching the page.
 * @module rotationmodel
 */

import { rotation as words } from "./panelwords.js";
import { timeTicks } from "./sheetpicture.js";
import { clockTime, toMs } from "./time.js";

/** @import { Rotation, RotationCure } from "swapcall-wire" */
/** @import { Picture, Shape } from "./sheetpicture.js" */

/** A chance to run short below which the pool is said to last, as at the hub. */
const ENOUGH = 0.05;

/** What costs least comes first: a switch, a cable, a pack, a bay. @type {Record<RotationCure["kind"], number>} */
const PRICE = { standby_off: 0, external: 1, pack: 2, bay: 3 };

/** @typedef {{lasts: boolean, headline: string, cures: {text: string, enough: boolean}[], assumed: string[]}} Said */

/**
 * @param {Rotation} rotation
 * @returns {Said}
 */
export function rotationSaid({ hours, short, cures, assumed }) {
  const lasts = short === null || short.chance < ENOUGH;
  const cheapest = [...cures].filter(({ enough }) => enough).sort((a, b) => PRICE[a.kind] - PRICE[b.kind])[0];
  const said = lasts ? words.lasts(hours, hundredths(short?.chance ?? 0)) : shortage(short, cheapest);
  return {
    lasts,
    headline: said,
    cures: cures.map((cure) => ({ text: words.cure(change(cure), hundredths(cure.chance_after)), enough: cure.enough })),
    assumed,
  };
}

const hundredths = (/** @type {number} */ chance) => Math.round(chance * 100);

/** @param {RotationCure} cure */
const change = ({ kind, count, unit }) => words.change[kind](count, unit ?? "");

/**
 * @param {NonNullable<Rotation["short"]>} short
 * @param {RotationCure|undefined} cheapest
 */
function shortage(short, cheapest) {
  const at = (/** @type {string} */ moment) => clockTime(toMs(moment) ?? 0);
  const what = words.short(at(short.at), at(short.earliest), hundredths(short.chance));
  const how = words.missing(short.missing, short.minutes);
  return `${what} ${how} ${cheapest ? words.cheapest(change(cheapest)) : words.noCure}`;
}

const round = (/** @type {number} */ value) => Math.round(value * 10) / 10;

/**
 * Packs that lie ready over time: the band holds eight cases in ten, the line is the middle. Counts are steps, not slopes.
 * @param {Rotation} rotation
 * @param {number} width
 * @returns {Picture|null} `null` where there is no time to draw
 */
export function rotationPicture({ points, short }, width) {
  const known = points.map(({ at, ready }) => ({ ms: toMs(at) ?? 0, ...ready }));
  const [first, last] = [known[0], known.at(-1)];
  if (first === undefined || last === undefined || first.ms >= last.ms) return null;
  const most = Math.max(1, ...known.map(({ p90 }) => p90));
  const frame = { left: 30, right: width - 22, top: 20, bottom: 140 };
  const x = (/** @type {number} */ ms) => round(frame.left + ((frame.right - frame.left) * (ms - first.ms)) / (last.ms - first.ms));
  const y = (/** @type {number} */ packs) => round(frame.bottom - ((frame.bottom - frame.top) * packs) / most);
  const steps = (/** @type {"p10"|"p50"|"p90"} */ name) => known.flatMap((one, index) => {
    const until = known[index + 1]?.ms ?? one.ms;
    return [`${x(one.ms)} ${y(one[name])}`, `${x(until)} ${y(one[name])}`];
  });
  /** @type {Shape[]} */
  const shapes = [
    ...countAxis(most).flatMap((packs) => [
      { tag: "line", class: "pic-grid", x1: frame.left, x2: frame.right, y1: y(packs), y2: y(packs) },
      { tag: "text", class: "pic-label", "text-anchor": "end", x: frame.left - 5, y: y(packs) + 4, text: String(packs) },
    ]),
    ...timeTicks(first.ms, last.ms, frame.right - frame.left).map((at) => (
      { tag: "text", class: "pic-label", "text-anchor": "middle", x: x(at), y: frame.bottom + 18, text: clockTime(at) })),
    { tag: "path", class: "pic-battery-band", inside: true, d: `M${[...steps("p90"), ...steps("p10").reverse()].join("L")}Z` },
    { tag: "path", class: "pic-battery", d: `M${steps("p50").join("L")}` },
  ];
  const shortAt = toMs(short?.at);
  if (short && short.chance >= ENOUGH && shortAt !== null && shortAt <= last.ms) {
    const at = x(Math.max(first.ms, shortAt));
    const label = words.shortMark(clockTime(shortAt));
    const half = 4 * label.length;
    shapes.push(
      { tag: "line", class: "pic-ended", x1: at, x2: at, y1: frame.top - 4, y2: frame.bottom },
      { tag: "text", class: "pic-event", "text-anchor": "middle", x: Math.min(Math.max(at, half), width - half), y: frame.top - 8, text: label },
    );
  }
  return { width, height: frame.bottom + 24, frame, shapes };
}

/** @param {number} most @returns {number[]} whole counts from 0 on, at most seven of them */
function countAxis(most) {
  const step = Math.ceil(most / 6);
  return Array.from({ length: Math.floor(most / step) + 1 }, (_, index) => index * step);
}
