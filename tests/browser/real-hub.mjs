/**
 * The real hub as a child process in a throw-away folder, and its API as the tests need it.
 * @module real-hub
 */
import { spawn } from "node:child_process";
import { randomUUID } from "node:crypto";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

/** The hub under test. */
export const PROGRAM =
  process.env.SWAPCALL_TEST_HUB ?? fileURLToPath(new URL("../../target/debug/swapcall-hub", import.meta.url));

/** A hub that can be killed and started again on the same folder and port. */
export class RealHub {
  /**
   * Starts a hub on an empty folder.
   * @param {string[]} more further arguments
   */
  static async start(more = []) {
    const hub = new RealHub();
    hub.more = more;
    hub.folder = await mkdtemp(join(tmpdir(), "swapcall-browser-"));
    hub.listen = "127.0.0.1:0";
    await hub.run();
    hub.token = (await readFile(join(hub.folder, "owner-token"), "utf8")).trim();
    return hub;
  }

  /** Starts the process and waits until it says where it listens. */
  async run() {
    this.child = spawn(PROGRAM, ["serve", "--listen", this.listen, "--log", "error", "--data", this.folder, ...this.more]);
    this.child.stderr.resume();
    const lines = createInterface({ input: this.child.stdout });
    for await (const line of lines) {
      const found = /^Swapcall hub at (http:\/\/(.*))$/.exec(line);
      if (found) {
        [, this.baseUrl, this.listen] = found;
        break;
      }
    }
    if (!this.baseUrl) throw new Error(`${PROGRAM} ended before it served; build it with cargo build`);
    this.child.stdout.resume();
  }

  /** Ends the process at once, as a pulled plug would. */
  async kill() {
    const gone = new Promise((resolve) => this.child.once("exit", resolve));
    this.child.kill("SIGKILL");
    await gone;
  }

  /** Kills what runs and removes the folder. */
  async remove() {
    if (this.child.exitCode === null && this.child.signalCode === null) await this.kill();
    await rm(this.folder, { recursive: true, force: true });
  }

  /** Sends a request with the owner's token and gives the answer's JSON. */
  async send(method, path, body) {
    const response = await fetch(this.baseUrl + path, {
      method,
      headers: { authorization: `Bearer ${this.token}`, "content-type": "application/json" },
      body: body === undefined ? undefined : JSON.stringify(body),
    });
    const text = await response.text();
    if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text}`);
    return text === "" ? null : JSON.parse(text);
  }

  putUnit(unit, profile = {}) {
    return this.send("PUT", `/v1/units/${encodeURIComponent(unit)}`, { walk_s: 60, ...profile });
  }

  /** Reports a recording unit's battery. */
  report(unit, percent) {
    const now = new Date().toISOString();
    const report = { id: randomUUID(), unit, at: now, sent_at: now, mode: "recording", battery: { percent } };
    return this.send("POST", "/v1/reports", report);
  }

  /** A token for somebody. */
  async tokenFor(name, role) {
    return (await this.send("POST", "/v1/tokens", { name, role })).token;
  }
}
