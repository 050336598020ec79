/**
 * The rundown on the screens, without a browser: what it says of a unit, how one change is merged into it, what the
 * panel reads out of a form, what the filter hides, and how long "whole show" is.
 */

import assert from "node:assert/strict";
import { test } from "node:test";
import { inMinutes, regattaRundown, unitView, windowView } from "./fleet-data.mjs";

const web = (name) => import(new URL(`../../server/web/assets/${name}.js`, import.meta.url));
const { nextView, ticks, windowLane } = await web("axis");
const { isOn, sift, NO_FILTER } = await web("filter");
const { orderOf, rowModel } = await web("rowmodel");
const { agrees, inForce, namesIn, readWindows, stretchesByUnit, stretchesOf } = await web("rundown");
const { spanOf } = await web("span");
const { Store } = await web("store");
const { StretchMemory, isHeld } = await web("stretches");
const { nearestClock, nextClock, toMs } = await web("time");
const { endNow, longer, merge, windowKey } = await web("windowedit");
const { mayEdit, windowFrom, windowLines } = await web("windowmodel");

const NOW = Date.parse("2026-06-13T09:14:05Z");
const MINUTE = 60_000;
const at = (minutes) => NOW + minutes * MINUTE;
const BOW = { unit: "BOW2", profile: { group: "finish" } };
const STERN = { unit: "STERN", profile: {} };

/** A window from and to minutes, called by its kind and its beginning. */
const win = (kind, from, to, is = {}) => windowView(NOW, [from, to], kind, { title: `${kind} ${from}`, ...is });

/** What is shown of a unit in minutes. */
const shown = (windows, unit, from = 0, until = 24 * 60) =>
  stretchesOf(readWindows(windows), unit, at(from), at(until)).shown.map((one) => [one.kind, minutes(one.from), minutes(one.until)]);
const rolling = (windows, unit, from = 0) =>
  stretchesOf(readWindows(windows), unit, at(from), at(24 * 60)).rolling.map((one) => [minutes(one.from), minutes(one.until)]);
const minutes = (ms) => (ms - NOW) / MINUTE;

test("a camera's own break lies inside an act that holds everybody", () => {
  const windows = [win("break", 20, 25, { units: ["BOW2"] }), win("held", 10, 60)];
  assert.deepEqual(shown(windows, BOW), [["held", 10, 20], ["break", 20, 25], ["held", 25, 60]]);
  assert.deepEqual(shown(windows, STERN), [["held", 10, 60]]);
});

test("held and rolling do not contradict each other: held is shown, and the camera rolls on", () => {
  const windows = [win("rolling", 0, 90), win("held", 30, 40, { groups: ["finish"] })];
  assert.deepEqual(shown(windows, BOW), [["rolling", 0, 30], ["held", 30, 40], ["rolling", 40, 90]]);
  assert.deepEqual(rolling(windows, BOW), [[0, 90]]);
  assert.deepEqual(shown(windows, STERN), [["rolling", 0, 90]]);
});

test("who works in the others' break is on no break", () => {
  const windows = [win("break", 0, 60), win("held", 20, 30, { units: ["BOW2"] }), win("rolling", 20, 30, { units: ["STERN"] })];
  assert.deepEqual(shown(windows, BOW), [["break", 0, 20], ["held", 20, 30], ["break", 30, 60]]);
  assert.deepEqual(rolling(windows, STERN), [[20, 30]]);
});

test("of equals the one that starts later holds, and then the later in the list", () => {
  const ofKinds = (windows) => shown(windows, BOW).map(([kind]) => kind);
  assert.deepEqual(ofKinds([win("break", 10, 20), win("rolling", 0, 60)]), ["rolling", "break", "rolling"]);
  assert.deepEqual(ofKinds([win("break", 0, 20), win("rolling", 0, 60)]), ["rolling"]);
  assert.deepEqual(ofKinds([win("rolling", 0, 60), win("break", 0, 20)]), ["break", "rolling"]);
});

test("a window may say its length; what cannot be read is left out, what is over is not shown", () => {
  const long = { kind: "held", start: inMinutes(NOW, 0), length_s: 600 };
  const broken = { kind: "held", start: inMinutes(NOW, 0) };
  assert.deepEqual(shown([long, broken, win("held", 5, 5), win("held", -9, -1)], BOW), [["held", 0, 10]]);
});

test("the window in force and the next are the hub's; a rundown that says something else is out of date", () => {
  const said = readWindows([win("held", -5, 10), win("break", 20, 30)]);
  const { window, next } = inForce(said, BOW, NOW);
  assert.deepEqual([window.kind, minutes(window.until), next.kind, minutes(next.from)], ["held", 10, "break", 20]);
  const sent = {
    ...BOW,
    as_of: inMinutes(NOW, 0),
    window: { kind: "held", title: "held -5", until: inMinutes(NOW, 10) },
    next_window: { kind: "break", title: "break 20", start: inMinutes(NOW, 20), until: inMinutes(NOW, 30) },
  };
  assert.equal(agrees(said, sent), true);
  assert.equal(agrees(said, { ...sent, window: { ...sent.window, until: inMinutes(NOW, 15) } }), false);
  assert.equal(agrees(said, { ...sent, next_window: undefined }), false);
  assert.equal(agrees([], { ...BOW, as_of: sent.as_of }), true);
});

test("without a rundown a unit's own words are shown: the window in force and the next", () => {
  const unit = { ...BOW, window: { kind: "held", until: inMinutes(NOW, 10) }, next_window: { kind: "rolling", start: inMinutes(NOW, 20), until: inMinutes(NOW, 30) } };
  const { shown: stretches, rolling: rolls } = stretchesByUnit(unit, at(-60));
  assert.deepEqual(stretches.map(({ kind, from, until }) => [kind, minutes(from), minutes(until)]), [["held", -60, 10], ["rolling", 20, 30]]);
  assert.equal(rolls.length, 1);
  assert.ok(isHeld({ shown: stretches }, NOW) && !isHeld({ shown: stretches }, at(10)));
});

test("the lane holds boxes for held and break and thin lines for rolling, and only what can be seen", () => {
  const view = nextView(null, NOW, 60);
  const said = readWindows([...regattaRundown(NOW), win("held", 600, 700)]);
  const lane = windowLane(view, stretchesOf(said, { unit: "FIN1", profile: { group: "finish" } }, at(-30), at(24 * 60)));
  assert.deepEqual(lane.boxes.map(({ word, title }) => `${word} ${title}`), ["HELD Heat 4 comes in", "HELD Final of the eights", "BREAK Lunch"]);
  assert.equal(lane.lines.length, 1);
  for (const { left, right } of lane.boxes) assert.ok(right > left);
});

test("stretches are worked out again only when the rundown, the group or the axis has changed", () => {
  const memory = new StretchMemory();
  const running = { windows: [], said: readWindows(regattaRundown(NOW)) };
  const view = nextView(null, NOW, 60);
  const first = memory.of(BOW, view, running);
  assert.equal(memory.of({ ...BOW, changed_seq: 9 }, nextView(view, at(1), 60), running), first);
  assert.notEqual(memory.of({ ...BOW, profile: { group: "start" } }, view, running), first);
  assert.notEqual(memory.of(BOW, view, { ...running, said: [...running.said] }), first);
});

test("one change is merged into the list as it is now, and can be taken back", () => {
  const [a, b, c] = [win("held", 0, 10), win("break", 10, 20), win("held", 20, 30)];
  const added = merge([a, b], { what: "add", after: c });
  assert.deepEqual(added.windows, [a, b, c]);
  assert.deepEqual(merge(added.windows, added.undo).windows, [a, b]);
  const removed = merge([a, b, c], { what: "remove", before: b });
  assert.deepEqual(removed.windows, [a, c]);
  assert.deepEqual(merge(removed.windows, removed.undo).windows, [a, b, c], "at its old place: of equals the later counts");
  const changed = merge([a, b, c], longer(b, 5 * MINUTE));
  assert.equal(toMs(changed.windows[1].end), at(25));
  assert.deepEqual(merge(changed.windows, changed.undo).windows, [a, b, c]);
});

test("a window that somebody else has changed meanwhile is not touched", () => {
  const seen = win("held", 0, 10);
  const theirs = { ...seen, title: "Heat 5" };
  for (const change of [longer(seen, 5 * MINUTE), { what: "remove", before: seen }]) {
    assert.deepEqual(merge([theirs], change), { windows: null, undo: null });
  }
  const rewritten = { ...seen, start: seen.start.replace(".000", ""), spread_s: 0, units: [] };
  assert.equal(windowKey(rewritten), windowKey(seen), "another spelling of the same is the same");
});

test("longer and end now keep the way in which the end was said", () => {
  const byLength = { kind: "held", start: inMinutes(NOW, -4), length_s: 600, spread_s: 30 };
  assert.deepEqual(longer(byLength, 5 * MINUTE).after, { ...byLength, length_s: 900 });
  assert.deepEqual(endNow(byLength, NOW).after, { ...byLength, length_s: 240 });
  assert.equal(endNow(win("held", -4, 9), NOW).after.end, new Date(NOW).toISOString());
  assert.equal(endNow(win("held", 0, 9), NOW + 500).what, "remove", "nothing is left of it");
  assert.equal(longer(win("held", 0, 24 * 60), MINUTE), null);
});

test("a clock time is the nearest one, an end the first one after the beginning", () => {
  const local = (hours, mins, day = 13) => new Date(2026, 5, day, hours, mins).getTime();
  assert.equal(nearestClock("14:30", local(14, 40)), local(14, 30));
  assert.equal(nearestClock("0:10", local(23, 50)), local(0, 10, 14));
  assert.equal(nearestClock("23:50", local(0, 10, 14)), local(23, 50));
  assert.equal(nextClock("1430", local(14, 30)), local(14, 30, 14));
  assert.equal(nextClock("15.05", local(14, 30)), local(15, 5));
  for (const wrong of ["", "24:00", "12:60", "noon", "1"]) assert.equal(nearestClock(wrong, NOW), null, wrong);
});

test("the form makes a window, or says what is wrong", () => {
  const form = { kind: "held", whom: "g:finish", title: " Heat 5 ", start: "", end: "", minutes: 10 };
  const { window } = windowFrom(form, NOW + 0.5);
  assert.deepEqual(window, { title: "Heat 5", start: inMinutes(NOW, 0), end: inMinutes(NOW, 10), kind: "held", groups: ["finish"] });
  assert.deepEqual(windowFrom({ ...form, whom: "fleet", title: "" }, NOW).window, { start: inMinutes(NOW, 0), end: inMinutes(NOW, 10), kind: "held" });
  assert.deepEqual(windowFrom({ ...form, whom: "u:BOW2" }, NOW).window.units, ["BOW2"]);
  assert.match(windowFrom({ ...form, start: "later" }, NOW).wrong, /no clock time/);
  assert.match(windowFrom({ ...form, minutes: null }, NOW).wrong, /until when/);
});

test("the list shows what is in force and to come, the next first, and counts what is over", () => {
  const { lines, past } = windowLines(readWindows(regattaRundown(NOW)), NOW);
  assert.equal(past, 1);
  assert.deepEqual(lines.map(({ word, inForce: on }) => `${word} ${on}`).slice(0, 3), ["HELD true", "rolling true", "HELD false"]);
  assert.deepEqual([lines[0].whom, lines[0].when, lines[2].when], ["group start", "7 min left", "in 3 min"]);
  const twins = windowLines(readWindows([win("held", 0, 10), win("held", 0, 10)]), NOW).lines;
  assert.notEqual(twins[0].id, twins[1].id);
});

test("only lead and owner may change windows", () => {
  assert.deepEqual(["cart", "runner", "lead", "owner"].map((role) => mayEdit({ role })), [false, false, true, true]);
  assert.equal(mayEdit(null), false);
});

test("the filter looks for every word in callsign, place and group; what is urgent and hidden is counted", () => {
  const units = [
    { unit: "BOW2", profile: { position: "start tower", group: "start" } },
    { unit: "FIN1", profile: { position: "Finish tower", group: "finish" } },
    { unit: "POD", profile: {} },
  ];
  const facts = { BOW2: { call: {}, silent: false, dark: false, held: true }, FIN1: { call: null, silent: true, dark: true, held: false }, POD: { call: null, silent: true, dark: false, held: false } };
  const sifted = (filter) => {
    const { shown: names, hidden } = sift(units, ({ unit }) => facts[unit], { ...NO_FILTER, ...filter });
    return [[...names].join(), hidden];
  };
  const none = { count: 0, calls: 0, dark: 0, silent: 0 };
  assert.deepEqual(sifted({}), ["BOW2,FIN1,POD", none]);
  assert.deepEqual(sifted({ text: "  TOWER fin" }), ["FIN1", { count: 2, calls: 1, dark: 0, silent: 1 }]);
  assert.deepEqual(sifted({ quiet: true })[0], "FIN1,POD");
  assert.deepEqual(sifted({ call: true }), ["BOW2", { count: 2, calls: 0, dark: 1, silent: 1 }]);
  assert.deepEqual(sifted({ call: true, held: true, text: "start" })[0], "BOW2");
  assert.equal(isOn({ ...NO_FILTER, text: "  " }), false);
});

test("rows stand by group, those without one last", () => {
  const unit = (name, group) => unitView(NOW, { unit: name, group, battery: [9, 9, 9] });
  assert.deepEqual(orderOf([unit("A"), unit("B2", "start"), unit("B10", "start"), unit("C", "finish")], "group", []), ["C", "B2", "B10", "A"]);
});

test("whole show: to the end of the present show, else of the last window, else eight hours, in steps", () => {
  const show = (name, from, to) => ({ name, start: inMinutes(NOW, from), end: inMinutes(NOW, to) });
  const shows = [show("Day", -100, 500), show("Finals", -10, 100), show("Later", 600, 700)];
  assert.deepEqual(spanOf(60, NOW, shows, []), { spanMin: 60, end: null, name: "" });
  assert.deepEqual(spanOf("show", NOW, shows, []), { spanMin: 105, end: at(100), name: "Finals" });
  assert.equal(spanOf("show", NOW + 30_000, shows, []).spanMin, 105, "rows do not move every second");
  const said = readWindows([win("held", -5, 10), win("break", 20, 170)]);
  assert.deepEqual(spanOf("show", NOW, [shows[2]], said), { spanMin: 180, end: at(170), name: "" });
  assert.deepEqual(spanOf("show", NOW, [], readWindows([win("held", -9, -1)])), { spanMin: 480, end: null, name: "" });
  assert.equal(spanOf("show", NOW, [show("Long", -5, 5 * 24 * 60)], []).spanMin, 24 * 60);
  assert.equal(spanOf("show", NOW, [show("Nearly over", -5, 2)], []).spanMin, 30);
});

test("every length of the axis has a few ticks at round clock times", () => {
  for (const spanMin of [20, 30, 45, 60, 105, 120, 240, 480, 720, 1440]) {
    const found = ticks(nextView(null, NOW, spanMin));
    assert.ok(found.length >= 3 && found.length <= 9, `${spanMin}: ${found.length}`);
    assert.ok(found.every((tick) => tick.at % (5 * MINUTE) === 0));
  }
});

test("the row says who has the call and since when, and its windows to those who do not see them", () => {
  const view = nextView(null, NOW, 60);
  const call = { number: 12, state: "claimed", claimed_by: "Tam", claimed_at: inMinutes(NOW, -3), by: inMinutes(NOW, 5) };
  const stretches = stretchesOf(readWindows(regattaRundown(NOW)), { unit: "BOW2", profile: { group: "start" } }, at(-20), at(90));
  const model = rowModel(unitView(NOW, { unit: "BOW2", battery: [11, 14, 19] }), call, view, false, stretches);
  assert.equal(model.flag, "12 ▸ Tam");
  assert.match(model.since, /^\d\d:\d\d$/);
  assert.match(model.aria, /battery ends about .*; held from \d\d:\d\d to \d\d:\d\d, Heat 4; held from .*Final of the eights; break from .*Lunch$/);
  assert.equal(rowModel(unitView(NOW, { unit: "BOW2" }), { ...call, state: "open" }, view, false).since, "");
});

test("names come from units and from windows, each once", () => {
  assert.deepEqual(namesIn([BOW, STERN], [win("held", 0, 1, { groups: ["start", "finish"] })]), { groups: ["finish", "start"], units: ["BOW2", "STERN"] });
});

test("the store notes which units may tell of a new rundown", () => {
  const store = new Store();
  const unit = { ...unitView(NOW, { unit: "BOW2", seq: 5 }), window: { kind: "held", until: inMinutes(NOW, 5) } };
  store.apply({ type: "unit", seq: 5, unit });
  assert.deepEqual(store.takeWindowNews(), [], "what was not held before is no news");
  store.apply({ type: "unit", seq: 6, unit: { ...unit, changed_seq: 6, received_at: inMinutes(NOW, 1) } });
  assert.deepEqual(store.takeWindowNews(), [], "a report");
  const held = store.units.get("BOW2");
  store.apply({ type: "unit", seq: 7, unit: { ...held, changed_seq: 7 } });
  assert.deepEqual(store.takeWindowNews(), [["BOW2", true]], "told anew, and nothing else can explain it");
  store.apply({ type: "unit", seq: 8, unit: { ...held, changed_seq: 8, received_at: inMinutes(NOW, 2), window: undefined } });
  assert.deepEqual(store.takeWindowNews(), [["BOW2", false]], "its window is over, or was taken away");
  store.apply({ type: "hello", start: "snapshot", epoch: "e" });
  assert.deepEqual(store.takeWindowNews(), [["", true]], "everything anew");
});
