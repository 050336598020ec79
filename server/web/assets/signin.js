/**
 * Signing in: a token or a join code in the address, or typed into the form, is traded for a session that scripts cannot
 * read.
 * @module signin
 */

/** @import { Session, SignIn } from "swapcall-wire" */
/** @import { Answer } from "./api.js" */

import { signIn } from "./api.js";
import { byId, byIdAs, fill, make, setText, show } from "./dom.js";
import { LINK, askHub, readPass } from "./pass.js";
import { signIn as words } from "./words.js";

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
  const { pass, answering } = askHub();
  const answer = await answering;
  if (pass) return asSession(answer, pass);
  if (answer.outcome === "ok") return { session: answer.body, why: "" };
  const unreachable = answer.outcome === "unreachable" || answer.status >= 500;
  return { session: null, why: unreachable ? words.unreachable : "", unreachable };
}

/** @param {SignIn} pass */
async function trade(pass) {
  return asSession(await signIn(pass), pass);
}

/**
 * @param {Answer<Session>} answer
 * @param {SignIn} pass
 */
function asSession(answer, pass) {
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
