/**
 * How much work the run-out view is for a browser, printed for a person: `node measure.mjs [SECONDS] [pool]`, with
 * the second word beside an open pool of 120 packs and 120 cards, and a card at risk.
 *
 * Every unit reports once a second, spread over the second as carts do it, and each report moves its run-out. A "live
 * update" is the messages that came together and the drawing they cause, with the layout that script asks for. No limit
 * is checked here: on a busy machine what goes by the clock says more about the machine; the time of the main thread
 * itself, by the thread's own clock, does not.
 */

import { loadavg } from "node:os";
import { callView, inMinutes, largeFleet, regattaRundown } from "./fleet-data.mjs";
import { launchBrowser, openPage, until, untilLive } from "./kit.mjs";
import { largeKit, riskView, tellKit } from "./scenario-pool.mjs";
import { ScenarioHub } from "./scenario-server.mjs";

const SECONDS = Number(process.argv[2] ?? 20);
const WITH_POOL = process.argv[3] === "pool";
const WIDE = { width: 1920, height: 1080 };

/** Runs in the page before anything else: times every frame, every message and every timer's work. */
function instrument() {
  const notes = { frames: [], draws: [], messages: [] };
  window.measured = notes;
  const frame = (at) => {
    notes.frames.push(at);
    requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
  let waiting = 0;
  const timed = (work, then) => (...given) => {
    const from = performance.now();
    work(...given);
    then(performance.now() - from);
  };
  const later = window.setTimeout.bind(window);
  window.setTimeout = (work, ms, ...given) => later(timed(work, (took) => {
    notes.draws.push(waiting + took);
    waiting = 0;
  }), ms, ...given);
  const { set, get } = Object.getOwnPropertyDescriptor(WebSocket.prototype, "onmessage");
  Object.defineProperty(WebSocket.prototype, "onmessage", {
    get,
    set(work) {
      set.call(this, work && timed(work, (took) => {
        notes.messages.push(took);
        waiting += took;
      }));
    },
  });
}

/** Every unit once a second, one after the other, each with a run-out that has moved. */
function startReports(hub) {
  const names = [...hub.units.keys()];
  const began = Date.now();
  let sent = 0;
  return setInterval(() => {
    const due = Math.floor(((Date.now() - began) * names.length) / 1000);
    for (; sent < due; sent += 1) report(hub, names[sent % names.length], sent);
  }, 5);
}

function report(hub, name, count) {
  const unit = hub.units.get(name);
  const now = Date.now();
  const at = new Date(now).toISOString();
  const moved = (spread, by) => Object.fromEntries(Object.entries(spread).map(([key, moment]) => [key, new Date(Date.parse(moment) + by).toISOString()]));
  const by = (count % 7) * 5000 - 15_000;
  const { battery, cards, earliest } = unit.run_out;
  const runOut = { ...unit.run_out, battery: moved(battery, by), cards: moved(cards, -by), earliest: moved(earliest, by) };
  const ages = { observed_at: at, received_at: at, as_of: at, late_after: inMinutes(now, 0.25), silent_after: inMinutes(now, 0.5) };
  hub.put("unit", { ...unit, ...ages, freshness: "fresh", run_out: runOut });
  hub.log.length = 0;
}

const share = (values, part) => [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(values.length * part))] ?? NaN;
const ms = (value) => `${value.toFixed(1)} ms`;

/** Milliseconds of its own time that the page's main thread has spent, by kind. */
async function spent(session) {
  const { metrics } = await session.send("Performance.getMetrics");
  return Object.fromEntries(metrics.filter(({ name }) => name.endsWith("Duration")).map(({ name, value }) => [name, value * 1000]));
}

async function measure(browser, count) {
  const hub = new ScenarioHub();
  const now = Date.now();
  for (const unit of largeFleet(now, count)) hub.put("unit", unit);
  hub.put("call", callView(now, { number: 31, unit: "BOW1", position: "stand 1", by: 3, leave: 1.2 }));
  hub.windows = regattaRundown(now);
  await hub.start();
  const { page, close } = await openPage(browser, { baseUrl: hub.url, token: "token-mia", viewport: WIDE, prepare: instrument });
  await untilLive(page);
  await until(page, (rows) => document.querySelectorAll(".row").length === rows, count);
  if (WITH_POOL) await openPool(page, hub);
  const session = await page.context().newCDPSession(page);
  await session.send("Performance.enable", { timeDomain: "threadTicks" });
  const reports = startReports(hub);
  await page.waitForTimeout(3000);
  await page.evaluate(() => {
    for (const list of Object.values(window.measured)) list.length = 0;
  });
  const before = await spent(session);
  await page.waitForTimeout(SECONDS * 1000);
  const after = await spent(session);
  const { frames, draws, messages } = await page.evaluate(() => window.measured);
  clearInterval(reports);
  clearInterval(hub.kitChurn);
  await close();
  await hub.stop();
  print(count, { frames, draws, messages, spent: Object.fromEntries(Object.keys(after).map((name) => [name, (after[name] - before[name]) / SECONDS])) });
}

/** The kit changes once a second, as full as it is. */
async function openPool(page, hub) {
  largeKit(hub, Date.now(), 120);
  hub.kit.risks = [riskView(Date.now(), { card: "C002" })];
  await page.keyboard.press("b");
  await page.locator("#pool .pool-row").first().waitFor();
  hub.kitChurn = setInterval(() => tellKit(hub), 1000);
}

function print(count, { frames, draws, messages, spent: each }) {
  const gaps = frames.slice(1).map((at, index) => at - frames[index]);
  const perSecond = (1000 * gaps.length) / (frames.at(-1) - frames[0]);
  console.log(`${count} units, ${(messages.length / SECONDS).toFixed(0)} messages a second, ${SECONDS} s, load ${loadavg()[0].toFixed(1)}`);
  console.log(`  frames a second   ${perSecond.toFixed(1)}   between frames p95 ${ms(share(gaps, 0.95))}, longest ${ms(Math.max(...gaps))}`);
  console.log(`  script per live update   p50 ${ms(share(draws, 0.5))}, p95 ${ms(share(draws, 0.95))}, longest ${ms(Math.max(...draws))} (${draws.length} updates)`);
  const updates = draws.length / SECONDS;
  console.log(`  thread time per live update   script ${ms(each.ScriptDuration / updates)} on average`);
  console.log(`  thread time in a second   script ${ms(each.ScriptDuration)}, style ${ms(each.RecalcStyleDuration)}, layout ${ms(each.LayoutDuration)}, all ${ms(each.TaskDuration)}`);
}

const browser = await launchBrowser();
for (const count of [60, 200]) await measure(browser, count);
await browser.close();
