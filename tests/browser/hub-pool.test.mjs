/**
 * The pool and the ledger of cards on the real hub: what the ops screen and the phone say is there for both, what the hub
 * refuses is asked again, and a card at risk is on both screens at once.
 */
import assert from "node:assert/strict";
import { randomUUID } from "node:crypto";
import { after, before, test } from "node:test";

import { launchBrowser, openPage, until, untilLive, untilText } from "./kit.mjs";
import { RealHub } from "./real-hub.mjs";
import { PHONE, notice, undo } from "./runner-kit.mjs";

/** A refused request, and nobody signed in yet: the browser notes both by itself. */
const EXPECTED = /status of (401|409)/;

let browser;
let hub;
let ops;
let phone;

/** A unit's slots, each `[slot, card, percent]`, as its cart reports them. */
function slots(unit, filled, more = {}) {
  const now = new Date().toISOString();
  const empty = [{ slot: "A", used_percent: 0, state: "empty" }];
  const all = filled.length === 0 ? empty : filled.map(([slot, card, used_percent]) => ({ slot, card, used_percent, state: "recording" }));
  return hub.send("POST", "/v1/reports", { id: randomUUID(), unit, at: now, sent_at: now, mode: "recording", cards: { ...more, slots: all } });
}

before(async () => {
  [browser, hub] = await Promise.all([launchBrowser(), RealHub.start()]);
  for (const unit of ["BOW2", "FIN1"]) await hub.putUnit(unit);
  await hub.send("PUT", "/v1/packs/P06", { place: "spent", nominal_wh: 98 });
  await hub.send("PUT", "/v1/packs/P07", { place: "bay", bay: "B1" });
  await hub.send("PUT", "/v1/cards/C12", { state: "holding_footage", capacity_bytes: 256e9 });
  ops = await openPage(browser, { baseUrl: hub.baseUrl, token: await hub.tokenFor("Mia", "runner") });
  phone = await openPage(browser, { baseUrl: hub.baseUrl, token: await hub.tokenFor("Tam", "runner"), ...PHONE });
  for (const { page } of [ops, phone]) await untilLive(page);
  await ops.page.keyboard.press("b");
  await ops.page.locator("#pool .pool-row").first().waitFor();
});

after(async () => {
  for (const { errors, foreign } of [ops, phone]) assert.deepEqual([errors.filter((text) => !EXPECTED.test(text)), foreign], [[], []]);
  await browser?.close();
  await hub?.remove();
});

const scan = async (page, label) => {
  await page.keyboard.type(label);
  await page.keyboard.press("Enter");
};
const onPhone = async (label, name) => {
  await phone.page.locator("#pool-open").click();
  await scan(phone.page, label);
  await phone.page.locator(`.pool-target[data-move=${name}]`).click();
};
/** All of the lists, not only what was looked for last. */
const showAll = () => ops.page.locator("#pool-label").fill("");
const rowOf = (label) => ops.page.locator("#pool .pool-row", { has: ops.page.locator(".pool-piece", { hasText: label }) });
const placeOf = async (label) => (await hub.send("GET", "/v1/packs")).packs.find(({ pack }) => pack === label).place;
const cardOf = async (label) => (await hub.send("GET", "/v1/cards")).cards.find(({ card }) => card === label);

test("a press on the phone is on the ops screen a moment later, with who made it; taken back, it is as it was", async () => {
  await onPhone("p06", "ready");
  await untilText(notice(phone.page), /P06: Ready/);
  await untilText(rowOf("P06"), /said Tam/);
  await untilText(ops.page.locator("#pool .pool-count").first(), /^1 pack ready$/);
  await undo(phone.page).click();
  await untilText(ops.page.locator("#pool .pool-count").first(), /^0 packs ready$/);
  assert.equal(await placeOf("P06"), "spent");
  await onPhone("P06", "bay");
  await scan(phone.page, "B2");
  await untilText(rowOf("P06"), /in bay B2/);
});

test("by keys alone on the ops screen: a pack is put on a unit and brought back", async () => {
  await scan(ops.page, "P07");
  await untilText(ops.page.locator("#pool .pool-name"), /^Pack P07$/);
  await ops.page.locator("#pool .pool-unit").focus();
  await ops.page.keyboard.press("ArrowDown");
  await ops.page.keyboard.press("Shift+Tab");
  await ops.page.keyboard.press("Enter");
  await untilText(ops.page.locator("#pool .pool-said"), /^Pack P07: on BOW2$/);
  assert.equal(await placeOf("P07"), "unit");
  await ops.page.locator("#pool .act-undo").focus();
  await ops.page.keyboard.press("Enter");
  await untilText(ops.page.locator("#pool .pool-said"), /^Taken back\. Pack P07: in bay B1\.$/);
});

test("footage: refused, named, and gone only by the second press; safe with too few copies likewise", async () => {
  await scan(ops.page, "C12");
  await ops.page.locator("#pool .pool-move[data-move=blank]").click();
  await untilText(ops.page.locator("#pool .pool-confirm"), /only footage.*What would go: nobody knows how full it is, 256 GB, not copied \(2 wanted\)/);
  assert.equal((await cardOf("C12")).state, "holding_footage");
  await ops.page.locator("#pool .pool-keep").click();
  const copies = { id: randomUUID(), at: new Date().toISOString(), files: 14, bytes: 5e10, algorithm: "xxh3", places: [{ place: "shelf 1", verified: true }] };
  await hub.send("POST", "/v1/cards/C12/copies", copies);
  await untilText(ops.page.locator("#pool .pool-copies"), /shelf 1: verified \(xxh3\), 14 files, 50 GB/);
  await onPhone("C12", "safe");
  await untilText(phone.page.locator("#pool .pool-ask"), /1 of 2 copies verified\. Copy it again/);
  await phone.page.locator(".pool-go:enabled").click();
  await untilText(notice(phone.page), /C12: Safe/);
  assert.equal((await cardOf("C12")).state, "safe");
});

test("twins know each other on the screen, and whether one of them was copied", async () => {
  await showAll();
  const twins = (used) => slots("BOW2", [["A", "C13", used], ["B", "C14", used]], { slot_mode: "simultaneous" });
  await twins(30);
  await twins(31);
  await untilText(rowOf("C13"), /in BOW2 A.*twin of C14, recorded at the same time; C14 is not copied/);
});

test("a card at risk is on both screens at once, and goes with the danger", async () => {
  await showAll();
  await slots("FIN1", [["A", "C20", 20]]);
  await slots("FIN1", [["A", "C20", 64]]);
  await slots("FIN1", []);
  await untilText(rowOf("C20"), /64 % full/);
  await slots("BOW2", [["A", "C20", 64]]);
  for (const { page } of [ops, phone]) {
    await untilText(page.locator("#risk .risk-where"), /^C20 in BOW2 A$/);
    await untilText(page.locator("#risk .risk-known"), /it was 64 % full · NOT COPIED \(2 wanted\) · no twin · since/);
    await untilText(page.locator("#risk .risk-todo"), /^Stop recording on it\. Pull card C20 from BOW2 A/);
  }
  await untilText(rowOf("C20"), /AT RISK/);
  await slots("BOW2", []);
  for (const { page } of [ops, phone]) await page.locator("#risk").waitFor({ state: "hidden" });
  await until(ops.page, () => document.querySelector("#pool .pool-row[data-risk]") === null);
});

test("a wrong word about a card in a slot is taken back without an alarm", async () => {
  await slots("FIN1", [["A", "C21", 20]]);
  await slots("FIN1", [["A", "C21", 22]]);
  await showAll();
  await rowOf("C21").waitFor();
  await scan(ops.page, "C21");
  await ops.page.locator("#pool .pool-move[data-move=copying]").click();
  await untilText(ops.page.locator("#pool .pool-said"), /^Card C21: Copying$/);
  await ops.page.locator("#pool .act-undo").click();
  await untilText(ops.page.locator("#pool .pool-said"), /^Taken back\. Card C21: in FIN1 A\.$/);
  const { state, risk } = await cardOf("C21");
  assert.deepEqual([state, risk], ["in_slot", undefined]);
  assert.equal(await ops.page.locator("#risk").isVisible(), false);
});
