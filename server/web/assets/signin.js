/**
 * Signing in: a token or a join code in the address, or typed into the form, is traded for a session that scripts cannot
 * read.
 * @module signin
 */

/** @import { Session, SignIn } from "swapcall-wire" */
/** @import { Answer } from "./api.js" */

import { signIn, whoAmI } from "./api.js";
import { byId, byIdAs, fill, make, setText, show } from "./dom.js";
import { signIn as words } from "./words.js";

/** A join code as people type it, hyphens and spaces aside: ten letters, none of them a vowel. */
const CODE = /^[BCDFGHJKLMNPQRSTVWXZ]{10}$/;

/** A link that signs in. */
const LINK = /#(join|token)=([^&\s]+)/;

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

/** A link opened in a page that is there already changes only the address; it is meant as in a new page. */
export function followLinks() {
  addEventListener("hashchange", () => LINK.test(location.hash) && location.reload());
}

/**
 * Asks the hub who is signed in, with the token or code of the address first, if there is one.
 * @returns {Promise<{session: Session|null, why: string, unreachable?: boolean}>} no session and why not; an unreachable hub
 *   is a reason too, and asking again may help
 */
export async function findSession() {
  const pass = passFromAddress();
  if (pass) return trade(pass);
  const answer = await whoAmI();
  if (answer.outcome === "ok") return { session: answer.body, why: "" };
  const unreachable = answer.outcome === "unreachable" || answer.status >= 500;
  return { session: null, why: unreachable ? words.unreachable : "", unreachable };
}

/** @param {SignIn} pass */
async function trade(pass) {
  const answer = await signIn(pass);
  if (answer.outcome === "ok") return { session: answer.body, why: "" };
  return { session: null, why: whyNot(answer, pass) };
}

/**
 * @param {Answer<Session>} answer
 * @param {SignIn} pass
 * @returns {string} why there is no session
 */
function whyNot(answer, pass) {
  if (answer.outcome !== "refused" || answer.status >= 500) return words.unreachable;
  if (answer.status === 429) return words.wait(answer.body?.retry_after_s ?? 10);
  return pass.join ? words.refusedCode : words.refused;
}

/** The form. */
export class SignInForm {
  /** @param {(session: Session) => void} onSession called once signed in */
  constructor(onSession) {
    this.onSession = onSession;
    this.form = byId("sign-in-form");
    this.field = byIdAs(HTMLInputElement, "token");
    this.button = byIdAs(HTMLButtonElement, "sign-in-button");
    setText(byId("sign-in-heading"), words.heading);
    setText(byId("token-label"), words.label);
    setText(this.button, words.button);
    fill(byId("sign-in-where"), ...words.where.map((line) => make("li", "", line)));
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#submit();
    });
  }

  /** @param {string} [why] what went wrong before */
  open(why = "") {
    show(byId("sign-in"), true);
    setText(byId("sign-in-why"), why);
    this.field.focus();
  }

  /** Takes the form away. */
  close() {
    this.field.value = "";
    show(byId("sign-in"), false);
  }

  async #submit() {
    const token = this.field.value.trim();
    if (token === "") return setText(byId("sign-in-why"), words.empty);
    this.button.disabled = true;
    const { session, why } = await trade(readPass(token));
    this.button.disabled = false;
    if (session === null) return this.open(why);
    this.close();
    return this.onSession(session);
  }
}
