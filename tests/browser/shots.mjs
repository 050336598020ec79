/**
 * Pictures of every state of the screen, to be looked at by a person: `node shots.mjs [FOLDER] [NAME…]`.
 */

import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { launchBrowser, openPage, openTopMenu, untilLive } from "./kit.mjs";
import { person } from "./scenario-routes.mjs";
import { startScenario } from "./scenario-server.mjs";

const WIDE = { width: 1920, height: 1080 };
const SMALL = { width: 1280, height: 720 };
const PHONE = { width: 390, height: 844 };

const stale = async (page, hub) => {
  await hub.stop();
  await page.waitForSelector("body[data-link=lost]");
};
const press = (...keys) => async (page) => {
  for (const key of keys) await page.keyboard.press(key);
};

/** Opens the sheet of a unit and waits for its pictures. */
const sheet = (unit, more) => async (page) => {
  await page.evaluate((name) => document.dispatchEvent(new CustomEvent("swapcall:open-unit", { detail: { unit: name } })), unit);
  await page.locator("#sheet .picture").first().waitFor();
  await more?.(page);
};
const unfold = async (page) => {
  for (const fold of await page.locator("#sheet summary:visible").all()) await fold.click();
  await page.locator("#sheet .fold").first().scrollIntoViewIfNeeded();
};
const pictures = (page) => page.locator(".sheet-past").evaluate((past) => past.scrollIntoView());
const four = async (page) => {
  await page.locator(".sheet-choices button").nth(1).click();
  await page.locator("#sheet .picture").first().waitFor();
  await pictures(page);
};
const invited = async (page, hub) => {
  hub.answers.people = [person(Date.now(), { name: "Ana", sockets: 2 }), person(Date.now(), { name: "Tam", sockets: 0 }), person(Date.now(), { name: "Mia", role: "lead", session: false })];
  await openTopMenu(page);
  await page.locator("#people-open").click();
  await page.getByLabel("Name, as it stands on claims").fill("Ben");
  await page.getByRole("button", { name: "Make an invitation" }).click();
  await page.locator(".person").first().waitFor();
};
const today = (page) => page.locator(".sheet-choices button").last().click();

const runner = (name, more = {}) => ({ name: `runner-${name}`, scenario: "walk", viewport: PHONE, path: "/runner", ...more });
const TINY = { width: 360, height: 640 };
const SETTLED_MS = 800;
const card = (page, unit) => page.locator(".job", { has: page.locator(".job-unit", { hasText: unit }) });
const take = async (page) => card(page, "MID1").locator(".job-press").click();
const takenAndLost = async (page, hub) => {
  await stale(page, hub);
  await take(page);
  await page.waitForTimeout(SETTLED_MS);
  await card(page, "BOW2").locator(".job-press").click();
};
const type = async (page) => {
  await card(page, "BOW2").locator(".job-small").first().click();
  for (const digit of ["4", "5"]) await page.locator(`.pad-key[data-key="${digit}"]`).click();
};
const typeBoth = async (page) => {
  await type(page);
  await page.locator(".reading-field").nth(1).click();
  await page.locator('.pad-key[data-key="6"]').click();
};
const open = (id) => (page) => page.locator(id).click();

/** Opens the pool, and types there. */
const pool = (...keys) => async (page) => {
  await page.keyboard.press("b");
  await page.locator(".pool-list").first().waitFor();
  await page.waitForTimeout(SETTLED_MS);
  await press(...keys)(page);
};
const refusedBlank = async (page) => {
  await pool(..."c15", "Enter")(page);
  await page.locator('.pool-move[data-move="blank"]').click();
  await page.locator(".pool-go:enabled").waitFor();
};
const pieceOnPhone = (label) => async (page) => {
  await page.locator("#pool-open").click();
  await page.locator("#pool-label").fill(label);
  await page.keyboard.press("Enter");
  await page.locator(".pool-target").first().waitFor();
};
const baysOnPhone = async (page) => {
  await pieceOnPhone("P06")(page);
  await page.locator('.pool-target[data-move="bay"]').click();
};

const SHOTS = [
  { name: "typical-wide-dark", scenario: "typical", viewport: WIDE },
  { name: "typical-wide-light", scenario: "typical", viewport: WIDE, colorScheme: "light" },
  { name: "busy-wide-dark", scenario: "busy", viewport: WIDE },
  { name: "busy-wide-light", scenario: "busy", viewport: WIDE, colorScheme: "light" },
  { name: "busy-small-dark", scenario: "busy", viewport: SMALL },
  { name: "quiet-small-light", scenario: "quiet", viewport: SMALL, colorScheme: "light" },
  { name: "zoom20-wide-dark", scenario: "busy", viewport: WIDE, then: press("1") },
  { name: "zoom4h-wide-dark", scenario: "busy", viewport: WIDE, then: press("4") },
  { name: "busy-phone-dark", scenario: "busy", viewport: PHONE, fullPage: true },
  { name: "typical-phone-light", scenario: "typical", viewport: PHONE, colorScheme: "light", fullPage: true },
  { name: "phone-first-sight", scenario: "busy", viewport: PHONE },
  { name: "phone-menu-light", scenario: "busy", viewport: PHONE, colorScheme: "light", locale: "de-DE", token: "token-lead", zone: "Europe/Berlin", timezoneId: "Asia/Tokyo", then: openTopMenu },
  { name: "stale-wide-dark", scenario: "busy", viewport: WIDE, then: stale },
  { name: "stale-small-light", scenario: "typical", viewport: SMALL, colorScheme: "light", then: stale },
  { name: "stale-phone-dark", scenario: "typical", viewport: PHONE, then: stale },
  { name: "empty-small-dark", scenario: "empty", viewport: SMALL },
  { name: "empty-phone-light", scenario: "empty", viewport: PHONE, colorScheme: "light" },
  { name: "sixty-wide-dark", scenario: "sixty", viewport: WIDE },
  { name: "sixty-small-light", scenario: "sixty", viewport: SMALL, colorScheme: "light" },
  { name: "sixty-phone-dark", scenario: "sixty", viewport: PHONE },
  { name: "held-wide-dark", scenario: "held", viewport: WIDE },
  { name: "held-wide-light", scenario: "held", viewport: WIDE, colorScheme: "light", then: press("PageDown", "PageDown") },
  { name: "held-small-dark", scenario: "held", viewport: SMALL, then: press("PageDown") },
  { name: "held-small-light", scenario: "held", viewport: SMALL, colorScheme: "light", then: press("5") },
  { name: "held-phone-dark", scenario: "held", viewport: PHONE, fullPage: true },
  { name: "held-phone-light", scenario: "held", viewport: PHONE, colorScheme: "light", fullPage: true },
  { name: "held-stale-wide-dark", scenario: "held", viewport: WIDE, then: stale },
  { name: "held-20-wide-light", scenario: "held", viewport: WIDE, colorScheme: "light", then: press("1") },
  { name: "held-4h-wide-dark", scenario: "held", viewport: WIDE, then: press("4") },
  { name: "held-show-wide-dark", scenario: "held", viewport: WIDE, then: press("5", "s", "s", "s") },
  { name: "sixtyheld-wide-dark", scenario: "sixty-held", viewport: WIDE },
  { name: "sixtyheld-small-light", scenario: "sixty-held", viewport: SMALL, colorScheme: "light" },
  { name: "sixtyheld-phone-dark", scenario: "sixty-held", viewport: PHONE },
  { name: "panel-wide-dark", scenario: "held", viewport: WIDE, token: "token-lead", then: press("w") },
  { name: "panel-small-light", scenario: "held", viewport: SMALL, colorScheme: "light", token: "token-lead", then: press("PageDown", "w") },
  { name: "panel-phone-dark", scenario: "held", viewport: PHONE, token: "token-lead", then: press("w") },
  { name: "panel-runner-small-dark", scenario: "held", viewport: SMALL, then: press("w") },
  { name: "filter-wide-dark", scenario: "held", viewport: WIDE, then: press("/", ..."finish") },
  { name: "filter-small-light", scenario: "sixty-held", viewport: SMALL, colorScheme: "light", then: press("/", ..."bow1") },
  { name: "filter-phone-dark", scenario: "held", viewport: PHONE, then: press("/", ..."start") },
  { name: "groups-wide-light", scenario: "sixty-held", viewport: WIDE, colorScheme: "light", then: press("s", "s", "s") },
  { name: "hostile-small-dark", scenario: "hostile", viewport: SMALL },
  { name: "hostile-phone-light", scenario: "hostile", viewport: PHONE, colorScheme: "light", fullPage: true },
  { name: "help-small-dark", scenario: "busy", viewport: SMALL, then: press("?") },
  { name: "help-phone-light", scenario: "busy", viewport: PHONE, colorScheme: "light", then: press("?") },
  { name: "sheet-wide-dark", scenario: "busy", viewport: WIDE, then: sheet("BOW2", today) },
  { name: "sheet-wide-light", scenario: "busy", viewport: WIDE, colorScheme: "light", then: sheet("BOW2") },
  { name: "sheet-small-dark", scenario: "busy", viewport: SMALL, then: sheet("BOW2") },
  { name: "sheet-forms-small-light", scenario: "busy", viewport: SMALL, colorScheme: "light", token: "token-lead", then: sheet("BOW2", unfold) },
  { name: "sheet-past-small-dark", scenario: "busy", viewport: SMALL, then: sheet("BOW2", four) },
  { name: "sheet-past-wide-light", scenario: "busy", viewport: WIDE, colorScheme: "light", then: sheet("BOW2", four) },
  { name: "sheet-past-phone-dark", scenario: "busy", viewport: PHONE, then: sheet("BOW2", pictures) },
  { name: "sheet-phone-dark", scenario: "busy", viewport: PHONE, then: sheet("BOW2") },
  { name: "sheet-phone-light", scenario: "busy", viewport: PHONE, colorScheme: "light", token: "token-lead", then: sheet("FIN2", unfold) },
  { name: "people-wide-dark", scenario: "busy", viewport: WIDE, token: "token-lead", then: invited },
  { name: "people-small-light", scenario: "busy", viewport: SMALL, colorScheme: "light", token: "token-lead", then: invited },
  { name: "people-phone-dark", scenario: "busy", viewport: PHONE, token: "token-lead", then: invited },
  { name: "german-typical-wide-dark", scenario: "typical", viewport: WIDE, locale: "de-DE" },
  { name: "german-busy-small-light", scenario: "busy", viewport: SMALL, colorScheme: "light", locale: "de-DE" },
  { name: "german-quiet-phone-dark", scenario: "quiet", viewport: PHONE, fullPage: true, locale: "de-DE" },
  { name: "german-sixty-small-dark", scenario: "sixty", viewport: SMALL, locale: "de-DE" },
  { name: "german-hostile-small-dark", scenario: "hostile", viewport: SMALL, locale: "de-DE" },
  { name: "german-stale-phone-light", scenario: "typical", viewport: PHONE, colorScheme: "light", locale: "de-DE", then: stale },
  { name: "german-help-small-dark", scenario: "busy", viewport: SMALL, locale: "de-DE", then: press("?") },
  { name: "german-help-phone-light", scenario: "busy", viewport: PHONE, colorScheme: "light", locale: "de-DE", then: press("?") },
  { name: "german-empty-phone-dark", scenario: "empty", viewport: PHONE, locale: "de-DE" },
  { name: "german-signin-phone-light", scenario: "typical", viewport: PHONE, colorScheme: "light", locale: "de-DE", signedOut: true },
  { name: "abroad-small-dark", scenario: "typical", viewport: SMALL, timezoneId: "America/New_York", zone: "Europe/Berlin" },
  { name: "abroad-phone-light", scenario: "typical", viewport: PHONE, colorScheme: "light", locale: "de-DE", timezoneId: "Asia/Tokyo", zone: "Europe/Berlin" },
  { name: "signin-small-dark", scenario: "typical", viewport: SMALL, signedOut: true },
  runner("jobs-dark"),
  runner("jobs-light", { colorScheme: "light" }),
  runner("jobs-tiny-light", { viewport: TINY, colorScheme: "light" }),
  runner("jobs-tiny-dark-full", { viewport: TINY, fullPage: true, then: open("#rest-heading") }),
  runner("taken-dark", { then: take }),
  runner("lost-dark", { then: stale }),
  runner("lost-light", { then: stale, colorScheme: "light" }),
  runner("queued-dark", { then: takenAndLost }),
  runner("queued-tiny-light", { then: takenAndLost, viewport: TINY, colorScheme: "light" }),
  runner("typed-dark", { then: type }),
  runner("typed-tiny-light", { then: type, viewport: TINY, colorScheme: "light" }),
  runner("units-dark", { then: open("#reading-other") }),
  runner("menu-dark", { then: open("#menu-open") }),
  runner("menu-tiny-light", { then: open("#menu-open"), viewport: TINY, colorScheme: "light" }),
  runner("empty-dark", { scenario: "quiet" }),
  runner("empty-light", { scenario: "empty", colorScheme: "light" }),
  runner("hostile-tiny-light", { scenario: "hostile", viewport: TINY, colorScheme: "light", fullPage: true }),
  runner("signin-dark", { signedOut: true }),
  runner("german-tiny-light", { viewport: TINY, colorScheme: "light", locale: "de-DE" }),
  runner("german-queued-dark", { then: takenAndLost, locale: "de-DE" }),
  runner("german-typed-tiny-dark", { then: typeBoth, viewport: TINY, locale: "de-DE" }),
  runner("german-menu-tiny-light", { then: open("#menu-open"), viewport: TINY, colorScheme: "light", locale: "de-DE" }),
  runner("desk-light", { viewport: SMALL, colorScheme: "light" }),
  { name: "pool-wide-dark", scenario: "pool", viewport: WIDE, then: pool() },
  { name: "pool-chosen-wide-light", scenario: "pool", viewport: WIDE, colorScheme: "light", then: pool(..."p04", "Enter") },
  { name: "pool-card-small-dark", scenario: "pool", viewport: SMALL, then: pool(..."c15", "Enter") },
  { name: "pool-refused-small-light", scenario: "pool", viewport: SMALL, colorScheme: "light", then: refusedBlank },
  { name: "pool-phone-dark", scenario: "pool", viewport: PHONE, then: pool() },
  { name: "pool-chosen-phone-light", scenario: "pool", viewport: PHONE, colorScheme: "light", then: pool(..."p04", "Enter") },
  { name: "pool-empty-small-dark", scenario: "quiet", viewport: SMALL, then: pool(..."p31", "Enter") },
  { name: "pool-sixty-wide-dark", scenario: "sixty-pool", viewport: WIDE, then: pool() },
  { name: "pool-german-small-light", scenario: "pool", viewport: SMALL, colorScheme: "light", locale: "de-DE", then: pool(..."c15", "Enter") },
  { name: "risk-wide-dark", scenario: "risk", viewport: WIDE },
  { name: "risk-wide-light", scenario: "risk", viewport: WIDE, colorScheme: "light", then: pool() },
  { name: "risk-small-lost", scenario: "risk", viewport: SMALL, then: stale },
  { name: "risk-phone-dark", scenario: "risk", viewport: PHONE },
  runner("pool-dark", { scenario: "pool", then: pieceOnPhone("P04") }),
  runner("pool-card-tiny-light", { scenario: "pool", viewport: TINY, colorScheme: "light", then: pieceOnPhone("C15") }),
  runner("pool-open-light", { scenario: "pool", colorScheme: "light", then: open("#pool-open") }),
  runner("pool-bays-dark", { scenario: "pool", then: baysOnPhone }),
  runner("pool-german-tiny-dark", { scenario: "pool", viewport: TINY, locale: "de-DE", then: pieceOnPhone("C15") }),
  runner("risk-dark", { scenario: "risk" }),
  runner("risk-tiny-light", { scenario: "risk", viewport: TINY, colorScheme: "light", then: pieceOnPhone("C15") }),
  runner("risk-lost-light", { scenario: "risk", colorScheme: "light", then: stale }),
  { name: "signin-phone-light", scenario: "typical", viewport: PHONE, colorScheme: "light", signedOut: true },
];

const [folder = "../out/screens", ...names] = process.argv.slice(2);
await mkdir(folder, { recursive: true });
const browser = await launchBrowser();
for (const shot of SHOTS.filter(({ name }) => names.length === 0 || names.some((wanted) => name.includes(wanted)))) {
  const hub = await startScenario(shot.scenario);
  if (shot.zone) hub.place = { time_zone: shot.zone };
  const token = shot.signedOut ? undefined : (shot.token ?? "token-mia");
  const { page, errors, close } = await openPage(browser, { ...shot, baseUrl: hub.url, token });
  if (token) await untilLive(page);
  else await page.waitForSelector("#sign-in-form");
  await shot.then?.(page, hub);
  if (shot.fullPage) {
    // A row that is not in sight is not painted, so the window is made as high as the page.
    const height = await page.evaluate(() => document.documentElement.scrollHeight);
    await page.setViewportSize({ width: shot.viewport.width, height });
  }
  await page.waitForTimeout(1200);
  await page.screenshot({ path: join(folder, `${shot.name}.png`) });
  console.log(shot.name, errors.join(" | "));
  await close();
  if (hub.http.listening) await hub.stop();
}
await browser.close();
