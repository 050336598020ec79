/**
 * The head of the runner's page: what to carry for all jobs together and when to leave first, or why there is nothing.
 * @module runner-head
 */

/** @import { LiveLink } from "./live.js" */
/** @import { Walk } from "./runner-walk.js" */
/** @import { Store } from "./store.js" */

import { nextToStop } from "./calls.js";
import { byId, make, setAttribute, setText, show } from "./dom.js";
import { leaving } from "./runner-walk.js";
import { runner as words } from "./runnerwords.js";
import { clockTime } from "./time.js";

/**
 * @param {Walk} walk
 * @param {Store} store
 * @param {LiveLink} live
 * @param {number} now the hub's clock, milliseconds
 */
export function drawHead(walk, store, live, now) {
  const some = walk.jobs.length > 0;
  show(byId("walk"), some);
  show(byId("none"), !some);
  show(byId("reading-other"), store.units.size > 0);
  if (some) drawSum(walk, live, now);
  else drawNone(store, live, now);
}

/**
 * @param {Walk} walk
 * @param {LiveLink} live
 * @param {number} now
 */
function drawSum(walk, live, now) {
  const lost = live.state === "lost";
  const { first, unit } = firstToLeave(walk);
  const when = first <= now ? words.leaveNow : words.leave(clockTime(first), first - now);
  const leave = unit === "" ? when : `${unit}: ${when}`;
  drawPieces(walk);
  const asOf = lost ? [words.asOf(clockTime(live.heardHub ?? now, true))] : [];
  setText(byId("walk-sum"), [words.sum(walk.jobs.length, walk.mine), ...asOf, leave].join(" · "));
  setAttribute(byId("walk"), "data-leave-now", String(!lost && first <= now));
}

/**
 * When to leave, and for whom where that is a job of nobody's while there are jobs of one's own: the head must not seem to
 * speak of those.
 * @param {Walk} walk with at least one job
 * @returns {{first: number, unit: string}} milliseconds, and a callsign or nothing
 */
export function firstToLeave({ jobs, mine }) {
  const first = Math.min(...jobs.map(leaving));
  const index = jobs.findIndex((job) => leaving(job) === first);
  return { first, unit: mine > 0 && index >= mine ? jobs[index]?.unit ?? "" : "" };
}

/**
 * Nothing to do, and nothing known, are two different things.
 * @param {Store} store
 * @param {LiveLink} live
 * @param {number} now
 */
function drawNone(store, live, now) {
  const known = live.state === "live";
  const unknown = live.state === "lost" ? words.noneKnown : words.looking;
  setText(byId("none-text"), known ? words.none : unknown);
  const next = store.units.size === 0 ? words.noUnits : nextToStop(store, now);
  setText(byId("none-next"), known ? next : "");
}

/** What to carry for all jobs shown together. @param {Walk} walk */
function drawPieces({ bring, labels }) {
  const items = /** @type {const} */ (["pack", "card"]).filter((item) => bring[item] > 0);
  const parts = items.map((item) => words.named(words.pieces[item](bring[item]), labels[item]));
  const texts = parts.length > 0 ? parts : [words.bringNothing];
  const key = texts.join(", ");
  const pieces = byId("bring-pieces");
  if (pieces.dataset.pieces === key) return;
  pieces.dataset.pieces = key;
  const kind = parts.length > 0 ? "piece" : "piece piece-look";
  pieces.replaceChildren(...texts.map((text, index) => make("b", kind, index < texts.length - 1 ? `${text},` : text)));
}
