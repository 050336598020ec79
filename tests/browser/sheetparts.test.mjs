/**
 * The parts of the unit sheet that need no browser: what is known, what is sent, pictures and stories.
 */

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { unitView } from "./fleet-data.mjs";

const web = (name) => import(new URL(`../../server/web/assets/${name}.js`, import.meta.url));
const { readNumber, readRefusal } = await web("forms");
const { knownNow, windowOf } = await web("sheetmodel");
const { pastPicture, promisePicture, timeTicks } = await web("sheetpicture");
const { asTexts, fieldOfReport, limitsWithChanges, profileTexts, profileWithChanges, typedReport, uuid7, withChanges } = await web("sheetsend");
const { forecastBefore, stories, storyText, stretches } = await web("sheetstory");
const { forms } = await web("panelwords");

const NOW = Date.parse("2026-06-13T09:14:05Z");
const MINUTE = 60_000;
const iso = (ms) => new Date(ms).toISOString();
const example = async (name) => JSON.parse(await readFile(new URL(`../../server/wire/examples/${name}.json`, import.meta.url), "utf8"));

test("everything the wire's example says of a unit is on its sheet, each with its age", async () => {
  const { lines, state } = knownNow(await example("unit"), NOW + 4000, false);
  assert.equal(state, "fresh");
  const said = Object.fromEntries(lines.map(({ name, value, age }) => [name, `${value} | ${age}`]));
  assert.equal(said.Battery, "63 % · pack P07 · 14.1 V · 19 °C | 4 s ago");
  assert.equal(said["Slot A"], "card C12 · 40 % of 128 GB full · being written | 4 s ago");
  assert.equal(said["Slot B"], "card C13 · 0 % of 128 GB full · ready | 4 s ago");
  assert.equal(said.Mode, "● recording | 4 s ago");
  assert.equal(said.Cards, "relay: one after the other · 400 Mb/s | ");
  assert.equal(said["Its clock"], "right | ");
  assert.match(said["Cards full"], /eight times in ten between \d\d:\d\d and more than 24 hours from now/);
  assert.match(said["Rests on"], /^Drains 54 %\/h/);
  assert.match(said["Vision mixer"], /^ON AIR \| \d+ (s|min) ago$/);
  assert.match(said["Running order"], /^held, “Final of the eights”, until/);
});

test("old is said to be old, typed to be typed, and a wrong clock is named", () => {
  const typed = unitView(NOW, { unit: "ROVER", battery: [1, 2, 3], typed: true, heardAgo_s: 140, interval_s: 300 });
  assert.equal(knownNow(typed, NOW, false).heard, "Typed by hand 2 min ago.");
  assert.match(knownNow(typed, NOW, true).heard, /^OLD: .*hub is lost/);
  const silent = unitView(NOW, { unit: "FIN2", battery: [1, 2, 3], heardAgo_s: 130 });
  assert.match(knownNow(silent, NOW, false).heard, /^SILENT: last heard 2 min ago/);
  const off = knownNow({ ...silent, clock_offset_s: -75 }, NOW, false).lines.at(-1);
  assert.match(off.value, /1 min behind/);
  assert.match(knownNow(unitView(NOW, { unit: "NEW", never: true }), NOW, false).heard, /^Never heard/);
});

test("numbers are read as people type them, and nothing else is taken for one", () => {
  assert.deepEqual(["12", " 12,5 ", "0.5", ",5", "7.", "-3"].map(readNumber), [12, 12.5, 0.5, 0.5, 7, -3]);
  assert.deepEqual(["", "   "].map(readNumber), [null, null]);
  assert.deepEqual(["1e3", "12 %", "0x10", "1.2.3", ".", "Infinity"].map(readNumber), Array(6).fill(undefined));
});

test("a profile is sent whole: what was not touched stays, what was emptied goes", async () => {
  const held = await example("unit_profile");
  const { body, wrong } = withChanges(held, { position: "jetty", walk_s: "90,5", pack_wh: "" });
  assert.deepEqual(wrong, {});
  const { pack_wh: gone, ...rest } = held;
  assert.ok(gone);
  assert.deepEqual(body, { ...rest, position: "jetty", walk_s: 90.5 });
  assert.deepEqual(withChanges(held, { walk_s: "far" }).wrong, { walk_s: forms.noNumber });
  assert.equal(asTexts(held, ["gauge_step", "nothing"]).gauge_step, "1");
});

test("limits of one unit leave those of the fleet and of the others alone", async () => {
  const set = await example("limits");
  const { body } = limitsWithChanges(set, "TREE", { fetch_s: "45" });
  assert.deepEqual(body, { fleet: set.fleet, units: { ...set.units, TREE: { fetch_s: 45 } } });
  const emptied = limitsWithChanges(set, "BOW2", { fetch_s: "", remind_s: "" }).body;
  assert.deepEqual(emptied, { fleet: set.fleet, units: {} }, "a unit without limits of its own is left out");
});

test("a typed reading has the form of the wire's example", async () => {
  const wanted = await example("report_typed");
  const unit = unitView(NOW, { unit: "TREE", battery: [10, 20, 30] });
  const { report, wrong } = typedReport(unit, { battery: "75" }, { at: wanted.at, id: "x" });
  assert.deepEqual(wrong, {});
  for (const name of ["unit", "at", "source"]) assert.equal(report[name], wanted[name]);
  assert.equal(report.battery.percent, wanted.battery.percent);
  assert.deepEqual(typedReport(unit, { battery: "", mode: "" }, { at: "", id: "x" }).nothing, true);
  assert.deepEqual(typedReport(unit, { mode: "standby" }, { at: iso(NOW), id: "x" }).report.mode, "standby");
});

test("a card reading counts for all slots; label and size go along only while it is the same card", () => {
  const unit = unitView(NOW, { unit: "BOW1", battery: [10, 20, 30] });
  unit.cards.slots = [
    { slot: "A", card: "C12", capacity_bytes: 128e9, used_percent: 40, state: "recording" },
    { slot: "B", card: "C13", capacity_bytes: 128e9, used_percent: 90, state: "ready" },
  ];
  const one = typedReport(unit, { slot_A: "45", slot_B: "" }, { at: iso(NOW), id: "x" });
  assert.deepEqual(Object.keys(one.wrong), ["slot_B"]);
  const both = typedReport(unit, { slot_A: "45", slot_B: "0" }, { at: iso(NOW), id: "x" });
  assert.deepEqual(both.report.cards, {
    slot_mode: "relay",
    slots: [{ slot: "A", card: "C12", capacity_bytes: 128e9, used_percent: 45 }, { slot: "B", used_percent: 0 }],
  });
  const fields = ["/cards/slots/1/used_percent", "/battery/percent", "/battery/pack", "/mode", "/at"];
  assert.deepEqual(fields.map((pointer) => fieldOfReport(both.report, pointer)), ["slot_B", "battery", "pack", "mode", ""]);
});

test("what the hub refuses is said at the field it points at", async () => {
  const answer = { outcome: "refused", status: 422, body: await example("problem") };
  const unit = unitView(NOW, { unit: "TREE" });
  const { report } = typedReport(unit, { battery: "130" }, { at: iso(NOW), id: "x" });
  assert.deepEqual(readRefusal(answer, (pointer) => fieldOfReport(report, pointer)), { wrong: { battery: "must be 0 to 100, not 130" }, rest: "" });
  assert.equal(readRefusal(answer, () => "").rest, "must be 0 to 100, not 130", "a field that is not here is not hushed up");
  assert.equal(readRefusal({ outcome: "unreachable", status: 0, body: null }, () => "").rest, forms.unreachable);
  assert.match(readRefusal({ outcome: "refused", status: 502, body: null }, () => "").rest, /502/);
});

test("identities of reports are UUIDs of version 7 in the order of time", () => {
  const made = [NOW, NOW + 1].map((ms) => uuid7(ms, new Uint8Array(10).fill(255)));
  for (const id of made) assert.match(id, /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  assert.ok(made[0] < made[1]);
  // The test vector of RFC 9562, appendix A.6.
  const chance = Uint8Array.from([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
  assert.equal(uuid7(0x017f22e279b0, chance), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
});

test("stretches of time are asked for in some 240 steps, and the day begins at midnight", () => {
  assert.deepEqual(windowOf("hour", NOW), { from: NOW - 60 * MINUTE, to: NOW, step_s: 15 });
  assert.deepEqual(windowOf("four", NOW), { from: NOW - 240 * MINUTE, to: NOW, step_s: 60 });
  const midnight = new Date(NOW).setHours(0, 0, 0, 0);
  assert.equal(windowOf("today", midnight + 10 * 60 * MINUTE).from, midnight);
  assert.equal(windowOf("today", midnight + 5 * MINUTE).from, midnight - 55 * MINUTE);
});

test("ticks of a picture stand at full steps of the clock and leave room for their labels", () => {
  const [from, to] = [NOW, NOW + 60 * MINUTE];
  const ticks = timeTicks(from, to, 500);
  assert.ok(ticks.length >= 3 && ticks.length <= 500 / 58);
  for (const at of ticks) assert.equal(new Date(at).getMinutes() % 5, 0);
});

const TRAIL = {
  points: Array.from({ length: 120 }, (_, minute) => {
    const end = (off) => iso(NOW + (100 + off) * MINUTE);
    return { at: iso(NOW + minute * MINUTE), battery: { p10: end(-8), p50: end(0), p90: end(9) } };
  }),
  swaps: [{ at: iso(NOW + 50 * MINUTE), what: "pack", label: "P09" }, { at: iso(NOW + 104 * MINUTE), what: "pack" }],
  ended: [{ at: iso(NOW + 98 * MINUTE), cause: "battery" }],
};

test("a discharge is told by what was said half an hour before its end, and only if it ended is it judged", () => {
  const [stopped, served, ...rest] = stories(TRAIL);
  assert.deepEqual(rest, [], "between the end and the fresh pack there was nothing to foresee");
  assert.equal(served.verdict, "served");
  assert.equal(served.before.ms, NOW + 23 * MINUTE, "half an hour, give or take three minutes");
  assert.equal(served.aheadMs, null);
  assert.equal(stopped.verdict, "inside");
  const early = { ...TRAIL, swaps: [], ended: [{ at: iso(NOW + 60 * MINUTE), cause: "battery" }] };
  assert.equal(stories(early)[0].verdict, "sooner");
  const late = { ...TRAIL, swaps: [], ended: [{ at: iso(NOW + 118 * MINUTE), cause: "battery" }] };
  assert.equal(stories(late)[0].verdict, "later");
  const [text] = stories(TRAIL).map(storyText);
  assert.match(text, /^\d\d:\d\d the battery ended\. Half an hour before, the forecast was .* inside that range\.$/);
});

test("a pack that lasted less than half an hour is told by the first that was said of it", () => {
  const short = { ...TRAIL, swaps: [{ at: iso(NOW + 12 * MINUTE), what: "pack", label: "P09" }], ended: [] };
  const [first] = stretches(short, "battery");
  assert.equal(forecastBefore(first).ms, NOW);
  assert.match(storyText(stories(short)[0]), /pack changed \(P09 went in\)\. 12 min before/);
  assert.deepEqual(stretches(short, "cards"), []);
});

test("in the picture a silence is a gap, a changed card falls straight, and what was foreseen meets what happened", () => {
  const points = Array.from({ length: 61 }, (_, minute) => ({
    at: iso(NOW + minute * MINUTE), readings: 1, mode: minute < 30 ? "recording" : "standby", battery: 90 - minute, cards: [minute < 40 ? minute : 0],
  })).filter((_, minute) => minute < 10 || minute > 20);
  const view = { from: NOW, to: NOW + 60 * MINUTE, width: 500 };
  const history = { step_s: 60, points };
  const { shapes, frame } = pastPicture(history, TRAIL, ["A"], view);
  const classes = (name) => shapes.filter((shape) => shape.class.split(" ").includes(name));
  assert.equal(classes("pic-battery").length, 2);
  const modes = classes("pic-mode").map((shape) => shape.class);
  assert.equal(modes.filter((name) => name.endsWith("recording")).length, 2);
  const after = classes("pic-card").at(-1).d.split("L").map((pair) => pair.replace("M", "").split(" ").map(Number));
  const fall = after.findIndex(([, y], index) => index > 0 && y > after[index - 1][1]);
  assert.equal(after[fall][0], after[fall - 1][0], "straight down");
  assert.equal(classes("pic-fan").length, 1, "one pack was changed in this hour");
  assert.equal(pastPicture(history, null, ["A"], view).shapes.some(({ class: name }) => name.startsWith("pic-fan")), false);
  assert.ok(classes("pic-event").every(({ x }) => x >= frame.left && x <= view.width));
  const promise = promisePicture(TRAIL, "battery", { ...view, to: NOW + 120 * MINUTE });
  const [dot] = promise.shapes.filter((shape) => shape.class === "pic-stopped");
  const [present] = promise.shapes.filter((shape) => shape.class === "pic-present");
  const [[x1, y1], [x2, y2]] = present.d.slice(1).split("L").map((pair) => pair.split(" ").map(Number));
  const onLine = y1 + ((dot.cx - x1) / (x2 - x1)) * (y2 - y1);
  assert.ok(Math.abs(onLine - dot.cy) < 0.5, "what happened lies on the present");
  assert.equal(promisePicture(TRAIL, "cards", view), null);
});

test("a display is shown and typed as the mixer counts, and what is none is told", () => {
  const profile = { gauge: "coulomb", position: "towpath", display: { screen: 0, index: 13 } };
  assert.equal(profileTexts(profile).display, "13");
  assert.equal(profileTexts({ display: { screen: 2, index: 13 } }).display, "2:13");
  assert.equal(profileTexts({}).display, "");
  const typed = (display) => profileWithChanges(profile, { display, position: "pontoon" });
  assert.deepEqual(typed(" 2 : 7 ").body, { gauge: "coulomb", position: "pontoon", display: { screen: 2, index: 7 } });
  assert.deepEqual(typed("0").body.display, { screen: 0, index: 0 });
  assert.equal(typed("").body.display, undefined, "taken away");
  assert.deepEqual(typed("").wrong, {});
  for (const wrong of ["CAM 1", "1:2:3", "-1", "1.5", "123456"]) assert.deepEqual(Object.keys(typed(wrong).wrong), ["display"], wrong);
  assert.deepEqual(profileWithChanges(profile, { position: "pontoon" }).body.display, profile.display, "what was not typed stays");
});

test("times on air are a thin line below the modes, cut at the edges of the picture; an older hub draws none", () => {
  const history = { step_s: 60, points: [{ at: iso(NOW - 30 * MINUTE), battery: 50, mode: "recording" }] };
  const forecasts = { from: iso(NOW - 60 * MINUTE), points: [], swaps: [], ended: [] };
  const view = { from: NOW - 60 * MINUTE, to: NOW, width: 660 };
  const strips = (more) => pastPicture(history, { ...forecasts, ...more }, [], view).shapes.filter((shape) => shape.class === "pic-air");
  const on_air = [{ from: iso(NOW - 90 * MINUTE), until: iso(NOW - 30 * MINUTE) }, { from: iso(NOW - 10 * MINUTE) }, { from: iso(NOW - 99 * MINUTE), until: iso(NOW - 60 * MINUTE) }];
  // The plot is 600 wide and begins at 38.
  assert.deepEqual(strips({ on_air }).map(({ x, width }) => [x, width]), [[38, 300], [538, 100]]);
  assert.deepEqual(strips({}), []);
});
