/**
 * Every state is told from its neighbours by eyes of every kind: with all cones, without the long ones (protanopia),
 * without the middle ones (deuteranopia), and without any (achromatopsia). Colours are read off the page as painted.
 */

import assert from "node:assert/strict";
import { untilText } from "./kit.mjs";
import { BOARD, CROWDED, LINKED, PICTURES, RUNNER, everyAge, readMarks } from "./marks.mjs";
import { PHONE, mainPress } from "./runner-kit.mjs";
import { NO_CONNECTION, play, test } from "./stage.mjs";
import { leastApart } from "./vision.mjs";

/**
 * Colours nearer to each other than this, in CIEDE2000, tell nothing apart by themselves. A choice, for no standard has a
 * figure for small marks at three metres: a difference of 1 is just seen side by side, 20 is two colours of different name.
 */
const FAR = 20;

const WIDE = { viewport: { width: 1920, height: 1080 } };
const LIGHTS = ["dark", "light"];

/**
 * What is missing between two states.
 * @param {string} kind
 * @param {[string, Record<string, string>]} one name and what was read
 * @param {[string, Record<string, string>]} other
 * @param {string[]} by in what else they must differ
 * @returns {string[]} sentences
 */
function missing(kind, [a, one], [b, other], by) {
  const distance = leastApart(one.mark, other.mark);
  const alone = by.length === 0 && distance < FAR ? [`${kind}: ${a} and ${b} differ by colour alone, ${distance.toFixed(1)} at worst`] : [];
  return [...alone, ...by.filter((name) => one[name] === other[name]).map((name) => `${kind}: ${a} and ${b} have the same ${name}, ${one[name]}`)];
}

/** Reads kinds off a page. @returns {Promise<{wrong: string[], near: string[]}>} what is missing, and pairs that colour does not tell apart */
async function look(page, kinds) {
  const told = { wrong: [], near: [] };
  for (const { kind, states, pairs } of kinds) {
    const read = await readMarks(page, states);
    const paired = new Set(pairs.flatMap(([a, b]) => [a, b]));
    assert.deepEqual(Object.keys(states).filter((name) => !paired.has(name)), [], `${kind}: nobody compares these`);
    for (const [a, b, by] of pairs) {
      told.wrong.push(...missing(kind, [a, read[a]], [b, read[b]], by));
      const distance = leastApart(read[a].mark, read[b].mark);
      if (distance < FAR) told.near.push(`${kind}: ${a}, ${b} ${distance.toFixed(1)}`);
    }
  }
  return told;
}

/** Opens a page in each light and finds nothing missing. */
function inEachLight(name, { scenario, kinds, look: how, token = "token-lead", prepare, reach, expected }) {
  for (const colorScheme of LIGHTS) {
    test(`${name}, ${colorScheme}`, (t) =>
      play(scenario, async ({ hub, open }) => {
        prepare?.(hub);
        const page = await open(token, { ...how, colorScheme });
        await reach(page, hub);
        const { wrong, near } = await look(page, kinds);
        assert.deepEqual(wrong, []);
        t.diagnostic(`told by shape or word, not by colour: ${near.join("; ")}`);
      }, expected));
  }
}

const rows = (page) => page.locator(".row").first().waitFor();

inEachLight("the board and the calls in every state", {
  scenario: "held", kinds: BOARD, look: { ...WIDE }, prepare: everyAge,
  reach: async (page) => {
    await rows(page);
    await page.locator(".row[data-state=fresh] .window-label-break .window-word").first().waitFor();
    await page.locator("#ended-list li").nth(2).waitFor();
  },
});

inEachLight("sixty units", { scenario: "sixty", kinds: CROWDED, look: { ...WIDE }, reach: (page) => page.locator(".row[data-state=silent]").waitFor() });

inEachLight("the pictures of one unit", {
  scenario: "busy", kinds: PICTURES, look: { ...WIDE },
  reach: async (page) => {
    await rows(page);
    await page.evaluate(() => document.dispatchEvent(new CustomEvent("swapcall:open-unit", { detail: { unit: "BOW2" } })));
    await page.locator(".sheet-choices button").nth(1).click();
    await page.locator("#sheet .picture").nth(2).waitFor();
  },
});

inEachLight("a runner's jobs", {
  scenario: "walk", kinds: RUNNER, look: PHONE, token: "token-mia", expected: [NO_CONNECTION],
  reach: async (page, hub) => {
    await page.locator("#jobs .job").nth(2).waitFor();
    await page.locator("#rest-heading").click();
    await hub.stop();
    await page.waitForSelector("body[data-link=lost]");
    await mainPress(page, "MID1").click();
    await page.locator(".job[data-state=unsent]").waitFor();
  },
});

for (const [where, { kind, state, by }] of Object.entries(LINKED)) {
  for (const colorScheme of LIGHTS) {
    test(`the hub lost and found, ${where}, ${colorScheme}`, () =>
      play("walk", async ({ hub, open }) => {
        const page = await open("token-mia", { ...(where === "runner" ? PHONE : WIDE), colorScheme });
        await page.locator(where === "runner" ? ".job-age" : ".row .age").first().waitFor();
        const before = await readMarks(page, { live: state });
        await hub.stop();
        await page.waitForSelector("body[data-link=lost]");
        await untilText(page.locator(where === "runner" ? ".job-age" : ".row .age").first(), /OLD/);
        const after = await readMarks(page, { lost: state });
        assert.deepEqual(missing(kind, ["live", before.live], ["lost", after.lost], by), []);
      }, [NO_CONNECTION]));
  }
}

test("the check finds shapes and letters that were taken away, and two colours that only some eyes tell apart", () =>
  play("held", async ({ open }) => {
    const page = await open("token-lead", WIDE);
    await rows(page);
    await page.evaluate(() => {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(".bar { border-radius: 0 !important; border: 2px solid #008f00 !important; background: #e00000 !important; }");
      document.adoptedStyleSheets = [sheet];
      for (const mark of document.querySelectorAll(".mark")) mark.textContent = "X";
    });
    const { wrong } = await look(page, BOARD.slice(0, 1));
    assert.deepEqual(wrong.map((one) => one.split(" have the same ")[1].split(",")[0]), ["letter", "ends", "hatch"]);
    const { states } = BOARD[0];
    const read = await readMarks(page, states);
    assert.match(missing("bars", ["battery", read.battery], ["cards", read.cards], []).join(), /differ by colour alone/);
  }));
