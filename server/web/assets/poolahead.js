/**
 * The hours to come of the packs, in the pool's panel: asked for when the kit changed, and not more often than it moves.
 * @module poolahead
 */

import { askRotation } from "./api.js";
import { make, setAttribute } from "./dom.js";
import { rotation as words } from "./panelwords.js";
import { showRotation } from "./rotationview.js";

/** The hub works it out anew each minute, milliseconds. */
const REFRESH_MS = 60_000;
/** A kit that is being registered changes with every press, milliseconds. */
const SOONEST_MS = 5_000;
/** Room for the picture, in CSS pixels. */
const WIDEST = 760;
const NARROWEST = 280;
/** What the panel leaves at its sides, in CSS pixels. */
const PADDING = 48;

/** Whether the packs last, and the picture of it. */
export class Ahead {
  constructor() {
    this.root = make("section", "pool-rotation", "", { id: "pool-rotation" });
    this.askedAt = -Infinity;
    /** @type {number|null} */
    this.askedRevision = null;
  }

  /** @param {number|null} revision of the kit @param {boolean} lost whether the hub is lost */
  draw(revision, lost) {
    // What was foreseen before the hub was lost must not pass for what is foreseen now.
    setAttribute(this.root, "data-old", lost ? "true" : null);
    const since = performance.now() - this.askedAt;
    const due = since > REFRESH_MS || (since > SOONEST_MS && revision !== this.askedRevision);
    if (!due || lost) return;
    this.askedAt = performance.now();
    this.askedRevision = revision;
    this.#ask();
  }

  async #ask() {
    const answer = await askRotation();
    if (answer.outcome !== "ok" || answer.body === null) {
      this.root.replaceChildren(make("p", "rotation-none", words.none));
      return;
    }
    // The place itself has no width as long as nothing stands in it.
    const room = this.root.parentElement?.clientWidth ?? NARROWEST;
    const width = Math.max(NARROWEST, Math.min(WIDEST, room - PADDING));
    showRotation(this.root, answer.body, width);
  }
}
