/**
 * The panels on the real hub: what it refuses stands at the field it means, what it takes is there afterwards, and an
 * invitation lets somebody in.
 */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { launchBrowser, openPage, rowOf, until, untilLive, untilText } from "./kit.mjs";
import { RealHub } from "./real-hub.mjs";

/** The browser notes every refused request by itself; this story means them. */
const REFUSED = /status of (401|404|422)/;

let browser;
let hub;
let lead;

before(async () => {
  [browser, hub] = await Promise.all([launchBrowser(), RealHub.start()]);
  await hub.putUnit("BOW2", { position: "start line", group: "start", pack_wh: 98, interval_s: 7 });
  await hub.putUnit("TREE");
  await hub.report("BOW2", 60);
  lead = await openPage(browser, { baseUrl: hub.baseUrl, token: await hub.tokenFor("Mia", "lead") });
  await untilLive(lead.page);
  await rowOf(lead.page, "BOW2").locator(".callsign").click();
  await lead.page.locator("#sheet").waitFor({ state: "visible" });
});

after(async () => {
  assert.deepEqual(lead.errors.filter((text) => !REFUSED.test(text)), []);
  assert.deepEqual(lead.foreign, []);
  await browser?.close();
  await hub?.remove();
});

const unfold = (title) => lead.page.locator("#sheet summary", { hasText: title }).click();
const formOf = (title) => lead.page.locator("#sheet details", { has: lead.page.locator("summary", { hasText: title }) });
const wrong = (title) => formOf(title).locator(".form-wrong:visible");

test("the past of a unit that has reported is drawn", async () => {
  await untilText(lead.page.locator("#sheet .sheet-known"), /Battery60 %/);
  await lead.page.locator("#sheet .picture").first().waitFor();
});

test("a profile is changed in one member and keeps the others; a wrong one is refused at its field", async () => {
  await unfold("Profile");
  const walk = formOf("Profile").getByLabel("Walk from base, s");
  await until(lead.page, () => document.querySelector('#sheet [name="pack_wh"]').value === "98");
  await walk.fill("9000");
  await formOf("Profile").getByRole("button", { name: "Save" }).click();
  await untilText(wrong("Profile"), /7200/);
  await walk.fill("90");
  await formOf("Profile").getByRole("button", { name: "Save" }).click();
  await untilText(formOf("Profile").locator(".form-said"), /^Saved\.$/);
  const { profile } = await hub.send("GET", "/v1/units/BOW2");
  assert.deepEqual(profile, { position: "start line", group: "start", walk_s: 90, gauge: "coulomb", pack_wh: 98, interval_s: 7 });
});

test("limits of one unit are set beside those of the fleet and of others", async () => {
  await hub.send("PUT", "/v1/limits", { fleet: { margin_s: 240 }, units: { TREE: { remind_s: 60 } } });
  await unfold("Limits");
  const margin = formOf("Limits").getByLabel("To spare, s");
  await until(lead.page, () => document.querySelector('#sheet [name="margin_s"]').placeholder === "240");
  await margin.fill("99999");
  await formOf("Limits").getByRole("button", { name: "Save" }).click();
  await untilText(wrong("Limits"), /7200/);
  await margin.fill("600");
  await formOf("Limits").getByRole("button", { name: "Save" }).click();
  await untilText(formOf("Limits").locator(".form-said"), /^Saved\.$/);
  const { set } = await hub.send("GET", "/v1/limits");
  assert.deepEqual(set, { fleet: { margin_s: 240 }, units: { TREE: { remind_s: 60 }, BOW2: { margin_s: 600 } } });
});

test("a typed reading is refused at its field, then taken, as typed", async () => {
  await unfold("Type a reading");
  const battery = formOf("Type a reading").getByLabel("Battery, %");
  await battery.fill("130");
  await formOf("Type a reading").getByRole("button", { name: "Send reading" }).click();
  await untilText(wrong("Type a reading"), /0 to 100/);
  await battery.fill("55");
  await formOf("Type a reading").getByLabel("Card in slot A, % full").fill("40");
  await lead.page.keyboard.press("Enter");
  await untilText(formOf("Type a reading").locator(".form-said"), /^Sent\.$/);
  const unit = await hub.send("GET", "/v1/units/BOW2");
  assert.deepEqual([unit.typed, unit.battery.percent, unit.cards.slots[0].used_percent], [true, 55, 40]);
  await untilText(lead.page.locator("#sheet .sheet-state"), /^Typed by hand/);
});

test("an invitation made on the panel of people lets somebody in, who is then seen there, and sent away", async () => {
  await lead.page.locator("#people-open").click();
  await lead.page.getByLabel("Name, as it stands on claims").fill("Ana");
  await lead.page.getByRole("button", { name: "Make an invitation" }).click();
  await untilText(lead.page.locator("#people .join-link"), /#join=/);
  // Drawn by the hub, and a picture that this browser can show.
  await until(lead.page, () => document.querySelector(".join-picture")?.naturalWidth > 0);
  const link = await lead.page.locator("#people .join-link").textContent();
  const guest = await openPage(browser, { baseUrl: hub.baseUrl });
  await guest.page.goto(link);
  await untilLive(guest.page);
  await untilText(guest.page.locator("#who"), /^Ana, runner$/);
  await lead.page.keyboard.press("Escape");
  await lead.page.locator("#people-open").click();
  const ana = lead.page.locator("#people .person", { hasText: "Ana" });
  await untilText(ana.locator(".person-when"), /1 screen open/);
  await ana.getByRole("button", { name: "End" }).click();
  await untilText(ana.locator("button"), /Press again/);
  await ana.locator("button").click();
  await ana.waitFor({ state: "detached" });
  await guest.page.locator("#sign-in").waitFor({ state: "visible" });
  await guest.close();
});
