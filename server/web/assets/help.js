/**
 * The help sheet, and the first steps on an empty hub.
 * @module help
 */

import { byId, byIdAs, fill, make, setText } from "./dom.js";
import { empty, firstSteps, help } from "./words.js";

/** Writes the sheet; it is opened and closed as a dialog. */
export function prepareHelp() {
  setText(byId("help-heading"), help.heading);
  setText(byId("help-close"), help.close);
  setText(byId("help-sound"), help.sound);
  /** @param {string[][]} pairs a sign and its meaning @param {"kbd"|"b"} tag */
  const lines = (pairs, tag) =>
    pairs.flatMap(([sign, meaning]) => [fill(make("dt"), make(tag, "", sign)), make("dd", "", meaning)]);
  fill(byId("help-keys"), ...lines(help.keys, "kbd"));
  fill(byId("help-signs"), ...lines(help.signs, "b"));
  byId("help-close").addEventListener("click", toggleHelp);
}

/** Opens the sheet, or closes it. */
export function toggleHelp() {
  const sheet = byIdAs(HTMLDialogElement, "help");
  if (sheet.open) sheet.close();
  else sheet.showModal();
}

/** Writes the three commands for an empty hub, with the address this page came from. */
export function prepareFirstSteps() {
  setText(byId("empty-heading"), empty.heading);
  setText(byId("empty-token"), empty.token);
  const lines = firstSteps(location.origin).map(({ say, command }) => fill(make("li"), make("span", "", say), make("code", "", command)));
  fill(byId("empty-steps"), ...lines);
}
