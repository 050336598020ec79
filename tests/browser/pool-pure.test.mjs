/**
 * What the screens make of the kit, without a page: labels, what brings a piece back, what is at stake, whose list counts.
 */

import assert from "node:assert/strict";
import { test } from "node:test";

const ASSETS = new URL("../../server/web/assets/", import.meta.url);
const load = (name) => import(new URL(name, ASSETS));
const { atRisk, called, fits, inOrder, leadsTo, lineOf, ofCard, ofPack, restoring, secondPress, sharing, twinOf } = await load("poolmodel.js");
const { Store } = await load("store.js");
const { PressQueue, verdict } = await load("runner-queue.js");

const NOW = Date.parse("2026-06-13T12:00:00Z");
const ago = (minutes) => new Date(NOW - minutes * 60_000).toISOString();
const pack = (label, more = {}) => ofPack({ pack: label, place: "ready", since: ago(30), ...more });
const card = (label, more = {}) => ofCard({ card: label, state: "blank", since: ago(30), verified_copies: 0, copies_wanted: 2, ...more });
const risk = { card: "C1", kind: "footage_in_slot", since: ago(1), unit: "BOW1", slot: "A", verified_copies: 0, copies_wanted: 2 };

test("a label is found as it is written, else without regard to case; one of each kind may have it", () => {
  const all = [pack("P1"), pack("p1"), card("P1"), card("X")];
  assert.deepEqual(called(all, " P1 ").map(({ kind }) => kind), ["pack", "card"]);
  assert.deepEqual(called(all, "x").map(({ label }) => label), ["X"]);
  assert.deepEqual(called(all, "P"), []);
  assert.ok(fits(pack("P9", { place: "unit", unit: "BOW2" }), "bow"));
  assert.ok(!fits(pack("P9"), "bow"));
});

test("what is in danger comes first, then labels as people count", () => {
  const all = [card("C10"), card("C2"), card("C30", { risk })];
  assert.deepEqual(inOrder(all).map(({ label }) => label), ["C30", "C2", "C10"]);
  assert.deepEqual(all.map(atRisk), [false, false, true]);
});

test("what brings a piece back says the whole place, and only what was blank may be blank again at any price", () => {
  assert.deepEqual(restoring(pack("P1", { place: "bay", bay: "B1" })).body, { place: "bay", bay: "B1" });
  assert.deepEqual(restoring(card("C1", { state: "in_slot", unit: "BOW1", slot: "A" })).body, { state: "in_slot", unit: "BOW1", slot: "A", despite_footage: false });
  assert.equal(restoring(card("C1")).body.despite_footage, true);
  assert.equal(leadsTo(restoring(card("C1", { state: "in_slot", unit: "BOW1", slot: "A" }))), "in BOW1 A");
});

test("a second press names what would go, or how seldom it was copied", () => {
  const { card: held } = card("C1", { state: "holding_footage", used_percent: 64, capacity_bytes: 256e9, verified_copies: 1 });
  const to = (state) => ({ kind: "card", label: "C1", body: { state, despite_footage: false } });
  assert.match(secondPress(held, to("blank")).go, /64 % full, 256 GB, 1 of 2 copies verified/);
  assert.match(secondPress(held, to("safe")).go, /^Safe all the same: C1, 1 of 2 copies verified$/);
});

test("was this one copied, or its twin?", () => {
  assert.equal(twinOf(card("C1").card), "");
  assert.match(twinOf(card("C1", { twin: "C2", twin_verified_copies: 2 }).card), /twin of C2.*C2 is 2 of 2 copies verified/);
  assert.match(twinOf(card("C1", { twin: "C2" }).card), /^twin of C2/);
});

test("a pack that charges says how far it is and when it is ready; a hub that knows less says less", () => {
  const charging = pack("P1", { place: "bay", bay: "B1", charge: { bay: "B1", percent: 64, ready_at: { p50: new Date(NOW + 60_000).toISOString() } } });
  assert.deepEqual([lineOf(charging, NOW).percent, /64 % · ready about/.test(lineOf(charging, NOW).facts)], [64, true]);
  assert.match(lineOf(charging, NOW + 120_000).facts, /should be full/);
  assert.deepEqual([lineOf(pack("P1", { place: "bay", bay: "B1" }), NOW).percent, lineOf(pack("P1"), NOW).mark], [null, ""]);
});

test("a list that says the same is the same list; one that differs shares what it can", () => {
  const held = [pack("P1"), card("C1")];
  assert.equal(sharing([pack("P1"), card("C1")], held), held);
  const shared = sharing([pack("P1"), card("C1", { state: "safe" })], held);
  assert.deepEqual([shared[0] === held[0], shared[1] === held[1]], [true, false]);
  assert.equal(sharing([pack("P1")], held).length, 1);
});

test("dangers outlive a new snapshot of the same hub until it has spoken; those of another hub do not", () => {
  const hello = (epoch) => ({ type: "hello", epoch, start: "snapshot", seq: 1 });
  const caughtUp = { type: "caught_up", seq: 1 };
  const beat = { type: "heartbeat", seq: 1, now: ago(0) };
  const begin = () => {
    const store = new Store();
    for (const message of [hello("one"), caughtUp, { type: "kit", revision: 3, risks: [risk] }]) store.apply(message);
    assert.deepEqual([store.risks, store.kitRevision], [[risk], 3]);
    return store;
  };
  const same = begin();
  same.apply(hello("one"));
  same.apply(beat);
  assert.equal(same.risks.length, 1, "its snapshot is not complete");
  same.apply(caughtUp);
  assert.equal(same.risks.length, 1);
  same.apply(beat);
  assert.equal(same.risks.length, 0, "it tells no kit");
  const other = begin();
  other.apply(hello("two"));
  assert.equal(other.risks.length, 0);
  const out = begin();
  out.forget();
  assert.deepEqual([out.risks, out.kitRevision], [[], null]);
});

test("a press about a piece waits like any other, is asked about when it is old, and is sent again without an answer", () => {
  let now = NOW;
  const kept = new Map();
  const storage = { getItem: (key) => kept.get(key) ?? null, setItem: (key, text) => kept.set(key, text) };
  const queue = new PressQueue(storage, () => now, "page");
  const move = { kind: "pack", label: "P1", body: { place: "spent" } };
  const press = queue.add({ kind: "kit", unit: "P1", who: "Mia", move });
  assert.deepEqual(queue.next("Mia")?.move, move);
  assert.equal(verdict({ ...press, unanswered: true }, undefined), "send");
  now += 11 * 60_000;
  assert.equal(queue.standing(press, "Mia"), "ask");
  kept.set("swapcall.presses", JSON.stringify([{ ...press, move: {} }]));
  assert.deepEqual(queue.all(), [], "what does not say what is to be sent");
});
