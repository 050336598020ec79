/**
 * The ops screen in a real browser against a scripted hub: what a runner and a camera lead must be able to rely on.
 */

import assert from "node:assert/strict";
import { contrast } from "./contrast.mjs";
import { callView, inMinutes, unitView } from "./fleet-data.mjs";
import { callOf, coloursOf, rowOf, until, untilLive, untilMine, untilText } from "./kit.mjs";
import { NO_CONNECTION, REFUSED, play, test } from "./stage.mjs";

const newCall = (hub, is) => hub.put("call", callView(Date.now(), { number: 40, unit: "MID1", position: "500 m pontoon", ...is }));
const textOf = (page, selector) => page.locator(selector).textContent();

test("a new call appears with what to bring and by when, is read out, and counts in title and tab picture", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    await untilText(page.locator("#calls-none"), /Nobody has to move now.*Next to stop: BOW2/);
    newCall(hub, { bring: ["pack", "card"], by: 9.5, leave: 6.5 });
    const card = callOf(page, "MID1");
    await untilText(card, /40.*OPEN.*MID1.*9 min.*500 m pontoon.*by \d\d:\d\d.*PACK.*CARD.*Leave by \d\d:\d\d, in 6 min.*battery 18 %/);
    assert.match(await textOf(page, "#aloud"), /New call 40: MID1, 500 m pontoon, bring PACK, CARD/);
    await until(page, () => document.title.startsWith("(1)"));
    assert.equal(await page.locator("#favicon").getAttribute("href"), "assets/favicon-1.svg");
    await untilText(rowOf(page, "MID1"), /! 40/);
  }));

test("clock times are the show's, not the device's, and the screen says whose while they differ", () =>
  play("typical", async ({ hub, open }) => {
    hub.place = { time_zone: "Asia/Kolkata" };
    const clockIn = (zone) => new Date().toLocaleTimeString("en-GB", { timeZone: zone, hour: "2-digit", minute: "2-digit" });
    const abroad = await open("token-mia", { timezoneId: "America/New_York" });
    const before = clockIn("Asia/Kolkata");
    const shown = (await textOf(abroad, "#clock")).slice(0, 5);
    assert.ok([before, clockIn("Asia/Kolkata")].includes(shown), `${shown} is not Kolkata's time`);
    assert.equal(await textOf(abroad, "#zone"), "Kolkata time");
    const there = await open("token-tam", { timezoneId: "Asia/Kolkata" });
    await there.locator("#zone").waitFor({ state: "hidden" });
    assert.equal((await textOf(there, ".call-by")), await textOf(abroad, ".call-by"));
    hub.place = {};
    hub.closeAll(1012);
    await untilText(abroad.locator("#clock"), new RegExp(`^${clockIn("America/New_York").slice(0, 2)}`));
    await abroad.locator("#zone").waitFor({ state: "hidden" });
  }));

test("calls stand in the order in which somebody must be there", () =>
  play("busy", async ({ open }) => {
    const page = await open();
    assert.deepEqual(await page.locator(".call-unit").allTextContents(), ["FIN2", "BOW2", "MID1", "MID2"]);
    await untilText(page.locator("#ended-list"), /MISSED/);
    assert.match(await callOf(page, "MID2").textContent(), /claim lapsed/);
  }));

test("claimed by a click: a second page sees who has it, and sees it handed back", () =>
  play("typical", async ({ open }) => {
    const [mia, tam] = [await open("token-mia"), await open("token-tam")];
    await callOf(mia, "BOW2").getByRole("button", { name: "Claim" }).click();
    await untilText(callOf(mia, "BOW2"), /TAKEN.*You have it since \d\d:\d\d.*lapses at \d\d:\d\d, in 3 min/);
    await untilText(callOf(tam, "BOW2"), /TAKEN.*Mia has it since/);
    assert.equal(await callOf(tam, "BOW2").getByRole("button", { name: "Claim" }).count(), 0);
    await callOf(mia, "BOW2").getByRole("button", { name: "Hand back" }).click();
    await untilText(callOf(tam, "BOW2"), /OPEN/);
    await callOf(tam, "BOW2").getByRole("button", { name: "Claim" }).waitFor();
  }));

test("by keyboard alone: choose, claim, done; somebody else's call needs a second press", () =>
  play("busy", async ({ hub, open }) => {
    const page = await open();
    assert.equal(await page.locator(".call[aria-current] .call-unit").textContent(), "BOW2", "the first one still to be taken");
    await page.keyboard.press("j");
    await until(page, () => document.querySelector(".call[aria-current] .call-unit").textContent === "MID1");
    await page.keyboard.press("c");
    await untilMine(page, "MID1");
    await page.keyboard.press("d");
    await until(page, () => ![...document.querySelectorAll(".call-unit")].some((unit) => unit.textContent === "MID1"));
    await untilText(page.locator("#ended-list"), /13 MID1: done/);
    await page.keyboard.press("ArrowUp");
    await page.keyboard.press("ArrowUp");
    await until(page, () => document.querySelector(".call[aria-current] .call-unit").textContent === "FIN2");
    await page.keyboard.press("d");
    await untilText(callOf(page, "FIN2"), /Really done/);
    assert.equal([...hub.calls.values()].find(({ unit }) => unit === "FIN2").state, "claimed");
    await page.keyboard.press("d");
    await untilText(page.locator("#ended-list"), /11 FIN2: done/);
  }));

test("a new call on top does not slip under the finger", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    newCall(hub, { unit: "FIN1", by: 1 });
    await callOf(page, "FIN1").waitFor();
    assert.deepEqual(await page.locator(".call-unit").allTextContents(), ["FIN1", "BOW2"]);
    await page.keyboard.press("c");
    await untilText(callOf(page, "BOW2"), /You have it/);
    assert.match(await callOf(page, "FIN1").textContent(), /OPEN/);
  }));

test("who comes second is told who was first", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    const [call] = hub.calls.values();
    // Claimed at the hub, but the word of it is still on its way.
    hub.calls.set(call.id, { ...call, state: "claimed", claimed_by: "Tam", revision: call.revision + 1 });
    await callOf(page, "BOW2").getByRole("button", { name: "Claim" }).click();
    await untilText(callOf(page, "BOW2"), /Tam was first and has this call/);
  }, [REFUSED]));

test("a claim that lapses is said again", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    await page.keyboard.press("c");
    await untilText(callOf(page, "BOW2"), /You have it/);
    const [call] = hub.calls.values();
    hub.change(call.id, "lapsed", { state: "open", claimed_by: undefined, claimed_at: undefined, lapses_at: undefined });
    await untilText(callOf(page, "BOW2"), /OPEN.*The claim lapsed: nobody has it/);
    await untilText(page.locator("#aloud"), /claim of call 12, BOW2, lapsed/);
  }));

test("the banner is up within 3 s of the last heartbeat when the hub falls silent", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    // Timed inside the page, because a test looks only now and then.
    await page.evaluate(() => {
      const banner = document.getElementById("banner");
      const note = () => {
        if (!banner.hidden) window.bannerAt ??= Date.now();
      };
      new MutationObserver(note).observe(banner, { attributes: true });
    });
    const beat = hub.lastBeat;
    while (hub.lastBeat === beat) await new Promise((resolve) => setTimeout(resolve, 5));
    hub.alive = false;
    await until(page, () => window.bannerAt);
    const seconds = ((await page.evaluate(() => window.bannerAt)) - hub.lastBeat) / 1000;
    assert.ok(seconds > 2, `too soon, at ${seconds} s`);
    assert.ok(seconds <= 3, `${seconds} s`);
    assert.match(await textOf(page, "#banner-text"), /^HUB LOST since \d\d:\d\d:\d\d: values are old, call by radio$/);
    await untilText(rowOf(page, "BOW1"), /OLD: \d+ s/);
    assert.ok(await callOf(page, "BOW2").getByRole("button", { name: "Claim" }).isDisabled());
    assert.match(await page.locator("#screen").evaluate((element) => getComputedStyle(element).filter), /grayscale/);
    hub.alive = true;
    await untilLive(page);
    await page.locator("#banner").waitFor({ state: "hidden" });
  }));

test("after a loss the page resumes with its cursor: what happened meanwhile is there, nothing twice", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    const [first] = hub.calls.values();
    newCall(hub, {});
    hub.repeatLast();
    await callOf(page, "MID1").waitFor();
    await hub.stop();
    await page.locator("#banner").waitFor({ state: "visible" });
    hub.change(first.id, "said_done", { state: "done", ended_at: new Date().toISOString() });
    newCall(hub, { unit: "FIN1", number: 41 });
    await hub.start();
    await untilLive(page);
    await callOf(page, "FIN1").waitFor();
    assert.deepEqual((await page.locator(".call-unit").allTextContents()).sort(), ["FIN1", "MID1"]);
    assert.equal(hub.hellos.length, 2);
    assert.equal(hub.hellos[1].resumed, true);
    assert.equal(await page.locator(".row").count(), 9);
  }, [NO_CONNECTION]));

test("a hub with another store makes the page forget everything first", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    await hub.stop();
    hub.epoch = "00000000-0000-4000-8000-000000000000";
    hub.units.clear();
    hub.calls.clear();
    hub.put("unit", unitView(Date.now(), { unit: "ONLY", battery: [10, 20, 30] }));
    await hub.start();
    await rowOf(page, "ONLY").waitFor();
    await until(page, () => document.querySelectorAll(".row").length === 1);
    assert.equal(await page.locator(".call").count(), 0);
  }, [NO_CONNECTION]));

test("a good-bye is heeded: nobody comes back sooner than asked", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    hub.say({ type: "bye", reason: "restart", retry_after_ms: 1500 });
    const at = Date.now();
    hub.closeAll(1012);
    await until(page, () => document.body.dataset.link === "lost" || document.querySelectorAll(".row").length === 9);
    while (hub.hellos.length < 2) await new Promise((resolve) => setImmediate(resolve));
    assert.ok(hub.hellos[1].at - at >= 1450, `${hub.hellos[1].at - at} ms`);
    await untilLive(page);
  }));

test("a session that ends leads to the form, and a token leads back; the token leaves the address", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    assert.equal(new URL(page.url()).hash, "");
    hub.sessions.clear();
    hub.closeAll(4003);
    await page.locator("#sign-in-form").waitFor({ state: "visible" });
    assert.equal(await page.locator("#screen").isVisible(), false);
    await page.keyboard.type("wrong");
    await page.keyboard.press("Enter");
    await untilText(page.locator("#sign-in-why"), /does not know this token/);
    await page.locator("#token").fill("token-tam");
    await page.keyboard.press("Enter");
    await untilLive(page);
    await untilText(page.locator("#who"), /Tam, runner/);
  }, [REFUSED]));

test("nobody signed in: the form says where to find a token, and shows nothing else", () =>
  play("typical", async ({ open }) => {
    const page = await open(null);
    await page.locator("#sign-in-form").waitFor({ state: "visible" });
    assert.match(await textOf(page, "#sign-in-where"), /camera lead.*printed by the hub/);
    assert.equal(await page.locator("#screen").isVisible(), false);
  }, [REFUSED]));

test("signing out ends the session", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.locator("#sign-in-form").waitFor({ state: "visible" });
    assert.equal(hub.sessions.size, 0);
    await until(page, () => document.title === "Swapcall");
  }, [REFUSED]));

test("an empty hub says what to do next, with its own address", () =>
  play("empty", async ({ hub, open }) => {
    const page = await open();
    const commands = await page.locator("#empty code").allTextContents();
    assert.equal(commands.length, 3);
    for (const command of commands) assert.ok(command.includes(hub.url), command);
    hub.put("unit", unitView(Date.now(), { unit: "BOW1", never: true }));
    await untilText(rowOf(page, "BOW1"), /never heard/);
    assert.equal(await page.locator("#empty").isVisible(), false);
  }));

test("a unit grows late, then silent, with no message about it", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    const now = Date.now();
    const unit = unitView(now, { unit: "BOW1", position: "start line", battery: [20, 30, 40], heardAgo_s: 0 });
    hub.put("unit", { ...unit, late_after: inMinutes(now, 2 / 60), silent_after: inMinutes(now, 5 / 60) });
    const row = rowOf(page, "BOW1");
    await untilText(row, /heard/);
    await untilText(row, /late \d s/);
    await untilText(row, /SILENT since \d\d:\d\d/);
    assert.equal(await row.getAttribute("data-state"), "silent");
    const border = await row.locator(".bar-battery").evaluate((bar) => getComputedStyle(bar).borderTopStyle);
    assert.equal(border, "dashed");
    await untilText(row, /guessed, nothing heard/);
  }));

test("a dark unit cannot be overlooked", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    hub.put("unit", unitView(Date.now(), { unit: "POD", position: "medal pontoon", battery: [-3, -2, -1], dark: true }));
    await untilText(rowOf(page, "POD"), /DARK/);
    assert.equal(await page.locator(".row").first().getAttribute("data-unit"), "POD", "on top");
    const { fg, bg } = await coloursOf(rowOf(page, "POD").locator(".big"));
    assert.ok(contrast(fg, bg) >= 7);
    const other = await coloursOf(rowOf(page, "BOW1").locator(".big"));
    assert.deepEqual([fg, bg], [other.bg, other.fg], "the whole row is turned inside out");
  }));
