/**
 * The calls to the hub's HTTP interface.
 * @module api
 */

/** @import { CallList, CallView, History, JoinCreated, KitAnswer, KitQuestion, LimitsDocument, LimitsView, NewJoin, Problem, Report } from "swapcall-wire" */
/** @import { ReportAnswer, Rundown, Session, Shows, SignIn, UnitProfile, UnitView, Window as WireWindow } from "swapcall-wire" */
/** @import { PoolCardList, PoolCardView, PoolPackList, PoolPackView, Rotation } from "swapcall-wire" */
/** @import { PeopleList } from "./peoplemodel.js" */
/** @import { Move } from "./poolmodel.js" */
/** @import { Forecasts } from "./sheetstory.js" */

/** No answer by then counts as none, milliseconds. */
const ANSWER_LIMIT_MS = 8_000;

/**
 * What came back: `body` is the JSON that came, `null` when none did; `status` is the HTTP status, 0 when unreachable.
 * @template Body
 * @typedef {{outcome: "ok", status: number, body: Body|null}
 *   | {outcome: "refused", status: number, body: Problem|null}
 *   | {outcome: "unreachable", status: 0, body: null}} Answer
 */

/**
 * Sends one request. That the JSON is what the hub's OpenAPI document says is taken from the hub.
 * @param {string} method
 * @param {string} path
 * @param {object} [body] sent as JSON
 * @param {string} [key] identity of what is asked for, the same in every repetition
 * @returns {Promise<Answer<any>>} never fails: trouble is an outcome
 */
async function send(method, path, body, key) {
  /** @type {RequestInit} */
  const options = { method, credentials: "same-origin", cache: "no-store", signal: AbortSignal.timeout(ANSWER_LIMIT_MS) };
  if (body !== undefined) {
    options.body = JSON.stringify(body);
    options.headers = { "Content-Type": "application/json" };
  }
  if (key !== undefined) options.headers = { ...options.headers, "Idempotency-Key": key };
  try {
    const response = await fetch(path, options);
    const text = await response.text();
    return { outcome: response.ok ? "ok" : "refused", status: response.status, body: parse(text) };
  } catch {
    return { outcome: "unreachable", status: 0, body: null };
  }
}

/**
 * A front that stands between may answer with a page instead of JSON.
 * @param {string} text
 * @returns {any}
 */
function parse(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** @returns {Promise<Answer<Session>>} who is signed in */
export const whoAmI = () => send("GET", "/v1/session");

/** @param {SignIn} pass @returns {Promise<Answer<Session>>} trades a token or a join code for a session */
export const signIn = (pass) => send("POST", "/v1/session", pass);

/** @returns {Promise<Answer<null>>} ends the session */
export const signOut = () => send("DELETE", "/v1/session");

/** @returns {Promise<Answer<CallList>>} calls, with those that have ended: a snapshot of the live socket leaves them out */
export const callsWithEnded = () => send("GET", "/v1/calls?ended=true");

/**
 * @param {string} id of the call
 * @param {"claim"|"release"|"done"|"undo"} action `undo` takes back a "done"
 * @param {string} [key] identity of the press
 * @returns {Promise<Answer<CallView>>} the call as it is then, or the problem
 */
export const actOnCall = (id, action, key) => send("POST", `/v1/calls/${encodeURIComponent(id)}/${action}`, {}, key);

/** @returns {Promise<Answer<Rundown>>} the windows of the rundown */
export const readRundown = () => send("GET", "/v1/rundown");

/**
 * @param {WireWindow[]} windows all of them
 * @param {number|null} [revision] of the rundown that they change: refused when it is another meanwhile
 * @returns {Promise<Answer<Rundown>>} the windows as they are then, or the problem
 */
export const writeRundown = (windows, revision) => send("PUT", "/v1/rundown", { windows, revision });

/** @returns {Promise<Answer<Shows>>} the shows */
export const readShows = () => send("GET", "/v1/shows");

const unitPath = (/** @type {string} */ unit) => `/v1/units/${encodeURIComponent(unit)}`;
const query = (/** @type {Record<string, string>} */ values) => new URLSearchParams(values).toString();

/**
 * @param {string} unit
 * @param {{from: string, to: string, step: string}} window
 * @returns {Promise<Answer<History>>} the unit's past
 */
export const unitHistory = (unit, window) => send("GET", `${unitPath(unit)}/history?${query(window)}`);

/**
 * @param {string} unit
 * @param {{from: string, to: string}} window
 * @returns {Promise<Answer<Forecasts>>} what was foreseen then, and what happened; 404 from a hub that does not keep it
 */
export const unitForecasts = (unit, window) => send("GET", `${unitPath(unit)}/forecasts?${query(window)}`);

/**
 * @param {string} unit
 * @param {UnitProfile} profile the whole: what is left out is forgotten
 * @returns {Promise<Answer<UnitView>>} the unit as it is then
 */
export const putProfile = (unit, profile) => send("PUT", unitPath(unit), profile);

/** @returns {Promise<Answer<LimitsView>>} what was set, and what is in force */
export const getLimits = () => send("GET", "/v1/limits");

/** @param {LimitsDocument} limits the whole: what is left out is forgotten @returns {Promise<Answer<LimitsView>>} */
export const putLimits = (limits) => send("PUT", "/v1/limits", limits);

/** @param {Report} report one @returns {Promise<Answer<ReportAnswer>>} */
export const sendReport = (report) => send("POST", "/v1/reports", report);

/** @typedef {JoinCreated & {qr_svg?: string|null}} Invitation with a picture to scan, where the hub makes one */

/** @param {NewJoin} guest @returns {Promise<Answer<Invitation>>} a code that works once */
export const invite = (guest) => send("POST", "/v1/joins", guest);

/** @returns {Promise<Answer<PeopleList>>} who is on; 404 from a hub that does not say */
export const listPeople = () => send("GET", "/v1/people");

/** @param {string} id @returns {Promise<Answer<null>>} ends a sign-in */
export const endSignIn = (id) => send("DELETE", `/v1/people/${encodeURIComponent(id)}`);

/** @returns {Promise<Answer<PoolPackList>>} every pack */
export const listPacks = () => send("GET", "/v1/packs");

/** @returns {Promise<Answer<Rotation>>} the hours to come of the packs */
export const askRotation = () => send("GET", "/v1/rotation");

/** @returns {Promise<Answer<PoolCardList>>} every card */
export const listCards = () => send("GET", "/v1/cards");

/**
 * @param {Move} move where a pack or card is
 * @returns {Promise<Answer<PoolPackView|PoolCardView>>} the piece as it is then, or the problem
 */
export const putPiece = ({ kind, label, body }) => send("PUT", `/v1/${kind}s/${encodeURIComponent(label)}`, body);

/** @param {KitQuestion} question @returns {Promise<Answer<KitAnswer>>} whether a kit lasts a show; nothing is kept */
export const askKit = (question) => send("POST", "/v1/kit", question);
