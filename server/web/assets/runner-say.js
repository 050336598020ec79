/**
 * What can be taken back, and what a press that was answered says at the lower edge.
 * @module runner-say
 */

/** @import { Press } from "./runner-queue.js" */
/** @import { Settled } from "./runner-send.js" */

import { leadsTo } from "./poolmodel.js";
import { pool } from "./poolwords.js";
import { runner as words } from "./runnerwords.js";
import { calls as callWords, undo as undoWords } from "./words.js";

/** @typedef {"claim"|"release"|"done"} Undoable a press that can be taken back */

/** What takes a press back. */
export const OPPOSITE = /** @type {const} */ ({ claim: "release", release: "claim", done: "undo" });

/** @param {Press["action"]} action @returns {action is Undoable} */
export function undoable(action) {
  return action !== undefined && action !== "undo";
}

/**
 * What a settled press says at the lower edge.
 * @param {Settled} settled
 * @returns {{text: string, undo?: boolean, lasting?: boolean}|null} nothing, where the card says it all
 */
export function whatToSay({ press, outcome, problem }) {
  const { action, move, unit, undoes } = press;
  if (move) return moveSaid(press, move, problem);
  const why = callWords.failed(problem?.detail ?? "", problem?.type?.split(":").at(-1));
  if (action === undefined) {
    return outcome === "ok" ? { text: words.readingStored(unit) } : { text: words.readingRefused(unit, why), lasting: true };
  }
  if (outcome === "refused") {
    // A hub of an earlier make has no such route.
    if (action === "undo" && problem?.type?.endsWith(":not-found")) return { text: undoWords.tooOld, lasting: true };
    const taken = action === "claim" && problem?.claimed_by;
    return { text: taken ? words.takenBy(taken, unit) : words.refused(action, unit, why), lasting: true };
  }
  if (outcome === "ended") return action === "done" ? { text: words.alreadyEnded(unit) } : null;
  if (undoable(undoes)) return { text: words.undone[undoes](unit) };
  return undoable(action) ? { text: words.did[action](unit), undo: true } : null;
}

/**
 * @param {Press} press
 * @param {NonNullable<Press["move"]>} move
 * @param {Settled["problem"]} problem
 */
function moveSaid({ unit, back }, move, problem) {
  if (problem === null) return { text: pool.pressed(unit, leadsTo(move)), undo: back !== undefined };
  const holds = problem.type?.endsWith(":card-holds-footage");
  return { text: pool.refused(unit, holds ? pool.holds(unit) : problem.detail ?? ""), lasting: true };
}
