/**
 * The first steps on an empty hub.
 * @module firststeps
 */

import { byId, fill, make, setText } from "./dom.js";
import { empty, firstHelp, firstSteps } from "./words.js";

/** Writes the three commands for an empty hub, with the address this page came from. */
export function prepareFirstSteps() {
  setText(byId("empty-heading"), empty.heading);
  const notes = [empty.token, firstHelp.rights, ...(location.protocol === "https:" ? [firstHelp.https] : [])];
  setText(byId("empty-token"), notes.join(" "));
  const lines = firstSteps(location.origin).map(({ say, command }) => fill(make("li"), make("span", "", say), make("code", "", command)));
  fill(byId("empty-steps"), ...lines);
}
