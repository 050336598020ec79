/**
 * The calls to the hub's HTTP interface.
 * @module api
 */

/** No answer by then counts as none, milliseconds. */
const ANSWER_LIMIT_MS = 8_000;

/**
 * @typedef {object} Answer
 * @property {"ok"|"refused"|"unreachable"} outcome
 * @property {number} status HTTP status, 0 when unreachable
 * @property {object|null} body the JSON that came; for `refused` a problem document
 */

/**
 * Sends one request.
 * @param {string} method
 * @param {string} path
 * @param {object} [body] sent as JSON
 * @param {string} [key] identity of what is asked for, the same in every repetition
 * @returns {Promise<Answer>} never fails: trouble is an outcome
 */
async function send(method, path, body, key) {
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

/** A front that stands between may answer with a page instead of JSON. */
function parse(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** @returns {Promise<Answer>} who is signed in */
export const whoAmI = () => send("GET", "/v1/session");

/** @param {{token: string}|{join: string}} pass @returns {Promise<Answer>} trades a token or a join code for a session */
export const signIn = (pass) => send("POST", "/v1/session", pass);

/** @returns {Promise<Answer>} ends the session */
export const signOut = () => send("DELETE", "/v1/session");

/** @returns {Promise<Answer>} calls, with those that have ended: a snapshot of the live socket leaves them out */
export const callsWithEnded = () => send("GET", "/v1/calls?ended=true");

/**
 * @param {string} id of the call
 * @param {"claim"|"release"|"done"|"undo"} action
 * @param {string} [key] identity of the press
 * @returns {Promise<Answer>} the call as it is then, or the problem
 */
export const actOnCall = (id, action, key) => send("POST", `/v1/calls/${encodeURIComponent(id)}/${action}`, {}, key);

/** @param {object} report in wire format @returns {Promise<Answer>} one outcome, or the problem */
export const postReport = (report) => send("POST", "/v1/reports", report);
