/**
 * What the scripted hub answers to the panels: one unit's past and forecasts, profile, limits, typed readings, people, the kit sum.
 * Each answer stands in `hub.answers` under a name; a test may put another one there.
 */

import { randomUUID } from "node:crypto";
import { readFileSync } from "node:fs";

const MINUTE = 60_000;

/** The answer to a kit sum that the hub itself gives, as it lies beside its messages. */
const KIT_ANSWER = JSON.parse(readFileSync(new URL("../../server/wire/examples/kit_answer.json", import.meta.url), "utf8"));

/** The scripted hub's answers at the start. */
export function firstAnswers(now) {
  return {
    history: (unit, query) => history(unit, query),
    /** `null` is a hub that is too old for it. */
    forecasts: (unit, query) => forecasts(unit, query, now),
    limits: { fleet: { margin_s: 240 }, units: { FIN1: { remind_s: 60 } } },
    people: null,
    qr: '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 29 29"><path d="M4 4h7v7h-7zM18 4h7v7h-7zM4 18h7v7h-7zM14 14h3v3h-3z"/></svg>',
    kit: KIT_ANSWER,
    /** What was asked of the kit. */
    kitAsked: [],
    reports: [],
    /** When set, the next report, profile or limits are refused with it: `{pointer, detail}`. */
    refuse: null,
    /** While set, reports are taken, but their answers never arrive. */
    swallow: false,
  };
}

/** A pack that lasts 90 minutes and is changed at the half hour, a card that fills in 70. */
const PACK_MIN = 90;
const CARD_MIN = 70;
const since = (ms, period) => (ms / MINUTE) % period;

function history(unit, query) {
  const [from, to] = ["from", "to"].map((name) => Date.parse(query.get(name)));
  const step = Number(query.get("step"));
  const points = [];
  for (let at = from; at < to; at += step * 1000) {
    const battery = 100 - (100 / 96) * since(at, PACK_MIN);
    const mode = since(at, 25) < 17 ? "recording" : "standby";
    const cards = [(100 / CARD_MIN) * since(at, CARD_MIN), 0];
    points.push({ at: new Date(at).toISOString(), readings: 3, mode, battery, battery_low: battery - 1, battery_high: battery + 1, external: false, cards });
  }
  return { unit, from: query.get("from"), to: query.get("to"), step_s: step, points };
}

function forecasts(unit, query) {
  const [from, to] = ["from", "to"].map((name) => Date.parse(query.get(name)));
  const points = [];
  const iso = (ms) => new Date(ms).toISOString();
  for (let at = from; at < to; at += MINUTE) {
    const left = PACK_MIN + 6 - since(at, PACK_MIN);
    const spread = left * 0.28;
    const wander = 6 * Math.sin(at / (7 * MINUTE));
    const end = (minutes) => iso(at + Math.max(0, minutes) * MINUTE);
    const full = CARD_MIN - since(at, CARD_MIN);
    points.push({
      at: iso(at),
      battery: { p10: end(left + wander - spread), p50: end(left + wander), p90: end(left + wander + spread) },
      cards: { p10: end(full * 0.92), p50: end(full), p90: end(full * 1.1) },
    });
  }
  const every = (period) => {
    const found = [];
    for (let at = Math.ceil(from / (period * MINUTE)) * period * MINUTE; at < to; at += period * MINUTE) found.push(at);
    return found;
  };
  const swaps = every(PACK_MIN).map((at, index) => ({ at: iso(at), what: "pack", label: `P${String(index + 4).padStart(2, "0")}` }));
  const ended = every(CARD_MIN).map((at) => ({ at: iso(at), cause: "cards" }));
  const on_air = every(CARD_MIN).map((at) => ({ from: iso(at), until: iso(at + 3 * 60_000) }));
  return { unit, from: query.get("from"), to: query.get("to"), points, swaps, ended, on_air };
}

/** Answers like the hub would, or gives `false` for what is not its business. */
export async function answerPanels(hub, { method, url, session, body }, say) {
  const { pathname, searchParams } = url;
  const [, unit, what] = /^\/v1\/units\/([^/]+)(?:\/(history|forecasts))?$/.exec(pathname) ?? [];
  if (what) return pastOf(hub, decodeURIComponent(unit), what, searchParams, say);
  if (unit && method === "PUT") return profileOf(hub, decodeURIComponent(unit), session, body, say);
  if (pathname === "/v1/limits") return limitsOf(hub, method, session, body, say);
  if (pathname === "/v1/reports" && method === "POST") return reportTo(hub, body, say);
  if (pathname === "/v1/joins" && method === "POST") return joinBy(hub, session, body, say);
  if (pathname === "/v1/kit" && method === "POST") return kitOf(hub, body, say);
  if (pathname === "/v1/people" || pathname.startsWith("/v1/people/")) return peopleOf(hub, method, pathname, say);
  return false;
}

function pastOf(hub, unit, what, query, say) {
  const made = hub.answers[what];
  return made === null ? say.problem(404, "not-found", "There is nothing here") : say.json(200, made(unit, query));
}

const mayArrange = ({ role }) => role === "lead" || role === "owner";

/** Refuses once, at the place a test named. */
function refusal(hub, say) {
  const { pointer, detail } = hub.answers.refuse;
  hub.answers.refuse = null;
  return say.problem(422, "invalid-field", `${pointer}: ${detail}`, { errors: [{ pointer, detail }] });
}

function profileOf(hub, unit, session, profile, say) {
  if (!mayArrange(session)) return say.problem(403, "forbidden", "This token may not do that");
  if (hub.answers.refuse) return refusal(hub, say);
  return say.json(200, hub.put("unit", { ...hub.units.get(unit), profile, as_of: hub.now() }));
}

function limitsOf(hub, method, session, body, say) {
  const inForce = { fetch_s: 60, walk_s: 120, swap_s: 60, margin_s: 240, ease_s: 300, min_open_s: 60, remind_s: 120 };
  if (method === "PUT") {
    if (!mayArrange(session)) return say.problem(403, "forbidden", "This token may not do that");
    if (hub.answers.refuse) return refusal(hub, say);
    hub.answers.limits = body;
  }
  return say.json(200, { set: hub.answers.limits, in_force: inForce });
}

function reportTo(hub, report, say) {
  if (hub.answers.refuse) return refusal(hub, say);
  hub.answers.reports.push(report);
  if (hub.answers.swallow) return say.hangUp();
  const held = hub.units.get(report.unit);
  const battery = report.battery && { ...held.battery, ...report.battery, at: report.at };
  const cards = report.cards && { ...held.cards, slots: report.cards.slots.map((slot) => ({ state: "ready", ...slot })), at: report.at };
  const fresh = { mode: report.mode ?? held.mode, battery: battery ?? held.battery, cards: cards ?? held.cards };
  hub.put("unit", { ...held, ...fresh, typed: true, observed_at: report.at, as_of: hub.now() });
  return say.json(200, { now: hub.now(), accepted: 1, duplicate: 0, refused: 0, results: [{ id: report.id, status: "accepted", seq: hub.seq }] });
}

function kitOf(hub, question, say) {
  if (hub.answers.refuse) return refusal(hub, say);
  hub.answers.kitAsked.push(question);
  return say.json(200, hub.answers.kit);
}

function joinBy(hub, session, { name, role, minutes }, say) {
  if (!mayArrange(session)) return say.problem(403, "forbidden", "This token may not do that");
  if (hub.answers.refuse) return refusal(hub, say);
  const expires = new Date(Date.now() + minutes * MINUTE).toISOString();
  const qr = hub.answers.qr ? { qr_svg: hub.answers.qr } : {};
  return say.json(201, { code: "BCDFG-HJKLM", link: "/#join=BCDFG-HJKLM", name, role, expires_at: expires, ...qr });
}

function peopleOf(hub, method, pathname, say) {
  if (hub.answers.people === null) return say.problem(404, "not-found", "There is nothing here");
  const id = pathname.split("/")[3];
  if (method !== "DELETE") return say.json(200, { people: hub.answers.people });
  hub.answers.people = hub.answers.people.filter((one) => one.id !== id);
  return say.json(204, null);
}

/** Somebody in the list of people. */
export const person = (now, is) => ({
  id: randomUUID(),
  role: "runner",
  session: true,
  created_at: new Date(now - 30 * MINUTE).toISOString(),
  sockets: 1,
  heard_at: new Date(now - 4000).toISOString(),
  ...is,
});
