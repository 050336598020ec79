/**
 * Every state of the screens and how one gets there: what must hold everywhere is looked at in each of them.
 */

import { callOf, untilText } from "./kit.mjs";
import { job, mainPress, undo } from "./runner-kit.mjs";
import { person } from "./scenario-routes.mjs";
import { NO_CONNECTION, REFUSED } from "./complaints.mjs";

/**
 * @typedef {object} State
 * @property {string} name
 * @property {string} scenario of the scripted hub
 * @property {string|null} [token] `null` for nobody
 * @property {string} [path] of the page; the ops screen where nothing is said
 * @property {(page: import("playwright-core").Page, hub: object) => Promise<unknown>} [reach] does what leads there
 * @property {string} seen what is in sight once it is reached
 * @property {boolean} [brief] it passes by itself, so it is reached anew for each look
 * @property {RegExp[]} [expected] complaints of the browser that belong to it
 */

const press = (...keys) => async (page) => {
  for (const key of keys) await page.keyboard.press(key);
};
const lost = async (page, hub) => {
  await hub.stop();
  await page.waitForSelector("body[data-link=lost]");
};
const sheetOf = (unit) => async (page) => {
  await page.evaluate((name) => document.dispatchEvent(new CustomEvent("swapcall:open-unit", { detail: { unit: name } })), unit);
  await page.locator("#sheet .picture").nth(2).waitFor();
};
/** Four hours of it: swaps, ends and what was foreseen are in the pictures. */
const pastOf = (unit) => async (page) => {
  await sheetOf(unit)(page);
  await page.locator(".sheet-choices button").nth(1).click();
  await page.locator("#sheet .pic-swap").first().waitFor({ state: "attached" });
};
const refused = async (page) => {
  await page.locator("#token").fill("token-nobody");
  await page.locator("#sign-in-button").click();
  await untilText(page.locator("#sign-in-why"), /does not know this token/);
};
const typedForm = async (page, hub) => {
  await sheetOf("BOW2")(page);
  for (const fold of await page.locator("#sheet summary").all()) await fold.click();
  hub.answers.refuse = { pointer: "/battery/percent", detail: "130 is more than 100" };
  await page.locator("#sheet .form input").first().fill("43");
  await page.locator("#sheet .form-send").first().click();
};
const invited = async (page, hub) => {
  const now = Date.now();
  hub.answers.people = [person(now, { name: "Ana", sockets: 2 }), person(now, { name: "Tam", sockets: 0 }), person(now, { name: "Mia", role: "lead", session: false })];
  await page.keyboard.press("p");
  await page.getByLabel("Name, as it stands on claims").fill("Ben");
  await page.getByRole("button", { name: "Make an invitation" }).click();
  await page.locator(".person").nth(2).waitFor();
};
const windowGone = async (page) => {
  await page.keyboard.press("w");
  await page.locator("#windows").getByRole("button", { name: "Remove" }).first().click();
};
/** One call taken, one done: both can be taken back for ten seconds. */
const pressed = async (page) => {
  await callOf(page, "MID1").locator(".act-claim").click();
  await callOf(page, "BOW2").locator(".act-done").click();
  await callOf(page, "BOW2").locator(".act-done").click();
  await page.locator(".slip .act-undo:enabled").waitFor();
  await callOf(page, "MID1").locator(".act-undo:enabled").waitFor();
};
const taken = async (page) => {
  await mainPress(page, "MID1").click();
  await undo(page).waitFor();
};
/** The hub goes, and what is pressed waits on the phone. */
const queued = async (page, hub) => {
  await lost(page, hub);
  await mainPress(page, "MID1").click();
  await page.locator(".unsent").first().waitFor();
};
/** A job of one's own that needs nobody any more: it stays to be read. */
const withdrawn = async (page, hub) => {
  await job(page, "BOW2").waitFor();
  const { id } = [...hub.calls.values()].find(({ unit }) => unit === "BOW2");
  hub.change(id, "withdrawn", { state: "withdrawn", ended_at: hub.now() });
};
const numbers = async (page) => {
  await job(page, "BOW2").getByRole("button", { name: "Reading" }).click();
  for (const digit of ["4", "5"]) await page.locator(`.pad-key[data-key="${digit}"]`).click();
};
/** The pool with a piece that is chosen. */
const pool = (label) => async (page) => {
  await page.keyboard.press("b");
  await page.locator("#pool .pool-row").first().waitFor();
  await page.locator("#pool-label").fill(label);
  if (label !== "") await page.keyboard.press("Enter");
};
/** Footage that the hub will not let go. */
const mayGo = async (page) => {
  await pool("C15")(page);
  await page.locator(".pool-move[data-move=blank]").click();
  await page.locator(".pool-go:enabled").waitFor();
};
const moved = async (page) => {
  await pool("P06")(page);
  await page.locator(".pool-move[data-move=ready]").click();
};
const onPhone = (label) => async (page) => {
  await page.locator("#pool-open").click();
  await page.locator("#pool-label").fill(label);
  await page.keyboard.press("Enter");
  await page.locator(".pool-target:not([aria-disabled])").first().waitFor();
};
const mayGoOnPhone = async (page) => {
  await onPhone("C15")(page);
  await page.locator(".pool-target[data-move=blank]").click();
  await page.locator(".pool-go:enabled").waitFor();
};
const open = (id) => (page) => page.locator(id).click();

/** @param {string} name @param {Partial<State>} more @returns {State} a state of the runner's page */
const runner = (name, more) => ({ name: `runner: ${name}`, scenario: "walk", path: "/runner", seen: "#jobs .job", ...more });

/** @type {State[]} */
export const STATES = [
  { name: "sign-in", scenario: "typical", token: null, seen: "#sign-in-form", expected: [REFUSED] },
  { name: "sign-in refused", scenario: "typical", token: null, reach: refused, seen: "#sign-in-why", expected: [REFUSED] },
  { name: "empty hub, first steps", scenario: "empty", token: "token-owner", seen: "#empty-steps code" },
  { name: "quiet fleet", scenario: "quiet", seen: "#calls-none" },
  { name: "many calls, silent and dark units", scenario: "busy", seen: ".row[data-state=silent]" },
  { name: "hub lost", scenario: "busy", reach: lost, seen: "#banner", expected: [NO_CONNECTION] },
  { name: "60 units", scenario: "sixty", seen: ".row[data-unit=JIB9]" },
  { name: "names from outside", scenario: "hostile", seen: ".row[data-state=never]" },
  { name: "rundown on the rows", scenario: "held", reach: press("PageDown", "PageDown", "5"), seen: ".row[aria-current=true] .window-held" },
  { name: "filter on", scenario: "held", reach: press("/", ..."finish"), seen: "#filter-told" },
  { name: "unit sheet", scenario: "busy", token: "token-lead", reach: pastOf("BOW2"), seen: "#sheet .picture" },
  { name: "typed report refused", scenario: "busy", token: "token-lead", reach: typedForm, seen: "#sheet .form-wrong", expected: [/status of 422/] },
  { name: "windows, to look at", scenario: "held", reach: press("w"), seen: "#window-read-only" },
  { name: "windows, to change", scenario: "held", token: "token-lead", reach: press("w"), seen: "#window-form" },
  { name: "window taken away", scenario: "held", token: "token-lead", reach: windowGone, seen: "#window-undo", brief: true },
  { name: "people, with an invitation", scenario: "busy", token: "token-lead", reach: invited, seen: ".join-picture" },
  { name: "pool, both lists", scenario: "pool", reach: pool(""), seen: "#pool .pool-row" },
  { name: "pool, a pack to move", scenario: "pool", reach: pool("P04"), seen: "#pool .pool-caution" },
  { name: "pool, a label that nobody knows", scenario: "pool", reach: pool("X99"), seen: "#pool .pool-which" },
  { name: "pool, footage that may go", scenario: "pool", reach: mayGo, seen: "#pool .pool-go", expected: [/status of 409/] },
  { name: "pool, moved", scenario: "pool", reach: moved, seen: "#pool .act-undo", brief: true },
  { name: "card at risk", scenario: "risk", reach: pool(""), seen: "#risk .risk-todo" },
  { name: "card at risk, hub lost", scenario: "risk", reach: lost, seen: "#risk .risk-old", expected: [NO_CONNECTION] },
  { name: "help", scenario: "busy", reach: press("?"), seen: "#help kbd" },
  { name: "sound on, and louder", scenario: "quiet", reach: press("v"), seen: "#sound:not([data-sound=muted])" },
  { name: "undo offered", scenario: "busy", reach: pressed, seen: ".slip .act-undo", brief: true },
  runner("sign-in", { token: null, seen: "#sign-in-form", expected: [REFUSED] }),
  runner("walk with jobs", {}),
  runner("later jobs unfolded", { reach: open("#rest-heading"), seen: "#rest-list .job" }),
  runner("undo offered", { reach: taken, seen: ".notice-undo", brief: true }),
  runner("news to be read", { reach: withdrawn, seen: ".notice-news" }),
  runner("menu", { reach: open("#menu-open"), seen: "#set-volume" }),
  runner("which unit", { reach: open("#reading-other"), seen: "#units-list .unit-choice" }),
  runner("typed report", { reach: numbers, seen: "#reading-send" }),
  runner("a pack to move", { scenario: "pool", reach: onPhone("P04"), seen: ".pool-target" }),
  runner("footage that may go", { scenario: "pool", reach: mayGoOnPhone, seen: ".pool-go", expected: [/status of 409/] }),
  runner("card at risk", { scenario: "risk", seen: "#risk .risk-todo" }),
  runner("card at risk, over a sheet", { scenario: "risk", reach: onPhone("C15"), seen: "#risk .risk-todo" }),
  runner("hub lost, presses waiting", { reach: queued, seen: ".unsent", expected: [NO_CONNECTION] }),
  runner("nothing to do", { scenario: "quiet", seen: "#none" }),
];

/** Brings an open page into a state. @param {State} state @param {import("playwright-core").Page} page @param {object} hub */
export async function reach(state, page, hub) {
  await state.reach?.(page, hub);
  await page.locator(state.seen).first().waitFor({ state: "visible" });
}
