/**
 * The demo as a child process, for what is made from it by hand: pictures and recordings.
 * @module demo-hub
 */
import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { setTimeout as sleep } from "node:timers/promises";

import { PROGRAM } from "./real-hub.mjs";

/** A regatta that is going on. */
export class DemoHub {
  /** Starts the demo on a free port. @param {string[]} more further arguments */
  static async start(more) {
    const demo = new DemoHub();
    demo.folder = await mkdtemp(join(tmpdir(), "swapcall-demo-"));
    const tokenFile = join(demo.folder, "token");
    demo.child = spawn(PROGRAM, ["demo", "--listen", "127.0.0.1:0", "--token-file", tokenFile, ...more]);
    demo.child.stderr.pipe(process.stderr);
    for await (const line of createInterface({ input: demo.child.stdout })) {
      demo.baseUrl = /^Open (http:\/\/[^/]+)\//.exec(line)?.[1];
      if (demo.baseUrl) break;
    }
    if (!demo.baseUrl) throw new Error(`${PROGRAM} ended before it served; build it with cargo build`);
    demo.child.stdout.resume();
    for (demo.token = ""; demo.token === ""; await sleep(50)) {
      demo.token = await readFile(tokenFile, "utf8").then((text) => text.trim(), () => "");
    }
    return demo;
  }

  /** Asks, with the owner's token or another. @param {string} path @param {object} [body] posted when given @param {string} [token] */
  async ask(path, body, token = this.token) {
    const headers = { authorization: `Bearer ${token}`, "content-type": "application/json" };
    const response = await fetch(this.baseUrl + path, body ? { method: "POST", headers, body: JSON.stringify(body) } : { headers });
    if (!response.ok) throw new Error(`${path}: ${response.status} ${await response.text()}`);
    return response.json();
  }

  /** Ends the demo and removes what is left of it. */
  async end() {
    const gone = new Promise((resolve) => this.child.once("exit", resolve));
    this.child.kill("SIGTERM");
    await gone;
    await rm(this.folder, { recursive: true, force: true });
  }
}
