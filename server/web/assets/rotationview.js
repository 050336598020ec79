/**
 * Shows the hours to come of the packs in a given place of the page.
 * @module rotationview
 */

import { fill, make } from "./dom.js";
import { rotation as words } from "./panelwords.js";
import { rotationPicture, rotationSaid } from "./rotationmodel.js";
import { drawPicture } from "./svg.js";

/** @import { Rotation } from "swapcall-wire" */

/**
 * Replaces what stands in a place by what the hub answered.
 * @param {Element} place
 * @param {Rotation} rotation
 * @param {number} width of the picture
 */
export function showRotation(place, rotation, width) {
  const said = rotationSaid(rotation);
  const picture = rotationPicture(rotation, width);
  const parts = [make("h3", "", words.heading), make("p", said.lasts ? "rotation-lasts" : "rotation-short", said.headline)];
  const drawn = picture === null ? [] : [drawPicture(picture, `${words.picture} ${said.headline}`), make("p", "rotation-key", words.key)];
  const cures = said.cures.map(({ text, enough }) => make("li", enough ? "rotation-enough" : "", enough ? words.enough(text) : text));
  const list = cures.length > 0 ? [make("h4", "", words.cures), fill(make("ul", "rotation-cures"), ...cures)] : [];
  const assumed = said.assumed.map((sentence) => make("li", "", sentence));
  const taken = make("details", "rotation-assumed");
  fill(taken, make("summary", "", words.assumed), fill(make("ul"), ...assumed), make("p", "", rotation.rule));
  place.replaceChildren(...parts, ...drawn, ...list, taken);
}
