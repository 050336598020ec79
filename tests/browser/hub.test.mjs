/**
 * The screens on the real hub: a call appears, is claimed on one screen and seen on another, survives a kill of the hub,
 * and ends by the report that shows the new pack.
 */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

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
