/**
 * How the runner's page looks and fits a phone: contrast, sizes, what the browser lacks, and how it is installed.
 */

import assert from "node:assert/strict";
import { contrast } from "./contrast.mjs";
import { allColoursOf, untilText } from "./kit.mjs";
import { PHONE, job, mainPress, undo } from "./runner-kit.mjs";
import { play, test } from "./stage.mjs";

test("the page says whether the screen stays on, and asks again when it comes back to the front", () =>
  play("quiet", async ({ open }) => {
    const wake = () => {
      window.asked = 0;
      const locks = { request: async () => {
        window.asked += 1;
        window.lock = new EventTarget();
        return window.lock;
      } };
      Object.defineProperty(navigator, "wakeLock", { value: locks });
    };
    const page = await open("token-mia", { ...PHONE, prepare: wake });
    await untilText(page.locator("#awake"), /^This screen stays on.$/);
    await page.evaluate(() => window.lock.dispatchEvent(new Event("release")));
    await untilText(page.locator("#awake"), /may go dark/);
    await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
    await untilText(page.locator("#awake"), /stays on/);
    assert.equal(await page.evaluate(() => window.asked), 2);
  }));

test("over a plain address, where browsers offer neither wake lock nor random UUIDs, the page works and says what is missing", () =>
  play("walk", async ({ hub, open }) => {
    const poor = () => {
      delete Navigator.prototype.wakeLock;
      delete Navigator.prototype.vibrate;
      delete Crypto.prototype.randomUUID;
    };
    const page = await open("token-mia", { ...PHONE, prepare: poor });
    await untilText(page.locator("#awake"), /only over an encrypted address/);
    await mainPress(page, "MID1").click();
    await untilText(job(page, "MID1"), /YOURS/);
    await page.locator("#menu-open").click();
    await untilText(page.locator("#set-buzz-note"), /cannot vibrate/);
    assert.equal(hub.writes.length, 1);
  }));

test("names from outside are text", () =>
  play("hostile", async ({ open }) => {
    const page = await open("token-mia", PHONE);
    await untilText(page.locator("#jobs"), /<img src=x.*<script>/);
    await page.locator("#reading-other").click();
    await page.locator(".unit-choice", { hasText: "<img" }).click();
    await untilText(page.locator("#reading-unit"), /<img src=x/);
    assert.equal(await page.locator(":is(#screen, dialog) :is(img, script, i:not([aria-hidden]))").count(), 0);
    assert.equal(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth), 0);
  }));

test("contrast: 7:1 for what is read at arm's length in the sun, 4.5:1 for the rest, in both lights", async () => {
  const ARM = [".notice-text", ".notice-button", ".job-unit", ".bring b", ".piece", ".job-by", ".job-inTime", ".job-leave", ".job-held", ".job-press b", ".job-position", "#clock", "#walk-sum"]; // notices first: they go by themselves
  const CLOSE = [".job-why", ".job-age", ".job-state", ".job-small", "#link", "#sound", "#menu-open", "#rest-heading", "#reading-other", "#awake"];
  for (const colorScheme of ["dark", "light"]) {
    await play("walk", async ({ open }) => {
      const page = await open("token-mia", { ...PHONE, colorScheme });
      await mainPress(page, "MID1").click();
      await undo(page).waitFor();
      for (const [selectors, least] of [[ARM, 7], [CLOSE, 4.5]]) {
        for (const selector of selectors) {
          const found = await allColoursOf(page, [selector]);
          assert.ok(found.length > 0, selector);
          for (const { fg, bg } of found) assert.ok(contrast(fg, bg) >= least, `${colorScheme} ${selector}: ${fg} on ${bg} is ${contrast(fg, bg)}`);
        }
      }
    });
  }
});

/** Whether everything that can be pressed is large enough, and nothing is wider than the phone. */
async function fits(page, where) {
  const wrong = await page.evaluate(() => {
    const found = document.documentElement.scrollWidth > innerWidth ? ["too wide"] : [];
    for (const target of document.querySelectorAll("button, summary, a, input")) {
      const { width, height } = target.getBoundingClientRect();
      const least = target.matches(".job-press, #reading-send, .notice-button") ? 64 : 44;
      if (width > 0 && (height < least || width < 44)) found.push(`${target.id || target.className} ${target.textContent}: ${width} × ${height}`);
    }
    return found;
  });
  assert.deepEqual(wrong, [], where);
}

for (const [width, height] of [[390, 844], [360, 640]]) {
  for (const scenario of ["walk", "hostile", "empty"]) {
    test(`thumbs find everything at ${width} × ${height}, ${scenario}: 44 px, the main press 64 px, nothing too wide`, () =>
      play(scenario, async ({ open }) => {
        const page = await open("token-mia", { ...PHONE, viewport: { width, height } });
        await page.locator(scenario === "empty" ? "#none" : "#jobs .job").first().waitFor();
        await fits(page, "page");
        await page.locator("#menu-open").click();
        await fits(page, "menu");
        await page.locator("#menu-close").click();
        if (scenario !== "walk") return;
        await job(page, "BOW2").getByRole("button", { name: "Reading" }).click();
        await fits(page, "reading");
        const send = await page.locator("#reading-send").boundingBox();
        assert.ok(send.y + send.height <= height, "SEND is on the screen without scrolling");
      }));
  }
}

test("the page can be installed: a manifest with a start, a name, and icons that are there", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    const address = await page.locator("link[rel=manifest]").getAttribute("href");
    assert.equal(address, "/manifest.webmanifest");
    const answer = await fetch(hub.url + address);
    assert.equal(answer.headers.get("content-type"), "application/manifest+json");
    const manifest = await answer.json();
    assert.deepEqual([manifest.start_url, manifest.display, manifest.scope], ["/runner", "standalone", "/"]);
    for (const { src, sizes, type } of manifest.icons) {
      const icon = await fetch(new URL(src, hub.url + address));
      assert.equal(icon.headers.get("content-type"), type, src);
      const bytes = Buffer.from(await icon.arrayBuffer());
      if (type === "image/png") assert.equal(`${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}`, sizes, src);
    }
  }));
