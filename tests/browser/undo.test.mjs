/**
 * Taking back what was pressed: by button and by key, for ten seconds, on the screen that pressed and seen on the others.
 */

import assert from "node:assert/strict";
import { callView } from "./fleet-data.mjs";
import { callOf, until, untilDone, untilMine, untilText } from "./kit.mjs";
import { REFUSED, play, test } from "./stage.mjs";

const { Undo, UNDO_MS, takingBack } = await import(new URL("../../server/web/assets/undo.js", import.meta.url));

const CALL = { id: "1", unit: "BOW2", state: "claimed", claimed_by: "Mia" };
const undoOf = (page, unit) => callOf(page, unit).getByRole("button", { name: /^Undo/ });

test("each press has its way back, for ten seconds, while the call is as the press left it", () => {
  let counter = 0;
  const undo = new Undo(() => counter);
  undo.note("claim", { ...CALL, state: "open" }, "Mia");
  assert.equal(undo.of("1", { ...CALL, state: "open" }), null, "not before it was done");
  assert.equal(takingBack(undo.of("1", CALL)), "release");
  assert.equal(undo.of("1", { ...CALL, claimed_by: "Tam" }), null, "somebody else has it by now");
  undo.note("release", CALL, "Mia");
  assert.equal(takingBack(undo.of("1", { ...CALL, state: "open" })), "claim");
  undo.note("release", { ...CALL, claimed_by: "Tam" }, "Mia");
  assert.equal(undo.of("1", { ...CALL, state: "open" }), null, "what Tam had is not handed back in Tam's name");
  undo.note("done", CALL, "Mia");
  assert.equal(takingBack(undo.of("1", { ...CALL, state: "done" })), "undo");
  assert.equal(undo.of("1", { ...CALL, state: "missed" }), null);
  counter = UNDO_MS - 1;
  assert.equal(undo.secondsLeft(undo.of("1", { ...CALL, state: "done" })), 1);
  counter = UNDO_MS;
  assert.equal(undo.of("1", { ...CALL, state: "done" }), null);
  assert.deepEqual(undo.newestFirst(), []);
});

test("claim, hand back and done are each taken back by their button, and the other screen sees it", () =>
  play("typical", async ({ open }) => {
    const [mia, tam] = [await open("token-mia"), await open("token-tam")];
    const press = (name) => callOf(mia, "BOW2").getByRole("button", { name }).click();
    await press("Claim");
    await untilText(undoOf(mia, "BOW2"), /^Undo \(\d+ s\)$/);
    await untilText(callOf(tam, "BOW2"), /Mia has it/);
    assert.equal(await undoOf(tam, "BOW2").count(), 0, "nobody takes back what somebody else pressed");
    await undoOf(mia, "BOW2").click();
    await untilText(callOf(tam, "BOW2"), /OPEN/);
    await press("Claim");
    await untilText(callOf(tam, "BOW2"), /Mia has it/);
    await press("Hand back");
    await untilText(callOf(tam, "BOW2"), /OPEN/);
    await undoOf(mia, "BOW2").click();
    await untilText(callOf(tam, "BOW2"), /Mia has it/);
    await press("Done");
    await untilText(mia.locator(".slip"), /12 BOW2: done.*Undo \(\d+ s\)/);
    await callOf(tam, "BOW2").waitFor({ state: "detached" });
    assert.equal(await tam.locator(".slip").count(), 0);
    await mia.locator(".slip button").click();
    await untilText(callOf(mia, "BOW2"), /You have it/);
    await untilText(callOf(tam, "BOW2"), /Mia has it/);
    assert.equal(await mia.locator(".slip").count(), 0);
  }));

test("with the keyboard only: a call comes, claim, done, undo; a z too many does nothing", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open();
    await untilText(page.locator("#calls-none"), /Nobody has to move now/);
    const call = hub.put("call", callView(Date.now(), { number: 12, unit: "BOW2", position: "start tower", by: 6 }));
    const state = () => hub.calls.get(call.id).state;
    await untilText(page.locator("#aloud"), /New call 12: BOW2/);
    await callOf(page, "BOW2").waitFor();
    await page.keyboard.press("z");
    await callOf(page, "BOW2").waitFor();
    await page.keyboard.press("c");
    await untilMine(page, "BOW2");
    await page.keyboard.press("d");
    await untilDone(page);
    assert.equal(state(), "done");
    await page.keyboard.press("z");
    await untilText(callOf(page, "BOW2"), /You have it/);
    await untilText(page.locator("#aloud"), /Taken back: BOW2/);
    await page.keyboard.press("z");
    await page.keyboard.press("d");
    await untilDone(page);
    await page.keyboard.press("z");
    await untilText(callOf(page, "BOW2"), /You have it/);
    assert.equal(state(), "claimed");
  }));

test("two at once: what somebody else has taken meanwhile is not taken back from them", () =>
  play("typical", async ({ hub, open }) => {
    const [mia, tam] = [await open("token-mia"), await open("token-tam")];
    await mia.keyboard.press("c");
    await untilText(callOf(mia, "BOW2"), /You have it/);
    // The word of a press may come before its answer; until then the card takes no other.
    await callOf(mia, "BOW2").getByRole("button", { name: "Hand back" }).click({ trial: true });
    await mia.keyboard.press("r");
    await undoOf(mia, "BOW2").waitFor();
    await callOf(tam, "BOW2").getByRole("button", { name: "Claim" }).click();
    await untilText(callOf(mia, "BOW2"), /Tam has it/);
    assert.equal(await undoOf(mia, "BOW2").count(), 0, "the word came in time");
    const [call] = hub.calls.values();
    hub.change(call.id, "claimed", { state: "claimed", claimed_by: "Mia", claimed_at: hub.now() });
    await untilText(callOf(mia, "BOW2"), /You have it/);
    // The word of a press may come before its answer; until then the card takes no other.
    await callOf(mia, "BOW2").getByRole("button", { name: "Hand back" }).click({ trial: true });
    await mia.keyboard.press("r");
    await undoOf(mia, "BOW2").waitFor();
    // Claimed at the hub, but the word of it is still on its way.
    const held = hub.calls.get(call.id);
    hub.calls.set(call.id, { ...held, state: "claimed", claimed_by: "Tam", revision: held.revision + 1 });
    await mia.keyboard.press("z");
    await untilText(callOf(mia, "BOW2"), /Tam was first and has this call/);
    assert.equal(hub.calls.get(call.id).claimed_by, "Tam");
  }, [REFUSED]));

test("the focus goes from the card to its slim card and back, by the tab key's buttons", () =>
  play("typical", async ({ hub, open }) => {
    // A button that waits for its answer is disabled, and loses the focus.
    hub.slowMs = 300;
    const page = await open();
    await callOf(page, "BOW2").getByRole("button", { name: "Claim" }).focus();
    await page.keyboard.press("Enter");
    await untilText(callOf(page, "BOW2"), /You have it/);
    await until(page, () => document.activeElement.closest(".call") !== null);
    await callOf(page, "BOW2").getByRole("button", { name: "Done" }).focus();
    await page.keyboard.press("Enter");
    await until(page, () => document.activeElement.closest(".slip") !== null);
    await page.keyboard.press("Enter");
    await until(page, () => document.activeElement.closest(".call") !== null);
  }));

test("a done call is on its slim card for ten seconds and no longer", () =>
  play("typical", async ({ open }) => {
    const page = await open();
    await page.keyboard.press("c");
    await untilMine(page, "BOW2");
    const from = Date.now();
    await page.keyboard.press("d");
    await page.locator(".slip").waitFor();
    await page.locator(".slip").waitFor({ state: "detached", timeout: 13_000 });
    const seconds = (Date.now() - from) / 1000;
    assert.ok(seconds >= 9.5 && seconds < 12, `${seconds} s`);
    await untilText(page.locator("#ended-list"), /12 BOW2: done/);
  }));

test("when it cannot be taken back, the slim card says why", () =>
  play("typical", async ({ hub, open }) => {
    const page = await open();
    hub.refuseUndo = "BOW2 has had another call since.";
    await page.keyboard.press("c");
    await untilMine(page, "BOW2");
    await page.keyboard.press("d");
    await untilDone(page);
    await page.keyboard.press("z");
    await untilText(page.locator(".slip"), /Did not work: BOW2 has had another call since/);
    assert.equal(await page.locator(".slip button:visible").count(), 0);
  }, [REFUSED]));
