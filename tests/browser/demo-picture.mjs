/**
 * The picture in the README: the ops screen during the demo. `node demo-picture.mjs [SECONDS] [FILE]` starts the demo of
 * the release build on a free port, lets it run, and takes the picture.
 */
import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";

import { launchBrowser, openPage, untilLive } from "./kit.mjs";

const [seconds = "50", file = fileURLToPath(new URL("../pictures/ops-screen.png", import.meta.url))] = process.argv.slice(2);
const program =
  process.env.SWAPCALL_TEST_HUB ?? fileURLToPath(new URL("../../target/release/swapcall-hub", import.meta.url));
const folder = await mkdtemp(join(tmpdir(), "swapcall-picture-"));
const tokenFile = join(folder, "token");
const demo = spawn(program, ["demo", "--seed", "7", "--listen", "127.0.0.1:7997", "--token-file", tokenFile]);
demo.stdout.pipe(process.stdout);
demo.stderr.pipe(process.stderr);
const browser = await launchBrowser();
try {
  let token = "";
  while (token === "") {
    await sleep(200);
    token = await readFile(tokenFile, "utf8").then((text) => text.trim(), () => "");
  }
  const wanted = { baseUrl: "http://127.0.0.1:7997", token, viewport: { width: 1600, height: 900 } };
  const { page } = await openPage(browser, wanted);
  await untilLive(page);
  await sleep(Number(seconds) * 1000);
  await page.waitForSelector(".call");
  await page.screenshot({ path: file });
  const phone = await openPage(browser, { ...wanted, viewport: { width: 390, height: 844 }, colorScheme: "light" });
  await untilLive(phone.page);
  await phone.page.screenshot({ path: file.replace(/\.png$/, "-phone.png") });
} finally {
  await browser.close();
  demo.kill("SIGTERM");
  await rm(folder, { recursive: true, force: true });
}
