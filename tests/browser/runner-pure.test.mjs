/**
 * The parts of the runner's page that need no browser: the walk, the queue of presses, the sender, the typed reading.
 */

import assert from "node:assert/strict";
import { test } from "node:test";
import { callView, inMinutes, unitView } from "./fleet-data.mjs";

const web = (name) => import(new URL(`../../server/web/assets/${name}.js`, import.meta.url));
const { ASK_AFTER_MS, KEPT_PRESSES, PressQueue, verdict } = await web("runner-queue");
const { bringAloud, callModel, heldWindow } = await web("callmodel");
const { firstToLeave } = await web("runner-head");
const { OwnJobs, jobModel, projected, walkOf } = await web("runner-walk");
const { TypedReading, unitsLike } = await web("runner-typed");
const { PressSender } = await web("runner-send");
const { uuidV7 } = await web("uuid");
const { clockTime } = await web("time");

const NOW = Date.parse("2026-06-13T09:14:05Z");
const MINUTE = 60_000;
const MIA = { name: "Mia", role: "runner" };

const call = (unit, is = {}) => callView(NOW, { number: 1, unit, ...is });
const claimed = (who, more = {}) => ({ state: "claimed", claimed_by: who, lapses_at: inMinutes(NOW, 4), ...more });
const callsigns = (calls) => calls.map(({ unit }) => unit);

/** What a browser keeps, without a browser. */
function keeper(kept = new Map()) {
  return { getItem: (key) => kept.get(key) ?? null, setItem: (key, text) => kept.set(key, text) };
}

/** A queue with a clock in the test's hand. */
function queueAt(clock, storage = keeper(), page = "page-1") {
  return new PressQueue(storage, () => clock.now, page);
}

const press = (unit, action, more = {}) => ({ kind: "call", who: "Mia", unit, call: `call-${unit}`, action, revision: 1, ...more });

test("the walk: one's own calls first, then those nobody has, each by when one must leave; three, the rest apart", () => {
  const calls = [
    call("LATE", { number: 1, leave: 30 }),
    call("SOON", { number: 2, leave: 2 }),
    call("OWN2", { number: 3, leave: 20, more: claimed("Mia") }),
    call("OWN1", { number: 4, leave: 9, more: claimed("Mia") }),
    call("TAMS", { number: 5, leave: 1, more: claimed("Tam") }),
    call("NEXT", { number: 6, leave: 5 }),
  ];
  const walk = walkOf(calls, [], "Mia");
  assert.deepEqual(callsigns(walk.jobs), ["OWN1", "OWN2", "SOON"]);
  assert.deepEqual(callsigns(walk.rest), ["NEXT", "LATE"]);
  assert.deepEqual(callsigns(walk.others), ["TAMS"]);
  assert.equal(walk.mine, 2);
});

test("the walk leaves by leave-by, not by be-there: a far unit comes before a near one that is due earlier", () => {
  const calls = [call("NEAR", { by: 8, leave: 7 }), call("FAR", { by: 10, leave: 3 })];
  assert.deepEqual(callsigns(walkOf(calls, [], "Mia").jobs), ["FAR", "NEAR"]);
});

test("next door to base, where one leaves in the minute in which one must be there, only that is said", () => {
  const job = (is) => jobModel(call("NEAR", is), undefined, { now: NOW, session: MIA, lost: false, sending: false, unsent: false });
  for (const model of [(is) => callModel(call("NEAR", is), NOW, MIA), job]) {
    assert.equal(model({ by: 8.5, leave: 8.2 }).leave, "");
    assert.match(model({ by: 8.5, leave: 7.2 }).leave, /\d\d:\d\d.*7 min/);
    assert.match(model({ by: 0.3, leave: -0.1 }).leave, /LEAVE NOW|Leave now/, "which is not said by any other line");
  }
});

test("the head names the unit where the first to leave for is a call of nobody's beside one's own", () => {
  const first = (calls) => firstToLeave(walkOf(calls, [], "Mia"));
  const own = call("OWN", { number: 1, leave: 5, more: claimed("Mia") });
  const leave = (minutes) => Date.parse(inMinutes(NOW, minutes));
  assert.deepEqual(first([own, call("SOON", { number: 2, leave: 2 })]), { first: leave(2), unit: "SOON" });
  assert.deepEqual(first([own, call("LATE", { number: 2, leave: 9 })]), { first: leave(5), unit: "" });
  assert.deepEqual(first([call("ONE", { leave: 7 }), call("TWO", { number: 2, leave: 3 })]), { first: leave(3), unit: "" });
});

test("a held unit's call says when to swap, or that there is no time for it", () => {
  const held = (unit, by) => callModel(call("BOW2", { by }), NOW, MIA, unit).held;
  const window = (until) => ({ window: { kind: "held", until: inMinutes(NOW, until), title: "final A" } });
  const next = (start, until) => ({ next_window: { kind: "held", start: inMinutes(NOW, start), until: inMinutes(NOW, until) } });
  const at = (minutes) => clockTime(NOW + minutes * MINUTE);
  assert.equal(held(window(6), 9), `HELD until ${at(6)} (final A): do not touch. Swap from ${at(6)}, at the latest at ${at(9)}.`);
  assert.equal(held(window(9), 9), `HELD until ${at(9)} (final A): do not touch. No gap to swap before ${at(9)}: ask the lead.`);
  assert.equal(held(next(8, 20), 9), `HELD ${at(8)} to ${at(20)}: do not touch then. Swap before ${at(8)}.`);
  assert.equal(held(next(12, 20), 9), `HELD ${at(12)} to ${at(20)}: do not touch then.`, "it takes nothing away");
});

test("a call names the pack and the card that come out, as far as the unit said", () => {
  const out = (bring, is) => callModel(call("BOW2", { bring }), NOW, MIA, is && unitView(NOW, { unit: "BOW2", battery: [11, 14, 19], ...is })).out;
  const known = { pack: "P07", fill: [12, 88], labels: ["C04", "C12"] };
  assert.equal(out(["pack"], known), "Remove: pack P07");
  assert.equal(out(["pack", "card"], known), "Remove: pack P07, card C12 in B, 88 % full");
  assert.equal(out(["card"], { fill: [52, 3] }), "Remove: card in A, 52 % full");
  assert.equal(out(["pack"], {}), "", "no label, no size");
  assert.equal(out(["look"], known), "");
  const sized = { ...unitView(NOW, { unit: "BOW2", battery: [11, 14, 19] }), profile: { pack_wh: 98 } };
  assert.equal(callModel(call("BOW2", { bring: ["pack"] }), NOW, MIA, sized).out, "Remove: pack 98 Wh");
  assert.equal(out(["pack"]), "", "a unit that is not known");
});

test("a call names the pack and the card to bring, where the hub knows ready ones", () => {
  const texts = (bring, more) => callModel(call("BOW2", { bring, more }), NOW, MIA).bring.map(({ text }) => text);
  assert.deepEqual(texts(["pack", "card"], { pack: "P12", card: "C14" }), ["PACK P12", "CARD C14"]);
  assert.deepEqual(texts(["pack", "card"], { pack: "P12" }), ["PACK P12", "CARD"]);
  assert.deepEqual(texts(["look"], { pack: "P12" }), ["GO AND LOOK"]);
  assert.equal(bringAloud(call("BOW2", { bring: ["pack"], more: { pack: "P12" } })), "PACK P12");
});

test("the labels to carry are those of the jobs shown together", () => {
  const job = (unit, leave, more) => call(unit, { bring: ["pack", "card"], leave, more });
  const walk = walkOf([job("A", 1, { pack: "P1", card: "C1" }), job("B", 2, { pack: "P2" }), job("C", 3, {}), job("D", 4, { pack: "P4" })], [], "Mia");
  assert.deepEqual(walk.labels, { pack: ["P1", "P2"], card: ["C1"] });
});

test("a sentence of the hub that is older than a minute says its time", () => {
  const why = (minutes) => callModel(call("BOW2", { more: { said_at: inMinutes(NOW, minutes) } }), NOW, MIA).why;
  assert.equal(why(-0.5), callModel(call("BOW2"), NOW, MIA).why);
  assert.equal(why(-3), `${why(0)} (at ${clockTime(NOW - 3 * MINUTE)})`);
});

test("what to bring is counted over the jobs shown together, and over no others", () => {
  const bring = (unit, items, leave, more) => call(unit, { bring: items, leave, more });
  const calls = [
    bring("A", ["pack"], 1),
    bring("B", ["pack", "card"], 2),
    bring("C", ["look"], 3),
    bring("D", ["pack", "card"], 4),
    bring("E", ["card"], 0, claimed("Tam")),
  ];
  assert.deepEqual(walkOf(calls, [], "Mia").bring, { pack: 2, card: 1, look: 1 });
});

test("a press that is on its way already counts: taken is one's own, done is gone, handed back is open", () => {
  const open = call("A");
  const own = call("B", { more: claimed("Mia") });
  assert.equal(projected(open, [press("A", "claim", { call: open.id })], "Mia").claimed_by, "Mia");
  assert.equal(projected(own, [press("B", "release", { call: own.id })], "Mia").state, "open");
  const both = [press("A", "claim", { call: open.id }), press("A", "done", { call: open.id })];
  assert.equal(projected(open, both, "Mia").state, "done");
  assert.deepEqual(callsigns(walkOf([open, own], both, "Mia").jobs), ["B"]);
  assert.equal(open.state, "open", "the call itself is as the hub told it");
});

test("held now, held soon, not held: the screen ages the windows by itself", () => {
  const now = { window: { kind: "held", title: "final A", until: inMinutes(NOW, 6) } };
  const soon = { next_window: { kind: "held", start: inMinutes(NOW, 10), until: inMinutes(NOW, 20) } };
  assert.deepEqual(heldWindow(now, NOW), { from: null, until: NOW + 6 * MINUTE, title: "final A" });
  assert.equal(heldWindow(now, NOW + 6 * MINUTE), null, "over");
  assert.deepEqual(heldWindow(soon, NOW), { from: NOW + 10 * MINUTE, until: NOW + 20 * MINUTE, title: "" });
  assert.equal(heldWindow(soon, NOW + 12 * MINUTE).from, null, "begun meanwhile, without a word of the hub");
  assert.equal(heldWindow(soon, NOW - 30 * MINUTE), null, "far ahead");
  assert.equal(heldWindow({ window: { kind: "rolling", until: inMinutes(NOW, 6) } }, NOW), null);
  assert.equal(heldWindow(undefined, NOW), null);
});

test("a job says by clock and by minutes, whose it is, and how old its news are", () => {
  const unit = unitView(NOW, { unit: "BOW2", battery: [11, 14, 19], heardAgo_s: 4 });
  const seen = { now: NOW, session: MIA, lost: false, sending: false, unsent: false };
  const open = jobModel(call("BOW2", { by: 9.2, leave: 5.5 }), unit, seen);
  assert.equal(open.by, `by ${clockTime(NOW + 9.2 * MINUTE)}`);
  assert.equal(open.inTime, "in 9 min");
  assert.equal(open.leave, `Leave by ${clockTime(NOW + 5.5 * MINUTE)}, in 5 min`);
  assert.deepEqual([open.main, open.release, open.stateName], ["claim", false, "open"]);
  assert.match(open.age, /heard 4 s ago/);
  const own = jobModel(call("BOW2", { by: -2, leave: -6, more: claimed("Mia") }), unit, seen);
  assert.deepEqual([own.main, own.release, own.stateName], ["done", true, "mine"]);
  assert.deepEqual([own.inTime, own.leave, own.overdue], ["2 min LATE", "LEAVE NOW", true]);
  assert.match(own.state, /^YOURS until/);
  const others = jobModel(call("BOW2", { more: claimed("Tam") }), unit, seen);
  assert.deepEqual([others.main, others.stateName], ["", "others"], "nobody presses what somebody else has");
  assert.match(jobModel(call("BOW2"), unit, { ...seen, lost: true }).age, /^OLD: heard 4 s ago/);
  assert.match(jobModel(call("BOW2"), unit, { ...seen, unsent: true }).state, /^NOT SENT YET/);
  assert.equal(jobModel(call("BOW2", { more: claimed("Mia") }), unit, { ...seen, sending: true }).state, "sending …", "not yours before the hub says so");
  const cart = jobModel(call("BOW2"), unit, { ...seen, session: { name: "c", role: "cart" } });
  assert.equal(cart.main, "", "who may not serve gets no press");
});

test("news of one's own jobs: no longer needed, freed, taken, dark; nothing about what one did oneself", () => {
  const own = new OwnJobs();
  const none = new Set();
  const calls = new Map([["W", "withdrawn"], ["F", "open"], ["T", "claimed"], ["D", "done"], ["G", "gone"]].map(([unit]) => [unit, { ...call(unit, { more: claimed("Mia") }), id: unit }]));
  assert.deepEqual(own.news(calls, "Mia", none), []);
  assert.deepEqual(own.news(calls, "Mia", new Set(["D"])), [], "pressed, and not yet known to the hub");
  for (const [id, change] of [["W", { state: "withdrawn" }], ["F", { state: "open", claimed_by: undefined }], ["T", { claimed_by: "Tam" }], ["D", { state: "done" }]]) {
    calls.set(id, { ...calls.get(id), ...change });
  }
  calls.delete("G");
  const news = own.news(calls, "Mia", none).map(({ call: { unit }, what }) => `${unit} ${what}`);
  assert.deepEqual(news, ["W withdrawn", "F freed", "T taken", "G gone"]);
  assert.deepEqual(own.news(calls, "Mia", none), [], "once");
});

test("the queue keeps presses in order over a reload, and no more than it can bear", () => {
  const clock = { now: NOW };
  const storage = keeper();
  const queue = queueAt(clock, storage);
  for (let index = 0; index < KEPT_PRESSES; index += 1) assert.ok(queue.add(press(`U${index}`, "claim")));
  assert.equal(queue.add(press("MORE", "claim")), null, "refused, not dropped from the front");
  const again = queueAt(clock, storage, "page-2");
  assert.deepEqual(again.all().map(({ unit }) => unit), Array.from({ length: KEPT_PRESSES }, (_, index) => `U${index}`));
  assert.equal(new Set(again.all().map(({ id }) => id)).size, KEPT_PRESSES, "each has an identity of its own");
});

test("a press older than ten minutes is asked about; it holds back later ones for its unit and no others", () => {
  const clock = { now: NOW };
  const queue = queueAt(clock);
  const old = queue.add(press("A", "claim"));
  clock.now += ASK_AFTER_MS.call;
  assert.equal(queue.next("Mia").id, old.id, "ten minutes are still fine");
  clock.now += 1;
  queue.add(press("A", "done"));
  queue.add(press("B", "claim"));
  assert.equal(queue.standing(old, "Mia"), "ask");
  assert.equal(queue.next("Mia").unit, "B");
  queue.agree(old.id);
  assert.equal(queue.next("Mia").id, old.id, "sent after somebody said so, and first");
});

test("a clock that was set back makes a press of unknown age: asked about", () => {
  const clock = { now: NOW };
  const queue = queueAt(clock);
  queue.add(press("A", "claim"));
  clock.now -= 60_000;
  assert.equal(queue.next("Mia"), null);
  assert.equal(queue.standing(queue.all()[0], "Mia"), "ask");
});

test("a reading carries its time and is sent for longer than a press", () => {
  const clock = { now: NOW };
  const queue = queueAt(clock);
  const report = { id: uuidV7(NOW), unit: "A", at: inMinutes(NOW, 0), source: "typed" };
  queue.add({ kind: "report", who: "Mia", unit: "A", report });
  clock.now += 60 * MINUTE;
  assert.equal(queue.next("Mia").id, report.id, "known by the report's own id");
});

test("what somebody else pressed on this phone is not sent in another name", () => {
  const queue = queueAt({ now: NOW });
  queue.add(press("A", "claim", { who: "Tam" }));
  queue.add(press("B", "claim"));
  assert.equal(queue.next("Mia").unit, "B");
  assert.equal(queue.standing(queue.all()[0], "Mia"), "foreign");
});

test("a press under way in another page is left alone until that page is surely gone", () => {
  const clock = { now: NOW };
  const storage = keeper();
  const [one, two] = [queueAt(clock, storage, "one"), queueAt(clock, storage, "two")];
  const { id } = one.add(press("A", "claim"));
  two.add(press("B", "claim"));
  one.begin(id);
  assert.equal(one.next("Mia"), null, "not twice from the same page");
  assert.equal(two.next("Mia"), null, "nor out of order from another");
  clock.now += 10_001;
  assert.equal(two.next("Mia").id, id);
});

test("a browser that keeps nothing still sends, and says so; what cannot be read is left out", () => {
  const none = new PressQueue({ getItem: () => null, setItem: () => { throw new Error("full"); } }, () => NOW);
  assert.equal(none.durable, true);
  none.add(press("A", "claim"));
  assert.equal(none.durable, false);
  assert.equal(none.next("Mia").unit, "A");
  assert.equal(new PressQueue(null, () => NOW).next("Mia"), null);
  const odd = JSON.stringify([null, 7, { id: "x" }, { ...press("B", "claim"), id: "b", at: NOW }, { kind: "report", id: "r", who: "Mia", unit: "A", at: NOW }]);
  assert.deepEqual(queueAt({ now: NOW }, keeper(new Map([["swapcall.presses", odd]]))).all().map(({ id }) => id), ["b"]);
  for (const text of ["{", "{}", "null"]) assert.deepEqual(queueAt({ now: NOW }, keeper(new Map([["swapcall.presses", text]]))).all(), []);
});

test("a press without an answer is judged by what the hub says of the call", () => {
  const sent = (action, more = {}) => ({ ...press("A", action), unanswered: true, ...more });
  const open = { state: "open", revision: 1 };
  const mine = { state: "claimed", claimed_by: "Mia", revision: 2 };
  assert.equal(verdict(press("A", "claim"), open), "send", "never tried: nothing to judge");
  assert.equal(verdict(sent("claim"), mine), "arrived");
  assert.equal(verdict(sent("claim"), open), "send", "the call is as it was: it cannot have arrived");
  assert.equal(verdict(sent("claim"), { ...open, revision: 3 }), "ask", "something happened: perhaps this, and then its end");
  assert.equal(verdict(sent("claim"), undefined), "ask");
  assert.equal(verdict(sent("done"), undefined), "arrived");
  assert.equal(verdict(sent("done"), { ...open, state: "done", ended_at: "2026-06-13T09:14:05Z" }), "arrived");
  assert.equal(verdict(sent("release", { revision: 2 }), mine), "send");
  assert.equal(verdict(sent("release", { revision: 2 }), { ...open, revision: 3 }), "arrived");
  assert.equal(verdict(sent("undo"), mine), "arrived");
  assert.equal(verdict({ ...press("A", "claim"), trying: { page: "gone", at: 0 } }, mine), "arrived", "a page that went away while it sent");
  assert.equal(verdict({ ...sent("claim"), kind: "report" }, undefined), "send", "the hub knows a repeated report by its id");
  assert.equal(verdict(sent("claim", { agreed: true }), undefined), "send");
});

/** A sender with the hub's answers in the test's hand: the network is a list of what comes back. */
function sending(t, queue, answers) {
  const asked = [];
  t.mock.method(globalThis, "fetch", async (path, { body, headers }) => {
    asked.push({ path, body: JSON.parse(body), key: headers["Idempotency-Key"] });
    const answer = answers.shift();
    if (answer === undefined) throw new TypeError("no network");
    return { ok: answer.status < 400, status: answer.status, text: async () => JSON.stringify(answer.body ?? {}) };
  });
  const settled = [];
  const calls = new Map();
  const live = { now: true };
  const sender = new PressSender({
    queue,
    sender: () => (live.now ? "Mia" : null),
    callOf: (id) => calls.get(id),
    onSettled: ({ press: { unit }, outcome }) => settled.push(`${unit} ${outcome}`),
    onChange: () => {},
    onSignedOut: () => (live.now = false),
  });
  t.after(() => clearTimeout(sender.again));
  return { sender, asked, settled, calls, live };
}

test("sent in order, each once, by one request after the other", async (t) => {
  const queue = queueAt({ now: NOW });
  for (const unit of ["A", "B", "C"]) queue.add(press(unit, "claim"));
  const { sender, asked, settled } = sending(t, queue, [{ status: 200 }, { status: 409 }, { status: 200 }]);
  await Promise.all([sender.run(), sender.run()]);
  await sender.run();
  assert.deepEqual(asked.map(({ path }) => path), ["A", "B", "C"].map((unit) => `/v1/calls/call-${unit}/claim`));
  assert.deepEqual(settled, ["A ok", "B refused", "C ok"]);
  assert.equal(new Set(asked.map(({ key }) => key)).size, 3);
  assert.deepEqual(queue.all(), []);
});

test("a hub that goes away in between: the rest waits, and nothing goes out twice when it is back", async (t) => {
  const queue = queueAt({ now: NOW });
  for (const unit of ["A", "B"]) queue.add(press(unit, "claim"));
  const { sender, asked, settled, calls } = sending(t, queue, [{ status: 200 }]);
  await sender.run();
  assert.deepEqual(settled, ["A ok"]);
  assert.equal(queue.all()[0].unanswered, true);
  calls.set("call-B", { state: "claimed", claimed_by: "Mia", revision: 2 });
  await sender.run();
  assert.deepEqual(settled, ["A ok", "B ended"], "its answer was lost, the press was not");
  assert.equal(asked.length, 2, "not asked again");
});

test("a hub that says it did nothing is asked again; one that knows us no longer keeps the press", async (t) => {
  const queue = queueAt({ now: NOW });
  queue.add(press("A", "claim"));
  const { sender, asked, live } = sending(t, queue, [{ status: 503 }, { status: 401 }]);
  await sender.run();
  assert.equal(queue.all()[0].unanswered, undefined);
  await sender.run();
  assert.equal(live.now, false);
  assert.equal(queue.all().length, 1);
  assert.equal(asked[0].key, asked[1].key, "the same press");
});

test("a refused claim takes the hand-back behind it along: a lead's word would free what another has", async (t) => {
  const queue = queueAt({ now: NOW });
  queue.add(press("A", "claim"));
  queue.add(press("A", "release", { undoes: "claim" }));
  const { sender, asked } = sending(t, queue, [{ status: 409, body: { claimed_by: "Tam" } }]);
  await sender.run();
  assert.deepEqual(asked.map(({ path }) => path), ["/v1/calls/call-A/claim"]);
  assert.deepEqual(queue.all(), []);
});

test("a reading goes out with the time of sending, and keeps the time of typing", async (t) => {
  const clock = { now: NOW };
  const queue = queueAt(clock);
  const report = { id: uuidV7(NOW), unit: "A", at: new Date(NOW).toISOString(), battery: { percent: 45 }, source: "typed" };
  queue.add({ kind: "report", who: "Mia", unit: "A", report });
  clock.now += 7 * MINUTE;
  const { sender, asked, settled } = sending(t, queue, [{ status: 200, body: { results: [{ status: "duplicate" }] } }]);
  await sender.run();
  assert.deepEqual(asked[0].body, { ...report, sent_at: new Date(NOW + 7 * MINUTE).toISOString() });
  assert.deepEqual(settled, ["A ok"], "known already is as good as stored");
});

test("a typed reading: digits up to 100, as it was, taken back; only what was typed is sent", () => {
  const unit = unitView(NOW, { unit: "BOW2", battery: [11, 14, 19], percent: 63, fill: [40] });
  const reading = new TypedReading(unit);
  assert.equal(reading.ready(), false);
  for (const [digit, fits] of [["1", true], ["2", true], ["3", false]]) assert.equal(reading.digit(digit), fits);
  assert.equal(reading.value("battery"), 12);
  reading.back();
  reading.back();
  assert.equal(reading.value("battery"), null);
  for (const digit of ["0", "7"]) reading.digit(digit);
  assert.equal(reading.value("battery"), 7);
  reading.choose("slot:A");
  reading.asLast();
  assert.equal(reading.value("slot:A"), 40);
  reading.back();
  reading.back();
  reading.mode = "standby";
  assert.deepEqual(reading.report("id-1", NOW), {
    id: "id-1", unit: "BOW2", at: "2026-06-13T09:14:05.000Z", source: "typed", mode: "standby", battery: { percent: 7, external: false, step: 1 },
  });
});

test("a typed card takes the other slot along as last known: a slot left out would be gone", () => {
  const unit = unitView(NOW, { unit: "BOW2", fill: [40, 3] });
  unit.cards.slots[0].capacity_bytes = 128e9;
  const reading = new TypedReading(unit);
  reading.choose("slot:A");
  for (const digit of "52") reading.digit(digit);
  assert.deepEqual(reading.report("i", NOW).cards, {
    slot_mode: "relay", slots: [{ slot: "A", used_percent: 52, capacity_bytes: 128e9 }, { slot: "B", used_percent: 3 }],
  });
  assert.deepEqual(reading.slots().map(({ typed }) => typed), [true, false], "and the sheet can say which");
  assert.equal(reading.report("i", NOW).battery, undefined);
});

test("a unit that never reported has a battery and one card; external power stays unless somebody says otherwise", () => {
  const fresh = new TypedReading(unitView(NOW, { unit: "NEW", never: true }));
  assert.deepEqual(fresh.fields.map(({ name, last }) => [name, last]), [["battery", null], ["slot:A", null]]);
  fresh.asLast();
  assert.equal(fresh.ready(), false);
  const plugged = new TypedReading(unitView(NOW, { unit: "CRANE", battery: [1, 2, 3], external: true }));
  plugged.digit("9");
  assert.equal(plugged.report("i", NOW).battery.external, true);
});

test("units are found by letters of callsign or place", () => {
  const units = ["BOW10", "BOW2", "FIN1"].map((unit) => unitView(NOW, { unit, position: unit === "FIN1" ? "by the bower" : "start" }));
  assert.deepEqual(callsigns(unitsLike(units, "bow")), ["BOW2", "BOW10", "FIN1"]);
  assert.deepEqual(callsigns(unitsLike(units, " fin")), ["FIN1"]);
  assert.deepEqual(unitsLike(units, "zzz"), []);
});

test("identities are UUIDs of version 7: the example of RFC 9562, appendix A.6", () => {
  const chance = Uint8Array.from("0000000000000cc318c4dc0c0c07398f".match(/../g), (pair) => parseInt(pair, 16));
  assert.equal(uuidV7(0x017f22e279b0, chance), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
  assert.ok(uuidV7(1000) < uuidV7(1001));
});
