/**
 * The screens and the real hub agree on what a rundown says: for many rundowns made by chance from a fixed seed, the
 * window in force and the next one, worked out here, are those the hub sends.
 */
import assert from "node:assert/strict";
import { after, before, test } from "node:test";

import { RealHub } from "./real-hub.mjs";

const { agrees, inForce, readWindows } = await import(new URL("../../server/web/assets/rundown.js", import.meta.url));

const MINUTE = 60_000;
const ROUNDS = 60;
const UNITS = { BOW1: "start", BOW2: "start", FIN1: "finish", FIN2: "finish", POD: undefined };

let hub;
before(async () => {
  hub = await RealHub.start();
  for (const [unit, group] of Object.entries(UNITS)) await hub.putUnit(unit, group ? { group } : {});
});
after(() => hub?.remove());

/** Numbers from 0 up to `below`, the same in each run (a 32-bit linear congruential generator). */
function chance(seed) {
  let state = seed >>> 0;
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

/** Few instants and few names, so that windows meet and overlap often. */
function someWindows(pick, now) {
  return Array.from({ length: 1 + pick(9) }, (_, index) => {
    const start = new Date(now + (pick(9) - 4) * 10 * MINUTE).toISOString();
    const lasts = (1 + pick(6)) * 10;
    const end = pick(2) === 0 ? { length_s: lasts * 60 } : { end: new Date(Date.parse(start) + lasts * MINUTE).toISOString() };
    const whom = [{}, {}, { groups: ["start"] }, { groups: ["finish", "start"] }, { units: ["BOW1"] }, { units: ["FIN1", "POD"], groups: ["start"] }][pick(6)];
    return { ...(pick(3) === 0 ? {} : { title: `window ${index}` }), start, ...end, kind: ["rolling", "held", "break"][pick(3)], ...whom };
  });
}

test(`of ${ROUNDS} rundowns made by chance the screen says what the hub says`, async () => {
  const pick = chance(20_260_613);
  let said = 0;
  for (let round = 0; round < ROUNDS; round += 1) {
    const windows = someWindows(pick, Date.now() + 3 * MINUTE);
    await hub.send("PUT", "/v1/rundown", { windows });
    const [{ windows: set }, { units }] = [await hub.send("GET", "/v1/rundown"), await hub.send("GET", "/v1/fleet")];
    assert.equal(units.length, Object.keys(UNITS).length);
    const read = readWindows(set);
    for (const unit of units) {
      const mine = inForce(read, unit, Date.parse(unit.as_of));
      const sent = { window: unit.window, next_window: unit.next_window };
      assert.ok(agrees(read, unit), `round ${round}, ${unit.unit}: ${JSON.stringify({ windows, mine, sent })}`);
      said += Number(mine.window !== null) + Number(mine.next !== null);
    }
  }
  assert.ok(said > ROUNDS * 5, `only ${said} windows were compared`);
});
