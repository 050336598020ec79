/**
 * The stage of the browser tests: one browser per file, one scripted hub per story, and a look at what went wrong after it.
 */

import assert from "node:assert/strict";
import { after, before, test as nodeTest } from "node:test";
import { launchBrowser, openPage, untilLive } from "./kit.mjs";
import { startScenario } from "./scenario-server.mjs";

export { NO_CONNECTION, REFUSED } from "./complaints.mjs";

/** A story that hangs must fail by name, milliseconds. */
const STORY_LIMIT_MS = 90_000;

/** A test with a limit of time. */
export const test = (name, story) => nodeTest(name, { timeout: STORY_LIMIT_MS }, story);

let browser;
before(async () => {
  browser = await launchBrowser();
});
after(() => browser.close());

/**
 * Runs a story against a hub in one of the scripted states, then checks that no page complained or went elsewhere.
 * @param {string} scenario
 * @param {(stage: {hub: object, open: Function}) => Promise<void>} story
 * @param {RegExp[]} [expected] complaints that belong to the story
 */
export async function play(scenario, story, expected = []) {
  const hub = await startScenario(scenario);
  const opened = [];
  const open = async (token = "token-mia", more = {}) => {
    const one = await openPage(browser, { baseUrl: hub.url, token, ...more });
    opened.push(one);
    if (token) await untilLive(one.page);
    return one.page;
  };
  try {
    await story({ hub, open });
    for (const { errors, foreign } of opened) {
      assert.deepEqual(errors.filter((error) => !expected.some((pattern) => pattern.test(error))), []);
      assert.deepEqual(foreign, []);
    }
  } finally {
    await Promise.all(opened.map(({ close }) => close()));
    await hub.stop();
  }
}
