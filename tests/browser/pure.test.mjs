/**
 * The parts of the screen that need no browser, and the contrast formula against published values.
 */

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { contrast } from "./contrast.mjs";
import { callView, unitView } from "./fleet-data.mjs";

const web = (name) => import(new URL(`../../server/web/assets/${name}.js`, import.meta.url));
const { lane, labelled, nextView, place, ticks } = await web("axis");
const { Backoff, CEILING_MS } = await web("backoff");
const { ageOf } = await web("freshness");
const { callModel } = await web("callmodel");
const { orderOf, rowModel } = await web("rowmodel");
const { nextChoice } = await web("settings");
const { Store } = await web("store");
const { clockTime, compareMoments, foreignPlace, HubClock, showIsIn, startOfDay } = await web("time");
const words = await web("words");

const NOW = Date.parse("2026-06-13T09:14:05Z");
const MINUTE = 60_000;
const HELLO = { type: "hello", protocol: 1, epoch: "e1", seq: 9, start: "snapshot", now: "2026-06-13T09:14:05Z", heartbeat_s: 1 };

test("contrast ratio agrees with WCAG 2.2, rows W-CR-1 to W-CR-10 of vectors.json", async () => {
  const { vectors } = JSON.parse(await readFile(new URL("../data/vectors.json", import.meta.url), "utf8"));
  const rows = vectors.filter(({ id }) => id.startsWith("W-CR-"));
  assert.equal(rows.length, 10);
  for (const { id, input, expected, tolerance } of rows) {
    const ratio = contrast(input.fg, input.bg);
    assert.ok(Math.abs(ratio - expected.ratio) <= tolerance, `${id}: ${ratio}`);
    assert.deepEqual([ratio >= 3, ratio >= 4.5, ratio >= 7], [expected.pass3, expected.pass4_5, expected.pass7], id);
  }
});

test("contrast of the palette agrees with row W-OI of vectors.json (Okabe & Ito)", async () => {
  const { vectors } = JSON.parse(await readFile(new URL("../data/vectors.json", import.meta.url), "utf8"));
  const { expected, tolerance } = vectors.find(({ id }) => id === "W-OI");
  for (const [name, { hex, on_white, on_black }] of Object.entries(expected)) {
    assert.ok(Math.abs(contrast(hex, "#ffffff") - on_white) <= tolerance, name);
    assert.ok(Math.abs(contrast(hex, "#000000") - on_black) <= tolerance, name);
  }
});

test("every colour of the style sheets that is not a grey belongs to the palette of row W-OI", async () => {
  const { vectors } = JSON.parse(await readFile(new URL("../data/vectors.json", import.meta.url), "utf8"));
  const palette = Object.values(vectors.find(({ id }) => id === "W-OI").expected).map(({ hex }) => hex.toLowerCase());
  for (const file of ["ops.css", "sheets.css", "windows.css", "panels.css", "narrow.css", "runner.css"]) {
    const css = await readFile(new URL(`../../server/web/assets/${file}`, import.meta.url), "utf8");
    for (const [colour] of css.toLowerCase().matchAll(/#[0-9a-f]{6}\b/g)) {
      const channels = [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
      const grey = Math.max(...channels) - Math.min(...channels) <= 16;
      assert.ok(grey || palette.includes(colour), `${file}: ${colour}`);
    }
  }
});

test("retries: the first at once, then random below a doubling ceiling of 15 s, never sooner than the hub asked", () => {
  const highest = new Backoff(() => 0.999_999);
  const waits = Array.from({ length: 9 }, () => highest.next());
  assert.equal(waits[0], 0);
  for (let index = 2; index < waits.length; index += 1) assert.ok(waits[index] >= waits[index - 1]);
  assert.ok(waits.at(-1) <= CEILING_MS && waits.at(-1) > 14_000);
  const lowest = new Backoff(() => 0);
  lowest.next();
  assert.equal(lowest.next(), 0, "full jitter reaches down to nought");
  assert.equal(lowest.next(2500), 2500);
  highest.reset();
  assert.equal(highest.next(), 0);
});

test("moments are compared to the last digit and in spite of different lengths", () => {
  assert.ok(compareMoments("2026-06-13T09:14:05.000000001Z", "2026-06-13T09:14:05Z") > 0);
  assert.ok(compareMoments("2026-06-13T09:14:05.9Z", "2026-06-13T09:14:05.10Z") > 0);
  assert.equal(compareMoments("2026-06-13T09:14:05.5Z", "2026-06-13T09:14:05.500Z"), 0);
});

test("the hub's clock goes by the fastest signal and runs on by itself", () => {
  let counter = 1000;
  const clock = new HubClock(() => counter);
  assert.equal(clock.now(), null);
  clock.hear("2026-06-13T09:14:05Z");
  counter += 1500;
  clock.hear("2026-06-13T09:14:06Z"); // half a second late on its way
  assert.equal(clock.now(), NOW + 1500);
});

test("clock times are those of the show, whatever zone the device is in; the place is named while they differ", () => {
  const own = clockTime(NOW);
  try {
    for (const [zone, time, place] of [["Asia/Kolkata", "14:44", "Kolkata"], ["America/Argentina/Buenos_Aires", "06:14", "Buenos Aires"]]) {
      showIsIn(zone);
      assert.equal(clockTime(NOW), time);
      assert.equal(clockTime(NOW, true), `${time}:05`);
      if (own !== time) assert.equal(foreignPlace(NOW), place);
    }
    showIsIn("Europe/Berlin");
    assert.equal(clockTime(Date.parse("2026-10-25T00:59:00Z")), "02:59", "before the clocks go back");
    assert.equal(clockTime(Date.parse("2026-10-25T01:00:00Z")), "02:00", "and after");
    assert.equal(clockTime(Date.parse("2026-06-12T22:00:00Z")), "00:00", "midnight is nought");
    for (const [moment, midnight] of [
      ["2026-06-13T21:30:00.250Z", "2026-06-12T22:00:00.000Z"],
      ["2026-06-12T22:00:00Z", "2026-06-12T22:00:00.000Z"],
      ["2026-10-25T12:00:00Z", "2026-10-24T22:00:00.000Z"], // Twenty-five hours, the clocks go back in the night.
      ["2026-03-29T12:00:00Z", "2026-03-28T23:00:00.000Z"], // Twenty-three.
    ]) assert.equal(new Date(startOfDay(Date.parse(moment))).toISOString(), midnight, moment);
    for (const none of [null, undefined, "", "Nowhere/Atlantis"]) {
      showIsIn("Asia/Kolkata");
      showIsIn(none);
      assert.equal(clockTime(NOW), own, `${none}: the device's own`);
      assert.equal(foreignPlace(NOW), "");
    }
  } finally {
    showIsIn(null);
  }
});

test("ticks stand at round times of the show's clock, half an hour off or not", () => {
  const view = nextView(null, NOW, 240);
  try {
    for (const zone of ["Asia/Kolkata", "Asia/Kathmandu", "Europe/Berlin"]) {
      showIsIn(zone);
      for (const { at, label } of ticks(view)) {
        assert.match(label, /^\d\d:00$/, zone);
        assert.equal(label, clockTime(at));
      }
    }
  } finally {
    showIsIn(null);
  }
});

test("a unit ages from fresh to late to silent without a message", () => {
  const unit = unitView(NOW, { unit: "BOW1", interval_s: 10, heardAgo_s: 0 });
  const states = [5, 16, 31].map((seconds) => ageOf(unit, NOW + seconds * 1000, false));
  assert.deepEqual(states.map(({ state }) => state), ["fresh", "late", "silent"]);
  assert.equal(states[1].lateMs, 1000);
  assert.equal(ageOf(unit, NOW + 1000, true).state, "old", "with the hub lost nothing is fresh");
  const silent = { ...unit, freshness: "silent" };
  assert.equal(ageOf(silent, NOW, false).state, "silent", "the hub knows better than the screen");
});

test("what is not newer is dropped: repeated, shuffled messages end in the same state", () => {
  const base = callView(NOW, { number: 1, unit: "BOW1" });
  const claimed = { ...base, revision: 2, state: "claimed", reason: "claimed" };
  const fresh = unitView(NOW + 1000, { unit: "BOW1" });
  const messages = [
    { type: "call", seq: 1, call: base },
    { type: "call", seq: 2, call: claimed },
    { type: "unit", seq: 3, unit: fresh },
    { type: "unit", seq: 4, unit: unitView(NOW, { unit: "BOW1" }) },
  ];
  for (const order of [[0, 1, 2, 3], [3, 2, 1, 0], [1, 0, 1, 2, 3, 2, 0]]) {
    const store = new Store();
    for (const index of order) store.apply(messages[index]);
    assert.equal(store.calls.get(base.id).revision, 2);
    assert.equal(store.units.get("BOW1").as_of, fresh.as_of);
  }
});

test("the cursor stands still inside a snapshot, and a snapshot forgets what was held", () => {
  const store = new Store();
  store.apply({ type: "unit", seq: 3, unit: unitView(NOW, { unit: "GONE" }) });
  store.apply(HELLO);
  assert.equal(store.units.size, 0);
  store.apply({ type: "unit", seq: 9, unit: unitView(NOW, { unit: "BOW1" }) });
  assert.equal(store.cursor, null, "half a snapshot is no place to come back to");
  store.apply({ type: "caught_up", seq: 9 });
  assert.equal(store.cursor, 9);
  store.apply({ type: "heartbeat", seq: 12, now: HELLO.now });
  assert.equal(store.cursor, 9, "a heartbeat tells where the hub stands, not what was sent");
});

test("a call sounds once when new, again when its claim lapses, not when it is seen again", () => {
  const store = new Store();
  const call = callView(NOW, { number: 1, unit: "BOW1" });
  const kinds = (message) => store.apply(message).map(({ kind }) => kind);
  assert.deepEqual(kinds({ type: "call", seq: 1, call }), ["new"]);
  store.apply(HELLO);
  assert.deepEqual(kinds({ type: "call", seq: 9, call }), [], "a snapshot is no news");
  assert.deepEqual(kinds({ type: "call", seq: 10, call: { ...call, revision: 2, state: "claimed", reason: "claimed" } }), []);
  assert.deepEqual(kinds({ type: "call", seq: 11, call: { ...call, revision: 3, state: "open", reason: "lapsed" } }), ["lapsed"]);
});

test("calls stand in the order in which somebody must be there; ended ones leave", () => {
  const store = new Store();
  for (const [number, by] of [[1, 9], [2, 4], [3, 6]]) store.call(callView(NOW, { number, unit: `U${number}`, by }));
  assert.deepEqual(store.liveCalls().map(({ number }) => number), [2, 3, 1]);
  const done = [...store.calls.values()].find(({ number }) => number === 3);
  store.call({ ...done, revision: 2, state: "done", ended_at: new Date(NOW).toISOString() });
  assert.deepEqual(store.liveCalls().map(({ number }) => number), [2, 1]);
  assert.equal(store.endedCalls()[0].number, 3);
});

test("now stands at the same place whatever the time, and bars keep theirs until the anchor moves", () => {
  const first = nextView(null, NOW, 60);
  const later = nextView(first, NOW + 5 * MINUTE, 60);
  assert.equal(later.anchor, first.anchor);
  assert.equal(place(first, NOW + 20 * MINUTE), place(later, NOW + 20 * MINUTE));
  assert.notEqual(nextView(first, NOW + 31 * MINUTE, 60).anchor, first.anchor);
  assert.notEqual(nextView(first, NOW, 20).spanMin, first.spanMin);
});

test("ticks are round clock times; labels keep clear of both ends", () => {
  const view = nextView(null, NOW, 60);
  const found = ticks(view);
  assert.ok(found.every(({ at }) => at % (10 * MINUTE) === 0));
  assert.ok(labelled(view, found).every(({ at }) => at > NOW + 5 * MINUTE && at < NOW + 50 * MINUTE));
});

test("a run-out beyond the axis becomes an arrow with text; beyond the horizon it says so", () => {
  const view = nextView(null, NOW, 60);
  const at = (minutes) => new Date(NOW + minutes * MINUTE).toISOString();
  assert.equal(lane(view, "battery", { p10: at(10), p50: at(14), p90: at(19) }).beyond, "");
  assert.match(lane(view, "cards", { p10: at(50), p50: at(75), p90: at(95) }).beyond, /^C \d\d:\d\d ▶$/);
  assert.match(lane(view, "battery", { p10: at(50), p50: null, p90: null }).beyond, /> 24 h/);
  assert.equal(lane(view, "battery", undefined), null);
});

test("the row says minutes with range and both answers, and never more than is known", () => {
  const view = nextView(null, NOW, 60);
  const model = rowModel(unitView(NOW, { unit: "BOW2", battery: [11, 14, 19], batteryRec: [9, 12, 16] }), null, view, false);
  assert.deepEqual([model.big, model.range, model.cause], ["14 min", "11–19 min", "battery"]);
  assert.equal(model.ifRecording, "recording on: B 12 min");
  assert.equal(model.why, "", "an older hub says nothing of it");
  const both = unitView(NOW, { unit: "BOW2", battery: [11, 14, 19], batteryRec: [9, 12, 16], cards: [20, 25, 31], cardsRec: [6, 8, 9], why: "Drains." });
  const second = rowModel(both, null, view, false);
  assert.deepEqual([second.ifRecording, second.ifShort, second.why], ["recording on: B 12 min · C 8 min", "● 8 min", "Drains."]);
  const dark = rowModel(unitView(NOW, { unit: "BOW2", battery: [-9, -6, -4], dark: true }), null, view, false);
  assert.deepEqual([dark.big, dark.state], ["DARK", "dark"]);
  assert.deepEqual([dark.mode, dark.shape], ["", ""], "what it did before denies that it stopped");
  assert.deepEqual([dark.hint, dark.ifShort], ["stopped, and no call: go and look", "go and look"]);
  const called = rowModel(unitView(NOW, { unit: "BOW2", battery: [-9, -6, -4], dark: true }), callView(NOW, { number: 9, unit: "BOW2" }), view, false);
  assert.deepEqual([called.hint, called.ifShort], ["stopped before it was served", ""], "the call says the rest");
  const silent = unitView(NOW, { unit: "BOW2", battery: [11, 14, 19], heardAgo_s: 200 });
  const quiet = rowModel(silent, null, view, false);
  assert.deepEqual([quiet.hint, quiet.ifShort], ["guessed, nothing heard: ask by radio", "ask by radio"]);
  const asked = rowModel(silent, callView(NOW, { number: 9, unit: "BOW2" }), view, false);
  assert.deepEqual([asked.hint, asked.ifShort], ["guessed, nothing heard", ""]);
  const never = rowModel(unitView(NOW, { unit: "NEW", never: true }), null, view, false);
  assert.deepEqual([never.big, never.age], ["–", "never heard"]);
  const over = rowModel(unitView(NOW, { unit: "OVER", battery: [-6, -4, -2] }), null, view, false);
  assert.equal(over.big, "2 min over");
});

test("a cart's clock that is off is said beside its levels, a right one is not", () => {
  const view = nextView(null, NOW, 60);
  const levels = (seconds) => rowModel({ ...unitView(NOW, { unit: "BOW2", battery: [11, 14, 19] }), clock_offset_s: seconds }, null, view, false).levels;
  assert.match(levels(21600), /⚠ clock 6 h 00 ahead$/);
  assert.match(levels(-600), /⚠ clock 10 min behind$/);
  for (const right of [0, 9.9, -9.9, undefined]) assert.doesNotMatch(levels(right), /clock/);
});

test("rows keep their places under noise and change them when clearly sooner", () => {
  const unit = (name, minutes) => unitView(NOW, { unit: name, battery: [minutes, minutes, minutes] });
  const before = orderOf([unit("A", 10), unit("B", 11), unit("C", 12)], "soonest", []);
  assert.deepEqual(before, ["A", "B", "C"]);
  assert.deepEqual(orderOf([unit("A", 11.2), unit("B", 11), unit("C", 12)], "soonest", before), before);
  assert.deepEqual(orderOf([unit("A", 13), unit("B", 11), unit("C", 12)], "soonest", before), ["B", "C", "A"]);
  assert.deepEqual(orderOf([unit("U10", 1), unit("U2", 9)], "callsign", []), ["U2", "U10"]);
});

test("only who may act gets buttons, and only for what makes sense", () => {
  const open = callView(NOW, { number: 1, unit: "BOW1" });
  const claimed = { ...open, state: "claimed", claimed_by: "Tam", claimed_at: open.opened_at };
  const buttons = (call, name, role) => callModel(call, NOW, { name, role }).buttons;
  assert.deepEqual(buttons(open, "Mia", "runner"), { claim: true, release: false, done: true });
  assert.deepEqual(buttons(claimed, "Mia", "runner"), { claim: false, release: false, done: true });
  assert.deepEqual(buttons(claimed, "Tam", "runner"), { claim: false, release: true, done: true });
  assert.deepEqual(buttons(claimed, "Lead", "lead"), { claim: false, release: true, done: true });
  assert.deepEqual(buttons(open, "cart 7", "cart"), { claim: false, release: false, done: false });
});

test("durations are said as people say them", () => {
  const said = [40, 60, 14 * 60 + 59, 99 * 60, 130 * 60].map((seconds) => words.duration(seconds * 1000));
  assert.deepEqual(said, ["40 s", "1 min", "14 min", "99 min", "2 h 10"]);
  assert.equal(words.timeLeft(null), "> 24 h");
  assert.equal(words.range(11 * MINUTE, 19 * MINUTE), "11–19 min");
  assert.equal(words.range(110 * MINUTE, 160 * MINUTE), "110–160 min");
  assert.equal(words.range(306 * MINUTE, 504 * MINUTE), "5.1–8.4 h");
  assert.equal(words.range(50 * MINUTE, null), "from 50 min");
});

test("the axis stops at its ends, the order goes round", () => {
  assert.equal(nextChoice("spanMin", 240), "show");
  assert.equal(nextChoice("spanMin", "show"), "show");
  assert.equal(nextChoice("spanMin", 20, -1), 20);
  assert.equal(nextChoice("sort", "group"), "soonest");
});
