/**
 * What the panel of people says, worked out without touching page or hub.
 * @module peoplemodel
 */

import { people as words } from "./panelwords.js";
import { toMs } from "./time.js";
import { ROLES, duration } from "./words.js";

/** @import { Role } from "swapcall-wire" */

/**
 * @typedef {object} Signed a sign-in or token, as the hub lists it
 * @property {string} id
 * @property {string} name
 * @property {Role} role
 * @property {boolean} session
 * @property {string} created_at
 * @property {string|null} [expires_at]
 * @property {number} sockets
 * @property {string|null} [heard_at]
 */

/** @typedef {{people: Signed[]}} PeopleList the answer to `GET /v1/people` */

/**
 * Roles that may invite, and whom: always for less than they may do themselves.
 * @type {Partial<Record<string, Role[]>>}
 */
const MAY_INVITE = { lead: ["runner"], owner: ["runner", "lead"] };

/** Addresses that lead every device to itself. */
const OWN_HOST = /^(localhost|127(\.\d+){3}|\[::1\])$/;

/** @param {string|undefined} role @returns {Role[]} roles that this one may invite; none for most */
export const invitable = (role) => MAY_INVITE[role ?? ""] ?? [];

/**
 * @param {{link: string}} join as sent by the hub: a path, or an address where the hub knows its own
 * @param {string} origin where this page came from
 * @returns {{address: string, warning: string}} the whole address, and why it may not work elsewhere
 */
export function linkOf({ link }, origin) {
  const address = new URL(link, origin);
  return { address: address.href, warning: OWN_HOST.test(address.hostname) ? words.ownHost(address.hostname) : "" };
}

/**
 * @param {string|null|undefined} svg as sent by the hub
 * @returns {string} an address that holds the picture itself; "" for none
 */
export const pictureOf = (svg) => (svg ? `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}` : "");

/**
 * How long an invitation still works.
 * @param {{expires_at: string}} join as sent by the hub
 * @param {number} now the hub's clock, milliseconds
 * @returns {{over: boolean, text: string}}
 */
export function timeLeftOf({ expires_at: expires }, now) {
  const left = (toMs(expires) ?? now) - now;
  return left <= 0 ? { over: true, text: words.over } : { over: false, text: words.left(duration(left)) };
}

/**
 * One line of the list.
 * @param {Signed} person
 * @param {number} now the hub's clock, milliseconds
 * @param {string} own name of whoever looks
 * @returns {{name: string, role: string, what: string, when: string}}
 */
export function personLine(person, now, own) {
  const heard = toMs(person.heard_at);
  const made = toMs(person.created_at);
  const ends = toMs(person.expires_at);
  const when = [words.notHeard];
  if (heard !== null) when[0] = words.heard(duration(Math.max(0, now - heard)));
  if (person.sockets > 0) when[0] = words.screens(person.sockets);
  if (made !== null) when.push(words.since(duration(Math.max(0, now - made))));
  if (ends !== null) when.push(words.ends(duration(Math.max(0, ends - now))));
  return {
    name: person.name === own ? words.you(person.name) : person.name,
    role: ROLES[person.role] ?? person.role,
    what: person.session ? words.session : words.token,
    when: when.join(" · "),
  };
}

/** @param {Signed[]} list @returns {Signed[]} those with a screen open first, then by name */
export function inOrder(list) {
  const on = (/** @type {Signed} */ person) => Number(person.sockets > 0);
  return [...list].sort((a, b) => on(b) - on(a) || a.name.localeCompare(b.name, undefined, { numeric: true }) || a.created_at.localeCompare(b.created_at));
}
