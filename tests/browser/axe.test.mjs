/**
 * What axe-core, a checker of the rules for accessible pages, says of every page in every state: nothing.
 *
 * Its rule for contrast cannot judge what lies on hatches or over something else; `readable.test.mjs` works those out.
 */

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { STATES, reach } from "./states.mjs";
import { play, test } from "./stage.mjs";

const AXE = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** Levels A and AA of WCAG 2.0, 2.1 and 2.2, and what is good practice beside them. */
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** What the checker may leave to people, and who looks at it instead. */
const LEFT_TO_US = { "color-contrast": "readable.test.mjs: every word against every colour that it lies on" };

/** Rules that find something to judge in every state, and so cannot have been passed over. */
const OF_PARTS = ["button-name", "color-contrast", "target-size"];
const OF_PAGE = ["document-title", "html-has-lang", "landmark-one-main", "page-has-heading-one"];

const WIDE = { viewport: { width: 1920, height: 1080 }, colorScheme: "dark" };
const MIDDLE = { viewport: { width: 1280, height: 720 }, colorScheme: "light" };
const PHONE = { viewport: { width: 390, height: 844 }, colorScheme: "light" };
const PHONE_DARK = { viewport: { width: 390, height: 844 }, colorScheme: "dark" };

/**
 * Runs the checker in the page. Its source comes in through the debugger's line, so the page's own policy stays as it is.
 * @returns {Promise<{wrong: string[], open: string[], passed: string[]}>}
 */
async function look(page) {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(AXE);
  return page.evaluate(async (tags) => {
    const { violations, incomplete, passes } = await window.axe.run(document, { runOnly: { type: "tag", values: tags }, resultTypes: ["violations", "incomplete"], preload: false });
    const told = ({ id, help, nodes }) => `${id} (${help}): ${nodes.map(({ target, html }) => `${target.join(" ")} ${html.slice(0, 160)}`).join(" | ")}`;
    return { wrong: violations.map(told), open: incomplete.map(told), passed: passes.map(({ id }) => id) };
  }, TAGS);
}

const inLook = ({ viewport, colorScheme }) => `${viewport.width} × ${viewport.height}, ${colorScheme}`;

/** Puts the page into another size and light, and lets it settle. */
async function turn(page, { viewport, colorScheme }) {
  await page.emulateMedia({ colorScheme });
  await page.setViewportSize(viewport);
  await page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));
}

/** Looks once, and says what is wrong with the state and the look it was seen in. */
async function check(page, state, how) {
  const { wrong, open, passed } = await look(page);
  assert.deepEqual(wrong, [], `${state.name}, ${inLook(how)}`);
  const unjudged = open.filter((one) => !(one.split(" ")[0] in LEFT_TO_US));
  assert.deepEqual(unjudged, [], `${state.name}, ${inLook(how)}: nobody judges this`);
  // Something was there to be looked at. What concerns the whole page is not asked while a dialog covers it.
  const covered = await page.evaluate(() => document.querySelector("dialog[open]") !== null);
  for (const rule of covered ? OF_PARTS : [...OF_PARTS, ...OF_PAGE]) assert.ok(passed.includes(rule), `${state.name}: ${rule}`);
}

/** Each state wide in the dark and on a phone in the light; every sixth in the middle size too, or at night on a phone. */
const looksOf = (index) => [WIDE, PHONE, ...(index % 6 === 3 ? [MIDDLE] : []), ...(index % 6 === 0 ? [PHONE_DARK] : [])];

STATES.forEach((state, index) => {
  test(`nothing is wrong with ${state.name}`, async () => {
    const looks = looksOf(index);
    for (const once of state.brief ? looks.map((how) => [how]) : [looks]) {
      await play(state.scenario, async ({ hub, open }) => {
        const page = await open(state.token === undefined ? "token-mia" : state.token, { ...once[0], path: state.path });
        await reach(state, page, hub);
        for (const how of once) {
          await turn(page, how);
          await check(page, state, how);
        }
      }, state.expected);
    }
  });
});

test("the check finds what is wrong: a button without a name, words as dark as their ground, a target too small", () =>
  play("quiet", async ({ open }) => {
    const page = await open();
    await page.evaluate(() => {
      const nameless = document.createElement("button");
      const dim = document.createElement("p");
      const small = document.createElement("button");
      Object.assign(dim, { textContent: "hardly to be read" }).style.color = "#333333";
      Object.assign(small, { textContent: "x" });
      Object.assign(small.style, { width: "12px", height: "12px", minHeight: "0", padding: "0", border: "0" });
      const beside = small.cloneNode(true);
      document.getElementById("calls").prepend(nameless, dim, small, beside);
    });
    const { wrong } = await look(page);
    assert.deepEqual(wrong.map((one) => one.split(" ")[0]).sort(), ["button-name", "color-contrast", "target-size"]);
  }));
