/**
 * The kit sum before a show: what the form asks, and what the screen says of the answer.
 */

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { contrast } from "./contrast.mjs";
import { allColoursOf, openTopMenu, tooLow, untilText } from "./kit.mjs";
import { play, test } from "./stage.mjs";

const asset = (name) => import(new URL(`../../server/web/assets/${name}.js`, import.meta.url));
const { AT_FIRST, cautionsSaid, fieldOf, kindSaid, planFor, questionOf, roundSaid, verdictSaid } = await asset("kitmodel");
const { kit: english } = await asset("words-kit-en");
const example = async (name) => JSON.parse(await readFile(new URL(`../../server/wire/examples/${name}.json`, import.meta.url), "utf8"));

const TURNED_DOWN = /Failed to load resource: the server responded with a status of 422/;
const empty = (kinds) => Object.fromEntries(planFor(kinds).map(({ name }) => [name, ""]));
const field = (page, label) => page.locator("#kit-sum").getByLabel(label, { exact: true });
const ask = (page) => page.locator("#kit-sum").getByRole("button", { name: "Does it last?" }).click();

test("what was typed becomes the hub's question: empty is left out, a comma is a point, what is missing is said", () => {
  const values = {
    ...empty(2), hours: "8", celsius: "-3", units_0_name: "Bank", units_0_count: "4", units_0_pack_min: "97,5", units_0_slot_mode: "relay",
    units_1_name: "Crane", units_1_count: "1", units_1_bit_rate_mbps: "400", units_1_slot_mode: "single", packs_count: "12", packs_usable_percent: "85",
    bays_count: "4", bays_charge_min: "90",
  };
  const { question, wrong } = questionOf(values, 2);
  assert.deepEqual(wrong, {});
  assert.deepEqual(question, {
    hours: 8, celsius: -3,
    units: [{ name: "Bank", count: 4, pack_min: 97.5, slot_mode: "relay" }, { name: "Crane", count: 1, bit_rate_mbps: 400, slot_mode: "single" }],
    packs: { count: 12, usable_percent: 85 }, bays: { count: 4, charge_min: 90 },
  });
  const begun = { ...empty(1), ...AT_FIRST, units_0_count: "many", cards_capacity_gb: "128" };
  assert.deepEqual(questionOf(begun, 1).wrong, { units_0_name: "This is needed.", units_0_count: "This is not a number.", cards_count: "This is needed." });
  assert.equal(fieldOf("/units/0/pack_min"), "units_0_pack_min");
});

test("the hub's own example is said with everything that a lead asks for", async () => {
  const answer = await example("kit_answer");
  const { verdict } = verdictSaid(answer);
  assert.match(verdict, answer.lasts ? /^LASTS: 8 h$/ : /^DOES NOT LAST: 8 h$/);
  for (const which of ["power", "media"]) {
    const { lines, cures, rule } = roundSaid(which, answer[which]);
    assert.match(lines[0], /to spare|short by/);
    assert.equal(cures.length, answer[which].cures.length);
    assert.match(rule, /Closed form|Played swap by swap/);
  }
  assert.match(kindSaid(answer.units[0]).lines.join(" "), /400 Mb\/s are 50 MB\/s.*128 GB: 42\.7 min by arithmetic, 38\.4 min to plan with/);
  assert.match(cautionsSaid(answer).at(-1), /Local codes/);
  const failing = { ...answer, lasts: false, first: { what: "packs", unit: "Bank", at_min: 125, earliest_min: 90 } };
  assert.equal(verdictSaid(failing).first, "First to fail: no pack for Bank, after 2 h 05 min; in the worst show after 1 h 30 min.");
  const round = { ...answer.power, lasts: false, rule: "played", spare: -3, cures: [{ pieces: 1, places: 1 }, { pieces: 3, places: 0 }] };
  assert.deepEqual(roundSaid("power", round).cures, ["1 more pack and 1 more bay", "3 more packs"]);
  assert.deepEqual(cautionsSaid({ ...answer, cautions: [{ code: "never_seen", text: "as the hub says" }] }), ["as the hub says"]);
});

test("a key opens it, a runner may ask as well, and the answer begins with whether it lasts", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    await page.keyboard.press("l");
    await page.locator("#kit-sum").waitFor({ state: "visible" });
    await ask(page);
    await untilText(page.locator("#kit-sum .form-wrong:visible").first(), /This is needed/);
    await field(page, english.fields.name).fill("Bank");
    await field(page, english.fields.count).fill("4");
    await field(page, english.fields.pack_min).fill("100");
    await field(page, english.fields.packs_count).fill("12");
    hub.answers.refuse = { pointer: "/packs/count", detail: "so many" };
    await ask(page);
    await untilText(page.locator("#kit-sum .form-wrong:visible"), /so many/);
    await ask(page);
    await untilText(page.locator("#kit-sum .kit-verdict"), /LASTS?: 8 h/);
    assert.deepEqual(hub.answers.kitAsked.at(-1).units, [{ name: "Bank", count: 4, pack_min: 100, recording_percent: 100, slot_mode: "relay" }]);
    assert.equal(await page.evaluate(() => document.activeElement.className), "kit-answer");
    await page.keyboard.press("Escape");
    assert.equal(await page.locator("#kit-sum").isVisible(), false);
  }, [TURNED_DOWN]));

test("another kind of units comes and goes, and what was typed stays", () =>
  play("quiet", async ({ open }) => {
    const page = await open();
    await openTopMenu(page);
    await page.locator("#kit-open").click();
    const names = page.locator("#kit-sum").getByLabel(english.fields.name);
    await names.first().fill("Bank");
    await page.getByRole("button", { name: english.addKind }).click();
    await names.nth(1).fill("Crane");
    await page.getByRole("button", { name: english.dropKind }).click();
    assert.deepEqual([await names.count(), await names.first().inputValue()], [1, "Bank"]);
  }));

test("the kit sum is readable in both lights, and fits a phone", async () => {
  for (const colorScheme of ["dark", "light"]) {
    await play("quiet", async ({ hub, open }) => {
      hub.answers.kit = { ...hub.answers.kit, lasts: false, first: { what: "packs", unit: "A".repeat(64), at_min: 125, earliest_min: 90 } };
      const page = await open("token-lead", { colorScheme, viewport: { width: 390, height: 844 } });
      await page.keyboard.press("l");
      await field(page, english.fields.name).fill("Bank");
      await field(page, english.fields.count).fill("4");
      await ask(page);
      await page.locator(".kit-verdict").waitFor();
      const parts = [".kit-verdict", ".kit-first", ".kit-round p", ".kit-rule span", ".kit-listed li", "label", "button:not(:disabled)"];
      const found = await allColoursOf(page, parts.map((selector) => `#kit-sum ${selector}`));
      assert.deepEqual(parts.filter((selector) => !found.some((one) => one.selector === `#kit-sum ${selector}`)), []);
      for (const { selector, fg, bg } of found) assert.ok(contrast(fg, bg) >= 4.5, `${colorScheme} ${selector}: ${fg} on ${bg}`);
      assert.deepEqual(await tooLow(page, "#kit-sum :is(button, input, select)", 44), []);
      const wide = await page.evaluate(() => document.querySelector("#kit-sum").scrollWidth - innerWidth);
      assert.ok(wide <= 0, `${wide} px too wide`);
    });
  }
});
