/**
 * Pictures of every state of the screen, to be looked at by a person: `node shots.mjs [FOLDER] [NAME…]`.
 */

import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { launchBrowser, openPage, untilLive } from "./kit.mjs";
import { startScenario } from "./scenario-server.mjs";

const WIDE = { width: 1920, height: 1080 };
const SMALL = { width: 1280, height: 720 };
const PHONE = { width: 390, height: 844 };

const stale = async (page, hub) => {
  await hub.stop();
  await page.waitForSelector("body[data-link=lost]");
};
const press = (key) => (page) => page.keyboard.press(key);

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
  { name: "stale-wide-dark", scenario: "busy", viewport: WIDE, then: stale },
  { name: "stale-small-light", scenario: "typical", viewport: SMALL, colorScheme: "light", then: stale },
  { name: "stale-phone-dark", scenario: "typical", viewport: PHONE, then: stale },
  { name: "empty-small-dark", scenario: "empty", viewport: SMALL },
  { name: "empty-phone-light", scenario: "empty", viewport: PHONE, colorScheme: "light" },
  { name: "sixty-wide-dark", scenario: "sixty", viewport: WIDE },
  { name: "sixty-small-light", scenario: "sixty", viewport: SMALL, colorScheme: "light" },
  { name: "sixty-phone-dark", scenario: "sixty", viewport: PHONE },
  { name: "hostile-small-dark", scenario: "hostile", viewport: SMALL },
  { name: "hostile-phone-light", scenario: "hostile", viewport: PHONE, colorScheme: "light", fullPage: true },
  { name: "help-small-dark", scenario: "busy", viewport: SMALL, then: press("?") },
  { name: "help-phone-light", scenario: "busy", viewport: PHONE, colorScheme: "light", then: press("?") },
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
  { name: "signin-phone-light", scenario: "typical", viewport: PHONE, colorScheme: "light", signedOut: true },
];

const [folder = "../out/screens", ...names] = process.argv.slice(2);
await mkdir(folder, { recursive: true });
const browser = await launchBrowser();
for (const shot of SHOTS.filter(({ name }) => names.length === 0 || names.some((wanted) => name.includes(wanted)))) {
  const hub = await startScenario(shot.scenario);
  if (shot.zone) hub.place = { time_zone: shot.zone };
  const token = shot.signedOut ? undefined : "token-mia";
  const { page, errors, close } = await openPage(browser, { ...shot, baseUrl: hub.url, token });
  if (token) await untilLive(page);
  else await page.waitForSelector("#sign-in-form");
  await shot.then?.(page, hub);
  await page.waitForTimeout(1200);
  await page.screenshot({ path: join(folder, `${shot.name}.png`), fullPage: shot.fullPage ?? false });
  console.log(shot.name, errors.join(" | "));
  await close();
  if (shot.then !== stale) await hub.stop();
}
await browser.close();
