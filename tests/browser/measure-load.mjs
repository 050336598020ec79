/**
 * What the ops screen costs at its start and over a long day, printed for a person: `node measure-load.mjs [HOURS]`.
 *
 * The start is measured against the real hub with 60 units, from an empty cache and signed out: until the browser has
 * painted anything, until the calls and the sixteen rows that run out first stand there with their forecasts and a frame has
 * gone by, and until every row does. The day is played by the
 * scripted hub as fast as the page takes it: 60 units, a report of each every five seconds, a call each minute. After
 * each hour the page's garbage is collected and what is left is counted. No limit is checked here.
 */

import { loadavg } from "node:os";
import { callView, inMinutes, largeFleet, regattaRundown } from "./fleet-data.mjs";
import { launchBrowser, openPage, until, untilLive } from "./kit.mjs";
import { RealHub } from "./real-hub.mjs";
import { ScenarioHub } from "./scenario-server.mjs";

const UNITS = 60;
const STARTS = 9;
const HOURS = Number(process.argv[2] ?? 10);
const WIDE = { width: 1920, height: 1080 };
const STEP_MS = 5000;
const WINDOW_DRAWN_MS = 2000;
const QUIET_MS = 1000;

/** Runs in the page before anything else: notes when everything is to be seen. */
function watchForRows() {
  const once = (wanted) =>
    new Promise((resolve) => {
      const look = () => {
        const rows = [...document.querySelectorAll(".row")];
        if (rows.length < wanted || !rows.every((row) => /\d+ min|h \d\d/.test(row.textContent))) return requestAnimationFrame(look);
        return requestAnimationFrame(() => requestAnimationFrame((at) => resolve(at)));
      };
      requestAnimationFrame(look);
    });
  window.useful = Promise.all([once(16), once(60)]);
}

async function startsOf(browser) {
  const hub = await RealHub.start();
  try {
    for (let unit = 1; unit <= UNITS; unit += 1) await hub.putUnit(`U${unit}`, { position: `stand ${unit}` });
    for (let unit = 1; unit <= UNITS; unit += 1) await hub.report(`U${unit}`, 20 + unit);
    const firsts = [];
    const usefuls = [];
    const wholes = [];
    let bytes = 0;
    let files = 0;
    let transferred = "";
    for (let start = 0; start < STARTS; start += 1) {
      const context = await browser.newContext({ viewport: WIDE });
      await context.addInitScript(watchForRows);
      const page = await context.newPage();
      const session = await context.newCDPSession(page);
      await session.send("Network.enable");
      // A browser draws its own new window meanwhile, and on two cores that would be measured.
      await page.waitForTimeout(WINDOW_DRAWN_MS);
      [bytes, files] = [0, 0];
      session.on("Network.loadingFinished", ({ encodedDataLength }) => {
        bytes += encodedDataLength;
        files += 1;
      });
      await page.goto(`${hub.baseUrl}/#token=${hub.token}`);
      const [useful, whole] = await page.evaluate(() => window.useful);
      usefuls.push(useful);
      wholes.push(whole);
      // The browser may tell of its first paint only after what was painted was seen.
      await until(page, () => performance.getEntriesByName("first-contentful-paint").length > 0);
      firsts.push(await page.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0].startTime));
      const atOnce = `${(bytes / 1000).toFixed(1)} kB in ${files} answers`;
      // What is fetched when the board stands there, until nothing more comes.
      for (let before = -1; before !== files; await page.waitForTimeout(QUIET_MS)) before = files;
      transferred = `${(bytes / 1000).toFixed(1)} kB in ${files} answers, heads and the sign-in included; ${atOnce} when the rows stood there`;
      await context.close();
    }
    console.log(`start with ${UNITS} units, empty cache, ${STARTS} times, load ${loadavg()[0].toFixed(1)}`);
    console.log(`  first paint         ${spread(firsts)}`);
    console.log(`  first useful paint  ${spread(usefuls)}`);
    console.log(`  everything to see   ${spread(wholes)}`);
    console.log(`  transferred         ${transferred}`);
  } finally {
    await hub.remove();
  }
}

function spread(values) {
  const sorted = [...values].sort((a, b) => a - b);
  return `median ${sorted[sorted.length >> 1].toFixed(0)} ms, longest ${sorted.at(-1).toFixed(0)} ms`;
}

/** A hub whose time is ours to turn. */
function hubAt(clock) {
  const hub = new ScenarioHub();
  hub.now = () => new Date(clock.ms).toISOString();
  return hub;
}

function everybodyReports(hub, clock, round) {
  const at = hub.now();
  const moved = (spread, by) => Object.fromEntries(Object.entries(spread).map(([key, moment]) => [key, new Date(Date.parse(moment) + by).toISOString()]));
  const ages = { observed_at: at, received_at: at, as_of: at, late_after: inMinutes(clock.ms, 0.25), silent_after: inMinutes(clock.ms, 0.5) };
  for (const unit of hub.units.values()) {
    const { battery, cards, earliest } = unit.run_out;
    const by = STEP_MS + ((round % 7) - 3) * 2000;
    const runOut = { ...unit.run_out, battery: moved(battery, by), cards: moved(cards, by), earliest: moved(earliest, by) };
    hub.put("unit", { ...unit, ...ages, freshness: "fresh", run_out: runOut });
  }
  hub.log.length = 0;
}

/** A call each minute; the one before is done by then. */
function nextCall(hub, clock, number) {
  for (const call of [...hub.calls.values()]) {
    if (!call.ended_at) hub.put("call", { ...call, state: "done", reason: "swap-seen", ended_at: hub.now(), revision: call.revision + 1 });
    else hub.calls.delete(call.id);
  }
  hub.put("call", callView(clock.ms, { number, unit: "BOW1", position: "stand 1", by: 3, leave: 1.2 }));
}

async function dayOf(browser) {
  const clock = { ms: Date.now() };
  const hub = hubAt(clock);
  for (const unit of largeFleet(clock.ms, UNITS)) hub.put("unit", unit);
  hub.windows = regattaRundown(clock.ms);
  await hub.start();
  const { page, close } = await openPage(browser, { baseUrl: hub.url, token: "token-mia", viewport: WIDE });
  await untilLive(page);
  await until(page, (rows) => document.querySelectorAll(".row").length === rows, UNITS);
  const session = await page.context().newCDPSession(page);
  await session.send("Performance.enable");
  let updates = 0;
  console.log(`${HOURS} hours, ${UNITS} units every ${STEP_MS / 1000} s, a call each minute`);
  for (let hour = 0; hour <= HOURS; hour += 1) {
    for (let round = 0; hour > 0 && round < 3_600_000 / STEP_MS; round += 1) {
      clock.ms += STEP_MS;
      everybodyReports(hub, clock, round);
      updates += UNITS;
      if (round % 12 === 0) {
        nextCall(hub, clock, hour * 60 + round / 12);
        // The page says when it has taken what was sent.
        await page.evaluate(() => new Promise((resolve) => requestAnimationFrame(resolve)));
      }
    }
    await until(page, (now) => document.body.dataset.link === "live" && now > 0, clock.ms);
    await session.send("HeapProfiler.collectGarbage");
    const { metrics } = await session.send("Performance.getMetrics");
    const of = (name) => metrics.find((metric) => metric.name === name)?.value ?? NaN;
    const rows = await page.locator(".row").count();
    console.log(`  after ${String(hour).padStart(2)} h: heap ${(of("JSHeapUsedSize") / 1e6).toFixed(2)} MB, ${of("Nodes")} nodes, ${of("JSEventListeners")} listeners, ${rows} rows, ${updates} updates`);
  }
  await close();
  await hub.stop();
}

const browser = await launchBrowser();
await startsOf(browser);
await dayOf(browser);
await browser.close();
