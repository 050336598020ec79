/**
 * What signs somebody in, and the question to the hub who is there. It needs so little that it can be asked before the rest
 * of the page has come.
 * @module pass
 */

/** @import { Session, SignIn } from "swapcall-wire" */
/** @import { Answer } from "./api.js" */

import { signIn, whoAmI } from "./api.js";

/** @typedef {{pass: SignIn|null, answering: Promise<Answer<Session>>}} Asked what the hub was asked with, and its answer */

/** @type {Asked|null} the question that was asked ahead */
let ahead = null;

/** Whether somebody has wanted the answer: then it is too late to ask ahead. */
let wanted = false;

/** A join code as people type it, hyphens and spaces aside: ten letters, none of them a vowel. */
const CODE = /^[BCDFGHJKLMNPQRSTVWXZ]{10}$/;

/** A link that signs in. */
export const LINK = /#(join|token)=([^&\s]+)/;

/**
 * What somebody typed or pasted, or what stands in the address.
 * @param {string} text a token, a join code, or a link with one of them
 * @returns {SignIn} what the hub is to be asked with
 */
export function readPass(text) {
  const [, kind, value] = LINK.exec(text) ?? [];
  if (kind) return kind === "join" ? { join: value } : { token: value };
  return CODE.test(text.replace(/[-\s]/g, "").toUpperCase()) ? { join: text } : { token: text };
}

/**
 * Takes the token or code out of the address, so that it is in no history, no bookmark and on no photograph of the screen.
 * @returns {SignIn|null}
 */
function passFromAddress() {
  if (!LINK.test(location.hash)) return null;
  const pass = readPass(location.hash);
  history.replaceState(null, "", location.pathname + location.search);
  return pass;
}

/** @returns {Asked} what was asked ahead, once; after that each time anew */
export function askHub() {
  const asked = ahead ?? ask();
  [ahead, wanted] = [null, true];
  return asked;
}

/** Asks now what `askHub` will want to know. @returns {Asked|null} `null` when that has been asked for already */
export function askAhead() {
  if (!wanted) ahead = ask();
  return ahead;
}

/** @returns {Asked} with the token or code of the address, if there is one */
function ask() {
  const pass = passFromAddress();
  return { pass, answering: pass ? signIn(pass) : whoAmI() };
}
