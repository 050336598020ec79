/**
 * The sound of the screens: muted at first and saying so, in steps, remembered, and honest while the browser blocks it.
 */

import assert from "node:assert/strict";
import { callView } from "./fleet-data.mjs";
import { callOf, until, untilLive, untilText } from "./kit.mjs";
import { play, test } from "./stage.mjs";

const newCall = (hub, unit, number) => hub.put("call", callView(Date.now(), { number, unit }));

/** Runs in the page before anything else: counts tones and keeps the loudest. */
function listen() {
  window.tones = 0;
  window.loudest = 0;
  const make = BaseAudioContext.prototype.createOscillator;
  BaseAudioContext.prototype.createOscillator = function counted() {
    window.tones += 1;
    return make.call(this);
  };
  const ramp = AudioParam.prototype.linearRampToValueAtTime;
  AudioParam.prototype.linearRampToValueAtTime = function measured(value, at) {
    window.loudest = value || window.loudest;
    return ramp.call(this, value, at);
  };
}

test("sound starts muted, says so, and sounds for new calls once it is switched on", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-mia", { prepare: listen });
    assert.equal(await page.locator("#sound").textContent(), "MUTED: no sound");
    newCall(hub, "BOW1", 40);
    await callOf(page, "BOW1").waitFor();
    assert.equal(await page.evaluate(() => window.tones), 0);
    await page.keyboard.press("m");
    await untilText(page.locator("#sound"), /^Sound on$/);
    await until(page, () => window.tones > 0);
    const before = await page.evaluate(() => window.tones);
    newCall(hub, "BOW2", 41);
    await until(page, (count) => window.tones > count, before);
    await page.locator("#sound").click();
    await untilText(page.locator("#sound"), /^MUTED/);
    const muted = await page.evaluate(() => window.tones);
    newCall(hub, "MID1", 42);
    await callOf(page, "MID1").waitFor();
    assert.equal(await page.evaluate(() => window.tones), muted);
  }));

test("three steps of volume, each louder, by button and by key", () =>
  play("quiet", async ({ open }) => {
    const page = await open("token-mia", { prepare: listen });
    const volume = page.locator("#volume");
    assert.equal(await volume.textContent(), "Vol 2 of 3");
    const heard = [];
    for (const step of ["3", "1", "2"]) {
      if (step === "1") await page.keyboard.press("v");
      else await volume.click();
      await untilText(volume, new RegExp(`^Vol ${step} of 3$`));
      await until(page, (loudest) => window.loudest !== loudest, heard.at(-1) ?? 0);
      heard.push(await page.evaluate(() => window.loudest));
    }
    const [loud, soft, middle] = heard;
    assert.ok(soft < middle && middle < loud, String(heard));
  }));

test("volume and mute are remembered; until somebody touches the page it says that the browser keeps it silent", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-mia", { prepare: listen });
    await page.locator("#volume").click();
    await untilText(page.locator("#sound"), /^Sound on$/);
    await page.reload();
    await untilLive(page);
    await untilText(page.locator("#volume"), /^Vol 3 of 3$/);
    await untilText(page.locator("#sound"), /^No sound yet: touch here$/);
    newCall(hub, "BOW1", 40);
    await callOf(page, "BOW1").waitFor();
    assert.equal(await page.evaluate(() => window.tones), 0, "nothing is heard, and nothing is said to be");
    await page.locator("#sound").click();
    await untilText(page.locator("#sound"), /^Sound on$/);
    const before = await page.evaluate(() => window.tones);
    newCall(hub, "BOW2", 41);
    await until(page, (count) => window.tones > count, before);
    assert.equal(await page.evaluate(() => window.loudest), 0.6);
  }));
