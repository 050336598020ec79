/**
 * The browser's tab: its title and its picture carry the number of calls.
 * @module badge
 */

import { byId, setAttribute } from "./dom.js";
import { top } from "./words.js";

/** Above this the picture says "more". */
const LARGEST = 9;

/**
 * @param {number} count open and claimed calls
 * @param {boolean} lost whether the hub is lost
 */
export function showBadge(count, lost) {
  const title = lost ? top.titleLost : top.title(count);
  if (document.title !== title) document.title = title;
  let name = "favicon";
  if (count > 0) name = count > LARGEST ? "favicon-more" : `favicon-${count}`;
  const picture = byId("favicon");
  // Beside the one that the page names: only the hub knows the address of the folder.
  const beside = (picture.getAttribute("href") ?? "").replace(/[^/]*$/, `${name}.svg`);
  setAttribute(picture, "href", beside);
}
