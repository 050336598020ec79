/**
 * What a demo hub says at one moment of its regatta, for the stored pictures: `node record-demo.mjs` makes both recordings
 * in `tests/data/screens` anew. The regatta is the seed's, but its carts and runners are threads, so a new recording differs
 * from the last one in its seconds, and the stored pictures are renewed with it.
 */
import { execFile } from "node:child_process";
import { mkdir, writeFile } from "node:fs/promises";
import { setTimeout as sleep } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import WebSocket from "ws";

import { DemoHub } from "./demo-hub.mjs";
import { PROGRAM } from "./real-hub.mjs";

const FOLDER = fileURLToPath(new URL("../data/screens/", import.meta.url));
const SPEED = 20;

/** The moments that are kept: so many minutes into the regatta of a seed, and then as soon as somebody is on the way. */
const MOMENTS = [
  { name: "seed-7", seed: 7, minutes: 14, atLeast: { open: 1, claimed: 1 } },
  { name: "seed-11", seed: 11, minutes: 40, atLeast: { open: 0, claimed: 1 } },
];

/** Where the page asks besides the live socket, and the names under which the answers are kept. */
const ASKED = { rundown: "/v1/rundown", shows: "/v1/shows", calls: "/v1/calls?ended=true" };

/** Everything a fresh live connection is told until it has caught up. */
function greeting(demo) {
  const socket = new WebSocket(`${demo.baseUrl.replace(/^http/, "ws")}/v1/live`, { headers: { authorization: `Bearer ${demo.token}` } });
  const messages = [];
  return new Promise((resolve, reject) => {
    socket.once("error", reject);
    socket.on("message", (data) => {
      messages.push(JSON.parse(data.toString()));
      if (messages.at(-1).type !== "caught_up") return;
      socket.close();
      resolve(messages);
    });
  });
}

/** Whether enough calls of each state are there. */
function isWanted(messages, atLeast) {
  const count = (state) => messages.filter(({ call }) => call?.state === state).length;
  return Object.entries(atLeast).every(([state, wanted]) => count(state) >= wanted);
}

/** Who the page finds itself to be: the lead at the ops screen, and the runner who is on the way, on a phone. */
async function sessions(demo, messages) {
  const name = messages.find(({ call }) => call?.state === "claimed").call.claimed_by;
  const { token } = await demo.ask("/v1/tokens", { name, role: "runner" });
  return { lead: await demo.ask("/v1/session"), runner: await demo.ask("/v1/session", undefined, token) };
}

async function record({ name, seed, minutes, atLeast }) {
  const demo = await DemoHub.start(["--seed", String(seed), "--speed", String(SPEED)]);
  try {
    await sleep((minutes * 60_000) / SPEED);
    let live = await greeting(demo);
    while (!isWanted(live, atLeast)) {
      await sleep(250);
      live = await greeting(demo);
    }
    const answers = { sessions: await sessions(demo, live) };
    for (const [what, path] of Object.entries(ASKED)) answers[what] = await demo.ask(path);
    const version = (await promisify(execFile)(PROGRAM, ["--version"])).stdout.trim();
    const made = `tests/browser/record-demo.mjs, from ${version} demo --seed ${seed} --speed ${SPEED}, ${minutes} minutes or a little more into the regatta; own data`;
    const lines = live.map((message) => `    ${JSON.stringify(message)}`);
    const rest = Object.entries(answers).map(([what, answer]) => `  ${JSON.stringify(what)}: ${JSON.stringify(answer)}`);
    await writeFile(`${FOLDER}${name}.json`, `{\n  "made": ${JSON.stringify(made)},\n  "live": [\n${lines.join(",\n")}\n  ],\n${rest.join(",\n")}\n}\n`);
    console.log(name, live[0].now, `${live.length} messages`);
  } finally {
    await demo.end();
  }
}

await mkdir(FOLDER, { recursive: true });
await Promise.all(MOMENTS.map(record));
