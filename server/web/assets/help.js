/**
 * The help sheet: all keys and signs.
 * @module help
 */

import { fill, make } from "./dom.js";
import { Panel } from "./panel.js";
import { help, windowPanel } from "./panelwords.js";
import { pool } from "./poolwords.js";
import { panel, risk, sifting, sound, undo, windows } from "./words.js";

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
