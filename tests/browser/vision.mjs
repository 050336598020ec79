/**
 * Colours as people see them: simulated colour blindness, and how far two colours lie apart.
 */

import { linearOf, luminance } from "./contrast.mjs";

/** @typedef {[number, number, number]} Three */

/**
 * Machado, Oliveira & Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency" (IEEE TVCG
 * 15(6), 2009), the authors' matrices at severity 1.0, for linear light.
 */
const MACHADO = {
  protanopia: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deuteranopia: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
};

const inRange = (value) => Math.min(1, Math.max(0, value));
const through = (matrix) => (light) => matrix.map((row) => inRange(row.reduce((sum, factor, at) => sum + factor * light[at], 0)));

/** What of a colour's linear light each kind of eye is left with. @type {Record<string, (light: Three) => Three>} */
export const VISIONS = {
  "all cones": (light) => light,
  protanopia: through(MACHADO.protanopia),
  deuteranopia: through(MACHADO.deuteranopia),
  /** No colour at all: the luminance of ITU-R BT.709, which is WCAG's. */
  achromatopsia: (light) => Array(3).fill(luminance(light)),
};

/** Linear light of sRGB to CIE XYZ (IEC 61966-2-1), and the white of D65. */
const TO_XYZ = [
  [0.4124, 0.3576, 0.1805],
  [0.2126, 0.7152, 0.0722],
  [0.0193, 0.1192, 0.9505],
];
const WHITE = TO_XYZ.map((row) => row.reduce((a, b) => a + b));

/** CIELAB (CIE 15) of linear light. @param {Three} light @returns {Three} */
function labOfLight(light) {
  const [x, y, z] = TO_XYZ.map((row, at) => row.reduce((sum, factor, of) => sum + factor * light[of], 0) / WHITE[at]);
  const curve = (t) => (t > (6 / 29) ** 3 ? Math.cbrt(t) : t / (3 * (6 / 29) ** 2) + 4 / 29);
  return [116 * curve(y) - 16, 500 * (curve(x) - curve(y)), 200 * (curve(y) - curve(z))];
}

const rad = (degrees) => (degrees * Math.PI) / 180;
const hueOf = (a, b) => (a === 0 && b === 0 ? 0 : ((Math.atan2(b, a) * 180) / Math.PI + 360) % 360);

/** Chroma and hue with the axis from green to red stretched for greys: a', C' and h' of the paper. */
function stretched([, a, b], middleChroma) {
  const seventh = middleChroma ** 7;
  const a1 = a * (1 + 0.5 * (1 - Math.sqrt(seventh / (seventh + 25 ** 7))));
  return { chroma: Math.hypot(a1, b), hue: hueOf(a1, b) };
}

/** Difference and middle of two hues, degrees; of a grey the other one's hue counts. */
function hues(one, two) {
  const grey = one.chroma * two.chroma === 0;
  const [sum, apart] = [one.hue + two.hue, two.hue - one.hue];
  if (grey) return { turn: 0, middle: sum };
  if (Math.abs(apart) <= 180) return { turn: apart, middle: sum / 2 };
  return { turn: apart > 180 ? apart - 360 : apart + 360, middle: sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2 };
}

/**
 * CIEDE2000 (CIE 142-2001), all weights 1, by the equations of Sharma, Wu & Dalal, "The CIEDE2000 Color-Difference
 * Formula: Implementation Notes, Supplementary Test Data, and Mathematical Observations" (Color Research and Application
 * 30(1), 2005).
 * @param {Three} a CIELAB @param {Three} b CIELAB @returns {number} about 1 is the least difference seen side by side
 */
export function ciede2000(a, b) {
  const middleChroma = (Math.hypot(a[1], a[2]) + Math.hypot(b[1], b[2])) / 2;
  const [one, two] = [stretched(a, middleChroma), stretched(b, middleChroma)];
  const { turn, middle } = hues(one, two);
  const [dL, dC] = [b[0] - a[0], two.chroma - one.chroma];
  const dH = 2 * Math.sqrt(one.chroma * two.chroma) * Math.sin(rad(turn / 2));
  const [L, C] = [(a[0] + b[0]) / 2, (one.chroma + two.chroma) / 2];
  const T = 1 - 0.17 * Math.cos(rad(middle - 30)) + 0.24 * Math.cos(rad(2 * middle)) + 0.32 * Math.cos(rad(3 * middle + 6)) - 0.2 * Math.cos(rad(4 * middle - 63));
  const sL = 1 + (0.015 * (L - 50) ** 2) / Math.sqrt(20 + (L - 50) ** 2);
  const [sC, sH] = [1 + 0.045 * C, 1 + 0.015 * C * T];
  const turned = 60 * Math.exp(-(((middle - 275) / 25) ** 2));
  const rT = -2 * Math.sqrt(C ** 7 / (C ** 7 + 25 ** 7)) * Math.sin(rad(turned));
  return Math.sqrt((dL / sL) ** 2 + (dC / sC) ** 2 + (dH / sH) ** 2 + rT * (dC / sC) * (dH / sH));
}

/**
 * How far two colours lie apart for each kind of eye.
 * @param {string} a `#rrggbb` @param {string} b `#rrggbb`
 * @returns {Record<string, number>} CIEDE2000 by vision
 */
export function apart(a, b) {
  const distance = (see) => ciede2000(labOfLight(see(linearOf(a))), labOfLight(see(linearOf(b))));
  return Object.fromEntries(Object.entries(VISIONS).map(([name, see]) => [name, distance(see)]));
}

/** The least of them. @param {string} a `#rrggbb` @param {string} b `#rrggbb` */
export const leastApart = (a, b) => Math.min(...Object.values(apart(a, b)));
