/**
 * Makes the icons of the installed page from our own picture: `node icons.mjs`. Phones want points, not curves.
 */

import { readFile, writeFile } from "node:fs/promises";
import { launchBrowser } from "./kit.mjs";

const ASSETS = new URL("../../server/web/assets/", import.meta.url);
const GROUND = "#101317";

/** `share`: how much of the square the picture fills; a maskable icon is cut to a circle of four fifths. */
const ICONS = [
  { name: "icon-192.png", size: 192, share: 1 },
  { name: "icon-512.png", size: 512, share: 1 },
  { name: "icon-maskable-512.png", size: 512, share: 0.62, ground: GROUND },
];

const svg = await readFile(new URL("favicon.svg", ASSETS), "utf8");
const browser = await launchBrowser();
for (const { name, size, share, ground = "transparent" } of ICONS) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  const inner = size * share;
  const picture = `<img src="data:image/svg+xml;base64,${Buffer.from(svg).toString("base64")}" width="${inner}" height="${inner}">`;
  await page.setContent(`<body style="margin:0;height:100vh;display:grid;place-items:center;background:${ground}">${picture}`);
  await writeFile(new URL(name, ASSETS), await page.screenshot({ omitBackground: true }));
  await page.close();
  console.log(name);
}
await browser.close();
