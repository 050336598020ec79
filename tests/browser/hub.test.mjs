/**
 * The screens on the real hub: a call appears, is claimed on one screen and seen on another, survives a kill of the hub,
 * and ends by the report that shows the new pack.
 */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { NO_CONNECTION } from "./complaints.mjs";
import { callOf, launchBrowser, openPage, rowOf, untilLive, untilText } from "./kit.mjs";
import { RealHub } from "./real-hub.mjs";

let browser;
let hub;

before(async () => {
  [browser, hub] = await Promise.all([launchBrowser(), RealHub.start()]);
});

after(async () => {
  await browser?.close();
  await hub?.remove();
});

test("a call is raised, claimed by key, seen elsewhere, and done by the swap", async () => {
  await hub.putUnit("BOW2", { position: "start line" });
  await hub.report("BOW2", 60);
  const ana = await openPage(browser, { baseUrl: hub.baseUrl, token: await hub.tokenFor("Ana", "runner") });
  const desk = await openPage(browser, { baseUrl: hub.baseUrl, token: await hub.tokenFor("Mia", "lead") });
  await Promise.all([untilLive(ana.page), untilLive(desk.page)]);
  assert.ok(!new URL(ana.page.url()).hash, "the token does not stay in the address");
  await untilText(rowOf(ana.page, "BOW2"), /60/);
  assert.equal(await ana.page.locator(".call").count(), 0);

  await hub.report("BOW2", 5);
  await callOf(ana.page, "BOW2").waitFor();
  await callOf(desk.page, "BOW2").waitFor();
  const picture = await ana.page.locator("#favicon").getAttribute("href");
  assert.match(picture, /^assets\/[0-9a-f]{16}\/favicon-1\.svg$/);
  assert.equal((await ana.page.request.get(new URL(picture, hub.baseUrl).href)).status(), 200);
  await ana.page.locator("body").press("j");
  await ana.page.locator("body").press("c");
  await untilText(callOf(desk.page, "BOW2"), /Ana/);

  await hub.report("BOW2", 100);
  await callOf(ana.page, "BOW2").waitFor({ state: "detached" });
  await callOf(desk.page, "BOW2").waitFor({ state: "detached" });
  assert.deepEqual([ana.foreign, desk.foreign], [[], []], "no request to any other origin");
  assert.deepEqual([ana.errors, desk.errors].flat().filter((text) => !/401/.test(text)), []);
  await Promise.all([ana.close(), desk.close()]);
});

test("a killed hub is said to be lost, and a call raised meanwhile is there when it is back", async () => {
  await hub.putUnit("TREE");
  await hub.report("TREE", 50);
  const { page, close } = await openPage(browser, { baseUrl: hub.baseUrl, token: await hub.tokenFor("Ben", "runner") });
  await untilLive(page);
  await hub.kill();
  await page.waitForSelector("body[data-link=lost]", { timeout: 3500 });
  await untilText(page.locator("#banner-text"), /LOST/);
  await hub.run();
  await hub.report("TREE", 4);
  await untilLive(page);
  await callOf(page, "TREE").waitFor();
  assert.equal(await callOf(page, "TREE").count(), 1, "once, not twice");
  await close();
});

test("names typed by people are text on the screen", async () => {
  await hub.putUnit("EVIL", { position: "<img src=x onerror=alert(1)>" });
  const { page, close } = await openPage(browser, { baseUrl: hub.baseUrl, token: hub.token });
  await untilLive(page);
  await untilText(rowOf(page, "EVIL"), /<img src=x/);
  assert.equal(await rowOf(page, "EVIL").locator("img").count(), 0);
  await close();
});

test("the runner's page: presses made while the hub is killed arrive once when it is back, and a typed reading counts", async () => {
  for (const [unit, percent] of [["PONT", 4], ["WEIR", 5]]) {
    await hub.putUnit(unit, { position: `${unit} landing` });
    await hub.report(unit, 60);
    await hub.report(unit, percent);
  }
  const token = await hub.tokenFor("Eva", "runner");
  const { page, errors, foreign, close } = await openPage(browser, { baseUrl: hub.baseUrl, path: "/runner", token, viewport: { width: 390, height: 844 } });
  const press = (unit) => page.locator(".job", { hasText: unit }).locator(".job-press");
  await untilLive(page);
  if (await page.locator("#rest").isVisible()) await page.locator("#rest-heading").click();
  await press("PONT").click();
  await untilText(page.locator(".job", { hasText: "PONT" }), /YOURS until/);
  await hub.kill();
  await page.waitForSelector("body[data-link=lost]", { timeout: 3500 });
  await press("PONT").click();
  // What moves up under the finger takes no press for a moment: only now is it seen that it waits.
  await untilText(page.locator("#unsent-heading"), /NOT SENT YET: 1/);
  await press("WEIR").click();
  await untilText(page.locator("#unsent-heading"), /NOT SENT YET: 2/);
  await hub.run();
  await page.waitForSelector("body[data-link=live]", { timeout: 20_000 });
  await page.locator("#unsent").waitFor({ state: "hidden" });
  const stateOf = async (unit) => {
    const { calls } = await hub.send("GET", "/v1/calls?ended=true");
    const ours = calls.filter((call) => call.unit === unit && (call.claimed_by === "Eva" || call.state === "done"));
    return ours.map(({ state, claimed_by: who, claimed_at: at }) => ({ state, who, at }));
  };
  const [done, taken] = [await stateOf("PONT"), await stateOf("WEIR")];
  assert.deepEqual(done.map(({ state }) => state), ["done"]);
  assert.deepEqual(taken.map(({ state, who }) => [state, who]), [["claimed", "Eva"]]);
  await page.reload();
  await untilLive(page);
  await untilText(page.locator(".job", { hasText: "WEIR" }), /YOURS until/);
  assert.deepEqual([await stateOf("PONT"), await stateOf("WEIR")], [done, taken], "nothing was sent a second time");

  await page.locator(".job", { hasText: "WEIR" }).getByRole("button", { name: "Reading" }).click();
  for (const digit of "37") await page.locator(`.pad-key[data-key="${digit}"]`).click();
  await page.locator("#reading-send").click();
  await untilText(page.locator("#notices"), /WEIR: reading stored/);
  const weir = await hub.send("GET", "/v1/units/WEIR");
  assert.deepEqual([weir.battery.percent, weir.typed], [37, true]);
  assert.deepEqual(foreign, []);
  // A hub that is gone refuses connections, and one that is only starting says 503.
  const expected = [/401|503/, NO_CONNECTION];
  assert.deepEqual(errors.filter((text) => !expected.some((pattern) => pattern.test(text))), []);
  await close();
});

test("a hub that was told where the show is has its screens show that time", async () => {
  const told = await RealHub.start(["--time-zone", "Asia/Kolkata"]);
  try {
    const device = { timezoneId: "America/New_York", locale: "de-DE" };
    const { page, close } = await openPage(browser, { baseUrl: told.baseUrl, token: told.token, ...device });
    await untilLive(page);
    await untilText(page.locator("#zone"), /^Zeit in Kolkata$/);
    // All moments of Kolkata are half an hour off those of New York, so one look at both clocks is enough.
    const [shown, here] = await page.evaluate(() => [document.getElementById("clock").textContent, new Date().getMinutes()]);
    const apart = (Number(shown.slice(3, 5)) - here + 60) % 60;
    assert.ok([29, 30, 31].includes(apart), `${shown} at minute ${here} in New York`);
    await close();
  } finally {
    await told.remove();
  }
});
