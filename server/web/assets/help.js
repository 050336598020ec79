/**
 * The help sheet, and the first steps on an empty hub.
 * @module help
 */

import { byId, fill, make, setText } from "./dom.js";
import { Panel } from "./panel.js";
import { empty, firstHelp, firstSteps, help, panel, pool, risk, sifting, sound, undo, windowPanel, windows } from "./words.js";

/** @returns {() => void} opens the sheet, or closes it */
export function prepareHelp() {
  const sheet = new Panel("help");
  /** @param {string[][]} pairs a sign and its meaning @param {"kbd"|"b"} tag */
  const lines = (pairs, tag) =>
    pairs.flatMap(([sign, meaning]) => [fill(make("dt"), make(tag, "", sign)), make("dd", "", meaning)]);
  const allKeys = [...help.keys, ...undo.keys, ...sound.keys, ...panel.keys, ...pool.keys, ...sifting.keys, ...windowPanel.keys];
  const keys = fill(make("dl"), ...lines(allKeys, "kbd"));
  const signs = fill(make("dl"), ...lines([...help.signs, risk.sign, ...windows.signs, ...pool.help], "b"));
  fill(sheet.body, fill(make("div", "help-columns"), keys, signs), make("p", "help-sound", help.sound));
  return () => (sheet.isOpen ? sheet.close() : sheet.open(help.heading));
}

/** Writes the three commands for an empty hub, with the address this page came from. */
export function prepareFirstSteps() {
  setText(byId("empty-heading"), empty.heading);
  const notes = [empty.token, firstHelp.rights, ...(location.protocol === "https:" ? [firstHelp.https] : [])];
  setText(byId("empty-token"), notes.join(" "));
  const lines = firstSteps(location.origin).map(({ say, command }) => fill(make("li"), make("span", "", say), make("code", "", command)));
  fill(byId("empty-steps"), ...lines);
}
