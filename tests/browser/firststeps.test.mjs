/**
 * The commands that the screen shows on an empty hub, taken off the page and run as they stand, against that hub.
 */
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { delimiter, dirname, join } from "node:path";
import { after, before, test } from "node:test";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";

import { launchBrowser, openPage, rowOf, untilLive, untilText } from "./kit.mjs";
import { RealHub } from "./real-hub.mjs";

/** Where the programs lie: both are built into one folder. */
const PROGRAMS = dirname(process.env.SWAPCALL_TEST_HUB ?? fileURLToPath(new URL("../../target/debug/swapcall-hub", import.meta.url)));

/** How long a command that ends by itself may take, milliseconds. */
const LIMIT_MS = 20_000;

let browser;
let hub;
let home;

before(async () => {
  [browser, hub, home] = await Promise.all([launchBrowser(), RealHub.start(), mkdtemp(join(tmpdir(), "swapcall-first-"))]);
});

after(async () => {
  await browser?.close();
  await hub?.remove();
  if (home) await rm(home, { recursive: true, force: true });
});

/** Runs a line as a person would, in a shell, with the token where the page says it goes. */
function run(line) {
  const env = { PATH: `${PROGRAMS}${delimiter}${process.env.PATH}`, HOME: home, SWAPCALL_TOKEN: hub.token };
  const child = spawn("sh", ["-c", `exec ${line}`], { env, timeout: LIMIT_MS });
  const said = { out: "", err: "" };
  child.stdout.on("data", (chunk) => (said.out += chunk));
  child.stderr.on("data", (chunk) => (said.err += chunk));
  return { child, said };
}

test("each of the three commands on an empty hub does what stands beside it", async () => {
  const { page, errors, close } = await openPage(browser, { baseUrl: hub.baseUrl, token: hub.token });
  await untilLive(page);
  await page.locator("#empty").waitFor({ state: "visible" });
  const [name, report, watch, ...more] = await page.locator("#empty code").allTextContents();
  assert.deepEqual(more, []);
  await untilText(page.locator("#empty-token"), /SWAPCALL_TOKEN.*needs a lead's or the owner's token/);
  for (const [line, seen] of [[name, /never heard/], [report, /B 80 %.*C 10 %|80/]]) {
    const { child, said } = run(line);
    const [code] = await once(child, "close");
    assert.equal(code, 0, `${line}: ${said.out} ${said.err}`);
    await untilText(rowOf(page, "BOW1"), seen);
  }
  // The third goes on until it is stopped; this machine may have neither battery nor card, so a card's folder is lent to it.
  const lent = watch.replace("/media/card", home);
  assert.notEqual(lent, watch);
  const { child, said } = run(lent);
  await Promise.race([once(child.stdout, "data"), once(child, "close")]);
  assert.equal(child.exitCode, null, `${lent}: ${said.out} ${said.err}`);
  assert.match(said.out, /BOW1/);
  // The cart says what it reports before the hub has it.
  let unit = await hub.send("GET", "/v1/units/BOW1");
  for (const began = Date.now(); unit.typed && Date.now() - began < 10_000; unit = await hub.send("GET", "/v1/units/BOW1")) await sleep(20);
  assert.equal(unit.typed, false, "the cart's own report is there");
  child.kill("SIGTERM");
  await once(child, "close");
  assert.deepEqual(errors.filter((text) => !/401/.test(text)), []);
  await close();
});
