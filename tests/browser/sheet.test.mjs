/**
 * The unit sheet in a browser: opened and closed, what it shows, and every form on it.
 */

import assert from "node:assert/strict";
import { contrast } from "./contrast.mjs";
import { unitView } from "./fleet-data.mjs";
import { allColoursOf, callOf, coloursOf, rowOf, tooLow, until, untilDone, untilMine, untilText } from "./kit.mjs";
import { NO_CONNECTION, play, test } from "./stage.mjs";

/** A refused request is logged by the browser itself. */
const TURNED_DOWN = /Failed to load resource: the server responded with a status of (404|422)|ERR_EMPTY_RESPONSE|net::ERR/;

const openSheet = async (page, unit) => {
  await rowOf(page, unit).waitFor();
  await page.evaluate((name) => document.dispatchEvent(new CustomEvent("swapcall:open-unit", { detail: { unit: name } })), unit);
  await page.locator("#sheet").waitFor({ state: "visible" });
};
const field = (page, label) => page.locator("#sheet").getByLabel(label, { exact: true });
const unfold = (page, title) => page.locator("#sheet summary", { hasText: title }).click();
const wrongAt = (page, label) => page.locator("#sheet .form-field", { has: page.getByLabel(label, { exact: true }) }).locator(".form-wrong");

test("a click on a callsign opens the sheet, Esc closes it, and the focus comes back", () =>
  play("typical", async ({ open }) => {
    const page = await open();
    await callOf(page, "BOW2").getByRole("button", { name: "Claim" }).focus();
    await rowOf(page, "MID1").locator(".callsign").click();
    await untilText(page.locator("#sheet h2"), /^MID1, 500 m pontoon$/);
    await untilText(page.locator("#sheet .sheet-known"), /Battery55 %\d+ s ago.*Slot A.*C12.*88 % full.*Cards.*relay.*400 Mb\/s.*Rests on.*Drains 61/);
    assert.ok(await page.evaluate(() => document.activeElement.closest("#sheet") !== null), "the focus is in it");
    await page.keyboard.press("Escape");
    await page.locator("#sheet").waitFor({ state: "hidden" });
    await page.keyboard.press("o");
    await untilText(page.locator("#sheet h2"), /^BOW2/);
    await page.locator("#sheet .panel-close").click();
    await page.locator("#sheet").waitFor({ state: "hidden" });
  }));

test("with the sheet open nothing is stopped: calls are claimed, done and taken back by key; a panel takes the other's place", () =>
  play("typical", async ({ open }) => {
    const page = await open();
    await openSheet(page, "FIN1");
    await page.keyboard.press("c");
    await untilMine(page, "BOW2");
    await page.keyboard.press("d");
    await untilDone(page);
    await page.keyboard.press("z");
    await untilText(callOf(page, "BOW2"), /You have it/);
    assert.equal(await page.locator("dialog:modal, [aria-modal=true]").count(), 0);
    await page.keyboard.press("?");
    await page.locator("#help").waitFor({ state: "visible" });
    assert.equal(await page.locator("#sheet").isVisible(), false);
    await page.keyboard.press("Escape");
    await page.locator("#help").waitFor({ state: "hidden" });
  }));

test("the sheet follows the unit, and ages with it", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    await openSheet(page, "BOW1");
    hub.put("unit", unitView(Date.now(), { unit: "BOW1", position: "new jetty", battery: [20, 30, 40], percent: 44, heardAgo_s: 0 }));
    await untilText(page.locator("#sheet h2"), /^BOW1, new jetty$/);
    await untilText(page.locator("#sheet .sheet-known"), /Battery44 %/);
    const old = { ...hub.units.get("BOW1"), silent_after: new Date(Date.now() + 1500).toISOString(), late_after: new Date(Date.now() + 500).toISOString() };
    hub.put("unit", old);
    await untilText(page.locator("#sheet .sheet-state"), /late by/);
    await untilText(page.locator("#sheet .sheet-state"), /^SILENT: last heard/);
  }));

test("the past is drawn with the forecasts as they were made then, for an hour, four, or today", () =>
  play("quiet", async ({ hub, open }) => {
    const asked = [];
    const made = hub.answers.history;
    hub.answers.history = (unit, query) => {
      asked.push((Date.parse(query.get("to")) - Date.parse(query.get("from"))) / 3_600_000);
      return made(unit, query);
    };
    const page = await open();
    await openSheet(page, "BOW1");
    await page.locator("#sheet .picture").nth(1).waitFor();
    assert.deepEqual(asked, [1]);
    await page.locator("#sheet").getByRole("button", { name: "4 h" }).click();
    await until(page, () => document.querySelectorAll("#sheet .pic-fan").length >= 2);
    assert.equal(asked[1], 4);
    assert.equal(await page.locator("#sheet .picture").count(), 3, "the past, and the foreseen end of battery and cards");
    await untilText(page.locator("#sheet .sheet-told"), /pack changed \(P\d\d went in\)\. Half an hour before, the forecast was \d\d:\d\d, eight times in ten between/);
    await untilText(page.locator("#sheet .sheet-told"), /cards were full\. Half an hour before/);
    for (const picture of await page.locator("#sheet .picture").all()) assert.ok((await picture.getAttribute("aria-label")).length > 40);
    const wide = await page.evaluate(() => document.querySelector("#sheet").scrollWidth - document.querySelector("#sheet").clientWidth);
    assert.ok(wide <= 0, `${wide} px too wide`);
    await page.locator("#sheet").getByRole("button", { name: "today" }).click();
    await until(page, () => document.querySelector('#sheet .choice[aria-pressed="true"]').textContent === "today");
  }));

test("where forecasts do not reach back as far as the readings, it says since when there are any", () =>
  play("quiet", async ({ hub, open }) => {
    const made = hub.answers.forecasts;
    hub.answers.forecasts = (unit, query) => ({ ...made(unit, query), from: new Date(Date.now() - 20 * 60_000).toISOString() });
    const page = await open();
    await openSheet(page, "BOW1");
    await untilText(page.locator("#sheet .sheet-trouble"), /^Forecasts are kept since \d\d:\d\d; before that/);
    assert.ok((await page.locator("#sheet .picture").count()) > 1);
  }));

test("a hub too old to keep forecasts: the picture goes without, and says so", () =>
  play("quiet", async ({ hub, open }) => {
    hub.answers.forecasts = null;
    const page = await open();
    await openSheet(page, "BOW1");
    await page.locator("#sheet .picture").waitFor();
    await untilText(page.locator("#sheet .sheet-trouble"), /does not keep its forecasts/);
    assert.equal(await page.locator("#sheet .picture").count(), 1);
    assert.equal(await page.locator("#sheet .pic-fan").count(), 0);
  }, [TURNED_DOWN]));

test("a past with nothing in it says so", () =>
  play("quiet", async ({ hub, open }) => {
    hub.answers.history = (unit, query) => ({ unit, from: query.get("from"), to: query.get("to"), step_s: 15, points: [] });
    const page = await open();
    await openSheet(page, "POD");
    await untilText(page.locator("#sheet .sheet-trouble"), /Nothing was reported in this time/);
  }));

test("a runner types a reading; each slip is said at its field; a lead's forms are not there", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    await openSheet(page, "BOW2");
    assert.deepEqual(await page.locator("#sheet summary:visible").allTextContents(), ["Type a reading"]);
    await unfold(page, "Type a reading");
    const send = () => page.locator("#sheet").getByRole("button", { name: "Send reading" }).click();
    await send();
    await untilText(page.locator("#sheet .form-said:visible"), /at least one value/);
    await field(page, "Battery, %").fill("sixty");
    await send();
    await untilText(wrongAt(page, "Battery, %"), /not a number/);
    await field(page, "Battery, %").fill("75,5");
    await field(page, "Card in slot A, % full").fill("60");
    await send();
    await untilText(wrongAt(page, "Card in slot B, % full"), /Read this slot too/);
    assert.equal(await field(page, "Card in slot B, % full").evaluate((input) => input === document.activeElement), true);
    await field(page, "Card in slot B, % full").fill("0");
    await field(page, "Mode").selectOption("standby");
    hub.answers.refuse = { pointer: "/cards/slots/0/used_percent", detail: "must be 0 to 100, not 60" };
    await send();
    await untilText(wrongAt(page, "Card in slot A, % full"), /must be 0 to 100, not 60/);
    assert.equal(await field(page, "Battery, %").inputValue(), "75,5", "what was typed stays");
    await send();
    await untilText(page.locator("#sheet .form-said:visible"), /^Sent\.$/);
    const [report] = hub.answers.reports;
    assert.deepEqual({ ...report.battery, mode: report.mode, source: report.source }, { percent: 75.5, mode: "standby", source: "typed" });
    assert.deepEqual(report.cards.slots.map(({ slot, used_percent }) => [slot, used_percent]), [["A", 60], ["B", 0]]);
    assert.ok(Math.abs(Date.parse(report.at) - Date.now()) < 5000);
    await untilText(rowOf(page, "BOW2"), /B 76 %/);
    await untilText(page.locator("#sheet .sheet-state"), /^Typed by hand/);
    assert.equal(await field(page, "Battery, %").inputValue(), "");
  }, [TURNED_DOWN]));

test("a reading whose answer was lost is sent again as the same one", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    await openSheet(page, "BOW1");
    await unfold(page, "Type a reading");
    await field(page, "Battery, %").fill("70");
    hub.answers.swallow = true;
    await page.keyboard.press("Enter");
    await untilText(page.locator("#sheet .form-said:visible"), /did not answer.*send it again/);
    hub.answers.swallow = false;
    await page.keyboard.press("Enter");
    await untilText(page.locator("#sheet .form-said:visible"), /^Sent\.$/);
    const ids = hub.answers.reports.map(({ id }) => id);
    assert.ok(ids.length >= 2 && ids.every((id) => id === ids[0]), ids.join());
  }, [TURNED_DOWN]));

test("a lead changes the profile: it is sent whole, refusals stand at their field, what others change comes in", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-lead");
    hub.put("unit", { ...hub.units.get("BOW1"), profile: { position: "start line", gauge: "coulomb", gauge_step: 1, interval_s: 5, walk_s: 120 } });
    await openSheet(page, "BOW1");
    await unfold(page, "Profile");
    await until(page, () => document.querySelector('#sheet [name="walk_s"]:not([placeholder])')?.value === "120");
    const save = () => page.locator("#sheet details", { hasText: "Profile" }).getByRole("button", { name: "Save" }).click();
    await field(page, "Walk from base, s").fill("9000");
    hub.answers.refuse = { pointer: "/walk_s", detail: "must be 0 to 7200 seconds, not 9000" };
    await save();
    await untilText(wrongAt(page, "Walk from base, s"), /0 to 7200/);
    await field(page, "Walk from base, s").fill("90");
    await field(page, "Gauge").selectOption("voltage");
    const held = hub.units.get("BOW1");
    hub.put("unit", { ...held, profile: { ...held.profile, group: "start" } });
    await until(page, () => document.querySelector('#sheet [name="group"]').value === "start");
    assert.equal(await field(page, "Walk from base, s").inputValue(), "90", "but never over what somebody is typing");
    await save();
    await untilText(page.locator("#sheet details[open] .form-said"), /^Saved\.$/);
    assert.deepEqual(hub.units.get("BOW1").profile, { position: "start line", gauge: "voltage", gauge_step: 1, interval_s: 5, walk_s: 90, group: "start" });
  }, [TURNED_DOWN]));

test("a lead sets limits for this unit; those of the fleet show in grey and stay, as do the other units'", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-lead");
    await openSheet(page, "BOW1");
    await unfold(page, "Limits");
    const margin = field(page, "To spare, s");
    await until(page, () => document.querySelector('#sheet [name="margin_s"]').placeholder === "240");
    assert.equal(await margin.inputValue(), "");
    const save = () => page.locator("#sheet details", { hasText: "Limits" }).getByRole("button", { name: "Save" }).click();
    await margin.fill("99999");
    hub.answers.refuse = { pointer: "/units/BOW1/margin_s", detail: "must be 0 to 7200, not 99999" };
    await save();
    await untilText(wrongAt(page, "To spare, s"), /0 to 7200/);
    await margin.fill("600");
    hub.answers.limits = { fleet: { margin_s: 300 }, units: { FIN1: { remind_s: 90 } } };
    await save();
    await untilText(page.locator("#sheet details[open] .form-said"), /^Saved\.$/);
    assert.deepEqual(hub.answers.limits, { fleet: { margin_s: 300 }, units: { FIN1: { remind_s: 90 }, BOW1: { margin_s: 600 } } });
  }, [TURNED_DOWN]));

test("with the hub lost the sheet says so, keeps what was typed, and sends nothing", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-mia", { viewport: { width: 390, height: 844 } });
    await openSheet(page, "BOW1");
    await page.locator("#sheet .picture").first().waitFor();
    await unfold(page, "Type a reading");
    await field(page, "Battery, %").fill("70");
    await hub.stop();
    await untilText(page.locator("#sheet .sheet-state"), /^OLD: .*The hub is lost/);
    await page.locator("#sheet .panel-lost").waitFor({ state: "visible" });
    assert.equal(await page.locator("#sheet").getByRole("button", { name: "Send reading" }).isDisabled(), true);
    assert.equal(await field(page, "Battery, %").inputValue(), "70");
    await hub.start();
    await until(page, () => !document.querySelector("#sheet .form-send").disabled);
  }, [NO_CONNECTION, TURNED_DOWN]));

test("on a phone the sheet fills the screen, and fingers find its fields and buttons", () =>
  play("typical", async ({ open }) => {
    const page = await open("token-lead", { viewport: { width: 390, height: 844 } });
    await openSheet(page, "BOW2");
    await page.locator("#sheet .picture").first().waitFor();
    const box = await page.locator("#sheet").boundingBox();
    assert.deepEqual(box, { x: 0, y: 0, width: 390, height: 844 });
    for (const fold of await page.locator("#sheet summary:visible").all()) await fold.click();
    assert.ok((await page.locator("#sheet :is(button, input, select, summary):visible").count()) > 20);
    assert.deepEqual(await tooLow(page, "#sheet :is(button, input, select, summary)", 44), []);
    assert.ok((await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 0);
  }));

test("contrast on the sheet: words 4.5:1, lines of the pictures 3:1, in both lights", async () => {
  const WORDS = [".sheet-state", ".sheet-line dt", ".sheet-line dd", ".sheet-age", "figcaption", "summary", ".form-field label", "button:not(:disabled)", ".sheet-told li"];
  const LINES = [".pic-battery", ".pic-card", ".pic-swap", ".pic-happened", ".pic-promise", ".pic-fan-middle"];
  for (const colorScheme of ["dark", "light"]) {
    await play("quiet", async ({ open }) => {
      const page = await open("token-lead", { colorScheme });
      await openSheet(page, "BOW2");
      await page.locator("#sheet .picture").first().waitFor();
      await page.locator("#sheet").getByRole("button", { name: "4 h" }).click();
      await page.locator("#sheet .pic-fan-middle").first().waitFor({ state: "attached" });
      for (const fold of await page.locator("#sheet summary:visible").all()) await fold.click();
      const found = await allColoursOf(page, WORDS.map((selector) => `#sheet ${selector}`));
      assert.deepEqual(WORDS.filter((selector) => !found.some((one) => one.selector === `#sheet ${selector}`)), []);
      for (const { selector, fg, bg } of found) assert.ok(contrast(fg, bg) >= 4.5, `${colorScheme} ${selector}: ${fg} on ${bg}`);
      const { bg } = await coloursOf(page.locator("#sheet"));
      for (const selector of LINES) {
        const stroke = await page.locator(`#sheet ${selector}`).first().evaluate((line) => getComputedStyle(line).stroke);
        const hex = `#${stroke.match(/\d+/g).slice(0, 3).map((part) => Number(part).toString(16).padStart(2, "0")).join("")}`;
        assert.ok(contrast(hex, bg) >= 3, `${colorScheme} ${selector}: ${hex} on ${bg}`);
      }
    });
  }
});
