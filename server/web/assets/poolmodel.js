/**
 * What is said of packs and cards, worked out without touching page or hub: the ops panel and the phone say the same.
 * @module poolmodel
 */

/** @import { CardState, PackPlace, PoolCardView, PoolPackView, PutCard, PutPack } from "swapcall-wire" */

import { pool as words } from "./poolwords.js";
import { clockTime, toMs } from "./time.js";
import { duration } from "./words.js";

/** @typedef {PoolPackView} Pack */
/** @typedef {{kind: "pack", label: string, pack: Pack}} PackPiece */
/** @typedef {{kind: "card", label: string, card: PoolCardView}} CardPiece */
/** @typedef {PackPiece|CardPiece} Piece one of the pool */
/** @typedef {{kind: "pack", label: string, body: PutPack}|{kind: "card", label: string, body: PutCard}} Move as the hub is asked for it */

/** In the order in which one looks for them. @type {PackPlace[]} */
export const PLACES = ["ready", "bay", "spent", "unit", "out_of_service"];

/** @type {CardState[]} */
export const STATES = ["blank", "in_slot", "holding_footage", "copying", "safe", "out_of_service"];

/** States that somebody may be mistaken about: there footage may be on a card that is nowhere else. @type {CardState[]} */
const MAY_HOLD = ["in_slot", "holding_footage", "copying"];

/** P2 before P10. */
const byNumber = new Intl.Collator(undefined, { numeric: true });

/** @param {Pack} pack @returns {PackPiece} */
export const ofPack = (pack) => ({ kind: "pack", label: pack.pack, pack });

/** @param {PoolCardView} card @returns {CardPiece} */
export const ofCard = (card) => ({ kind: "card", label: card.card, card });

/** Labels are told apart without regard to case where people type them. @param {string} text */
const plain = (text) => text.trim().toLowerCase();

/** @param {Piece} piece @returns {PackPlace|CardState} the group it stands in */
export const standing = (piece) => (piece.kind === "pack" ? piece.pack.place : piece.card.state);

/**
 * @param {Piece[]} pieces
 * @param {string} text as typed or scanned
 * @returns {Piece[]} those of exactly this label: one at most of each kind
 */
export function called(pieces, text) {
  const exact = pieces.filter(({ label }) => label === text.trim());
  return exact.length > 0 ? exact : pieces.filter(({ label }) => plain(label) === plain(text));
}

/** @param {Piece} piece @param {string} text @returns {boolean} whether label, unit or bay has these letters */
export function fits(piece, text) {
  const wanted = plain(text);
  const { unit } = piece.kind === "pack" ? piece.pack : piece.card;
  const bay = piece.kind === "pack" ? piece.pack.bay : null;
  return [piece.label, unit, bay].some((name) => plain(name ?? "").includes(wanted));
}

/** @param {Piece} piece @returns {string} its kind and label */
export const nameOf = ({ kind, label }) => (kind === "pack" ? words.pack(label) : words.card(label));

/** @param {Piece} piece @returns {string} where it is, in a few words */
export function whereOf(piece) {
  if (piece.kind === "pack") {
    const { place, unit, bay } = piece.pack;
    if (place === "unit") return words.onUnit(unit ?? "");
    return place === "bay" ? words.inBay(bay ?? "") : words.places[place] ?? place;
  }
  const { state, unit, slot } = piece.card;
  return state === "in_slot" ? words.inSlot(unit ?? "", slot ?? "") : words.states[state] ?? state;
}

/** @param {Piece} piece @returns {number} since when it is there */
export const sinceOf = (piece) => toMs(piece.kind === "pack" ? piece.pack.since : piece.card.since) ?? 0;

/**
 * What a new list has in common with the last one stays the same, so that nobody draws it again.
 * @param {Piece[]} fresh
 * @param {Piece[]} held
 */
export function sharing(fresh, held) {
  const known = new Map(held.map((piece) => [JSON.stringify(piece), piece]));
  const shared = fresh.map((piece) => known.get(JSON.stringify(piece)) ?? piece);
  return shared.length === held.length && shared.every((piece, index) => piece === held[index]) ? held : shared;
}

/** @param {Piece} piece @param {number} now the hub's clock @returns {string} since when, and who said so */
export function ageOf(piece, now) {
  const { since, who } = piece.kind === "pack" ? piece.pack : piece.card;
  const age = words.age(duration(Math.max(0, now - (toMs(since) ?? now))));
  return who ? words.said(age, who) : words.seen(age);
}

/** Whatever is said of a card at risk ends the warning, which nobody can take back. @param {Piece} piece */
export const atRisk = (piece) => piece.kind === "card" && Boolean(piece.card.risk);

/** @param {Piece} piece @returns {Move} what brings it back to where it is */
export function restoring(piece) {
  if (piece.kind === "pack") {
    const { place, unit, bay } = piece.pack;
    return { kind: "pack", label: piece.label, body: { place, ...(unit ? { unit } : {}), ...(bay ? { bay } : {}) } };
  }
  const { state, unit, slot } = piece.card;
  // It was blank by the hub's own word, and is brought back only while nobody has moved it since.
  const despite_footage = state === "blank";
  return { kind: "card", label: piece.label, body: { state, ...(unit ? { unit } : {}), ...(slot ? { slot } : {}), despite_footage } };
}

/** @param {Move} move @returns {string} where it leads, in a few words */
export function leadsTo(move) {
  if (move.kind === "pack") {
    const { place, unit, bay } = move.body;
    if (place === "unit") return words.onUnit(unit ?? "");
    return place === "bay" ? words.inBay(bay ?? "") : words.places[place ?? "ready"];
  }
  const { state, unit, slot } = move.body;
  return state === "in_slot" ? words.inSlot(unit ?? "", slot ?? "") : words.states[state ?? "blank"];
}

/** @param {PoolCardView} card @returns {boolean} whether making it blank may lose something */
export function mayHold({ state, verified_copies: verified, copies_wanted: wanted, used_percent: used }) {
  if (state === "in_slot" && (used ?? 1) <= 0) return false;
  return MAY_HOLD.includes(state) && (verified ?? 0) < (wanted ?? 1);
}

/** @param {PoolCardView} card @returns {string} what would be lost with it */
function atStake({ used_percent: used, capacity_bytes: bytes, verified_copies: verified, copies_wanted: wanted }) {
  const fill = used === undefined || used === null ? words.unknownFill : words.used(used);
  return [fill, bytes ? words.size(bytes) : "", words.copies(verified ?? 0, wanted ?? 0)].filter((fact) => fact !== "").join(", ");
}

/**
 * What is said when the hub will not take a word about a card, and on the key that says it all the same.
 * @param {PoolCardView} card
 * @param {Move} move that was refused
 * @returns {{told: string[], go: string}}
 */
export function secondPress(card, move) {
  if (move.kind === "card" && move.body.state === "safe") {
    const copies = words.copies(card.verified_copies ?? 0, card.copies_wanted ?? 0);
    return { told: [words.tooSeldom(card.card, copies)], go: words.safeAllTheSame(card.card, copies) };
  }
  const facts = atStake(card);
  return { told: [words.holds(card.card), words.wouldGo(facts)], go: words.goesAllTheSame(card.card, facts) };
}

/** @param {Pack} pack @param {number} now @returns {string[]} what is known of it beside its place */
function packFacts(pack, now) {
  const { charge } = pack;
  const said = toMs(pack.percent_at);
  const facts = [];
  if (charge) facts.push(...chargeFacts(charge, now));
  else if (pack.percent !== undefined && pack.percent !== null) {
    facts.push(said === null ? words.percent(pack.percent) : words.percentThen(pack.percent, duration(Math.max(0, now - said))));
  }
  if (pack.nominal_wh) facts.push(words.wattHours(pack.nominal_wh));
  if (pack.usable_percent) facts.push(words.usable(pack.usable_percent));
  if (pack.cycles) facts.push(words.cycles(pack.cycles));
  if (pack.call) facts.push(words.call(pack.call));
  return facts;
}

/** @param {NonNullable<Pack["charge"]>} charge @param {number} now */
function chargeFacts({ percent, ready_at: readyAt }, now) {
  const facts = percent === undefined || percent === null ? [] : [words.percent(percent)];
  const [low, middle, high] = [readyAt?.p10, readyAt?.p50, readyAt?.p90].map((moment) => toMs(moment));
  if (middle === null) return facts;
  if (middle <= now) return [...facts, words.readyNow];
  return [...facts, words.readyAt(clockTime(middle), clockTime(low ?? middle), clockTime(high ?? middle))];
}

/** @param {PoolCardView} card */
function cardFacts(card) {
  const facts = [];
  if (card.used_percent !== undefined && card.used_percent !== null && card.state !== "blank") facts.push(words.used(card.used_percent));
  if (card.capacity_bytes) facts.push(words.size(card.capacity_bytes));
  if (mayHold(card) || card.state === "safe") facts.push(words.copies(card.verified_copies ?? 0, card.copies_wanted ?? 0));
  if (card.call) facts.push(words.call(card.call));
  return facts;
}

/** @param {PoolCardView} card @returns {string} whether it or its twin was copied; "" without a twin */
export function twinOf({ twin, twin_verified_copies: copies, copies_wanted: wanted }) {
  if (!twin) return "";
  return copies === undefined || copies === null ? words.twinUnknown(twin) : words.twin(twin, words.copies(copies, wanted ?? 0));
}

/**
 * What one line says.
 * @param {Piece} piece
 * @param {number} now the hub's clock
 * @returns {{where: string, facts: string, age: string, mark: string, percent: number|null, risk: boolean}} `mark`: what must
 *   not be overlooked; `percent`: how full a pack in a bay is
 */
export function lineOf(piece, now) {
  const shared = { where: whereOf(piece), age: ageOf(piece, now) };
  if (piece.kind === "pack") {
    const { weak, charge } = piece.pack;
    const percent = charge?.percent ?? null;
    return { ...shared, facts: packFacts(piece.pack, now).join(" · "), mark: weak ? words.weak(weak) : "", percent, risk: false };
  }
  const { card } = piece;
  const facts = [...cardFacts(card), twinOf(card)].filter((fact) => fact !== "").join(" · ");
  return { ...shared, facts, mark: atRisk(piece) ? words.risk : "", percent: null, risk: atRisk(piece) };
}

/** @param {PoolCardView} card @param {number} now @returns {string[]} its copies, one line each */
export function copiesOf({ copies }, now) {
  return (copies ?? []).map(({ at, place, verified, algorithm, files, bytes, who }) =>
    words.copy(place, verified, algorithm, files, bytes, duration(Math.max(0, now - (toMs(at) ?? now))), who ?? ""),
  );
}

/** What is danger comes first in its group, then by label as people count. @param {Piece[]} pieces */
export function inOrder(pieces) {
  const first = (/** @type {Piece} */ piece) => (atRisk(piece) ? 0 : 1);
  return [...pieces].sort((a, b) => first(a) - first(b) || byNumber.compare(a.label, b.label));
}

/** @param {Piece[]} pieces @returns {string[]} bays that are known, by label */
export function baysOf(pieces) {
  const bays = pieces.flatMap((piece) => (piece.kind === "pack" && piece.pack.bay ? [piece.pack.bay] : []));
  return [...new Set(bays)].sort(byNumber.compare);
}
