/**
 * The pool on the ops screen and on the phone: who looks for a label finds it, and says where it is, by keys alone or with
 * gloves; footage goes only by a second press; what was pressed can be taken back.
 */

import assert from "node:assert/strict";
import { openTopMenu, tooLow, tryNow, until, untilText } from "./kit.mjs";
import { PHONE, notice, undo } from "./runner-kit.mjs";
import { largeKit, tellKit } from "./scenario-pool.mjs";
import { NO_CONNECTION, play, test } from "./stage.mjs";

/** A press that the hub turns down, which the browser notes by itself. */
const CONFLICT = /status of 409/;

const openPool = async (page) => {
  await page.keyboard.press("b");
  await page.locator("#pool .pool-row").first().waitFor();
};
const find = async (page, label) => {
  await page.keyboard.type(label);
  await page.keyboard.press("Enter");
};
const box = (page) => page.locator("#pool .pool-chosen");
const move = (page, name) => page.locator(`#pool .pool-move[data-move=${name}]`);
const rowOf = (page, label) => page.locator("#pool .pool-row", { has: page.locator(".pool-piece", { hasText: new RegExp(`^${label}$`) }) });
const group = (page, name) => page.locator(`#pool .pool-group[data-group=${name}]`);
const said = (page) => page.locator("#pool .pool-said");
const lastPut = (hub) => hub.kit.puts.at(-1);

test("the pool says where every pack and card is, since when, who said so, and counts what one can take", () =>
  play("pool", async ({ open }) => {
    const page = await open("token-mia", { timezoneId: "UTC" });
    await openPool(page);
    assert.deepEqual(await page.locator("#pool .pool-count:visible").allTextContents(), ["3 packs ready", "2 cards blank", "2 with footage not safe"]);
    assert.deepEqual(await page.locator("#pool .pool-list h4:visible").allTextContents(), [
      "Ready: 3", "Charging: 2", "Spent: 1", "On units: 2", "Out of use: 1",
      "Blank: 2", "In slots: 4", "Holding footage: 1", "Copying: 1", "Safe: 1", "Out of use: 1",
    ]);
    await untilText(rowOf(page, "P04"), /in bay B1.*64 % · ready about \d\d:\d\d \(\d\d:\d\d–\d\d:\d\d\).*for 30 min, said Tam/);
    assert.equal(await rowOf(page, "P04").locator("progress").evaluate((bar) => bar.value), 64);
    await untilText(rowOf(page, "P05"), /should be full/);
    await untilText(rowOf(page, "P07"), /on BOW2.*for 62 min, from a report/);
    await untilText(rowOf(page, "P03"), /WEAK: 46 min of recording.*gives 71 % of what its kind gives · 212 discharges seen/);
    await untilText(rowOf(page, "C15"), /1 of 2 copies verified · twin of C16, recorded at the same time; C16 is 2 of 2 copies verified/);
    await untilText(rowOf(page, "C01"), /asked for by call 13/);
  }));

test("by keys alone: a scanner's letters go to the label whatever has the focus, Enter finds it, and a pack is moved and brought back", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open();
    await openPool(page);
    assert.equal(await page.evaluate(() => document.activeElement.id), "pool-label");
    // A key of the board, pressed in the panel, is a letter: nothing is claimed.
    for (let presses = 0; presses < 4; presses += 1) await page.keyboard.press("Tab");
    assert.equal(await page.evaluate(() => document.activeElement.className), "pool-piece");
    await find(page, "c15");
    await untilText(box(page).locator(".pool-name"), /^Card C15$/);
    assert.deepEqual(hub.writes, []);
    await find(page, "P06");
    await untilText(box(page), /Pack P06Spent · for 4 min, from a report/);
    await page.keyboard.press("Tab");
    await page.keyboard.press("Tab");
    assert.equal(await page.evaluate(() => document.activeElement.dataset.move), "ready");
    await page.keyboard.press("Enter");
    await untilText(said(page), /^Pack P06: Ready$/);
    assert.deepEqual(lastPut(hub), { kind: "packs", label: "P06", body: { place: "ready" }, who: "Mia" });
    await untilText(group(page, "ready").locator("h4"), /Ready: 4/);
    await page.locator("#pool .act-undo").focus();
    await page.keyboard.press("Enter");
    await untilText(said(page), /^Taken back\. Pack P06: Spent\.$/);
    assert.deepEqual(lastPut(hub).body, { place: "spent" });
    await page.keyboard.press("Escape");
    await page.locator("#pool").waitFor({ state: "hidden" });
  }));

test("a bay is typed or scanned, a unit chosen; a label that lands in the field of the bay is looked for instead", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open();
    await openPool(page);
    await find(page, "P06");
    await move(page, "bay").click();
    await untilText(box(page).locator(".pool-wrong").first(), /bay first/);
    await page.keyboard.type("B7");
    await page.keyboard.press("Enter");
    await untilText(said(page), /^Pack P06: in bay B7$/);
    await box(page).locator(".pool-bay").fill("P01");
    await page.keyboard.press("Enter");
    await untilText(box(page).locator(".pool-name"), /^Pack P01$/);
    assert.equal(hub.kit.puts.length, 1);
    await box(page).locator(".pool-unit").selectOption("FIN1");
    await move(page, "unit").click();
    await untilText(said(page), /^Pack P01: on FIN1$/);
    await untilText(box(page).locator(".pool-caution"), /0 °C.*100 Wh.*160 Wh.*licensed practice come first/);
    await find(page, "C02");
    await box(page).locator(".pool-unit").selectOption("FIN1");
    await box(page).locator(".pool-slot").selectOption("B");
    await move(page, "in_slot").click();
    await untilText(said(page), /^Card C02: in FIN1 B$/);
    assert.deepEqual(lastPut(hub).body, { state: "in_slot", despite_footage: false, unit: "FIN1", slot: "B" });
  }));

test("footage goes only by a second press that says what goes, and never by the echo of the first", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open();
    await openPool(page);
    await find(page, "C15");
    await move(page, "blank").click();
    await untilText(page.locator("#pool .pool-confirm"), /C15 may hold the only footage.*What would go: 64 % full, 256 GB, 1 of 2 copies verified\./);
    const go = page.locator("#pool .pool-go");
    assert.equal(await go.isDisabled(), true);
    assert.equal(await page.evaluate(() => document.activeElement.className), "pool-keep");
    await page.keyboard.press("Enter");
    await page.locator("#pool .pool-confirm").waitFor({ state: "hidden" });
    assert.equal(hub.kit.cards.get("C15").state, "holding_footage");
    await move(page, "blank").click();
    await go.click();
    await untilText(said(page), /^Card C15: Blank$/);
    assert.deepEqual(lastPut(hub).body, { state: "blank", despite_footage: true });
    await page.locator("#pool .act-undo").click();
    await untilText(said(page), /^Taken back\. Card C15: Holding footage\. What was known of its copies is gone\.$/);
  }, [CONFLICT]));

test("two people: one sees at once what the other moves, and cannot take back what was moved since", () =>
  play("pool", async ({ hub, open }) => {
    const [mia, tam] = [await open("token-mia"), await open("token-tam")];
    await openPool(mia);
    await openPool(tam);
    await find(mia, "P06");
    await move(mia, "ready").click();
    await untilText(said(mia), /Pack P06: Ready/);
    await untilText(group(tam, "ready").locator("h4"), /Ready: 4/);
    await untilText(rowOf(tam, "P06"), /said Mia/);
    await find(tam, "P06");
    await move(tam, "out_of_service").click();
    await untilText(rowOf(mia, "P06"), /said Tam/);
    await mia.locator("#pool .act-undo").click();
    await untilText(said(mia), /moved again meanwhile: nothing was taken back/);
    assert.equal(hub.kit.packs.get("P06").place, "out_of_service");
  }));

test("a label that nobody knows is taken in as a pack or a card; a hub without a kit says how to begin", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    await page.keyboard.press("b");
    await untilText(page.locator("#pool .pool-none").first(), /No packs are known\. Type the label/);
    await find(page, "P31");
    await untilText(page.locator("#pool .pool-which"), /P31 is not in the pool/);
    await page.getByRole("button", { name: "A pack, ready" }).click();
    await untilText(said(page), /^Pack P31: Ready$/);
    assert.deepEqual(lastPut(hub), { kind: "packs", label: "P31", body: { place: "ready" }, who: "Mia" });
    await find(page, "P31");
    await untilText(box(page).locator(".pool-name"), /^Pack P31$/);
    assert.equal(await page.locator("#pool .act-undo").isVisible(), false, "nobody can un-know a pack");
  }));

test("whether the packs last: when they run short, how short, what cures it, what it rests on; nothing of it once the hub is lost", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open();
    await openPool(page);
    const ahead = page.locator("#pool-rotation");
    await untilText(ahead.locator(".rotation-short"), /^PACKS RUN SHORT about \d\d:\d\d, at the earliest \d\d:\d\d, in 62 of 100 cases. 1 missing, 2 at worst/);
    assert.match(await ahead.locator("svg.picture").getAttribute("aria-label"), /PACKS RUN SHORT/);
    assert.ok((await ahead.locator("svg.picture").boundingBox()).width > 400, "as wide as there is room");
    const enough = await ahead.locator(".rotation-enough").allTextContents();
    assert.deepEqual(enough, ["✓ 2 more packs: short in 2 of 100 cases: enough", "✓ BOW2 on outside power: short in 4 of 100 cases: enough"]);
    assert.equal(await ahead.locator(".rotation-assumed li").count(), 3);
    await hub.stop();
    await page.waitForSelector("body[data-link=lost]");
    await ahead.waitFor({ state: "hidden" });
    await hub.start();
  }, [NO_CONNECTION]));

test("no answer, and a hub that is lost: it says so, and no key pretends to work", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open();
    await openPool(page);
    await find(page, "P06");
    hub.kit.swallow = true;
    await move(page, "ready").click();
    await untilText(said(page), /No answer came/);
    await hub.stop();
    await page.waitForSelector("body[data-link=lost]");
    await page.locator('#pool .pool-move[data-move="ready"]:disabled').waitFor();
    await page.locator("#pool .panel-lost").waitFor({ state: "visible" });
    await hub.start();
  }, [NO_CONNECTION, /ERR_EMPTY_RESPONSE|ERR_SOCKET/]));

test("120 packs and 120 cards: letters narrow them down, and without them all are there again", () =>
  play("sixty", async ({ hub, open }) => {
    largeKit(hub, Date.now(), 120);
    const page = await open();
    await openPool(page);
    await until(page, () => document.querySelectorAll("#pool .pool-row").length === 240);
    await page.keyboard.type("P11");
    await until(page, () => document.querySelectorAll("#pool .pool-row").length === 10);
    await page.locator("#pool-label").fill("");
    await until(page, () => document.querySelectorAll("#pool .pool-row").length === 240);
  }));

test("on a phone the ops screen has the pool behind its menu, with targets for fingers, and nothing too wide", async () => {
  for (const locale of ["en-GB", "de-DE"]) {
    await play("pool", async ({ open }) => {
      const page = await open("token-mia", { viewport: { width: 390, height: 844 }, locale });
      await openTopMenu(page);
      await page.locator("#pool-open").click();
      await page.locator("#pool .pool-row").first().waitFor();
      await page.locator("#pool-label").fill("P04");
      await page.keyboard.press("Enter");
      await box(page).waitFor();
      await until(page, () => document.querySelectorAll("#pool .pool-row").length === 1);
      assert.deepEqual(await tooLow(page, "#pool :is(button, input, select)", 44), []);
      const wide = await page.evaluate(() => document.querySelector("#pool").scrollWidth - innerWidth);
      assert.ok(wide <= 0, `${wide} px too wide`);
    });
  }
});

/** On the phone. */
const openSheet = async (page, label) => {
  await page.locator("#pool-open").click();
  await page.locator("#pool-label").fill(label);
  await page.keyboard.press("Enter");
};
const target = (page, name) => page.locator(`.pool-target[data-move=${name}]`);

test("phone: label, one press on a target, and it is said; ten seconds to take it back", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    const began = Date.now();
    await openSheet(page, "p06");
    await untilText(page.locator("#pool .pool-name"), /^Pack P06$/);
    await untilText(page.locator("#pool .pool-caution"), /0 °C.*160 Wh/);
    for (const one of await page.locator(".pool-target").all()) {
      const { width, height } = await one.boundingBox();
      assert.ok(height >= 64 && width >= 64, `${width} × ${height}`);
    }
    await target(page, "ready").click();
    await untilText(notice(page), /P06: Ready/);
    assert.ok(Date.now() - began < 10_000);
    assert.deepEqual(lastPut(hub), { kind: "packs", label: "P06", body: { place: "ready" }, who: "Mia" });
    await undo(page).click();
    await until(page, () => !document.querySelector(".notice-undo"));
    for (let tries = 0; hub.kit.puts.length < 2 && tries < 50; tries += 1) await page.waitForTimeout(50);
    assert.deepEqual(lastPut(hub).body, { place: "spent" });
  }));

test("phone: which bay is asked with the bays that are known, or typed; a scanner needs no focus", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await openSheet(page, "P06");
    await target(page, "bay").click();
    await untilText(page.locator("#pool .pool-ask"), /Which bay/);
    assert.deepEqual(await page.locator(".pool-target").allTextContents(), ["B1", "B2"]);
    await page.locator(".pool-target").nth(1).focus();
    await find(page, "B9");
    await untilText(notice(page), /P06: in bay B9/);
    assert.deepEqual(lastPut(hub).body, { place: "bay", bay: "B9" });
  }));

test("phone: footage goes only by a second press, and is not let go while nobody hears it", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await openSheet(page, "C15");
    await target(page, "blank").click();
    await untilText(page.locator("#pool .pool-ask"), /only footage.*What would go: 64 % full, 256 GB/);
    assert.equal(hub.kit.cards.get("C15").state, "holding_footage");
    await page.locator(".pool-go:enabled").click();
    await untilText(notice(page), /C15: Blank/);
    assert.deepEqual(lastPut(hub).body, { state: "blank", despite_footage: true });
  }, [CONFLICT]));

test("phone without the hub: the press is kept, said to be kept, and sent in order when the hub is back", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await openSheet(page, "P06");
    await page.locator("#pool .sheet-close").click();
    await hub.stop();
    await page.waitForSelector("body[data-link=lost]");
    await openSheet(page, "P06");
    await untilText(page.locator("#pool .pool-trouble"), /HUB LOST: the list is old\. Presses are kept/);
    await target(page, "ready").click();
    await untilText(notice(page), /NOT SENT YET\. P06: Ready/);
    await untilText(page.locator("#unsent"), /P06: Ready, pressed/);
    assert.equal(hub.kit.puts.length, 0);
    await hub.start();
    await tryNow(page);
    await page.waitForSelector("body[data-link=live]");
    await until(page, () => document.querySelector("#unsent").hidden);
    assert.deepEqual(hub.kit.puts.map(({ label, body }) => [label, body]), [["P06", { place: "ready" }]]);
  }, [NO_CONNECTION]));

test("phone: what somebody else moved meanwhile is what the sheet says", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await openSheet(page, "P06");
    await untilText(page.locator("#pool .pool-state"), /^Spent/);
    hub.kit.packs.set("P06", { ...hub.kit.packs.get("P06"), place: "bay", bay: "B4", who: "Tam", since: hub.now() });
    tellKit(hub);
    await untilText(page.locator("#pool .pool-state"), /^in bay B4 .*said Tam/);
  }));
