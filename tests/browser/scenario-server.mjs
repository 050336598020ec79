/**
 * A scripted hub for the browser tests: serves the screen's files with the policy of the real hub and speaks the wire
 * format, with every event in the hands of the test. It decides nothing by itself.
 *
 * By hand: `node scenario-server.mjs typical 8123`, then open the printed address.
 */

import { randomUUID } from "node:crypto";
import { readFile } from "node:fs/promises";
import { createServer } from "node:http";
import { extname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { WebSocketServer } from "ws";
import { callView, inMinutes, largeFleet, regatta, regattaRundown, unitView } from "./fleet-data.mjs";
import { answerKit, emptyKit, kitMessage, largeKit, regattaKit, riskView } from "./scenario-pool.mjs";
import { answerPanels, firstAnswers } from "./scenario-routes.mjs";

const WEB = fileURLToPath(new URL("../../server/web/", import.meta.url));
const TYPES = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript",
  ".css": "text/css",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".webmanifest": "application/manifest+json",
};

/** Addresses that are no file names. */
const PAGES = { "/": "index.html", "/runner": "runner.html" };

/** Tokens of the scripted hub. */
export const TOKENS = {
  "token-mia": { name: "Mia", role: "runner" },
  "token-tam": { name: "Tam", role: "runner" },
  "token-lead": { name: "Lead", role: "lead" },
  "token-owner": { name: "Olga", role: "owner" },
};

/** The scripted hub. */
export class ScenarioHub {
  constructor() {
    this.epoch = randomUUID();
    this.seq = 100;
    this.units = new Map();
    this.calls = new Map();
    /** The windows of the rundown and the shows, as set. Switched off, they are not to be had. */
    this.windows = [];
    this.shows = [];
    this.rundownAlive = true;
    this.rundownReads = 0;
    this.rundownRevision = 0;
    /** Called once, before the next rundown that is sent is looked at: somebody else was quicker. @type {(() => void)|null} */
    this.beforeRundown = null;
    this.log = [];
    this.sessions = new Map();
    this.sockets = new Set();
    this.connections = new Set();
    /** Switched off, the hub is as good as unplugged: no heartbeat, no answer to a new socket, nothing closed. */
    this.alive = true;
    this.lastBeat = 0;
    /** Why a "done" cannot be taken back, when a test wants that. */
    this.refuseUndo = "";
    /** How long the answer to a press takes, milliseconds. */
    this.slowMs = 0;
    this.answers = firstAnswers(Date.now());
    this.kit = emptyKit();
    this.hellos = [];
    /** Every write that was asked for, in order. */
    this.writes = [];
    /** Lets the next press do its work and then say nothing, as a line that breaks at the worst moment does. */
    this.swallow = false;
    /** Where the show is, as `hello` says it: nothing, as an older hub, or `{ time_zone }`. */
    this.place = {};
    /** Who may sign in, by token. */
    this.tokens = { ...TOKENS };
    /** What every fresh connection is told, word for word, in place of the units and calls; for recordings. */
    this.recorded = null;
    this.port = 0;
  }

  /** Listens; a second start takes the same port again, as after a restart of the hub. */
  async start(port = this.port) {
    this.http = createServer((request, response) => this.#answer(request, response));
    this.http.on("connection", (connection) => {
      this.connections.add(connection);
      connection.on("close", () => this.connections.delete(connection));
    });
    this.live = new WebSocketServer({ noServer: true });
    this.http.on("upgrade", (request, socket, head) => this.#upgrade(request, socket, head));
    await new Promise((resolve) => this.http.listen(port, "127.0.0.1", resolve));
    this.port = this.http.address().port;
    this.beat = setInterval(() => this.#beat(), 1000);
    return this;
  }

  #beat() {
    if (!this.alive) return;
    this.lastBeat = Date.now();
    this.#send({ type: "heartbeat", seq: this.seq, now: this.now() });
  }

  /** Goes away without a word. */
  async stop() {
    clearInterval(this.beat);
    clearInterval(this.churn);
    const closed = new Promise((resolve) => this.http.close(resolve));
    for (const connection of this.connections) connection.destroy();
    this.sockets.clear();
    await closed;
  }

  get url() {
    return `http://127.0.0.1:${this.port}`;
  }

  now() {
    return new Date().toISOString();
  }

  /** Says something to every screen. */
  #send(message) {
    for (const socket of this.sockets) socket.send(JSON.stringify(message));
  }

  /** Stores and tells what changed. */
  put(kind, thing) {
    this.seq += 1;
    thing.changed_seq = this.seq;
    (kind === "unit" ? this.units : this.calls).set(kind === "unit" ? thing.unit : thing.id, thing);
    const message = { type: kind, seq: this.seq, [kind]: thing };
    this.log.push(message);
    this.#send(message);
    return thing;
  }

  /** Sends the last message once more: delivery is at least once. */
  repeatLast() {
    this.#send(this.log.at(-1));
  }

  /** Sends any message as it is. */
  say(message) {
    this.#send(message);
  }

  /** Closes every socket with a code. */
  closeAll(code) {
    for (const socket of this.sockets) socket.close(code);
  }

  /** Changes a call and tells it. */
  change(id, reason, changes) {
    const call = this.calls.get(id);
    return this.put("call", { ...call, ...changes, reason, revision: call.revision + 1 });
  }

  #upgrade(request, socket, head) {
    if (!this.alive) return;
    const url = new URL(request.url, this.url);
    if (url.pathname !== "/v1/live" || request.headers.origin !== this.url || this.#session(request) === null) {
      socket.end("HTTP/1.1 401 Unauthorized\r\nConnection: close\r\nContent-Length: 0\r\n\r\n");
      return;
    }
    this.live.handleUpgrade(request, socket, head, (client) => this.#greet(client, url.searchParams));
  }

  #greet(client, query) {
    const after = query.get("after");
    const resumed = after !== null && query.get("epoch") === this.epoch;
    this.hellos.push({ after, resumed, at: Date.now() });
    const say = (message) => client.send(JSON.stringify(message));
    if (this.recorded !== null) {
      for (const message of this.recorded) say(message);
      return;
    }
    const start = resumed ? "resumed" : "snapshot";
    say({ type: "hello", protocol: 1, epoch: this.epoch, seq: this.seq, start, now: this.now(), heartbeat_s: 1, clock_rate: 1, ...this.place });
    if (resumed) {
      for (const message of this.log.filter((entry) => entry.seq > Number(after))) say(message);
    } else {
      for (const unit of this.units.values()) say({ type: "unit", seq: this.seq, unit });
      for (const call of this.calls.values()) if (!call.ended_at) say({ type: "call", seq: this.seq, call });
    }
    say({ type: "caught_up", seq: this.seq });
    // `null`: a hub that does not tell its kit.
    if (this.kit.revision !== null) say(kitMessage(this.kit));
    this.sockets.add(client);
    client.on("close", () => this.sockets.delete(client));
  }

  #session(request) {
    const id = /swapcall_session=([^;]+)/.exec(request.headers.cookie ?? "")?.[1];
    return this.sessions.get(id) ?? null;
  }

  async #answer(request, response) {
    response.setHeader("Content-Security-Policy", "default-src 'self'; img-src 'self' data:");
    const url = new URL(request.url, this.url);
    const { pathname } = url;
    if (!pathname.startsWith("/v1/")) return this.#file(pathname, response);
    if (pathname === "/v1/session") return this.#signIn(request, response);
    const session = this.#session(request);
    const [, id, action] = /^\/v1\/calls\/([^/]+)\/(claim|release|done|undo)$/.exec(pathname) ?? [];
    if (session === null) return problem(response, 401, "unauthorized", "sign in first");
    if (request.method === "POST") this.writes.push({ key: request.headers["idempotency-key"], path: pathname, who: session.name });
    if (pathname === "/v1/rundown") return this.#rundown(request, session, response);
    if (pathname === "/v1/shows") return json(response, 200, { shows: this.shows });
    if (await this.#panels(request, response, url, session)) return undefined;
    if (session && pathname === "/v1/calls") return json(response, 200, { seq: this.seq, now: this.now(), calls: [...this.calls.values()] });
    if (!this.calls.has(id)) return problem(response, 404, "unknown-call", "no such call");
    if (this.swallow) {
      this.swallow = false;
      return this.#act(this.calls.get(id), action, session, nobody());
    }
    await new Promise((resolve) => setTimeout(resolve, this.slowMs));
    return this.#act(this.calls.get(id), action, session, response);
  }

  async #panels(request, response, url, session) {
    const { method } = request;
    const body = ["PUT", "POST"].includes(method) && !url.pathname.startsWith("/v1/calls/") ? JSON.parse(await text(request)) : null;
    const say = {
      json: (status, answer) => json(response, status, answer) ?? true,
      problem: (...parts) => problem(response, ...parts) ?? true,
      hangUp: () => Boolean(response.destroy()),
    };
    return answerKit(this, { method, url, session, body }, say) || answerPanels(this, { method, url, session, body }, say);
  }

  async #rundown(request, session, response) {
    if (!this.rundownAlive) return problem(response, 503, "busy", "not now");
    if (request.method === "PUT") {
      if (!["lead", "owner"].includes(session.role)) return problem(response, 403, "forbidden", "only lead and owner");
      const { windows, revision } = JSON.parse(await text(request));
      this.beforeRundown?.();
      this.beforeRundown = null;
      if (revision !== undefined && revision !== this.rundownRevision) return problem(response, 409, "rundown-changed", "look at it again");
      this.setWindows(windows);
    } else {
      this.rundownReads += 1;
    }
    return json(response, 200, { windows: this.windows, revision: this.rundownRevision });
  }

  /** Sets the rundown and tells every unit anew, as the hub does. */
  setWindows(windows) {
    this.windows = windows;
    this.rundownRevision += 1;
    for (const unit of this.units.values()) this.put("unit", { ...unit, as_of: this.now() });
  }

  #act(call, action, session, response) {
    const { name } = session;
    if (action === "undo") return this.#undo(call, response);
    if (call.ended_at) return problem(response, 409, "call-ended", "this call has ended");
    if (action !== "done" && call.claimed_by && call.claimed_by !== name) {
      return problem(response, 409, "already-claimed", `${call.claimed_by} has it`, { claimed_by: call.claimed_by });
    }
    const none = { claimed_by: undefined, claimed_at: undefined, lapses_at: undefined };
    const changes = {
      claim: ["claimed", { state: "claimed", claimed_by: name, claimed_at: this.now(), lapses_at: inMinutes(Date.now(), 4) }],
      release: ["released", { state: "open", ...none }],
      done: ["said_done", { state: "done", ended_at: this.now() }],
    }[action];
    return json(response, 200, this.change(call.id, ...changes));
  }

  /** A "done" is taken back: the call is as it was before. */
  #undo(call, response) {
    if (this.refuseUndo) return problem(response, 409, "call-ended", this.refuseUndo);
    const state = call.claimed_by ? "claimed" : "open";
    return json(response, 200, this.change(call.id, "undone", { state, ended_at: undefined }));
  }

  async #signIn(request, response) {
    if (request.method === "POST") {
      const { token } = JSON.parse(await text(request));
      if (!this.tokens[token]) return problem(response, 401, "unauthorized", "unknown token");
      const id = randomUUID();
      this.sessions.set(id, this.tokens[token]);
      response.setHeader("Set-Cookie", `swapcall_session=${id}; HttpOnly; SameSite=Strict; Path=/`);
      return json(response, 200, this.tokens[token]);
    }
    const session = this.#session(request);
    if (request.method === "DELETE") {
      this.sessions.clear();
      response.statusCode = 204;
      return response.end();
    }
    return session ? json(response, 200, session) : problem(response, 401, "unauthorized", "sign in first");
  }

  async #file(pathname, response) {
    const file = await screenFile(pathname);
    if (file === null) return problem(response, 404, "not-found", "nothing here");
    response.setHeader("Content-Type", file.type);
    return response.end(file.body);
  }

  /** Every unit reports once a second, each a little nearer to its end. */
  startChurn() {
    this.churn = setInterval(() => {
      for (const unit of this.units.values()) {
        const fresh = (at) => at && new Date(Date.parse(at) + 1000).toISOString();
        const times = Object.fromEntries(["late_after", "silent_after", "observed_at", "received_at"].map((name) => [name, fresh(unit[name])]));
        this.put("unit", { ...unit, ...times, as_of: this.now() });
      }
    }, 1000);
  }
}

/** A file of the screens as they stand in this tree. @returns {Promise<{type: string, body: Buffer}|null>} */
export async function screenFile(pathname) {
  const name = PAGES[pathname] ?? pathname.slice(1);
  if (!/^(index\.html|runner\.html|manifest\.webmanifest|assets\/[a-z0-9-]+\.[a-z]+)$/.test(name)) return null;
  const body = await readFile(join(WEB, name)).catch(() => null);
  return body && { type: TYPES[extname(name)], body };
}

const json = (response, status, body, type = "application/json") => {
  response.writeHead(status, { "Content-Type": type });
  response.end(body === null ? "" : JSON.stringify(body));
};

const problem = (response, status, code, detail, more = {}) =>
  json(response, status, { type: `urn:swapcall:problem:${code}`, title: code, status, detail, ...more }, "application/problem+json");

/** An answer that goes nowhere. */
const nobody = () => ({ writeHead: () => {}, end: () => {} });

async function text(request) {
  const chunks = [];
  for await (const chunk of request) chunks.push(chunk);
  return Buffer.concat(chunks).toString("utf8");
}

/** Puts one unit's changed version into a fleet. */
const replace = (hub, now, is) => hub.put("unit", unitView(now, is));

/** The scripted states, by name. */
export const SCENARIOS = {
  empty: () => {},
  typical: (hub, now) => {
    for (const unit of regatta(now)) hub.put("unit", unit);
    hub.put("call", callView(now, { number: 12, unit: "BOW2", position: "start tower, upper deck", by: 6.6, leave: 3.2 }));
  },
  quiet: (hub, now) => {
    for (const unit of regatta(now)) hub.put("unit", unit);
  },
  busy: (hub, now) => {
    SCENARIOS.typical(hub, now);
    hub.put("call", callView(now, { number: 13, unit: "MID1", position: "500 m pontoon", bring: ["card"], more: { card: "C14" }, causes: ["cards"], by: 11.2, leave: 7.5, why: "cards 88 %, recording, about 19 min left: 16–23" }));
    const look = hub.put("call", callView(now, { number: 11, unit: "FIN2", position: "finish, water level", bring: ["look", "pack"], causes: ["silent", "battery"], by: 3.1, leave: -0.4, why: "nothing heard for 2 min; battery was 41 %", reminders: 1 }));
    hub.change(look.id, "claimed", { state: "claimed", claimed_by: "Tam", claimed_at: inMinutes(now, -2), lapses_at: inMinutes(now, 1.5) });
    const late = hub.put("call", callView(now, { number: 10, unit: "MID2", position: "umpire launch", bring: ["pack", "card"], more: { pack: "P21", card: "C15" }, causes: ["battery", "cards"], by: 14, leave: 9.5, reopened: 1, why: "battery 33 %, standby, about 27 min left: 22–34; cards 12 %" }));
    hub.change(late.id, "lapsed", {});
    replace(hub, now, { unit: "FIN2", position: "finish, water level", battery: [24, 46, 83], cards: [60, 88, 130], percent: 41, heardAgo_s: 130 });
    replace(hub, now, { unit: "ROVER", position: "towpath", battery: [-9, -6, -4], percent: 1, heardAgo_s: 400, dark: true });
    for (const [number, unit, state] of [[7, "FIN1", "done"], [8, "CRANE", "withdrawn"], [9, "ROVER", "missed"]]) {
      hub.put("call", callView(now, { number, unit, more: { state, ended_at: inMinutes(now, number - 20), revision: 3 } }));
    }
  },
  /** Seen by Mia: one job of hers, two more to take, one later, one that Tam has; one unit held, one held soon. */
  walk: (hub, now) => {
    const held = (unit, more) => hub.put("unit", { ...hub.units.get(unit), ...more });
    // None grows late while a test looks at something else.
    const lasting = { late_after: inMinutes(now, 5), silent_after: inMinutes(now, 10) };
    for (const unit of regatta(now)) hub.put("unit", { ...unit, ...lasting });
    held("MID1", { window: { kind: "held", title: "final A", until: inMinutes(now, 5) } });
    held("MID2", { next_window: { kind: "held", title: "medals", start: inMinutes(now, 15), until: inMinutes(now, 25) } });
    const mine = hub.put("call", callView(now, { number: 12, unit: "BOW2", position: "start tower, upper deck", by: 8.9, leave: 5.9 }));
    hub.change(mine.id, "claimed", { state: "claimed", claimed_by: "Mia", claimed_at: inMinutes(now, -1), lapses_at: inMinutes(now, 7) });
    hub.put("call", callView(now, { number: 13, unit: "MID1", position: "500 m pontoon", bring: ["card"], causes: ["cards"], by: 11.9, leave: 3.9, why: "cards 88 %, recording, about 19 min left: 16–23" }));
    hub.put("call", callView(now, { number: 15, unit: "MID2", position: "umpire launch", bring: ["pack"], causes: ["battery"], by: 14.9, leave: 9.9, why: "battery 33 %, standby, about 27 min left: 22–34" }));
    hub.put("call", callView(now, { number: 16, unit: "FIN1", position: "finish tower", bring: ["pack", "card"], causes: ["cards"], by: 31, leave: 24, why: "cards 38 %, recording, about 60 min left: 52–70" }));
    const look = hub.put("call", callView(now, { number: 11, unit: "FIN2", position: "finish, water level", bring: ["look", "pack"], causes: ["silent"], by: 3.1, leave: -0.4, why: "nothing heard for 2 min; battery was 41 %" }));
    hub.change(look.id, "claimed", { state: "claimed", claimed_by: "Tam", claimed_at: inMinutes(now, -2), lapses_at: inMinutes(now, 1.5) });
  },
  held: (hub, now) => {
    SCENARIOS.busy(hub, now);
    hub.windows = regattaRundown(now);
    hub.shows = [{ name: "Finals", start: inMinutes(now, -100), end: inMinutes(now, 200), kept_whole: true }];
    hub.put("unit", {
      ...hub.units.get("BOW2"),
      window: { kind: "held", title: "Heat 4", until: inMinutes(now, 7) },
      next_window: { kind: "held", title: "Final of the eights", start: inMinutes(now, 20), until: inMinutes(now, 38) },
    });
    for (const [unit, light] of [["MID1", "program"], ["FIN1", "preview"], ["BOW1", "clear"]]) {
      hub.put("unit", { ...hub.units.get(unit), tally: { light, since: inMinutes(now, -1) } });
    }
  },
  hostile: (hub, now) => {
    const nasty = '<img src=x onerror="document.title=1">';
    const long = "UNIT-WITH-A-VERY-LONG-CALLSIGN-32";
    hub.put("unit", unitView(now, { unit: nasty, position: "<b>bold</b> & \u202egnirts\u202c", battery: [5, 8, 12], percent: 9 }));
    hub.put("unit", unitView(now, { unit: long, position: "a position described in sixty-four letters, behind the boathouse", battery: [100, 160, null], cards: [20, 90, 200] }));
    hub.put("unit", unitView(now, { unit: "NEW", position: "not yet set up", never: true }));
    hub.put("unit", unitView(now, { unit: "OVER", position: "pontoon", battery: [-6, -4, -1], cards: [100, 200, 300] }));
    hub.put("unit", unitView(now, { unit: "EDGE", position: "pontoon", battery: [-3, -1, 4], cards: [0.5, 1, 3] }));
    hub.put("call", callView(now, { number: 1001, unit: nasty, position: "<i>x</i>", why: "<script>document.title=2</script>", by: -2, leave: -6 }));
    hub.put("call", callView(now, { number: 1002, unit: long, position: "a position described in sixty-four letters, behind the boathouse", bring: ["pack", "card"], by: 71, leave: 66, more: { state: "claimed", claimed_by: "Mia", claimed_at: inMinutes(now, -1), lapses_at: inMinutes(now, 3), note: "<u>on my way</u>" } }));
  },
  sixty: (hub, now) => {
    for (const unit of largeFleet(now, 60)) hub.put("unit", unit);
    hub.put("call", callView(now, { number: 31, unit: "BOW1", position: "stand 1", by: 3, leave: 1.2 }));
    replace(hub, now, { unit: "MID3", position: "stand 10", battery: [20, 30, 60], heardAgo_s: 200 });
    for (const [unit, light] of [["JIB6", "program"], ["FIN12", "preview"]]) hub.put("unit", { ...hub.units.get(unit), tally: { light, since: inMinutes(now, -1) } });
    hub.startChurn();
  },
  /** The walk, and a pool of packs and cards. */
  pool: (hub, now) => {
    SCENARIOS.walk(hub, now);
    regattaKit(hub, now);
  },
  /** Footage that is copied once is in a camera again, and a label is in two slots. */
  risk: (hub, now) => {
    SCENARIOS.pool(hub, now);
    hub.kit.risks = [riskView(now), riskView(now, { card: "C12", kind: "two_units", unit: "MID1", other_unit: "FIN1", other_slot: "B", used_percent: 88, verified_copies: 0, since: inMinutes(now, -3) })];
    for (const risk of hub.kit.risks) hub.kit.cards.get(risk.card).risk = risk;
    Object.assign(hub.kit.cards.get("C15"), { state: "in_slot", unit: "BOW2", slot: "A", who: undefined });
  },
  "sixty-pool": (hub, now) => {
    SCENARIOS.sixty(hub, now);
    largeKit(hub, now, 120);
  },
  "sixty-held": (hub, now) => {
    SCENARIOS.sixty(hub, now);
    hub.windows = regattaRundown(now);
  },
};

/** Starts a scripted hub in one of the states. */
export async function startScenario(name, port = 0) {
  const hub = new ScenarioHub();
  SCENARIOS[name](hub, Date.now());
  return hub.start(port);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const hub = await startScenario(process.argv[2] ?? "typical", Number(process.argv[3] ?? 0));
  console.log(`${hub.url}/#token=token-mia`);
}
