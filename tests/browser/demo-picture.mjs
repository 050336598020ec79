/**
 * The pictures in the README: the ops screen, the runner's page and signing in, during the demo.
 * `node demo-picture.mjs [FOLDER]` starts the demo on a free port, without its runners, waits for two calls, has Ana take
 * the first, and takes the pictures. It is slow, so that on a busy machine the last picture shows no other moment.
 */
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";

import { DemoHub } from "./demo-hub.mjs";
import { launchBrowser, openPage, untilLive } from "./kit.mjs";
import { screenFile } from "./scenario-server.mjs";

/** A page has drawn what it was told by then, milliseconds. */
const SETTLED_MS = 700;

const [folder = fileURLToPath(new URL("../pictures/", import.meta.url))] = process.argv.slice(2);
const PHONE = { width: 390, height: 844 };

const demo = await DemoHub.start(["--seed", "7", "--no-runners", "--speed", "6"]);
const browser = await launchBrowser();

/** Whatever the hub was built with, the pictures show the screens of this tree. */
async function screensOfThisTree(context) {
  // To the browser such a page comes from nowhere, and may not talk to this machine by itself.
  await context.grantPermissions(["local-network-access"]);
  await context.route(({ pathname }) => !pathname.startsWith("/v1/"), async (route) => {
    const file = await screenFile(new URL(route.request().url()).pathname);
    return file === null ? route.continue() : route.fulfill({ contentType: file.type, body: file.body });
  });
}

/** Opens what is pictured later. */
async function open(file, wanted) {
  const { page } = await openPage(browser, { baseUrl: demo.baseUrl, arrange: screensOfThisTree, ...wanted });
  if (wanted.token) await untilLive(page);
  else await page.waitForSelector("#sign-in-form");
  return { file, page };
}

/** Waits until two calls are open. @returns {Promise<string>} the id of the one that presses most */
async function twoCalls() {
  for (;;) {
    const { calls } = await demo.ask("/v1/calls");
    if (calls.length >= 2) return calls.sort((a, b) => a.by.localeCompare(b.by))[0].id;
    await sleep(100);
  }
}

try {
  const runner = (await demo.ask("/v1/tokens", { name: "Ana", role: "runner" })).token;
  const opened = [
    await open("runner-phone.png", { path: "/runner", token: runner, viewport: PHONE }),
    await open("ops-screen.png", { token: demo.token, viewport: { width: 1600, height: 900 } }),
    await open("ops-screen-phone.png", { token: demo.token, viewport: PHONE, colorScheme: "light" }),
    await open("sign-in-phone.png", { viewport: PHONE, colorScheme: "light" }),
  ];
  await demo.ask(`/v1/calls/${await twoCalls()}/claim`, {}, runner);
  await sleep(SETTLED_MS);
  for (const { file, page } of opened) await page.screenshot({ path: join(folder, file) });
} finally {
  await browser.close();
  await demo.end();
}
