/**
 * The forms of the unit sheet: a reading off the display, the unit's profile, its limits. Each lies folded until somebody
 * wants it, and is there only for roles that may use it.
 * @module sheetforms
 */

import { getLimits, putLimits, putProfile, sendReport } from "./api.js";
import { fill, make, show } from "./dom.js";
import { Form, readRefusal } from "./forms.js";
import { sheet as words } from "./panelwords.js";
import { LIMIT_FIELDS, PROFILE_FIELDS, TYPED_MODES, asTexts, fieldOfReport, limitsWithChanges, profileTexts, profileWithChanges, slotsOf, typedReport, uuid7 } from "./sheetsend.js";
import { MODES } from "./words.js";

/** @import { LimitsView, Role, Session, UnitView } from "swapcall-wire" */
/** @import { Answer } from "./api.js" */
/** @import { FieldPlan } from "./forms.js" */
/** @import { HubClock } from "./time.js" */

/** @type {Role[]} */
const MAY_REPORT = ["runner", "lead", "owner"];

/** @type {Role[]} */
const MAY_ARRANGE = ["lead", "owner"];

/** @param {string} pointer JSON Pointer */
const last = (pointer) => pointer.split("/").at(-1) ?? "";

/** A form that lies folded under its name. */
class Folded {
  /**
   * @param {string} title
   * @param {Role[]} roles who may use it
   * @param {FieldPlan[]} plan
   * @param {string} button
   */
  constructor(title, roles, plan, button) {
    this.roles = roles;
    /** @type {UnitView|null} */
    this.unit = null;
    this.form = new Form(plan, button, async () => {
      if (this.unit !== null) await this.send(this.unit);
    });
    this.root = make("details", "fold");
    fill(this.root, make("summary", "", title), this.form.root);
    this.root.addEventListener("toggle", () => this.root.open && this.unit !== null && this.opened(this.unit));
  }

  /** Sends what was typed. @param {UnitView} _unit */
  async send(_unit) {}

  /** Somebody unfolded it. @param {UnitView} _unit */
  async opened(_unit) {}

  /** Another unit came: what was typed for the last one is not meant for it. */
  reset() {
    this.root.open = false;
    this.form.clear();
  }

  /**
   * @param {UnitView} unit
   * @param {Session} session
   * @param {boolean} lost whether the hub is lost
   * @returns {boolean} whether it is there for this role
   */
  draw(unit, session, lost) {
    this.unit = unit;
    const may = this.roles.includes(session.role);
    show(this.root, may);
    this.form.block(lost);
    return may;
  }

  /**
   * Shows a refusal at the fields that the hub means.
   * @param {Answer<unknown>} answer
   * @param {(pointer: string) => string} fieldOf
   * @returns {boolean} whether it was one
   */
  refused(answer, fieldOf) {
    if (answer.outcome === "ok") return false;
    const { wrong, rest } = readRefusal(answer, fieldOf);
    this.form.complain(wrong, rest);
    return true;
  }
}

/** A reading that somebody takes off the display. */
export class ReadingForm extends Folded {
  /** @param {HubClock} clock */
  constructor(clock) {
    super(words.reading, MAY_REPORT, readingPlan([]), words.sendReading);
    this.clock = clock;
    /** @type {string|null} identity of the reading that is being typed: the same when it must be sent twice */
    this.id = null;
  }

  /**
   * @param {UnitView} unit
   * @param {Session} session
   * @param {boolean} lost
   */
  draw(unit, session, lost) {
    const may = super.draw(unit, session, lost);
    if (may) this.form.setPlan(readingPlan(slotsOf(unit)));
    return may;
  }

  /** @param {UnitView} unit */
  async send(unit) {
    const now = this.clock.now();
    if (now === null) return;
    this.id ??= uuid7(now, crypto.getRandomValues(new Uint8Array(10)));
    const stamp = { at: new Date(now).toISOString(), id: this.id };
    const { report, wrong, nothing } = typedReport(unit, this.form.values(), stamp);
    if (nothing || Object.keys(wrong).length > 0) return this.form.complain(wrong, nothing ? words.nothingTyped : "");
    const answer = await sendReport(report);
    // A hub that said no has stored nothing, so a mended reading is another one; no answer may still have been a yes.
    if (answer.outcome !== "unreachable") this.id = null;
    if (this.refused(answer, (pointer) => fieldOfReport(report, pointer))) return;
    this.form.clear();
    this.form.praise(words.readingSent);
  }
}

/** @param {string[]} slots @returns {FieldPlan[]} */
function readingPlan(slots) {
  /** @type {FieldPlan[]} */
  const cards = slots.map((slot) => ({ name: `slot_${slot}`, label: words.fields.slot(slot), kind: "number" }));
  /** @type {[string, string][]} */
  const modes = TYPED_MODES.map((mode) => [mode, MODES[mode].word]);
  return [
    { name: "battery", label: words.fields.battery, kind: "number" },
    ...cards,
    { name: "mode", label: words.fields.mode, kind: "choice", choices: [["", words.asBefore], ...modes] },
    { name: "pack", label: words.fields.pack, kind: "text" },
  ];
}

/** @returns {FieldPlan[]} */
function profilePlan() {
  /** @type {Partial<Record<string, FieldPlan["kind"]>>} */
  const kinds = { position: "text", group: "text", gauge: "choice", display: "text" };
  /** @type {[string, string][]} */
  const gauges = Object.entries(words.gauges);
  return PROFILE_FIELDS.map((name) => {
    const kind = kinds[name] ?? "number";
    return { name, label: words.fields[name], kind, ...(kind === "choice" ? { choices: gauges } : {}) };
  });
}

/** What the crew says about a unit before it reports. */
export class ProfileForm extends Folded {
  constructor() {
    super(words.profile, MAY_ARRANGE, profilePlan(), words.save);
  }

  /**
   * @param {UnitView} unit
   * @param {Session} session
   * @param {boolean} lost
   */
  draw(unit, session, lost) {
    const may = super.draw(unit, session, lost);
    if (may) this.form.put(profileTexts(unit.profile));
    return may;
  }

  /** @param {UnitView} unit */
  async send(unit) {
    // Laid over what the hub holds now, not over what it held when the sheet was opened.
    const { body, wrong } = profileWithChanges(unit.profile, this.form.changes());
    if (Object.keys(wrong).length > 0) return this.form.complain(wrong, "");
    const answer = await putProfile(unit.unit, body);
    const fieldOf = (/** @type {string} */ pointer) => (pointer.startsWith("/display") ? "display" : last(pointer));
    if (!this.refused(answer, fieldOf)) this.form.praise(words.saved);
  }
}

/** @returns {FieldPlan[]} */
const limitsPlan = () => LIMIT_FIELDS.map((name) => ({ name, label: words.limitFields[name], kind: "number" }));

/** When the hub speaks, for this unit. */
export class LimitsForm extends Folded {
  constructor() {
    super(words.limits, MAY_ARRANGE, limitsPlan(), words.save);
    this.root.firstElementChild?.after(make("p", "fold-hint", words.limitsHint));
  }

  /** @param {UnitView} unit */
  async opened(unit) {
    const answer = await getLimits();
    if (!this.refused(answer, () => "") && answer.outcome === "ok" && answer.body) this.#show(unit, answer.body);
  }

  /**
   * @param {UnitView} unit
   * @param {LimitsView} limits
   */
  #show(unit, { set, in_force: inForce }) {
    this.form.put(asTexts(set.units?.[unit.unit], LIMIT_FIELDS), asTexts(inForce, LIMIT_FIELDS));
  }

  /** @param {UnitView} unit */
  async send(unit) {
    // Read again first: the document is one for all units, and somebody else may have changed another.
    const held = await getLimits();
    if (this.refused(held, () => "") || held.outcome !== "ok" || !held.body) return;
    const { body, wrong } = limitsWithChanges(held.body.set, unit.unit, this.form.changes());
    if (Object.keys(wrong).length > 0) return this.form.complain(wrong, "");
    const answer = await putLimits(body);
    if (this.refused(answer, last) || answer.outcome !== "ok" || !answer.body) return;
    this.form.praise(words.saved);
    this.#show(unit, answer.body);
  }
}
