/**
 * The runner's page in a real browser against a scripted hub: every flow that a runner relies on.
 */

import assert from "node:assert/strict";
import { callView, inMinutes, unitView } from "./fleet-data.mjs";
import { until, untilLive, untilText } from "./kit.mjs";
import { PHONE, job, mainPress, notice, undo } from "./runner-kit.mjs";
import { NO_CONNECTION, REFUSED, play, test } from "./stage.mjs";

const callOn = (hub, unit) => [...hub.calls.values()].find((call) => call.unit === unit);
const sent = (hub) => hub.writes.map(({ path }) => path.replace(/.*\/calls\/[^/]+\//, ""));

/** Waits for something the hub knows. */
async function untilHub(condition, what) {
  for (let tries = 0; !condition(); tries += 1) {
    assert.ok(tries < 500, `the hub never had it: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

/** Brings the hub back, and waits until the page has caught up: it may have put off its next try for some seconds. */
async function bringBack(hub, page) {
  await hub.start();
  for (let tries = 0; (await page.getAttribute("body", "data-link")) !== "live"; tries += 1) {
    assert.ok(tries < 60, "the page did not come back");
    await page.evaluate(() => dispatchEvent(new Event("online")));
    await new Promise((resolve) => setTimeout(resolve, 250));
  }
}

/** Takes the hub away, and waits until the page says so. */
async function lose(hub, page) {
  await hub.stop();
  await page.waitForSelector("body[data-link=lost]", { timeout: 3500 });
}

test("a runner who knows nothing reads: what to carry for all, who, where, what, by when, until when not", () =>
  play("walk", async ({ open }) => {
    const page = await open("token-mia", PHONE);
    await untilText(page.locator("#bring"), /BRING 2 PACKS,1 CARD/);
    await untilText(page.locator("#walk-sum"), /^3 jobs: 1 yours, 2 to take · MID1: Leave by \d\d:\d\d, in 3 min$/);
    assert.deepEqual(await page.locator("#jobs .job-unit").allTextContents(), ["BOW2", "MID1", "MID2"]);
    await untilText(job(page, "BOW2"), /YOURS until \d\d:\d\d.*start tower, upper deck.*PACK.*Remove: pack P07.*Be thereby \d\d:\d\din 8 min.*Leave by \d\d:\d\d, in 5 min.*battery 18 %.*heard \d+ s ago/);
    await untilText(job(page, "MID1"), /nobody has it.*HELD until \d\d:\d\d \(final A\): do not touch/);
    await untilText(job(page, "MID2"), /HELD \d\d:\d\d to \d\d:\d\d \(medals\): do not touch then/);
    assert.equal(await mainPress(page, "BOW2").locator("b").textContent(), "DONE");
    assert.equal(await mainPress(page, "MID1").locator("b").textContent(), "TAKE");
    assert.equal(await job(page, "FIN1").count(), 0, "folded");
    await untilText(page.locator("#rest-heading"), /^2 more: 1 later, 1 taken by others$/);
    await page.locator("#rest-heading").click();
    await untilText(job(page, "FIN2"), /Tam has it/);
    assert.equal(await mainPress(page, "FIN2").count(), 1);
    assert.equal(await mainPress(page, "FIN2").isVisible(), false, "nobody presses what Tam has");
  }));

test("taken by one press, and taken back: the undo counts down and is gone after ten seconds", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await mainPress(page, "MID1").click();
    await untilText(job(page, "MID1"), /YOURS/);
    assert.equal(callOn(hub, "MID1").claimed_by, "Mia");
    await untilText(notice(page), /MID1: you have it.*UNDO \d+ s/);
    await undo(page).click();
    await untilText(job(page, "MID1"), /nobody has it/);
    assert.equal(callOn(hub, "MID1").state, "open");
    await untilText(notice(page), /Undone. MID1: nobody has it/);
    assert.deepEqual(sent(hub), ["claim", "release"]);

    await mainPress(page, "MID1").click();
    await untilText(notice(page), /MID1: you have it.*UNDO/);
    const since = Date.now();
    await undo(page).waitFor({ state: "detached", timeout: 15_000 });
    assert.ok(Date.now() - since > 7000, "not sooner than it said");
    assert.equal(callOn(hub, "MID1").state, "claimed");
  }));

test("done by one press, and undone; a hub that refuses the undo is heard", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await mainPress(page, "BOW2").click();
    await job(page, "BOW2").waitFor({ state: "detached" });
    await untilText(notice(page), /BOW2: done.*UNDO/);
    await undo(page).click();
    await untilText(job(page, "BOW2"), /YOURS/);
    assert.deepEqual(sent(hub), ["done", "undo"]);

    hub.refuseUndo = "Another call for this unit is open already.";
    await mainPress(page, "BOW2").click();
    await untilText(notice(page), /BOW2: done.*UNDO/);
    await undo(page).click();
    await untilText(notice(page), /BOW2, undo: Did not work: Another call for this unit is open already/);
    await page.locator(".notice-news .notice-button").click();
    await notice(page).waitFor({ state: "hidden" });
  }, [REFUSED]));

test("handed back, and taken again by the undo", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await job(page, "BOW2").getByRole("button", { name: "Hand back" }).click();
    await untilText(job(page, "BOW2"), /nobody has it/);
    await undo(page).click();
    await untilText(job(page, "BOW2"), /YOURS/);
    assert.deepEqual(sent(hub), ["release", "claim"]);
  }));

test("a job that is called off while the hub is lost is said to be, not just gone", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await job(page, "BOW2").waitFor();
    await lose(hub, page);
    hub.change(callOn(hub, "BOW2").id, "withdrawn", { state: "withdrawn", ended_at: inMinutes(Date.now(), 0) });
    hub.epoch = "00000000-0000-4000-8000-000000000000"; // so that the hub sends a snapshot, which leaves ended calls out
    await bringBack(hub, page);
    await untilText(notice(page), /BOW2: no longer needed. Do not go./);
  }, [NO_CONNECTION]));

test("two runners at once: the second is told who was first, and a job that is no longer needed is called off", () =>
  play("walk", async ({ hub, open }) => {
    const [mia, tam] = [await open("token-mia", PHONE), await open("token-tam", PHONE)];
    const call = callOn(hub, "MID1");
    // Tam has it at the hub, but the word of it has not reached Mia's phone.
    hub.calls.set(call.id, { ...call, state: "claimed", claimed_by: "Tam", revision: call.revision + 1 });
    await mainPress(mia, "MID1").click();
    await untilText(notice(mia), /MID1: Tam was first and has it. Do not go./);
    await mainPress(tam, "MID2").click();
    await untilText(job(tam, "MID2"), /YOURS/);
    await job(mia, "MID2").waitFor({ state: "detached" });
    hub.change(callOn(hub, "BOW2").id, "withdrawn", { state: "withdrawn", ended_at: inMinutes(Date.now(), 0) });
    await untilText(notice(mia), /BOW2: no longer needed. Do not go./);
    await job(mia, "BOW2").waitFor({ state: "detached" });
  }, [REFUSED]));

test("a press that bounces does not hit what moved up beneath the finger", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    // In the page itself, in the moment of the change: a test would be too slow to bounce.
    await page.evaluate(() => {
      const [first] = document.querySelectorAll(".job-press");
      const box = first.getBoundingClientRect();
      new MutationObserver(() => {
        const under = document.elementFromPoint(box.left + box.width / 2, box.top + 30)?.closest(".job");
        if (window.hit || under?.querySelector(".job-unit").textContent === "BOW2") return;
        window.hit = under.querySelector(".job-unit").textContent;
        under.querySelector(".job-press").click();
      }).observe(document.getElementById("jobs"), { childList: true });
    });
    await mainPress(page, "BOW2").click();
    await until(page, () => window.hit === "MID1");
    await untilText(notice(page), /BOW2: done/);
    await mainPress(page, "MID1").click();
    await untilText(job(page, "MID1"), /YOURS/);
    assert.deepEqual(sent(hub), ["done", "claim"], "one press each");
  }));

test("without the hub: LOST within 3 s, presses are kept over a reload, sent once and in order, and it says so", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await job(page, "MID1").waitFor();
    await lose(hub, page);
    await untilText(page.locator("#banner-text"), /^HUB LOST since \d\d:\d\d:\d\d: values are old, call by radio$/);
    await untilText(page.locator("#walk-sum"), /as of \d\d:\d\d:\d\d, may have changed/);
    await untilText(job(page, "MID1"), /OLD: heard \d+ s ago/);
    await untilText(mainPress(page, "MID1"), /TAKE sent later/);
    await mainPress(page, "MID1").click();
    await untilText(job(page, "MID1"), /NOT SENT YET: others may take it/);
    await mainPress(page, "BOW2").click();
    await page.locator("#jobs .job", { hasText: "BOW2" }).waitFor({ state: "detached" });
    // What stood below has moved up and takes no press for a moment: only what is drawn now can be waited for.
    await mainPress(page, "MID2").click();
    await untilText(notice(page), /NOT SENT YET. MID2: take/);
    await undo(page).last().click();
    await untilText(page.locator("#unsent-heading"), /^NOT SENT YET: 2$/);
    await untilText(page.locator("#unsent-list"), /MID1: take, pressed \d\d:\d\d, \d+ s ago.*BOW2: done, pressed/);

    await bringBack(hub, page);
    await untilHub(() => hub.writes.length >= 2, "two presses");
    await page.locator("#unsent").waitFor({ state: "hidden" });
    await page.reload();
    await untilLive(page);
    await untilText(job(page, "MID1"), /YOURS/);
    assert.deepEqual(sent(hub), ["claim", "done"], "in order, once, and not what was taken back");
    assert.equal(new Set(hub.writes.map(({ key }) => key)).size, 2);
    assert.equal(callOn(hub, "BOW2").state, "done");
    assert.equal(callOn(hub, "MID2").state, "open");
  }, [NO_CONNECTION]));

test("presses made before a reload go out after it; a claim that somebody else won meanwhile says so", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await job(page, "MID1").waitFor();
    await lose(hub, page);
    await mainPress(page, "MID1").click();
    await untilText(page.locator("#unsent-heading"), /NOT SENT YET: 1/);
    hub.change(callOn(hub, "MID1").id, "claimed", { state: "claimed", claimed_by: "Tam" });
    await page.close();
    await hub.start();
    const kept = await page.context().newPage();
    await kept.goto(`${hub.url}/runner`);
    await untilLive(kept);
    await untilText(notice(kept), /MID1: Tam was first and has it. Do not go./);
    assert.deepEqual(sent(hub), ["claim"]);
    await kept.reload();
    await untilLive(kept);
    assert.equal(await kept.locator("#unsent").isVisible(), false);
    assert.deepEqual(sent(hub), ["claim"], "not twice over a reload");
  }, [NO_CONNECTION, REFUSED]));

test("an answer that is lost on its way, and a reload: the press arrived, is not sent again, and the page finds out", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    hub.swallow = true;
    await mainPress(page, "MID1").click();
    await untilHub(() => callOn(hub, "MID1").claimed_by === "Mia", "the claim");
    await page.reload();
    await untilLive(page);
    await page.waitForFunction(() => localStorage.getItem("swapcall.presses") === "[]", null, { timeout: 25_000 });
    await untilText(job(page, "MID1"), /YOURS until/);
    assert.deepEqual(sent(hub), ["claim"]);
  }));

test("a press older than ten minutes is asked about, not sent", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await job(page, "MID1").waitFor();
    await lose(hub, page);
    await mainPress(page, "MID1").click();
    await mainPress(page, "MID2").click();
    await untilText(page.locator("#unsent-heading"), /NOT SENT YET: 2/);
    await page.evaluate(() => {
      const presses = JSON.parse(localStorage.getItem("swapcall.presses"));
      for (const press of presses) press.at -= 11 * 60_000;
      localStorage.setItem("swapcall.presses", JSON.stringify(presses));
    });
    await bringBack(hub, page);
    await untilText(page.locator("#unsent-list"), /MID1: take, pressed \d\d:\d\d, 11 min ago. Never sent. Still true\?/);
    assert.deepEqual(sent(hub), []);
    await page.locator(".unsent", { hasText: "MID1" }).getByRole("button", { name: "Send now" }).click();
    await untilText(job(page, "MID1"), /YOURS/);
    await page.locator(".unsent", { hasText: "MID2" }).getByRole("button", { name: "Throw away" }).click();
    await page.locator("#unsent").waitFor({ state: "hidden" });
    assert.deepEqual(sent(hub), ["claim"]);
  }, [NO_CONNECTION]));

test("a reading is typed with four presses for a battery, eight for all there is, and arrives as a person's", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await page.evaluate(() => {
      window.presses = 0;
      addEventListener("click", () => (window.presses += 1), { capture: true });
    });
    const pressed = () => page.evaluate(() => window.presses);
    await job(page, "BOW2").getByRole("button", { name: "Reading" }).click();
    await untilText(page.locator("#reading-fields"), /Battery–was 18 %.*Card A–was 52 %.*Card B–was 3 %/);
    assert.ok(await page.locator("#reading-send").isDisabled());
    for (const digit of "45") await page.locator(`.pad-key[data-key="${digit}"]`).click();
    assert.equal(await pressed(), 3, "and SEND would be the fourth");
    await page.locator(".reading-field", { hasText: "Card A" }).click();
    for (const digit of "60") await page.locator(`.pad-key[data-key="${digit}"]`).click();
    await untilText(page.locator("#reading-fields"), /Card B–stays 3 %/);
    await page.locator(".reading-mode", { hasText: "standby" }).click();
    await untilText(page.locator("#reading-send"), /^SEND battery 45 %, card A 60 %, card B 3 %, standby$/);
    await page.locator("#reading-send").click();
    await untilText(notice(page), /BOW2: reading stored/);
    assert.equal(await pressed(), 8);
    const [{ id, at, sent_at: sentAt, ...said }] = hub.answers.reports;
    assert.deepEqual(said, {
      unit: "BOW2", source: "typed", mode: "standby", battery: { percent: 45, external: false, step: 1 },
      cards: { slot_mode: "relay", slots: [{ slot: "A", used_percent: 60 }, { slot: "B", used_percent: 3 }] },
    });
    assert.match(id, /^[0-9a-f-]{14}7/);
    assert.ok(Date.parse(sentAt) >= Date.parse(at));
  }));

test("a reading of any unit, found by letters, typed while the hub is away, sent when it is back with both times", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await job(page, "BOW2").waitFor();
    await lose(hub, page);
    await page.locator("#reading-other").click();
    assert.equal(await page.locator(".unit-choice").count(), 9);
    await page.locator("#units-search").fill("medal");
    await page.locator(".unit-choice").click();
    await untilText(page.locator("#reading-unit"), /^POD$/);
    await page.locator('.pad-key[data-key="last"]').click();
    await page.locator("#reading-send").click();
    await untilText(page.locator("#unsent-list"), /POD: reading, pressed/);
    const typed = Date.now();
    await new Promise((resolve) => setTimeout(resolve, 1200));
    await bringBack(hub, page);
    await untilText(notice(page), /POD: reading stored/);
    const [{ at, sent_at: sentAt, battery }] = hub.answers.reports;
    assert.equal(battery.percent, 97, "as it was");
    assert.ok(Date.parse(at) <= typed && Date.parse(sentAt) - Date.parse(at) >= 1200);
  }, [NO_CONNECTION]));

test("mute says that it is muted, is remembered, and nothing sounds or pretends to", () =>
  play("quiet", async ({ hub, open }) => {
    const watch = () => {
      window.tones = 0;
      window.buzzed = 0;
      const make = BaseAudioContext.prototype.createOscillator;
      BaseAudioContext.prototype.createOscillator = function counted() {
        window.tones += 1;
        return make.call(this);
      };
      navigator.vibrate = () => {
        window.buzzed += 1;
        return true;
      };
    };
    const newCall = (unit, number) => hub.put("call", callView(Date.now(), { number, unit }));
    const page = await open("token-mia", { ...PHONE, prepare: watch });
    await untilText(page.locator("#sound"), /^MUTED$/);
    newCall("FIN1", 39);
    await job(page, "FIN1").waitFor();
    assert.equal(await page.evaluate(() => window.tones), 0, "muted at first");
    await page.locator("#sound").click();
    await untilText(page.locator("#sound"), /^Sound on$/);
    const before = await page.evaluate(() => window.tones);
    newCall("BOW1", 40);
    await until(page, (count) => window.tones > count && window.buzzed > 0, before);
    // The press that wakes a browser's sound does not mute it at the same time, so a second one counts a little later.
    await new Promise((resolve) => setTimeout(resolve, 1100));
    await page.locator("#sound").click();
    await untilText(page.locator("#sound"), /^MUTED$/);
    const [tones, buzzed] = await page.evaluate(() => [window.tones, window.buzzed]);
    newCall("BOW2", 41);
    await until(page, (count) => window.buzzed > count, buzzed);
    assert.equal(await page.evaluate(() => window.tones), tones, "a muted page makes no tone");
    await page.reload();
    await untilLive(page);
    await untilText(page.locator("#sound"), /^MUTED$/);
    await page.locator("#menu-open").click();
    await page.locator("#set-volume").getByRole("button", { name: "quiet" }).click();
    await until(page, () => window.tones > 0);
    await page.locator("#set-buzz").getByRole("button", { name: "off" }).click();
    await page.locator("#menu-close").click();
    await untilText(page.locator("#sound"), /^Sound on$/);
    const quiet = await page.evaluate(() => window.buzzed);
    newCall("MID1", 42);
    await untilText(page.locator("#rest-heading"), /1 later/);
    assert.equal(await page.evaluate(() => window.buzzed), quiet);
  }));

test("nothing to do, nothing known, and a hub that is lost are three different sentences", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    await untilText(page.locator("#none"), /Nobody has to move now.*Next to stop: BOW2/);
    await lose(hub, page);
    await untilText(page.locator("#none-text"), /^No job known: the hub is lost.$/);
    await bringBack(hub, page);
    await untilText(page.locator("#none-text"), /^Nobody has to move now.$/);
  }, [NO_CONNECTION]));

test("what Tam pressed on this phone does not go out when Mia signs in", () =>
  play("walk", async ({ hub, open }) => {
    const page = await open("token-tam", PHONE);
    await job(page, "MID1").waitFor();
    await lose(hub, page);
    await mainPress(page, "MID1").click();
    await untilText(page.locator("#unsent-heading"), /NOT SENT YET: 1/);
    await page.evaluate(() => localStorage.setItem("swapcall.presses", localStorage.getItem("swapcall.presses").replaceAll('"Tam"', '"Ben"')));
    await bringBack(hub, page);
    await untilText(page.locator("#unsent-list"), /by Ben, who is not signed in here/);
    assert.deepEqual(sent(hub), []);
    await page.locator(".unsent").getByRole("button", { name: "Throw away" }).click();
    await page.locator("#unsent").waitFor({ state: "hidden" });
  }, [NO_CONNECTION]));

test("signing in by link and by form, signing out, and the ways between the two pages", () =>
  play("walk", async ({ open }) => {
    const page = await open("token-mia", PHONE);
    assert.equal(new URL(page.url()).hash, "", "the token does not stay in the address");
    await page.locator("#menu-open").click();
    await untilText(page.locator("#who"), /Mia, runner/);
    await page.locator("#to-ops").click();
    await page.locator("#board").waitFor();
    await page.locator("#to-runner").click();
    await job(page, "BOW2").waitFor();
    await page.setViewportSize({ width: 1280, height: 720 });
    await page.locator("#menu-open").click();
    await page.locator("#sign-out").click();
    await page.locator("#sign-in-form").waitFor();
    assert.equal(await page.locator("#screen").isVisible(), false);
    await page.locator("#token").fill("token-tam");
    await page.keyboard.press("Enter");
    await untilLive(page);
    await page.goto(new URL("/", page.url()).href);
    await page.locator("#board").waitFor();
    assert.equal(await page.locator("#to-runner").isVisible(), false, "only on a phone");
  }, [REFUSED]));

test("a unit that grows silent says so on its job, with no message about it", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-mia", PHONE);
    const now = Date.now();
    const unit = unitView(now, { unit: "BOW1", battery: [20, 30, 40], heardAgo_s: 0 });
    hub.put("unit", { ...unit, late_after: inMinutes(now, 8 / 60), silent_after: inMinutes(now, 9 / 60) });
    hub.put("call", callView(now, { number: 9, unit: "BOW1" }));
    await untilText(job(page, "BOW1"), /heard/);
    await untilText(job(page, "BOW1"), /SILENT since \d\d:\d\d/);
  }));
