/**
 * Scripted fleets in wire format: an invented river regatta, seen at one moment. All minutes count from that moment.
 */

import { randomUUID } from "node:crypto";

const MINUTE = 60_000;

/** A moment on the wire, so many minutes from `now`. */
export const inMinutes = (now, minutes) => (minutes === null ? null : new Date(now + minutes * MINUTE).toISOString());

/** Three minutes figures as a spread of clock times; `null` where beyond 24 hours. */
const spread = (now, [p10, p50, p90]) => ({ p10: inMinutes(now, p10), p50: inMinutes(now, p50), p90: inMinutes(now, p90) });

/** Three minutes figures as the answer "if recording goes on". */
const ifRecording = ([p10, p50, p90]) => ({ p10_min: p10, p50_min: p50, p90_min: p90 });

/** Whichever of two triples has the earlier middle. */
function earlier(a, b) {
  if (!a || !b) return a ?? b;
  return (a[1] ?? Infinity) <= (b[1] ?? Infinity) ? a : b;
}

/**
 * A unit in wire format.
 * @param {number} now milliseconds
 * @param {object} is what is special about it: `unit`, `position`, `group`, `mode`, `battery` and `cards` (minutes P10, P50, P90),
 *   `percent`, `fill`, `heardAgo_s`, `interval_s`, `dark`, `never`, `external`, `typed`, `why`
 */
export function unitView(now, is) {
  const heard = now - (is.heardAgo_s ?? 2) * 1000;
  const interval = (is.interval_s ?? 10) * 1000;
  const at = new Date(heard).toISOString();
  const profile = { gauge: "coulomb" };
  if (is.position) profile.position = is.position;
  if (is.group) profile.group = is.group;
  const base = { unit: is.unit, profile, changed_seq: is.seq ?? 1, as_of: new Date(now).toISOString(), dark: is.dark ?? false };
  if (is.never) return { ...base, freshness: "never", typed: false, run_out: {} };
  const silentAfter = heard + 3 * interval;
  const lateAfter = heard + 1.5 * interval;
  let freshness = "fresh";
  if (now >= lateAfter) freshness = "late";
  if (now >= silentAfter) freshness = "silent";
  const runOut = {};
  if (is.battery) Object.assign(runOut, { battery: spread(now, is.battery), battery_if_recording: ifRecording(is.batteryRec ?? is.battery) });
  if (is.battery && is.why) Object.assign(runOut, { battery_basis: typeof is.why === "string" ? { sentence: is.why } : is.why });
  if (is.cards) Object.assign(runOut, { cards: spread(now, is.cards), cards_if_recording: ifRecording(is.cardsRec ?? is.cards) });
  const first = earlier(is.battery, is.cards);
  if (first) Object.assign(runOut, { earliest: spread(now, first), cause: first === is.battery ? "battery" : "cards" });
  return {
    ...base,
    freshness,
    late_after: new Date(lateAfter).toISOString(),
    silent_after: new Date(silentAfter).toISOString(),
    mode: is.mode ?? "recording",
    observed_at: at,
    received_at: at,
    typed: is.typed ?? false,
    battery: { percent: is.percent ?? 64, step: 1, external: is.external ?? false, ...(is.pack ? { pack: is.pack } : {}), at },
    cards: {
      slot_mode: "relay",
      bit_rate_mbps: 400,
      slots: (is.fill ?? [40, 0]).map((used, index) => ({ slot: "AB"[index], used_percent: used, state: used > 0 ? "recording" : "ready", ...(is.labels ? { card: is.labels[index] } : {}) })),
      at,
    },
    run_out: runOut,
  };
}

/** A call in wire format; `by` and `leave` are minutes from now. */
export function callView(now, is) {
  return {
    id: randomUUID(),
    number: is.number,
    unit: is.unit,
    ...(is.position ? { position: is.position } : {}),
    state: "open",
    revision: 1,
    changed_seq: 1,
    reason: "opened",
    causes: is.causes ?? ["battery"],
    bring: is.bring ?? ["pack"],
    why: is.why ?? "battery 18 %, recording, about 14 min left: 11–19",
    opened_at: inMinutes(now, -1),
    by: inMinutes(now, is.by ?? 9),
    leave_by: inMinutes(now, is.leave ?? 6),
    reopened: is.reopened ?? 0,
    reminders: is.reminders ?? 0,
    ...(is.more ?? {}),
  };
}

/** What a battery forecast rests on, with the hub's own words for it. */
const basis = (recording, share, end, more) => ({
  drain_pct_per_h: { mean: recording, sd: 2 },
  recording_pct_per_h: { mean: recording, sd: 2 },
  charge_pct: { mean: 62.8, sd: 0.6 },
  end_pct: end,
  recording_share: share,
  external_share: 0,
  ...more,
});

/** What battery forecasts rest on, as the hub sends it. */
export const WHY = {
  pack: basis(54, 0.62, { mean: 8.1, sd: 1.4 }, {
    curve: "pack", discharges: 3, doubt: "habit",
    sentence: "Drains 54 %/h recording, records 62 % of the time; curve of 3 discharges of this pack, which dies near 8 %. What it will do is the largest doubt: a rundown would narrow it.",
  }),
  fleet: basis(61, 0.8, { mean: 6.2, sd: 3.1 }, {
    curve: "fleet", discharges: 5, doubt: "end",
    sentence: "Drains 61 %/h recording, records 80 % of the time; curve of 5 discharges of other packs here, which die near 6 %. Where it dies is the largest doubt: one run to its end would narrow it.",
  }),
  general: basis(58, 0.71, { mean: 5.2, sd: 6.8 }, {
    curve: "general", discharges: 0, doubt: "end",
    sentence: "Drains 58 %/h recording, records 71 % of the time; this pack was never run to its end here, so where it dies is a guess (5 % ± 7). That is the largest doubt: one run to its end would narrow it.",
  }),
};

/** Nine units of the regatta, each with a story. */
export function regatta(now) {
  const unit = (is) => unitView(now, is);
  return [
    unit({ unit: "BOW1", position: "start line", group: "start", battery: [62, 74, 88], cards: [31, 36, 42], percent: 71, fill: [64, 0], why: WHY.pack }),
    unit({ unit: "BOW2", position: "start tower, upper deck", group: "start", battery: [11, 14, 19], cards: [48, 55, 63], percent: 18, pack: "P07", fill: [52, 3], why: WHY.general }),
    unit({ unit: "MID1", position: "500 m pontoon", group: "course", battery: [40, 52, 66], cards: [16, 19, 23], percent: 55, fill: [88, 0], labels: ["C12", "C04"], why: WHY.fleet }),
    unit({ unit: "MID2", position: "umpire launch", group: "course", battery: [22, 27, 34], cards: [95, 118, 150], percent: 33, fill: [12, 0], mode: "standby", batteryRec: [15, 19, 24] }),
    unit({ unit: "FIN1", position: "finish tower", group: "finish", battery: [150, 190, 240], cards: [52, 60, 70], percent: 92, fill: [38, 0] }),
    unit({ unit: "FIN2", position: "finish, water level", group: "finish", battery: [28, 46, 71], cards: [70, 88, 110], percent: 41, heardAgo_s: 17 }),
    unit({ unit: "CRANE", position: "boathouse roof", cards: [33, 41, 52], external: true, fill: [70, 0] }),
    unit({ unit: "POD", position: "medal pontoon", battery: [300, null, null], cards: [400, 600, null], percent: 97, mode: "off", fill: [1, 0] }),
    unit({ unit: "ROVER", position: "towpath", battery: [44, 58, 77], cards: [80, 97, 120], percent: 60, typed: true, heardAgo_s: 140, interval_s: 300 }),
  ];
}

/** Many units, as on a large site. */
export function largeFleet(now, count) {
  return Array.from({ length: count }, (_, index) => {
    const middle = 12 + ((index * 37) % 170);
    return unitView(now, {
      unit: `${["BOW", "MID", "FIN", "JIB"][index % 4]}${Math.floor(index / 4) + 1}`,
      position: `stand ${index + 1}`,
      group: ["start", "course", "finish", "jib"][index % 4],
      battery: [middle * 0.8, middle, middle * 1.3],
      cards: [middle * 1.1, middle * 1.25, middle * 1.5],
      percent: Math.min(99, middle),
      fill: [(index * 13) % 100, 0],
      mode: index % 5 === 0 ? "standby" : "recording",
    });
  });
}

/** A window in wire format, from and to minutes from `now`. */
export function windowView(now, [from, to], kind, is = {}) {
  return { ...is, start: inMinutes(now, from), end: inMinutes(now, to), kind };
}

/** The running order of the regatta. */
export function regattaRundown(now) {
  return [
    windowView(now, [-8, 7], "held", { title: "Heat 4", groups: ["start"] }),
    windowView(now, [3, 11], "held", { title: "Heat 4 comes in", groups: ["finish"] }),
    windowView(now, [-2, 30], "rolling", { title: "Heats", groups: ["course", "finish"] }),
    windowView(now, [14, 22], "break", { title: "Lens change", units: ["MID1"] }),
    windowView(now, [20, 38], "held", { title: "Final of the eights" }),
    windowView(now, [38, 58], "break", { title: "Lunch" }),
    windowView(now, [-60, -40], "held", { title: "Heat 3" }),
  ];
}
