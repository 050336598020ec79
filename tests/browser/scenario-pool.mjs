/**
 * The kit of the scripted hub: packs, cards, what is at risk, and its answers to whoever moves them.
 */

import { readFileSync } from "node:fs";

import { inMinutes } from "./fleet-data.mjs";

/** The hours to come of the packs, as the hub tells them: its own example, moved to now. */
const ROTATION = JSON.parse(readFileSync(new URL("../../server/wire/examples/rotation.json", import.meta.url), "utf8"));

const rotation = (now) => {
  const moved = (moment) => new Date(Date.parse(moment) + now - Date.parse(ROTATION.now)).toISOString();
  const { short } = ROTATION;
  return {
    ...ROTATION,
    now: moved(ROTATION.now),
    points: ROTATION.points.map(({ at, ready }) => ({ at: moved(at), ready })),
    short: { ...short, earliest: moved(short.earliest), at: moved(short.at) },
  };
};

const GB = 1e9;

/** Packs of the regatta, as the hub lists them; all minutes count from `now`. */
const packs = (now) => {
  const pack = (label, place, more = {}) => ({ pack: label, nominal_wh: 98, place, ready: place === "ready", since: inMinutes(now, -30), ...more });
  const ready = (percent) => ({ percent, percent_at: inMinutes(now, -30) });
  return [
    pack("P01", "ready", { ...ready(100), call: 12 }),
    pack("P02", "ready", { ...ready(98), cycles: 41, usable_percent: 93 }),
    pack("P03", "ready", { ...ready(100), who: "Tam", cycles: 212, weak: { evidence: "46 min of recording from full to its end, others of its kind 64 min, seen in 6 discharges", minutes: 46, kind_minutes: 64, discharges: 6, chance: 0.97 }, usable_percent: 71 }),
    pack("P04", "bay", { bay: "B1", who: "Tam", charge: { bay: "B1", percent: 64, ready_at: { p10: inMinutes(now, 31), p50: inMinutes(now, 38), p90: inMinutes(now, 47) } } }),
    pack("P05", "bay", { bay: "B2", who: "Mia", charge: { bay: "B2", percent: 97, ready_at: { p10: inMinutes(now, -2), p50: inMinutes(now, -1), p90: inMinutes(now, 4) } } }),
    pack("P06", "spent", { percent: 9, percent_at: inMinutes(now, -4), since: inMinutes(now, -4) }),
    pack("P07", "unit", { unit: "BOW2", since: inMinutes(now, -62) }),
    pack("P08", "unit", { unit: "MID1", since: inMinutes(now, -20) }),
    pack("P09", "out_of_service", { who: "Olga", since: inMinutes(now, -400) }),
  ];
};

/** Cards of the regatta. */
const cards = (now) => {
  const card = (label, state, more = {}) => ({ card: label, capacity_bytes: 256 * GB, state, since: inMinutes(now, -25), verified_copies: 0, copies_wanted: 2, ...more });
  const copy = (place, verified, more) => ({ at: inMinutes(now, -12), place, verified, algorithm: "xxh3", files: 14, bytes: 164 * GB, who: "Ana", ...more });
  return [
    card("C01", "blank", { who: "Ana", call: 13 }),
    card("C02", "blank", { who: "Ana" }),
    card("C04", "in_slot", { unit: "MID1", slot: "B", used_percent: 0 }),
    card("C12", "in_slot", { unit: "MID1", slot: "A", used_percent: 88 }),
    card("C13", "in_slot", { unit: "BOW2", slot: "A", used_percent: 52, twin: "C14", twin_verified_copies: 0 }),
    card("C14", "in_slot", { unit: "BOW2", slot: "B", used_percent: 52, twin: "C13", twin_verified_copies: 0 }),
    card("C15", "holding_footage", { who: "Mia", used_percent: 64, verified_copies: 1, copies: [copy("shelf 1", true)], twin: "C16", twin_verified_copies: 2, since: inMinutes(now, -18) }),
    card("C16", "safe", { used_percent: 64, verified_copies: 2, copies: [copy("shelf 1", true), copy("tower disk", true, { algorithm: "md5" })], twin: "C15", twin_verified_copies: 1 }),
    card("C17", "copying", { who: "Ana", used_percent: 91, copies: [copy("shelf 1", false)] }),
    card("C18", "out_of_service", { who: "Olga" }),
  ];
};

/** Puts the kit of the regatta into a hub. */
export function regattaKit(hub, now) {
  for (const pack of packs(now)) hub.kit.packs.set(pack.pack, pack);
  for (const card of cards(now)) hub.kit.cards.set(card.card, card);
}

/** Many packs and cards, as on a large site. */
export function largeKit(hub, now, count) {
  const places = ["unit", "ready", "bay", "spent"];
  for (let index = 1; index <= count; index += 1) {
    const label = String(index).padStart(3, "0");
    const place = places[index % 4];
    const more = place === "bay" ? { bay: `B${index}`, charge: { bay: `B${index}`, percent: index % 100, ready_at: { p50: inMinutes(now, index) } } } : {};
    hub.kit.packs.set(`P${label}`, { pack: `P${label}`, nominal_wh: 98, place, ready: place === "ready", since: inMinutes(now, -index), ...(place === "unit" ? { unit: `BOW${index}` } : {}), ...more });
    const state = ["in_slot", "blank", "holding_footage", "safe"][index % 4];
    const where = state === "in_slot" ? { unit: `BOW${index}`, slot: "A" } : {};
    hub.kit.cards.set(`C${label}`, { card: `C${label}`, capacity_bytes: 256 * GB, state, since: inMinutes(now, -index), used_percent: index % 100, verified_copies: 0, copies_wanted: 2, ...where });
  }
}

/** What threatens a card, as the hub says it. */
export const riskView = (now, is) => ({ card: "C15", kind: "footage_in_slot", since: inMinutes(now, -1), unit: "BOW2", slot: "A", used_percent: 64, verified_copies: 1, copies_wanted: 2, ...is });

/** What every screen is told when it has caught up, and at every change. */
export const kitMessage = (kit) => ({ type: "kit", revision: kit.revision, risks: kit.risks });

/** The kit changed: every screen is told. */
export function tellKit(hub, changes = {}) {
  Object.assign(hub.kit, changes);
  hub.kit.revision += 1;
  for (const card of hub.kit.cards.values()) card.risk = hub.kit.risks.find((risk) => risk.card === card.card);
  hub.say(kitMessage(hub.kit));
}

/** Whether footage would go with it. */
const holds = (card) => card !== undefined && ["holding_footage", "copying"].includes(card.state) && card.verified_copies < card.copies_wanted;

function putPack(hub, label, body, who) {
  const { place = "ready", unit, bay, ...rest } = body;
  return { nominal_wh: 98, ...hub.kit.packs.get(label), charge: undefined, ...rest, pack: label, place, ready: place === "ready", unit, bay, since: hub.now(), who };
}

function putCard(hub, label, body, who) {
  const { state = "blank", unit, slot } = body;
  const wiped = state === "blank" ? { used_percent: undefined, copies: undefined, verified_copies: 0, twin: undefined } : {};
  return { verified_copies: 0, copies_wanted: 2, ...hub.kit.cards.get(label), ...wiped, card: label, state, unit, slot, since: hub.now(), who };
}

/** Answers what concerns the kit, or gives `false` for what is not its business. */
export function answerKit(hub, { method, url, session, body }, say) {
  if (url.pathname === "/v1/rotation") return say.json(200, rotation(Date.parse(hub.now())));
  const [, kind, coded] = /^\/v1\/(packs|cards)(?:\/([^/]+))?$/.exec(url.pathname) ?? [];
  if (kind === undefined) return false;
  const held = hub.kit[kind];
  if (method === "GET") return say.json(200, { now: hub.now(), [kind]: [...held.values()] });
  const label = decodeURIComponent(coded);
  hub.kit.puts.push({ kind, label, body, who: session.name });
  if (hub.kit.swallow) return say.hangUp();
  if (kind === "cards" && body.state === "blank" && !body.despite_footage && holds(held.get(label))) {
    return say.problem(409, "card-holds-footage", `Card ${label} may hold the only copy of something.`);
  }
  held.set(label, (kind === "packs" ? putPack : putCard)(hub, label, body, session.name));
  tellKit(hub);
  return say.json(200, held.get(label));
}

/** A kit without anything. */
export const emptyKit = () => ({ revision: 1, risks: [], packs: new Map(), cards: new Map(), puts: [], swallow: false });
