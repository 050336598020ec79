/**
 * Names made to do harm, typed wherever people type: on every screen they are text and nothing else. And join codes, by
 * link and by hand, on the real hub.
 */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { callOf, launchBrowser, openPage, openTopMenu, rowOf, untilLive, untilText } from "./kit.mjs";
import { RealHub } from "./real-hub.mjs";

/** Up to 32 characters, so that each fits a group as well; classes of the OWASP XSS prevention cheat sheet. */
const HOSTILE = [
  "<img src=x onerror=__owned=1>",
  '"><script>__owned=1</script>',
  "<svg onload=__owned=1>",
  "'-__owned=1-'",
  "javascript:__owned=1",
  "</title><b onclick=__owned=1>",
  "${__owned=1}{{__owned=1}}",
  "&lt;img src=x&gt; &#60;b&#62;",
  "שלום <i>مريم</i>",
];
/** As long as the door admits. */
const LONGEST = "W".repeat(64);

let browser;
let hub;

before(async () => {
  [browser, hub] = await Promise.all([launchBrowser(), RealHub.start()]);
});

after(async () => {
  await browser?.close();
  await hub?.remove();
});

/** Runs in the page before anything else: notes what the policy had to stop. */
function watchPolicy() {
  window.__violations = [];
  addEventListener("securitypolicyviolation", (event) => window.__violations.push(`${event.violatedDirective} ${event.blockedURI}`));
}

/** A signed-in page and the dialogs that opened in it. */
async function open(token, more = {}) {
  const one = await openPage(browser, { baseUrl: hub.baseUrl, token, prepare: watchPolicy, ...more });
  one.dialogs = [];
  one.page.on("dialog", (dialog) => {
    one.dialogs.push(dialog.message());
    dialog.dismiss();
  });
  return one;
}

/** Nothing of what was typed has become more than text. */
async function assertHarmless({ page, errors, foreign, dialogs }) {
  const found = await page.evaluate(() => ({
    owned: window.__owned,
    violations: window.__violations,
    elements: [...document.querySelectorAll("img, script:not([src]), iframe, object, embed, a[href^=javascript]")].map((one) => one.outerHTML),
    italics: [...document.querySelectorAll("i, b")].filter((one) => one.textContent.includes("مريم")).length,
    handlers: [...document.querySelectorAll("*")].filter((one) => [...one.attributes].some(({ name }) => name.startsWith("on"))).map((one) => one.outerHTML),
  }));
  assert.deepEqual(found, { owned: undefined, violations: [], elements: [], italics: 0, handlers: [] });
  assert.deepEqual([errors, foreign, dialogs], [[], [], []]);
}

/** Gives a unit, its window, its cards and its call every hostile name there is room for. */
async function furnish(unit, text) {
  await hub.putUnit(unit, { position: text, group: text.slice(0, 32) });
  const now = new Date().toISOString();
  const battery = { percent: 3, pack: text };
  const cards = { slots: [{ slot: text.slice(0, 7).trim(), card: text, used_percent: 40 }] };
  await hub.send("POST", "/v1/reports", { unit, at: now, sent_at: now, mode: "recording", battery, cards });
}

test("names that people type are text on every screen", async () => {
  const names = [...HOSTILE, LONGEST];
  for (const [index, text] of names.entries()) await furnish(`H${index}`, text);
  const start = new Date().toISOString();
  const windows = names.map((title) => ({ title, start, length_s: 3600, kind: "held", groups: [HOSTILE[0]] }));
  await hub.send("PUT", "/v1/rundown", { windows });
  const { calls } = await hub.send("GET", "/v1/calls");
  assert.equal(calls.length, names.length);
  for (const [index, call] of calls.entries()) {
    const path = `/v1/calls/${call.id}`;
    await hub.send("POST", `${path}/claim`, { who: names[index], note: `${names[index]} note` });
    if (index % 3 === 0) await hub.send("POST", `${path}/done`, { note: names[index] });
  }
  const guest = await open(await hub.tokenFor(HOSTILE[0], "lead"));
  await untilLive(guest.page);
  for (const [index, text] of names.entries()) {
    const row = rowOf(guest.page, `H${index}`);
    await row.waitFor();
    assert.ok((await row.textContent()).includes(text), `the position of H${index} is shown as it was typed`);
    assert.equal(await row.locator("img, script, iframe, a").count(), 0);
  }
  assert.ok((await guest.page.locator("#who").textContent()).includes(HOSTILE[0]));
  const shown = await guest.page.locator("#calls").textContent();
  const claimed = calls.map((call, index) => [call, names[index]]).filter((_, index) => index % 3 !== 0);
  for (const [call, text] of claimed) {
    await callOf(guest.page, call.unit).waitFor();
    assert.ok(shown.includes(`${text} note`) && shown.includes(text), `${call.unit}: claimed by ${text}`);
  }
  for (const key of ["?", "Escape", "s", "s", "+", "-", "t", "j", "k"]) await guest.page.locator("body").press(key);
  await assertHarmless(guest);
  await guest.page.setViewportSize({ width: 390, height: 800 });
  await assertHarmless(guest);
  const wide = await guest.page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(wide <= 0, `the longest names do not push the page ${wide} px over its side`);
  await openTopMenu(guest.page);
  await guest.page.locator("#sign-out").click();
  await guest.page.locator("#sign-in-form").waitFor({ state: "visible" });
  await assertHarmless(guest);
  await guest.close();
});

test("characters that turn the direction of writing do not pass the door", async () => {
  const turned = "Ana\u202Egnp.exe";
  await assert.rejects(hub.putUnit("RTL", { position: turned }), /422 .*direction of writing/s);
  await assert.rejects(hub.tokenFor(turned, "runner"), /422 .*direction of writing/s);
});

test("a join link signs in once, and a code can be typed", async () => {
  const lead = await hub.tokenFor("Mia", "lead");
  const invite = async (name) => {
    const headers = { authorization: `Bearer ${lead}`, "content-type": "application/json" };
    const body = JSON.stringify({ name, role: "runner" });
    return (await fetch(`${hub.baseUrl}/v1/joins`, { method: "POST", headers, body })).json();
  };
  const { link, code } = await invite("Ana");
  const ana = await open(null);
  await ana.page.locator("#sign-in-form").waitFor({ state: "visible" });
  await ana.page.goto(hub.baseUrl + link);
  await untilLive(ana.page);
  assert.equal(new URL(ana.page.url()).hash, "", "the code does not stay in the address");
  await untilText(ana.page.locator("#who"), /Ana, /);
  const ben = await open(null);
  const type = async (text) => {
    await ben.page.locator("#token").fill(text);
    await ben.page.locator("#sign-in-button").click();
  };
  await ben.page.locator("#sign-in-form").waitFor({ state: "visible" });
  await type(code);
  await untilText(ben.page.locator("#sign-in-why"), /used already/);
  const second = await invite("Ben");
  await type(second.code.toLowerCase().replace("-", " "));
  await untilLive(ben.page);
  await untilText(ben.page.locator("#who"), /Ben, /);
  const refused = (text) => !/status of 401/.test(text);
  for (const one of [ana, ben]) await assertHarmless({ ...one, errors: one.errors.filter(refused) });
  await Promise.all([ana.close(), ben.close()]);
});
