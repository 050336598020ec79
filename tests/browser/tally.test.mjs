/**
 * On air and next, as the vision mixer says it: on the rows, on the calls, on the runner's page; and not as if it were so
 * still when the hub is lost.
 */
import assert from "node:assert/strict";
import { test as plain } from "node:test";

import { callView, inMinutes, unitView } from "./fleet-data.mjs";
import { callOf, untilText } from "./kit.mjs";
import { PHONE, job } from "./runner-kit.mjs";
import { NO_CONNECTION, play, test } from "./stage.mjs";

const web = (name) => import(new URL(`../../server/web/assets/${name}.js`, import.meta.url));
const { callModel } = await web("callmodel");
const { nextView } = await web("axis");
const { rowModel } = await web("rowmodel");

const NOW = Date.parse("2026-06-13T09:14:05Z");
const tallied = (light) => ({ ...unitView(NOW, { unit: "BOW2", battery: [11, 14, 19] }), tally: { light, since: inMinutes(NOW, -2) } });

plain("a row says what is on air and what is next, and of a lost hub only what was", () => {
  const said = (light, lost) => rowModel(tallied(light), null, nextView(null, NOW, 60), lost).air;
  assert.deepEqual(["program", "preview", "clear"].map((light) => said(light, false)), ["ON AIR", "NEXT", ""]);
  assert.deepEqual(["program", "preview", "clear"].map((light) => said(light, true)), ["was on air", "was next", ""]);
  assert.equal(rowModel(unitView(NOW, { unit: "BOW2" }), null, nextView(null, NOW, 60), false).air, "", "nobody said anything");
});

plain("a call says it beside what holds the unit", () => {
  const session = { name: "Mia", role: "runner", units: [] };
  const model = (unit) => callModel(callView(NOW, { number: 12, unit: "BOW2" }), NOW, session, unit);
  const held = { window: { kind: "held", title: "Heat 4", until: inMinutes(NOW, 5) } };
  assert.match(model(tallied("program")).held, /^ON AIR since \d\d:\d\d: do not touch\.$/);
  assert.equal(model(tallied("program")).heldNow, true);
  assert.match(model({ ...tallied("program"), ...held }).held, /^ON AIR .*\. HELD until \d\d:\d\d \(Heat 4\)/);
  assert.match(model(tallied("preview")).held, /^NEXT on air/);
  assert.equal(model(tallied("preview")).heldNow, false);
  assert.equal(model(tallied("clear")).held, "");
});

test("a light reaches row, call and runner's page at once, goes out again, and is past when the hub is gone", () =>
  play("walk", async ({ hub, open }) => {
    const light = (unit, is) => hub.put("unit", { ...hub.units.get(unit), tally: { light: is, since: new Date().toISOString() } });
    const [ops, phone] = [await open("token-mia"), await open("token-mia", PHONE)];
    const air = (page, unit) => page.locator(`.row[data-unit=${unit}] .air`);
    await job(phone, "BOW2").waitFor();
    light("BOW2", "program");
    await untilText(air(ops, "BOW2"), /^ON AIR$/);
    await untilText(callOf(ops, "BOW2").locator(".call-held"), /^ON AIR since \d\d:\d\d: do not touch\.$/);
    await untilText(job(phone, "BOW2").locator(".job-held"), /^ON AIR since/);
    light("BOW2", "clear");
    await air(ops, "BOW2").waitFor({ state: "hidden" });
    await job(phone, "BOW2").locator(".job-held").waitFor({ state: "hidden" });
    light("BOW2", "preview");
    await untilText(air(ops, "BOW2"), /^NEXT$/);
    await hub.stop();
    await untilText(air(ops, "BOW2"), /^was next$/);
  }, [NO_CONNECTION]));
