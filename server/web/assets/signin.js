/**
 * Signing in: a token in the address, or typed into the form, is traded for a session that scripts cannot read.
 * @module signin
 */

import { signIn, whoAmI } from "./api.js";
import { byId, fill, make, setText, show } from "./dom.js";
import { signIn as words } from "./words.js";

/**
 * @typedef {object} Session
 * @property {string} name
 * @property {string} role
 */

/**
 * Takes the token out of the address, so that it is in no history, no bookmark and on no photograph of the screen.
 * @returns {string|null}
 */
function tokenFromAddress() {
  const token = new URLSearchParams(location.hash.slice(1)).get("token");
  if (token !== null) history.replaceState(null, "", location.pathname + location.search);
  return token;
}

/**
 * Asks the hub who is signed in, with the token of the address first, if there is one.
 * @returns {Promise<{session: Session|null, why: string}>} no session and why not; an unreachable hub is a reason too
 */
export async function findSession() {
  const token = tokenFromAddress();
  if (token) return trade(token);
  const answer = await whoAmI();
  if (answer.outcome === "ok") return { session: answer.body, why: "" };
  return { session: null, why: answer.outcome === "unreachable" || answer.status >= 500 ? words.unreachable : "" };
}

async function trade(token) {
  const answer = await signIn(token);
  if (answer.outcome === "ok") return { session: answer.body, why: "" };
  const known = answer.outcome === "refused" && answer.status < 500;
  return { session: null, why: known ? words.refused : words.unreachable };
}

/** The form. */
export class SignInForm {
  /** @param {(session: Session) => void} onSession called once signed in */
  constructor(onSession) {
    this.onSession = onSession;
    this.form = byId("sign-in-form");
    this.field = byId("token");
    setText(byId("sign-in-heading"), words.heading);
    setText(byId("token-label"), words.label);
    setText(byId("sign-in-button"), words.button);
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
    byId("sign-in-button").disabled = true;
    const { session, why } = await trade(token);
    byId("sign-in-button").disabled = false;
    if (session === null) return this.open(why);
    this.close();
    return this.onSession(session);
  }
}
