/**
 * What every browser test needs: a browser, a signed-in page that notes whatever went wrong, and waiting for conditions.
 * Works against any hub: give its address and a token.
 */

import { existsSync } from "node:fs";
import { chromium } from "playwright-core";

const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** How long a condition may take to come true, milliseconds, where a test says nothing else. */
export const PATIENCE_MS = 10_000;

/**
 * Starts the browser of this machine; `CHROMIUM` names another one. Each start has a fresh profile.
 * @param {{flags?: string[], env?: Record<string, string>}} [more] further arguments, and the whole environment when given
 */
export function launchBrowser({ flags = [], env } = {}) {
  const path = process.env.CHROMIUM ?? "/usr/bin/chromium";
  if (!existsSync(path)) throw new Error(`no browser at ${path}: install chromium, or name one in CHROMIUM`);
  return chromium.launch({ executablePath: path, args: [...FLAGS, ...flags], env });
}

/**
 * Opens a page in a context of its own (its own cookies) and signs in through the address when a token is given.
 * @param {import("playwright-core").Browser} browser
 * @param {{baseUrl: string, path?: string, token?: string, viewport?: {width: number, height: number}, colorScheme?: "light"|"dark", locale?: string, timezoneId?: string, prepare?: () => void, arrange?: (context: import("playwright-core").BrowserContext) => Promise<void>}} wanted
 *   `locale` and `timezoneId` are those of the browser, `prepare` runs in the page before anything else, and `arrange` here
 * @returns {Promise<{page: import("playwright-core").Page, errors: string[], foreign: string[], pending: Set<object>, close: () => Promise<void>}>}
 *   `errors`: what the page complained of; `foreign`: requests to any other origin; `pending`: requests without an answer yet
 */
export async function openPage(browser, { baseUrl, path = "/", token, viewport = { width: 1280, height: 720 }, colorScheme = "dark", locale = "en-GB", timezoneId, prepare, arrange }) {
  const context = await browser.newContext({ viewport, colorScheme, locale, timezoneId, reducedMotion: "reduce" });
  if (prepare) await context.addInitScript(prepare);
  await arrange?.(context);
  const page = await context.newPage();
  page.setDefaultTimeout(PATIENCE_MS);
  const errors = [];
  const foreign = [];
  page.on("pageerror", (error) => errors.push(`uncaught: ${error.message}`));
  page.on("console", (message) => message.type() === "error" && errors.push(message.text()));
  page.on("request", (request) => new URL(request.url()).origin !== baseUrl && foreign.push(request.url()));
  const pending = new Set();
  page.on("request", (request) => pending.add(request));
  for (const end of ["requestfinished", "requestfailed"]) page.on(end, (request) => pending.delete(request));
  page.on("websocket", (socket) => new URL(socket.url()).host !== new URL(baseUrl).host && foreign.push(socket.url()));
  await page.goto(token ? `${baseUrl}${path}#token=${token}` : baseUrl + path);
  return { page, errors, foreign, pending, close: () => context.close() };
}

/** Waits until the page is signed in, connected, and has everything. */
export const untilLive = (page) => page.waitForSelector("body[data-link=live]");

/** Waits until a function, run in the page, gives something true. */
export const until = (page, condition, argument) => page.waitForFunction(condition, argument);

/** Does not wait for the next try to reach the hub; one that has begun by itself is as good. */
export const tryNow = (page) => page.locator("#try-now").evaluate((button) => button.click());

/** Unfolds the buttons of the head, where a phone has them behind one. */
export async function openTopMenu(page) {
  if (await page.locator("#top-menu[aria-expanded=false]").isVisible()) await page.locator("#top-menu").click();
}

/** The card of a unit's call. */
export const callOf = (page, unit) => page.locator(".call", { has: page.locator(".call-unit", { hasText: unit }) });

/** Waits until this user has the call and the hub has answered the press: until then a key on it does nothing. */
export async function untilMine(page, unit) {
  await untilText(callOf(page, unit), /You have it/);
  await callOf(page, unit).locator(".act-done:enabled").waitFor();
}

/** Waits until a call that was done can be taken back. */
export const untilDone = (page) => page.locator(".slip button:enabled").waitFor();

/** The row of a unit. */
export const rowOf = (page, unit) => page.locator(`.row[data-unit=${JSON.stringify(unit)}]`);

/** Waits until the text of an element fits a pattern. @param {import("playwright-core").Locator} locator */
export async function untilText(locator, pattern) {
  await locator.waitFor();
  const handle = await locator.elementHandle();
  const page = locator.page();
  await page.waitForFunction(([element, source]) => new RegExp(source).test(element.textContent), [handle, pattern.source]);
}

/**
 * The colour of an element's text and of what lies behind it, as painted: the first opaque ground on the way up.
 * @returns {Promise<{fg: string, bg: string}>} `#rrggbb`
 */
export function coloursOf(locator) {
  return locator.first().evaluate((element) => {
    const hex = (colour) => {
      const parts = colour.match(/[\d.]+/g).map(Number);
      return parts.length > 3 && parts[3] === 0 ? null : `#${parts.slice(0, 3).map((part) => part.toString(16).padStart(2, "0")).join("")}`;
    };
    let ground = null;
    for (let at = element; at !== null && ground === null; at = at.parentElement) ground = hex(getComputedStyle(at).backgroundColor);
    return { fg: hex(getComputedStyle(element).color), bg: ground };
  });
}

/**
 * The colours of everything visible that selectors name, in one question to the page: asking for each takes minutes on a
 * busy machine.
 * @param {import("playwright-core").Page} page
 * @param {string[]} selectors
 * @returns {Promise<{selector: string, fg: string, bg: string}[]>} `#rrggbb`
 */
export function allColoursOf(page, selectors) {
  return page.evaluate((wanted) => {
    const hex = (colour) => {
      const parts = colour.match(/[\d.]+/g).map(Number);
      return parts.length > 3 && parts[3] === 0 ? null : `#${parts.slice(0, 3).map((part) => part.toString(16).padStart(2, "0")).join("")}`;
    };
    const ground = (element) => hex(getComputedStyle(element).backgroundColor) ?? ground(element.parentElement);
    const seen = (element) => element.getClientRects().length > 0;
    return wanted.flatMap((selector) =>
      [...document.querySelectorAll(selector)].filter(seen).map((element) => ({ selector, fg: hex(getComputedStyle(element).color), bg: ground(element) })),
    );
  }, selectors);
}

/**
 * What can be pressed or typed into and is lower than a finger or a hand with a mouse needs. Measured in the page, in one
 * go: a question to the browser for each of a hundred buttons takes longer than all of the rest.
 * @param {import("playwright-core").Page} page
 * @param {string} selector what is looked at; nothing that fits is a fault of the test
 * @param {number} least pixels
 * @returns {Promise<string[]>} each with its height
 */
export async function tooLow(page, selector, least) {
  const { count, low } = await page.evaluate(([wanted, pixels]) => {
    const seen = [...document.querySelectorAll(wanted)].filter((element) => element.checkVisibility({ visibilityProperty: true }) && element.getClientRects().length > 0);
    const height = (element) => element.getBoundingClientRect().height;
    const told = (element) => `${element.outerHTML.slice(0, 80)}: ${height(element)} px high`;
    return { count: seen.length, low: seen.filter((element) => height(element) < pixels).map(told) };
  }, [selector, least]);
  if (count === 0) throw new Error(`nothing to be seen is ${selector}`);
  return low;
}
