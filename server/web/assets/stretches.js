/**
 * What the rundown says of each unit around the present, worked out again only when something it rests on has changed.
 * @module stretches
 */

import { windowReach } from "./axis.js";
import { stretchesByUnit, stretchesOf } from "./rundown.js";

/** @import { UnitView } from "swapcall-wire" */
/** @import { Stretches } from "./rundown.js" */

/** A memory of stretches by unit. */
export class StretchMemory {
  constructor() {
    /** @type {Map<string, {rests: unknown[], stretches: Stretches}>} */
    this.byUnit = new Map();
  }

  /**
   * @param {UnitView} unit as sent
   * @param {import("./axis.js").View} view
   * @param {Pick<import("./running.js").Running, "windows"|"said">} running
   * @returns {Stretches}
   */
  of(unit, view, running) {
    const known = running.windows !== null;
    const rests = [running.said, view.anchor, view.spanMin, known ? unit.profile?.group : unit];
    const held = this.byUnit.get(unit.unit);
    if (held?.rests.every((one, index) => one === rests[index])) return held.stretches;
    const { left, right } = windowReach(view);
    const stretches = known ? stretchesOf(running.said, unit, left, right) : stretchesByUnit(unit, left);
    this.byUnit.set(unit.unit, { rests, stretches });
    return stretches;
  }

  /** @param {Map<string, UnitView>} units the others are forgotten */
  keepOnly(units) {
    for (const name of this.byUnit.keys()) if (!units.has(name)) this.byUnit.delete(name);
  }
}

/** @param {Stretches} stretches @param {number} now @returns {boolean} whether the unit must not be touched now */
export function isHeld({ shown }, now) {
  return shown.some(({ kind, from, until }) => kind === "held" && from <= now && until > now);
}
