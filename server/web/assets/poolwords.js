/**
 * The words of the pool, in the language of this device.
 * @module poolwords
 */

import * as english from "./words-pool-en.js";
import { language } from "./words.js";

/** @type {typeof english} */
const words = language === "de" ? await import("./words-pool-de.js") : english;

export const { pool } = words;
