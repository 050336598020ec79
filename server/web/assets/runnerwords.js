/**
 * The words of the runner's page, in the language of this device.
 * @module runnerwords
 */

import * as english from "./words-runner-en.js";
import { language } from "./words.js";

/** @type {typeof english} */
const words = language === "de" ? await import("./words-runner-de.js") : english;

export const { runner } = words;
