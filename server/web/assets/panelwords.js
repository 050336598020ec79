/**
 * The words of the panels that are fetched after the board, in the language of this device.
 * @module panelwords
 */

import * as kitEnglish from "./words-kit-en.js";
import * as panelsEnglish from "./words-panels-en.js";
import * as windowsEnglish from "./words-windows-en.js";
import { language } from "./words.js";

const english = { ...kitEnglish, ...panelsEnglish, ...windowsEnglish };

/** @returns {Promise<typeof english>} */
async function german() {
  const parts = await Promise.all([import("./words-kit-de.js"), import("./words-panels-de.js"), import("./words-windows-de.js")]);
  return { ...parts[0], ...parts[1], ...parts[2] };
}

export const { forms, help, kit, people, rotation, sheet, windowPanel } = language === "de" ? await german() : english;
