/**
 * The browser's tab: its title and its picture carry the number of calls.
 * @module badge
 */

import { byId, setAttribute } from "./dom.js";
import { risk, top } from "./words.js";

/** Above this the picture says "more". */
const LARGEST = 9;

/**
 * @param {number} count open and claimed calls
 * @param {boolean} lost whether the hub is lost
 * @param {number} risks cards at risk: in a tab in the background, the title says so
 */
export function showBadge(count, lost, risks) {
  const title = titleFor(count, lost, risks);
  if (document.title !== title) document.title = title;
  let name = "favicon";
  if (count > 0) name = count > LARGEST ? "favicon-more" : `favicon-${count}`;
  const picture = byId("favicon");
  // Beside the one that the page names: only the hub knows the address of the folder.
  const beside = (picture.getAttribute("href") ?? "").replace(/[^/]*$/, `${name}.svg`);
  setAttribute(picture, "href", beside);
}

/** @param {number} count @param {boolean} lost @param {number} risks */
function titleFor(count, lost, risks) {
  if (lost) return top.titleLost;
  return risks > 0 ? risk.title(risk.heading(risks)) : top.title(count);
}
