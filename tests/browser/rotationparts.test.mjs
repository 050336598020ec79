/**
 * The hours to come of the packs: what is said of the wire's example, and its picture. Needs no browser; a tenth of a second.
 */

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";

const web = (name) => import(new URL(`../../server/web/assets/${name}.js`, import.meta.url));
const { rotationPicture, rotationSaid } = await web("rotationmodel");
const { clockTime } = await web("time");

const example = JSON.parse(await readFile(new URL("../../server/wire/examples/rotation.json", import.meta.url), "utf8"));
const clock = (moment) => clockTime(Date.parse(moment));

test("the headline says when, how short, and the cheapest cure that is enough", () => {
  const { lasts, headline, cures, assumed } = rotationSaid(example);
  assert.equal(lasts, false);
  const at = `about ${clock(example.short.at)}, at the earliest ${clock(example.short.earliest)}, in 62 of 100 cases.`;
  assert.equal(headline, `PACKS RUN SHORT ${at} 1 missing, 2 at worst, for 23 min, 61 min at worst. Enough: BOW2 on outside power.`);
  assert.deepEqual(cures[1], { text: "2 more packs: short in 2 of 100 cases", enough: true });
  assert.equal(cures.length, 6);
  assert.deepEqual(assumed, example.assumed);
  const none = rotationSaid({ ...example, cures: example.cures.filter(({ enough }) => !enough) });
  assert.match(none.headline, /No single cure is enough\.$/);
});

test("a pool that lasts is said to last, also where a case in a hundred does not", () => {
  const lasting = rotationSaid({ ...example, short: null, cures: [] });
  assert.deepEqual([lasting.lasts, lasting.headline], [true, "Packs last for 4 h: none of 100 cases runs short."]);
  const nearly = rotationSaid({ ...example, short: { ...example.short, chance: 0.02 }, cures: [] });
  assert.deepEqual([nearly.lasts, nearly.headline], [true, "Packs last for 4 h: 2 of 100 cases run short."]);
});

test("the picture steps from count to count and marks when the pool runs short", () => {
  const { width, height, frame, shapes } = rotationPicture(example, 600);
  const of = (name) => shapes.filter((shape) => shape.class === name);
  const places = of("pic-battery")[0].d.slice(1).split("L").map((place) => place.split(" ").map(Number));
  // Two ends of a step for each point: level, and then straight up or down.
  assert.equal(places.length, 2 * example.points.length);
  for (let index = 0; index + 1 < places.length; index += 2) assert.equal(places[index][1], places[index + 1][1]);
  assert.equal(places[0][1], frame.top, "three ready now, the most there are");
  assert.equal(places[6][1], frame.bottom, "none ready in the fourth hour");
  const [mark] = of("pic-ended");
  const share = (Date.parse(example.short.at) - Date.parse(example.now)) / (4 * 3_600_000);
  assert.ok(Math.abs((mark.x1 - frame.left) / (frame.right - frame.left) - share) < 0.01);
  assert.equal(of("pic-event")[0].text, `short ${clock(example.short.at)}`);
  for (const shape of shapes) for (const name of ["x", "x1", "x2"]) assert.ok(!(shape[name] < 0 || shape[name] > width), JSON.stringify(shape));
  assert.ok(height < 200);
  assert.deepEqual(rotationPicture({ ...example, short: null }, 600).shapes.filter((shape) => shape.class === "pic-ended"), []);
  assert.equal(rotationPicture({ ...example, points: example.points.slice(0, 1) }, 600), null);
});
