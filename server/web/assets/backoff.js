/**
 * When to try again: at once, then exponentially with full jitter up to a ceiling, so that after a restart of the hub
 * not all screens come back in the same instant.
 * @module backoff
 */

/** First ceiling of the random wait, milliseconds. */
const BASE_MS = 500;

/** Longest wait, milliseconds. */
export const CEILING_MS = 15_000;

/** A connection that held this long counts as good, milliseconds. */
export const STABLE_MS = 10_000;

/** Counts the tries. */
export class Backoff {
  /** @param {() => number} [random] 0 to below 1 */
  constructor(random = Math.random) {
    this.random = random;
    this.tries = 0;
  }

  /**
   * @param {number} [atLeastMs] what the hub asked for when it said good-bye
   * @returns {number} milliseconds to wait before the next try
   */
  next(atLeastMs = 0) {
    const ceiling = this.tries === 0 ? 0 : Math.min(CEILING_MS, BASE_MS * 2 ** this.tries);
    this.tries += 1;
    return Math.max(atLeastMs, this.random() * ceiling);
  }

  /** The connection held: the next loss is tried at once again. */
  reset() {
    this.tries = 0;
  }
}
