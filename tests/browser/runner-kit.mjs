/**
 * What the tests of the runner's page share.
 */

/** A page of the runner on a common phone. */
export const PHONE = { path: "/runner", viewport: { width: 390, height: 844 } };

/** The card of a unit's job. */
export const job = (page, unit) => page.locator(".job", { has: page.locator(".job-unit", { hasText: unit }) });

/** Its one press. */
export const mainPress = (page, unit) => job(page, unit).locator(".job-press");

/** What lies at the lower edge. */
export const notice = (page) => page.locator("#notices");

/** The buttons that take back. */
export const undo = (page) => page.locator(".notice-undo .notice-button");
