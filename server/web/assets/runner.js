/**
 * The runner's page: puts the parts together. A phone in one hand, gloves, sun and dark, a bad network.
 *
 * There is no service worker on purpose. It could only be had over encrypted addresses, which a hub in a field often lacks;
 * it would keep this page alive beside a newer hub; and a page that opens without the hub has nothing true to show. What
 * must outlive a reload, the presses that were not sent, is kept by the queue.
 * @module runner
 */

import { callsWithEnded, signOut } from "./api.js";
import { showBadge } from "./badge.js";
import { bringAloud } from "./callmodel.js";
import { nextToStop } from "./calls.js";
import { byId, make, setAttribute, setText, show } from "./dom.js";
import { checkSession, drawLink } from "./linkview.js";
import { LiveLink } from "./live.js";
import { Guard } from "./runner-guard.js";
import { JobList } from "./runner-jobs.js";
import { Menu } from "./runner-menu.js";
import { Notices } from "./runner-notices.js";
import { Awake, vibrate } from "./runner-phone.js";
import { PressQueue } from "./runner-queue.js";
import { ReadingSheet, UnitList } from "./runner-report.js";
import { PressSender } from "./runner-send.js";
import { UnsentList } from "./runner-unsent.js";
import { OwnJobs, jobModel, leaving, walkOf } from "./runner-walk.js";
import { keepSettings, readSettings } from "./settings.js";
import { SignInForm, findSession, followLinks } from "./signin.js";
import { Sound } from "./sound.js";
import { Store } from "./store.js";
import { HubClock, clockTime } from "./time.js";
import { calls as callWords, link as linkWords, runner as words, top } from "./words.js";

/** Messages that come together are drawn together, milliseconds. */
const GATHER_MS = 40;

/** A hub that did not answer when the page opened is asked again, milliseconds. */
const ASK_AGAIN_MS = 2_000;

/** What takes a press back. */
const OPPOSITE = { claim: "release", release: "claim", done: "undo" };

/** The page. */
class RunnerPage {
  constructor() {
    this.settings = readSettings();
    this.session = null;
    this.store = new Store();
    this.clock = new HubClock(() => performance.now());
    this.own = new OwnJobs();
    this.sound = new Sound();
    this.guard = new Guard(() => this.redraw());
    this.notices = new Notices(this.guard);
    this.queue = new PressQueue(localStorageOrNone());
    this.awake = new Awake(() => this.redraw());
    this.form = new SignInForm((session) => this.#signedIn(session));
    this.live = new LiveLink({
      store: this.store,
      clock: this.clock,
      checkSession,
      onMessage: (announcements) => this.#heard(announcements),
      onState: (state) => this.#linkChanged(state),
    });
    this.sender = new PressSender({
      queue: this.queue,
      sender: () => (this.live.state === "live" ? this.session?.name ?? null : null),
      callOf: (id) => this.store.calls.get(id),
      onSettled: (settled) => this.#settled(settled),
      onChange: () => this.redraw(),
      onSignedOut: () => this.#linkChanged("signed_out"),
    });
    this.#prepareLists();
    this.#prepareButtons();
    this.#applySettings();
    followLinks();
  }

  #prepareLists() {
    const press = (id, action) => this.#press(id, action);
    const read = (unit) => this.reading.open(this.store.units.get(unit) ?? { unit });
    this.jobs = new JobList(byId("jobs"), press, read, this.guard);
    this.rest = new JobList(byId("rest-list"), press, read, this.guard);
    this.unsent = new UnsentList(this.queue, () => this.#queueChanged());
    this.reading = new ReadingSheet((report) => this.#keep({ kind: "report", unit: report.unit, report }));
    this.units = new UnitList(() => this.store.units.values(), (unit) => this.reading.open(unit));
    this.menu = new Menu((name, value) => this.#set(name, value));
  }

  #prepareButtons() {
    setText(byId("name"), top.name);
    setText(byId("reading-any"), words.readingAny);
    setText(byId("bring-label"), words.bring);
    byId("reading-any").addEventListener("click", () => this.units.open());
    byId("sign-out").addEventListener("click", () => this.#signOut());
    byId("try-now").addEventListener("click", () => this.live.tryNow());
    byId("sound").addEventListener("click", () => this.#soundPressed());
    byId("rest").addEventListener("toggle", () => this.redraw());
    addEventListener("online", () => this.live.tryNow());
    addEventListener("storage", () => this.#queueChanged());
    // A browser is silent until it is touched; the first touch anywhere will do.
    for (const kind of ["pointerup", "keydown"]) addEventListener(kind, () => this.#touched());
  }

  /** Finds out who is there, then connects; keeps asking a hub that does not answer. */
  async start() {
    const { session, why, unreachable } = await findSession();
    if (session !== null) return this.#signedIn(session);
    if (!unreachable) return this.form.open(why);
    show(byId("banner"), true);
    setText(byId("banner-text"), linkWords.neverReached);
    setTimeout(() => this.start(), ASK_AGAIN_MS);
    return undefined;
  }

  #signedIn(session) {
    this.session = session;
    setText(byId("who"), top.who(session.name, session.role));
    document.body.dataset.signedIn = "true";
    this.store.forget();
    this.own.clear();
    this.notices.clear();
    this.live.start();
    this.awake.hold();
    this.redraw();
  }

  async #signOut() {
    this.menu.sheet.close();
    await signOut();
    this.live.stop();
    this.#linkChanged("signed_out");
  }

  #linkChanged(state) {
    document.body.dataset.link = state;
    if (state === "signed_out") {
      this.session = null;
      this.live.stop();
      this.store.forget();
      for (const sheet of document.querySelectorAll("dialog[open]")) sheet.close();
      document.body.dataset.signedIn = "false";
      this.notices.clear();
      this.form.open();
    }
    if (state === "live") this.#caughtUp();
    this.redraw();
  }

  async #caughtUp() {
    const { epoch } = this.store;
    const answer = await callsWithEnded();
    if (epoch !== this.store.epoch) return;
    const ended = answer.outcome === "ok" ? answer.body.calls.filter((one) => one.ended_at) : [];
    for (const call of ended) this.store.call(call);
    this.#tellNews();
    this.sender.run();
    this.redraw();
  }

  #heard(announcements) {
    for (const { kind, call } of announcements) {
      this.#alarm(kind);
      if (kind === "new") setText(byId("aloud"), callWords.opened(call, bringAloud(call)));
      if (kind === "lapsed") setText(byId("aloud"), callWords.lapsedAloud(call));
    }
    if (this.live.state === "live") this.#tellNews();
    showBadge(this.store.liveCalls().length, this.live.state === "lost");
    this.redraw();
  }

  #alarm(kind) {
    this.sound.play(kind);
    if (this.settings.buzz === "on") vibrate(kind);
  }

  /** What became of one's own jobs while one was on the way. */
  #tellNews() {
    if (this.session === null || this.store.inSnapshot) return;
    for (const { call, what } of this.own.news(this.store.calls, this.session.name)) {
      this.notices.say(call.id, words.news[what](call.unit, call.claimed_by ?? ""), { lasting: true });
      this.#alarm("reminded");
    }
  }

  #press(id, action) {
    const call = this.store.calls.get(id);
    if (call !== undefined) this.#act({ unit: call.unit, call: id, action });
  }

  #undo({ unit, call, action }) {
    this.#act({ unit, call, action: OPPOSITE[action], undoes: action });
  }

  #act(press) {
    this.notices.drop(press.call);
    this.#keep({ ...press, kind: "call", revision: this.store.calls.get(press.call)?.revision });
  }

  /** One way for all: kept, then sent. */
  #keep(press) {
    const kept = this.queue.add({ ...press, who: this.session.name });
    if (kept === null) this.notices.say("full", words.tooMany, { lasting: true });
    else if (press.kind === "call") this.#pressKept(kept);
    this.#queueChanged();
  }

  #pressKept(press) {
    if (["done", "release"].includes(press.action)) this.own.expect(press.call);
    if (this.live.state !== "live") this.notices.offerUndo(press.call, words.kept(press.action, press.unit), () => this.#unkeep(press));
  }

  /** Takes back a press that had not been sent when it was made; by now it may be on its way. */
  #unkeep({ id, ...press }) {
    const still = this.queue.all().find((one) => one.id === id);
    if (still && !still.trying && !still.unanswered) this.queue.remove(id);
    else this.#undo(press);
    this.#queueChanged();
  }

  #queueChanged() {
    this.sender.run();
    this.redraw();
  }

  #settled({ press, outcome, body }) {
    if (press.kind === "call" && outcome === "ok" && body !== null) this.store.call(body);
    this.#tellNews();
    const said = whatToSay(press, outcome, body);
    if (said === null) return;
    const key = press.kind === "report" ? press.id : press.call;
    if (said.undo) this.notices.offerUndo(key, said.text, () => this.#undo(press));
    else this.notices.say(key, said.text, { lasting: said.lasting });
  }

  #set(name, value) {
    this.settings[name] = value;
    keepSettings(this.settings);
    this.#applySettings();
    if (name === "volume") this.#touched().then(() => this.sound.play("reminded"));
    if (name === "buzz" && value === "on") vibrate("reminded");
    this.redraw();
  }

  #applySettings() {
    document.documentElement.dataset.theme = this.settings.theme;
    document.body.dataset.hand = this.settings.hand;
    this.sound.setVolume(this.settings.volume);
    this.menu.draw(this.settings);
    this.#drawSound();
  }

  async #touched() {
    await this.sound.wake();
    this.#drawSound();
  }

  /** Mutes, or takes the mute away; a page that was never touched has been now, and sounds from here on. */
  #soundPressed() {
    if (this.settings.volume === "mute") this.#set("volume", this.loudness ?? "loud");
    else if (byId("sound").dataset.sound === "waits") this.#touched().then(() => this.sound.play("reminded"));
    else {
      this.loudness = this.settings.volume;
      this.#set("volume", "mute");
    }
  }

  #drawSound() {
    const state = this.settings.volume === "mute" ? "muted" : this.sound.ready ? "on" : "waits";
    setText(byId("sound"), { muted: words.soundMuted, on: words.soundOn, waits: words.soundWaits }[state]);
    setAttribute(byId("sound"), "data-sound", state);
    setAttribute(byId("sound"), "aria-pressed", String(state === "on"));
  }

  /** Asks for a drawing soon. */
  redraw() {
    this.drawSoon ??= setTimeout(() => this.#draw(), GATHER_MS);
  }

  #draw() {
    clearTimeout(this.drawSoon);
    clearTimeout(this.drawNext);
    this.drawSoon = null;
    const now = this.clock.now();
    const lost = this.live.state === "lost";
    setText(byId("clock"), now === null ? "–" : clockTime(now, true));
    setText(byId("awake"), words.awake[this.awake.state]);
    setAttribute(byId("awake"), "data-awake", this.awake.state);
    if (this.session !== null) {
      drawLink(this.live);
      this.unsent.draw(this.session.name, this.live.state === "live");
      this.#drawWalk(now, lost);
    }
    showBadge(this.session === null ? 0 : this.store.liveCalls().length, lost);
    const untilNext = now === null ? 500 : (1005 - (now % 1000)) / this.clock.rate;
    this.drawNext = setTimeout(() => this.#draw(), Math.max(250, untilNext));
  }

  #drawWalk(now, lost) {
    const { name } = this.session;
    const presses = this.queue.all().filter((press) => ["waits", "trying"].includes(this.queue.standing(press, name)));
    const walk = walkOf(this.store.liveCalls(), presses, name);
    const sending = new Set(presses.filter((press) => this.queue.standing(press, name) === "trying").map(({ call }) => call));
    const unsent = new Set(presses.filter(({ call }) => !sending.has(call) && this.live.state !== "live").map(({ call }) => call));
    const model = (call) =>
      jobModel(call, this.store.units.get(call.unit), { now, session: this.session, lost, unsent: unsent.has(call.id) });
    this.jobs.draw(walk.jobs.map(model), sending);
    const folded = [...walk.rest, ...walk.others];
    show(byId("rest"), folded.length > 0);
    setText(byId("rest-heading"), words.rest(walk.rest.length, walk.others.length));
    this.rest.draw(byId("rest").open ? folded.map(model) : [], sending);
    this.#drawHead(walk, now, lost);
  }

  #drawHead(walk, now, lost) {
    const some = walk.jobs.length > 0;
    show(byId("walk"), some);
    show(byId("none"), !some);
    show(byId("reading-any"), this.store.units.size > 0);
    if (some) {
      drawPieces(walk.bring);
      const first = Math.min(...walk.jobs.map(leaving));
      const parts = [words.sum(walk.jobs.length, walk.mine)];
      if (lost) parts.push(words.asOf(clockTime(this.live.heardHub ?? now, true)));
      else parts.push(first <= now ? words.leaveNow : words.leave(clockTime(first), first - now));
      setText(byId("walk-sum"), parts.join(" · "));
      setAttribute(byId("walk"), "data-leave-now", String(!lost && first <= now));
      return;
    }
    const known = this.live.state === "live";
    setText(byId("none-text"), known ? words.none : lost ? words.noneKnown : words.looking);
    setText(byId("none-next"), known ? nextToStop(this.store, now) : "");
  }
}

/** What to carry for all jobs shown together. */
function drawPieces(bring) {
  const parts = ["pack", "card"].filter((item) => bring[item] > 0).map((item) => [item, words.pieces[item](bring[item])]);
  if (parts.length === 0) parts.push(["look", words.bringNothing]);
  const pieces = byId("bring-pieces");
  const key = parts.map(([, text]) => text).join(", ");
  if (pieces.dataset.pieces === key) return;
  pieces.dataset.pieces = key;
  pieces.replaceChildren(...parts.map(([item, text], index) => make("b", `piece piece-${item}`, index < parts.length - 1 ? `${text},` : text)));
}

/**
 * What a settled press says at the lower edge.
 * @returns {{text: string, undo?: boolean, lasting?: boolean}|null} nothing, where the card says it all
 */
function whatToSay(press, outcome, body) {
  const { action, unit, undoes } = press;
  const detail = body?.detail ?? body?.title ?? "";
  if (press.kind === "report") {
    return outcome === "ok" ? { text: words.readingStored(unit) } : { text: words.readingRefused(unit, detail), lasting: true };
  }
  if (outcome === "refused") {
    const text = action === "claim" && body?.claimed_by ? words.takenBy(body.claimed_by, unit) : words.refused(action, unit, detail);
    return { text, lasting: true };
  }
  if (outcome === "ended") return action === "done" ? { text: words.alreadyEnded(unit) } : null;
  return undoes ? { text: words.undone(undoes, unit) } : { text: words.did(action, unit), undo: true };
}

/** Some browsers forbid even to look at what is kept. @returns {Storage|null} */
function localStorageOrNone() {
  try {
    return localStorage;
  } catch {
    return null;
  }
}

new RunnerPage().start();
