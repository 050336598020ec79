/**
 * How old what is known of a unit is. The hub says from when on a unit counts as late and as silent; this screen ages it
 * by itself, so that nothing old is shown as fresh when no message comes.
 * @module freshness
 */

/** @import { UnitView } from "swapcall-wire" */

import { toMs } from "./time.js";

/** @type {("fresh"|"late"|"silent")[]} */
const ORDER = ["fresh", "late", "silent"];

/**
 * @typedef {object} Age
 * @property {"never"|"fresh"|"late"|"silent"|"old"} state `old` is for all units while the hub is lost
 * @property {number|null} ageMs since the newest observation
 * @property {number|null} lateMs since the report was due; only when late
 * @property {number|null} heardAt the newest observation, milliseconds since 1970
 */

/**
 * @param {UnitView} unit a unit as sent by the hub
 * @param {number} now the hub's clock in milliseconds
 * @param {boolean} lost whether the hub is lost, which makes fresh values old
 * @returns {Age}
 */
export function ageOf(unit, now, lost) {
  const heardAt = toMs(unit.observed_at);
  const lateAfter = toMs(unit.late_after);
  const silentAfter = toMs(unit.silent_after);
  if (heardAt === null && unit.freshness === "never") {
    return { state: "never", ageMs: null, lateMs: null, heardAt: null };
  }
  const ageMs = heardAt === null ? null : Math.max(0, now - heardAt);
  let own = ORDER[0];
  if (lateAfter !== null && now >= lateAfter) own = "late";
  if (silentAfter !== null && now >= silentAfter) own = "silent";
  // While the hub is lost, a missing report says nothing about the unit; what was silent before stays silent.
  /** @type {Age["state"]} */
  let state = unit.freshness === "silent" ? "silent" : "old";
  if (!lost) state = worse(own, unit.freshness);
  const lateMs = state === "late" && lateAfter !== null ? Math.max(0, now - lateAfter) : null;
  return { state, ageMs, lateMs, heardAt };
}

/**
 * The worse of two states; one this screen does not know counts as fresh.
 * @param {string} a
 * @param {string} b
 */
function worse(a, b) {
  const place = (/** @type {string} */ state) => ORDER.findIndex((known) => known === state);
  return ORDER[Math.max(place(a), place(b), 0)];
}
