/**
 * The screens as they looked when somebody last looked at them: recordings of the demo are played again, and the pictures
 * compared with those in `tests/pictures/stored`. `UPDATE_STORED=1 node --test stored.test.mjs` stores them anew; look at
 * them before you commit them.
 */
import assert from "node:assert/strict";
import { mkdir, writeFile } from "node:fs/promises";
import { after, before, test as nodeTest } from "node:test";

import { OUT, STORED, compare, launchWithCertainFonts, madeWith, stored } from "./pictures.mjs";
import { openStill, pictureOf, startRecording } from "./replay.mjs";

const UPDATE = process.env.UPDATE_STORED === "1";
const MADE_WITH = "made-with.json";
const test = (name, story) => nodeTest(name, { timeout: 90_000 }, story);

const WIDE = { width: 1920, height: 1080 };
const SMALL = { width: 1280, height: 720 };
const PHONE = { width: 390, height: 844 };
const ops = { role: "lead", path: "/" };
const runner = { role: "runner", path: "/runner", viewport: PHONE };

const SHOTS = {
  "ops-wide-dark": { ...ops, recording: "seed-7", viewport: WIDE, colorScheme: "dark" },
  "ops-small-light": { ...ops, recording: "seed-11", viewport: SMALL, colorScheme: "light" },
  "ops-phone-dark": { ...ops, recording: "seed-11", viewport: PHONE, colorScheme: "dark" },
  "runner-phone-dark": { ...runner, recording: "seed-7", colorScheme: "dark" },
  "runner-phone-light": { ...runner, recording: "seed-11", colorScheme: "light" },
};

let stage;
before(async () => {
  stage = await launchWithCertainFonts();
  if (UPDATE) await mkdir(STORED, { recursive: true });
});
after(() => stage?.browser.close());

/**
 * Takes the picture of a shot.
 * @param {string} name
 * @param {(page: import("playwright-core").Page) => Promise<void>} [change] what is done to the page first
 */
async function take(name, change) {
  const { recording, ...shot } = SHOTS[name];
  const hub = await startRecording(recording);
  try {
    const { page, errors, foreign, close } = await openStill(stage.browser, hub, shot);
    await change?.(page);
    const picture = await pictureOf(page);
    const made = await madeWith(page, stage.env);
    await close();
    assert.deepEqual([errors, foreign], [[], []]);
    return { picture, made };
  } finally {
    await hub.stop();
  }
}

/** Leaves the pictures of a comparison for people. @returns {Promise<string>} what to say of them */
async function leave(name, picture, { told, difference }) {
  await writeFile(`${OUT}${name}.actual.png`, picture);
  if (difference) await writeFile(`${OUT}${name}.difference.png`, difference);
  return `${name} does not look as stored: ${told}. Look at tests/out/stored/${name}.actual.png${difference ? ` and ${name}.difference.png` : ""}, beside tests/pictures/stored/${name}.png; if that is how it shall look, store it with UPDATE_STORED=1.`;
}

for (const name of Object.keys(SHOTS)) {
  test(`${name} looks as stored`, async () => {
    const { picture, made } = await take(name);
    if (UPDATE) {
      await writeFile(`${STORED}${name}.png`, picture);
      if (name === Object.keys(SHOTS)[0]) await writeFile(STORED + MADE_WITH, `${JSON.stringify(made, null, 2)}\n`);
      return;
    }
    const before = await stored(`${name}.png`);
    assert.ok(before, `tests/pictures/stored/${name}.png is not there: store it with UPDATE_STORED=1`);
    const found = compare(picture, before);
    if (found.same) return;
    const once = JSON.parse(await stored(MADE_WITH));
    assert.fail(`${await leave(name, picture, found)} Made with ${JSON.stringify(once)}, here ${JSON.stringify(made)}.`);
  });
}

/** Of two million pixels; one in ten thousand is what a busy machine's drawing of edges has made differ, once. */
const SAME_RUNS = 0.0001;

test("two runs give the same picture", async () => {
  const [one, other] = [await take("ops-wide-dark"), await take("ops-wide-dark")];
  const found = compare(one.picture, other.picture);
  if (found.whole <= SAME_RUNS) return;
  await writeFile(`${OUT}two-runs.first.png`, one.picture);
  assert.fail(await leave("two-runs", other.picture, found));
});

/** What a comparison must find, each where it is hardest to see: on the widest picture. */
const PLANTED = {
  "a call that is not shown": () => (document.querySelector(".call").style.visibility = "hidden"),
  "a row that is not shown": () => document.querySelectorAll(".row")[4].remove(),
  "a run-out in another place": () => (document.querySelector(".row .bar").style.marginLeft = "3rem"),
  "another figure in one row": () => {
    const big = document.querySelectorAll(".row .big")[3];
    big.textContent = big.textContent.replace(/\d+/, (digits) => String(Number(digits) + 30));
  },
  "a button without its word": () => (document.querySelector("#people-open").textContent = ""),
};

for (const [what, plant] of Object.entries(PLANTED)) {
  test(`control: ${what} is found`, async (context) => {
    const { picture } = await take("ops-wide-dark", (page) => page.evaluate(plant));
    const found = compare(picture, await stored("ops-wide-dark.png"));
    context.diagnostic(found.told);
    assert.equal(found.same, false, found.told);
    assert.match(found.told, /differ/);
    assert.ok(found.difference, "there is a picture of the difference");
  });
}
