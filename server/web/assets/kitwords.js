/**
 * The words of the kit sum, in the language of this device.
 * @module kitwords
 */

import { language } from "./words.js";

/** @type {typeof import("./words-kit-en.js")} */
const words = language === "de" ? await import("./words-kit-de.js") : await import("./words-kit-en.js");

export const { kit } = words;
