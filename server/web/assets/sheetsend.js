/**
 * What the forms of the unit sheet send, worked out without touching page or hub.
 * @module sheetsend
 */

import { readNumber } from "./forms.js";
import { forms, sheet as words } from "./panelwords.js";

/** @import { CardsReport, Display, LimitsDocument, Mode, Report, UnitProfile, UnitView } from "swapcall-wire" */

/** A card whose fill falls by more than this many percent is another card. */
const ANOTHER_CARD_PCT = 5;

/** Members of the profile that the sheet sets, as the hub calls them. */
export const PROFILE_FIELDS = /** @type {const} */ (["position", "group", "walk_s", "gauge", "pack_wh", "recording_w", "standby_w", "bit_rate_mbps", "display"]);

/** Members of the profile that are no numbers. */
const TEXT_FIELDS = ["position", "group", "gauge"];

/** Members of the limits, as the hub calls them. */
export const LIMIT_FIELDS = /** @type {const} */ (["fetch_s", "walk_s", "swap_s", "margin_s", "ease_s", "min_open_s", "remind_s"]);

/** Modes that can be typed. @type {Mode[]} */
export const TYPED_MODES = ["recording", "standby", "off"];

/**
 * @template {string} Name
 * @param {Partial<Record<Name, unknown>>|null|undefined} values as sent by the hub
 * @param {readonly Name[]} names
 * @returns {Record<string, string>} as a form shows them
 */
export function asTexts(values, names) {
  return Object.fromEntries(names.map((name) => [name, values?.[name] === undefined || values[name] === null ? "" : String(values[name])]));
}

/**
 * Lays changes over what the hub holds, because it takes the whole and forgets what is left out.
 * @template {object} Held
 * @param {Held} held as sent by the hub
 * @param {Record<string, string>} changes as typed; an empty text takes the member away
 * @returns {{body: Held, wrong: Record<string, string>}}
 */
export function withChanges(held, changes) {
  /** @type {Record<string, string>} */
  const wrong = {};
  /** @type {string[]} */
  const gone = [];
  /** @type {[string, string|number][]} */
  const set = [];
  for (const [name, text] of Object.entries(changes)) {
    const value = TEXT_FIELDS.includes(name) ? text || null : readNumber(text);
    if (value === undefined) wrong[name] = forms.noNumber;
    else if (value === null) gone.push(name);
    else set.push([name, value]);
  }
  const kept = Object.fromEntries(Object.entries(held).filter(([name]) => !gone.includes(name)));
  return { body: Object.assign(/** @type {Held} */ (kept), Object.fromEntries(set)), wrong };
}

/**
 * A profile as a form shows it.
 * @param {UnitProfile|null|undefined} profile as sent by the hub
 * @returns {Record<string, string>}
 */
export function profileTexts(profile) {
  return { ...asTexts(profile, PROFILE_FIELDS), display: displayText(profile?.display) };
}

/** @param {Display|null|undefined} display @returns {string} `13`, or `2:13` on screen 2 */
function displayText(display) {
  if (!display) return "";
  return display.screen ? `${display.screen}:${display.index}` : String(display.index);
}

/**
 * The profile with what was typed laid over it.
 * @param {UnitProfile} profile as sent by the hub
 * @param {Record<string, string>} changes as typed
 * @returns {{body: UnitProfile, wrong: Record<string, string>}}
 */
export function profileWithChanges(profile, { display, ...others }) {
  const { body, wrong } = withChanges(profile, others);
  if (display === undefined) return { body, wrong };
  const [, screen = "0", index] = /^(?:(\d{1,5}):)?(\d{1,5})$/.exec(display.replaceAll(" ", "")) ?? [];
  if (display.trim() !== "" && index === undefined) wrong.display = words.noDisplay;
  return { body: { ...body, display: index === undefined ? undefined : { screen: Number(screen), index: Number(index) } }, wrong };
}

/**
 * The limits with this unit's own changed, and everybody else's as they are.
 * @param {LimitsDocument} set what was set, as sent by the hub
 * @param {string} unit
 * @param {Record<string, string>} changes as typed
 * @returns {{body: LimitsDocument, wrong: Record<string, string>}}
 */
export function limitsWithChanges(set, unit, changes) {
  const { body: own, wrong } = withChanges(set.units?.[unit] ?? {}, changes);
  const units = { ...set.units, [unit]: own };
  if (Object.keys(own).length === 0) delete units[unit];
  return { body: { fleet: set.fleet ?? {}, units }, wrong };
}

/** The slots to ask for: those that are known, or the usual two. @param {UnitView} unit @returns {string[]} */
export function slotsOf(unit) {
  const known = (unit.cards?.slots ?? []).map(({ slot }) => slot);
  return known.length > 0 ? known : ["A", "B"];
}

/** @typedef {(name: string) => number|null} Reader the number in a field, `null` for none; notes what is no number */

/**
 * A reading that somebody took off the display.
 * @param {UnitView} unit as sent by the hub
 * @param {Record<string, string>} typed `battery`, `pack`, `mode`, and `slot_A` …
 * @param {{at: string, id: string}} stamp the moment, on the hub's clock, and the report's identity
 * @returns {{report: Report, wrong: Record<string, string>, nothing: boolean}}
 */
export function typedReport(unit, typed, { at, id }) {
  /** @type {Record<string, string>} */
  const wrong = {};
  /** @type {Reader} */
  const number = (name) => {
    const value = readNumber(typed[name] ?? "");
    if (value === undefined) wrong[name] = forms.noNumber;
    return value ?? null;
  };
  /** @type {Report} */
  const report = { id, unit: unit.unit, at, sent_at: at, source: "typed" };
  const percent = number("battery");
  if (percent === null && typed.pack && !wrong.battery) wrong.battery = words.packNeedsBattery;
  if (percent !== null) report.battery = { percent, ...(typed.pack ? { pack: typed.pack } : {}) };
  const mode = TYPED_MODES.find((one) => one === typed.mode);
  if (mode) report.mode = mode;
  const cards = cardsOf(unit, number, wrong);
  if (cards) report.cards = cards;
  const nothing = Object.keys(wrong).length === 0 && !report.battery && !report.mode && !report.cards;
  return { report, wrong, nothing };
}

/**
 * A card reading counts for all slots, so each known one must be read; labels and sizes go along while it is the same card.
 * @param {UnitView} unit
 * @param {Reader} number
 * @param {Record<string, string>} wrong by field; what is missing is added
 * @returns {CardsReport|null}
 */
function cardsOf(unit, number, wrong) {
  const read = slotsOf(unit).map((slot) => ({ slot, used: number(`slot_${slot}`) }));
  if (read.every(({ used }) => used === null)) return null;
  const known = new Map((unit.cards?.slots ?? []).map((slot) => [slot.slot, slot]));
  const slots = read.flatMap(({ slot, used }) => {
    const before = known.get(slot);
    if (used === null) {
      if (before) wrong[`slot_${slot}`] ??= words.readAllSlots;
      return [];
    }
    const same = before !== undefined && before.state !== "empty" && used >= before.used_percent - ANOTHER_CARD_PCT;
    const label = same && before.card ? { card: before.card } : {};
    const size = same && before.capacity_bytes ? { capacity_bytes: before.capacity_bytes } : {};
    return [{ slot, ...label, ...size, used_percent: used }];
  });
  return { ...(unit.cards?.slot_mode && slots.length > 1 ? { slot_mode: unit.cards.slot_mode } : {}), slots };
}

/**
 * The field that the hub means when it points into a typed report.
 * @param {Report} report as sent
 * @param {string} pointer JSON Pointer
 * @returns {string} field, or "" for none
 */
export function fieldOfReport(report, pointer) {
  const [, index] = /^\/cards\/slots\/(\d+)/.exec(pointer) ?? [];
  if (index !== undefined) return `slot_${report.cards?.slots[Number(index)]?.slot ?? ""}`;
  if (pointer.startsWith("/battery/pack")) return "pack";
  if (pointer.startsWith("/battery")) return "battery";
  return pointer.startsWith("/mode") ? "mode" : "";
}

/**
 * A UUIDv7 (RFC 9562, section 5.7), so that a report that is sent again is counted once.
 * @param {number} ms milliseconds since 1970
 * @param {Uint8Array} chance ten random bytes
 * @returns {string}
 */
export function uuid7(ms, chance) {
  const stamp = Math.floor(ms).toString(16).padStart(12, "0");
  const bytes = Uint8Array.from(chance);
  bytes[0] = (bytes[0] & 0x0f) | 0x70;
  bytes[2] = (bytes[2] & 0x3f) | 0x80;
  const hex = stamp + [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
