/**
 * Time on this screen: the hub's clock, and moments as they travel.
 *
 * The local clock is never trusted for what time it is, because a laptop on a jetty may be hours off. The hub says
 * what time it is in every `hello` and `heartbeat`; in between the browser's monotonic counter carries it on.
 * @module time
 */

/** How many of the last time signals are kept for the estimate. */
const KEPT_SIGNALS = 8;

/** The hub's clock, carried on by a monotonic counter. */
export class HubClock {
  /** @param {() => number} counter milliseconds that only ever go up, such as `performance.now` */
  constructor(counter) {
    this.counter = counter;
    /** Hub seconds per real second: 1, except in the demo. */
    this.rate = 1;
    /** @type {number[]} hub milliseconds minus counter milliseconds, newest last */
    this.offsets = [];
  }

  /**
   * Takes a time signal. A signal that was long on its way makes the hub look slow, so the largest of the last few
   * differences is the best one.
   * @param {string} now the hub's clock, RFC 3339
   */
  hear(now) {
    const at = toMs(now);
    if (at === null) return;
    this.offsets.push(at - this.counter() * this.rate);
    if (this.offsets.length > KEPT_SIGNALS) this.offsets.shift();
  }

  /**
   * Forgets every signal: after the machine slept, or when another hub answers.
   * @param {number} [rate] hub seconds per real second from now on
   */
  forget(rate = this.rate) {
    this.rate = rate;
    this.offsets = [];
  }

  /** @returns {number|null} the hub's clock in milliseconds since 1970, `null` before the first signal */
  now() {
    if (this.offsets.length === 0) return null;
    return Math.max(...this.offsets) + this.counter() * this.rate;
  }
}

/**
 * @param {string|null|undefined} moment RFC 3339 in UTC with `Z`
 * @returns {number|null} milliseconds since 1970, `null` when there is none or it cannot be read
 */
export function toMs(moment) {
  if (moment === null || moment === undefined) return null;
  const ms = Date.parse(moment);
  return Number.isNaN(ms) ? null : ms;
}

/**
 * Compares two moments to the last digit; `Date.parse` would stop at milliseconds.
 * @param {string} a RFC 3339 in UTC with `Z`
 * @param {string} b the same
 * @returns {number} negative when `a` is earlier, 0 when equal, positive when later
 */
export function compareMoments(a, b) {
  const [left, right] = [sortable(a), sortable(b)];
  return left < right ? -1 : Number(left > right);
}

/**
 * Pads the fraction to nanoseconds, so that text order is time order.
 * @param {string} moment
 */
function sortable(moment) {
  const [seconds, fraction = ""] = moment.replace(/Z$/, "").split(".");
  return `${seconds}.${fraction.padEnd(9, "0")}`;
}

const DAY_MS = 24 * 3_600_000;

/** @typedef {{format: (ms: number) => string}} Clock says `14:32:10` for milliseconds since 1970 */

/** @param {string} zone IANA name @returns {Clock} */
const clockIn = (zone) =>
  new Intl.DateTimeFormat("en-GB", { timeZone: zone, hour: "2-digit", minute: "2-digit", second: "2-digit", hourCycle: "h23" });

/** The viewer's own clock; a formatter would say the same, but the first one takes longer to make than the first rows. @type {Clock} */
const own = {
  format(ms) {
    const at = new Date(ms);
    return [at.getHours(), at.getMinutes(), at.getSeconds()].map((part) => String(part).padStart(2, "0")).join(":");
  },
};
/** The show's clock. */
let show = { zone: "", clock: own };

const MINUTE_MS = 60_000;

/** How many minutes' clock times are remembered: a board of two hundred rows on an axis of a day says fewer. */
const KEPT_MINUTES = 3_000;

/**
 * What the show's clock says, by minute since 1970: sixty rows say several hundred clock times a second, nearly all of
 * them the same ones, and asking the formatter takes longer than everything else about a row.
 * @type {Map<number, {shown: string, own: string}>}
 */
const said = new Map();

/**
 * @param {number} ms milliseconds since 1970
 * @returns {{shown: string, own: string}} `14:32` on the show's clock and on the viewer's own
 */
function minuteOf(ms) {
  const minute = Math.floor(ms / MINUTE_MS);
  const held = said.get(minute);
  if (held !== undefined) return held;
  if (said.size >= KEPT_MINUTES) said.clear();
  const [shown, mine] = [show.clock, own].map((clock) => clock.format(ms).slice(0, 5));
  const both = { shown, own: mine };
  said.set(minute, both);
  return both;
}

/**
 * Says where the show is. "By 14:32" must mean the same to everybody, wherever their device believes to be.
 * @param {string|null|undefined} zone IANA name; without one, or with one this device does not know, its own holds
 */
export function showIsIn(zone) {
  if ((zone ?? "") === show.zone) return;
  said.clear();
  try {
    show = zone ? { zone, clock: clockIn(zone) } : { zone: "", clock: own };
  } catch {
    show = { zone: "", clock: own };
  }
}

/**
 * @param {number} ms milliseconds since 1970
 * @returns {string} the place whose time is shown, such as `Buenos Aires`; empty while the viewer's clock says the same
 */
export function foreignPlace(ms) {
  const { shown, own: mine } = minuteOf(ms);
  if (shown === mine) return "";
  return show.zone.slice(show.zone.lastIndexOf("/") + 1).replaceAll("_", " ");
}

/**
 * @param {number} ms milliseconds since 1970
 * @param {boolean} [withSeconds] `14:32:10` instead of `14:32`
 * @returns {string} clock time where the show is
 */
export function clockTime(ms, withSeconds = false) {
  // Clocks all over the world differ by whole minutes, so the seconds are the same on each.
  const { shown } = minuteOf(ms);
  return withSeconds ? `${shown}:${String(Math.floor(ms / 1000) % 60).padStart(2, "0")}` : shown;
}

/**
 * @param {number} ms milliseconds since 1970
 * @returns {number} the midnight before it, where the show is
 */
export function startOfDay(ms) {
  /** @param {number} at @returns {number} milliseconds that the clock shows since nought */
  const shown = (at) => {
    const [hours = 0, minutes = 0, seconds = 0] = show.clock.format(at).split(":").map(Number);
    return ((hours * 60 + minutes) * 60 + seconds) * 1000;
  };
  const second = 1000 * Math.floor(ms / 1000);
  const start = second - shown(second);
  // On a day on which the clocks are changed that is an hour beside it.
  const off = shown(start);
  return start - (off > DAY_MS / 2 ? off - DAY_MS : off);
}

/**
 * The moments at which a clock shows a time, on the day of `near` and the days around it; empty when it cannot be read.
 * @param {string} text `HH:MM`, also written `HHMM` or `H.MM`
 * @param {number} near milliseconds
 */
function clockMoments(text, near) {
  const found = /^(\d{1,2})[:.]?(\d{2})$/.exec(text.trim());
  if (found === null) return [];
  const [hours, minutes] = [Number(found[1]), Number(found[2])];
  if (hours > 23 || minutes > 59) return [];
  return [-1, 0, 1].map((days) => {
    const date = new Date(near);
    date.setDate(date.getDate() + days);
    return date.setHours(hours, minutes, 0, 0);
  });
}

/**
 * @param {string} text `HH:MM` in the viewer's time zone
 * @param {number} near milliseconds
 * @returns {number|null} the moment nearest to `near` at which the clock shows it
 */
export function nearestClock(text, near) {
  const found = clockMoments(text, near);
  return found.sort((a, b) => Math.abs(a - near) - Math.abs(b - near))[0] ?? null;
}

/**
 * @param {string} text `HH:MM` in the viewer's time zone
 * @param {number} after milliseconds
 * @returns {number|null} the first moment after `after` at which the clock shows it
 */
export function nextClock(text, after) {
  return clockMoments(text, after).find((at) => at > after) ?? null;
}
