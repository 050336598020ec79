/**
 * Comparing a picture with a stored one, and a browser whose letters look the same on every machine.
 * @module pictures
 */
import { execFile } from "node:child_process";
import { mkdir, readFile, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import pixelmatch from "pixelmatch";
import { PNG } from "pngjs";

import { launchBrowser } from "./kit.mjs";

const here = (path) => fileURLToPath(new URL(path, import.meta.url));

/** Where pictures of a failed comparison go. */
export const OUT = here("../out/stored/");

/** The stored pictures, and what they were made with. */
export const STORED = here("../pictures/stored/");

/** How far two colours of a pixel may be apart, 0 to 1; pixels of smoothed edges are left out besides. */
const COLOUR_THRESHOLD = 0.2;

/**
 * Shares of pixels that may differ: of the whole picture, and of any one cell of it. The first lets edges be smoothed a
 * little otherwise everywhere, the second finds what is wrong in one small place only.
 */
export const ALLOWED = { whole: 0.005, cell: 0.08 };
const CELL_PX = 48;

/**
 * @param {Buffer} actual PNG
 * @param {Buffer} stored PNG
 * @returns {{same: boolean, whole: number, told: string, difference: Buffer|null}} `whole` is the share of pixels that differ, `told`
 * says how much that is, for people
 */
export function compare(actual, stored) {
  const [a, b] = [PNG.sync.read(actual), PNG.sync.read(stored)];
  const { width, height } = a;
  if (width !== b.width || height !== b.height) {
    return { same: false, told: `it is ${width}×${height}, stored is ${b.width}×${b.height}`, whole: 1, difference: null };
  }
  const difference = new PNG({ width, height });
  const differing = pixelmatch(a.data, b.data, difference.data, width, height, { threshold: COLOUR_THRESHOLD });
  const mask = new PNG({ width, height });
  pixelmatch(a.data, b.data, mask.data, width, height, { threshold: COLOUR_THRESHOLD, diffMask: true });
  const worst = worstCell(mask);
  const whole = differing / (width * height);
  const told = `${percent(whole)} of its pixels differ (${percent(ALLOWED.whole)} may), at most ${percent(worst.share)} of a cell (${percent(ALLOWED.cell)} may), worst around ${worst.x},${worst.y}`;
  return { same: whole <= ALLOWED.whole && worst.share <= ALLOWED.cell, whole, told, difference: PNG.sync.write(difference) };
}

const percent = (share) => `${(share * 100).toFixed(2)} %`;

/** The cell with most differing pixels. Cells overlap by half, so that nothing hides on a border. @param {PNG} mask */
function worstCell({ width, height, data }) {
  const half = CELL_PX / 2;
  const columns = Math.ceil(width / half);
  const quarters = new Array(columns * Math.ceil(height / half)).fill(0);
  for (let at = 0; at < width * height; at += 1) {
    if (data[at * 4 + 3] === 0) continue;
    quarters[Math.floor(Math.floor(at / width) / half) * columns + Math.floor((at % width) / half)] += 1;
  }
  let worst = { share: 0, x: 0, y: 0 };
  for (let index = 0; index < quarters.length; index += 1) {
    const isLast = index % columns === columns - 1;
    const four = [index, isLast ? -1 : index + 1, index + columns, isLast ? -1 : index + columns + 1];
    const share = four.reduce((sum, one) => sum + (quarters[one] ?? 0), 0) / CELL_PX ** 2;
    if (share > worst.share) worst = { share, x: ((index % columns) + 1) * half, y: (Math.floor(index / columns) + 1) * half };
  }
  return worst;
}

/** The fonts that pictures are made with: every family that is asked for ends there, and nothing else is to be had. */
const FONTS = `<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig>
  <dir>${here("node_modules/dejavu-fonts-ttf/ttf")}</dir>
  <cachedir>${OUT}fonts</cachedir>
  <selectfont><rejectfont>
    ${["DejaVu Serif", "DejaVu Serif Condensed", "DejaVu Sans Condensed", "DejaVu Sans Light", "DejaVu Math TeX Gyre"].map((name) => `<pattern><patelt name="family"><string>${name}</string></patelt></pattern>`).join("\n    ")}
  </rejectfont></selectfont>
  <match target="pattern"><test name="family"><string>monospace</string></test><edit name="family" mode="prepend" binding="strong"><string>DejaVu Sans Mono</string></edit></match>
  <match target="pattern"><edit name="family" mode="append_last" binding="strong"><string>DejaVu Sans</string></edit></match>
</fontconfig>
`;

/**
 * A browser that knows the letters of one package only, and draws them without bending them to the screen's pixels: a
 * machine's own fonts, and how it wants them drawn, are no part of a picture.
 */
export async function launchWithCertainFonts() {
  await mkdir(OUT, { recursive: true });
  const file = `${OUT}fonts.conf`;
  await writeFile(file, FONTS);
  const env = { ...process.env, FONTCONFIG_FILE: file };
  const browser = await launchBrowser({ env, flags: ["--font-render-hinting=none", "--disable-lcd-text"] });
  return { browser, env };
}

/** What a picture is made with: the browser, the fonts that the page's letters really come from, and their width. */
export async function madeWith(page, env) {
  const session = await page.context().newCDPSession(page);
  await session.send("DOM.enable");
  await session.send("CSS.enable");
  const { root } = await session.send("DOM.getDocument");
  const { nodeId } = await session.send("DOM.querySelector", { nodeId: root.nodeId, selector: "#clock" });
  const { fonts } = await session.send("CSS.getPlatformFontsForNode", { nodeId });
  await session.detach();
  const { stdout } = await promisify(execFile)("fc-match", ["sans-serif"], { env });
  const width = await page.evaluate(() => {
    const pen = document.createElement("canvas").getContext("2d");
    const { fontWeight, fontSize, fontFamily } = getComputedStyle(document.body);
    pen.font = `${fontWeight} ${fontSize} ${fontFamily}`;
    return Math.round(pen.measureText("BOW2 18 % 14:32 BREAK").width * 100) / 100;
  });
  return { chromium: page.context().browser().version(), fonts: fonts.map(({ familyName }) => familyName).sort(), fc_match: stdout.trim(), width_px: width };
}

/** Reads a file of the stored pictures, `null` where there is none. @param {string} name */
export const stored = (name) => readFile(STORED + name).catch((error) => (error.code === "ENOENT" ? null : Promise.reject(error)));
