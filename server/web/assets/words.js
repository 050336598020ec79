/**
 * The words that a screen begins with, in the language of this device. They stand in `words-LANGUAGE.js`, those of what
 * comes later in `words-FAMILY-LANGUAGE.js`; nothing else in this folder holds text for people.
 * @module words
 */

import { pickLanguage, readSettings } from "./settings.js";
import * as english from "./words-en.js";

/** Without a page, as in a test, nobody has chosen anything. */
const onPage = typeof document !== "undefined";

/** The language these words are in. */
export const language = onPage ? pickLanguage(readSettings().language, navigator.languages) : "en";

// Words and the language that the page claims to be in must agree, or it is read aloud with the wrong voice.
if (onPage) document.documentElement.lang = language;

/** Only English comes with the page: another language is fetched where it is wanted. @type {typeof english} */
const words = language === "de" ? await import("./words-de.js") : english;

export const {
  BRING,
  CAUSES,
  ENDINGS,
  LETTERS,
  MODES,
  ROLES,
  SORTS,
  SPANS,
  board,
  calls,
  duration,
  empty,
  firstHelp,
  firstSteps,
  link,
  panel,
  range,
  risk,
  row,
  sifting,
  signIn,
  sound,
  timeLeft,
  top,
  undo,
  windows,
} = words;
