/**
 * A recording of the demo (`record-demo.mjs`), played again by the scripted hub to a page whose clocks stand still: the
 * same picture every time.
 * @module replay
 */
import { readFile } from "node:fs/promises";
import { setTimeout as sleep } from "node:timers/promises";

import { openPage, untilLive } from "./kit.mjs";
import { ScenarioHub } from "./scenario-server.mjs";

/** How far the page's clock is moved after everything has arrived, milliseconds; less than it takes to miss the hub. */
const STEP_MS = 100;
const STEPS = 6;

/**
 * Hub seconds per second of the page. When exactly the page draws depends on when answers come; with a hub whose clock all
 * but stands still, each drawing shows the same moment.
 */
const CLOCK_RATE = 1e-4;

/** How often it is looked whether answers are still on their way, milliseconds, and how often in a row there may be none. */
const LOOK_MS = 20;
const QUIET_LOOKS = 3;

/** Starts a scripted hub that says what was recorded. @param {string} name of a file in `tests/data/screens` */
export async function startRecording(name) {
  const recording = JSON.parse(await readFile(new URL(`../data/screens/${name}.json`, import.meta.url), "utf8"));
  const hub = new ScenarioHub();
  const [hello, ...rest] = recording.live;
  const { now, epoch, seq } = hello;
  Object.assign(hub, { recorded: [{ ...hello, clock_rate: CLOCK_RATE }, ...rest], epoch, seq, now: () => now });
  hub.windows = recording.rundown.windows;
  hub.shows = recording.shows.shows;
  for (const call of recording.calls.calls) hub.calls.set(call.id, call);
  for (const [role, session] of Object.entries(recording.sessions)) hub.tokens[`token-${role}`] = session;
  await hub.start();
  // A heartbeat would carry the recorded moment at a time of its own.
  clearInterval(hub.beat);
  return hub;
}

/** Lets all clocks of a context's pages stand still until `page.clock` moves them. */
async function stopClocks({ clock }, time) {
  await clock.install({ time });
  await clock.pauseAt(time);
}

/**
 * Opens a page on a recording and leads it to the one moment that is pictured.
 * @param {import("playwright-core").Browser} browser
 * @param {ScenarioHub} hub from `startRecording`
 * @param {{role: "lead"|"runner", path?: string, viewport: {width: number, height: number}, colorScheme?: "light"|"dark"}} shot
 */
export async function openStill(browser, hub, { role, ...shot }) {
  const wanted = { baseUrl: hub.url, token: `token-${role}`, timezoneId: "UTC", arrange: (context) => stopClocks(context, hub.now()), ...shot };
  const opened = await openPage(browser, wanted);
  const { page, pending } = opened;
  await untilLive(page);
  for (let step = 0; step < STEPS; step += 1) {
    await page.clock.runFor(STEP_MS);
    for (let quiet = 0; quiet < QUIET_LOOKS; quiet = pending.size > 0 ? 0 : quiet + 1) await sleep(LOOK_MS);
  }
  return opened;
}

/** The picture of a page as it stands. @param {import("playwright-core").Page} page */
export const pictureOf = (page) => page.screenshot({ animations: "disabled", caret: "hide", scale: "css" });
