/**
 * The runner's page: puts the parts together. A phone in one hand, gloves, sun and dark, a bad network.
 *
 * There is no service worker on purpose. It could only be had over encrypted addresses, which a hub in a field often lacks;
 * it would keep this page alive beside a newer hub; and a page that opens without the hub has nothing true to show. What
 * must outlive a reload, the presses that were not sent, is kept by the queue.
 * @module runner
 */

/** @import { CallView, Report, Session } from "swapcall-wire" */
/** @import { LinkState } from "./live.js" */
/** @import { Move } from "./poolmodel.js" */
/** @import { Press } from "./runner-queue.js" */
/** @import { Undoable } from "./runner-say.js" */
/** @import { Settled } from "./runner-send.js" */
/** @import { Settings } from "./settings.js" */
/** @import { Announcement } from "./store.js" */

import { callsWithEnded, signOut } from "./api.js";
import { showBadge } from "./badge.js";
import { bringAloud } from "./callmodel.js";
import { byId, byIdAs, setAttribute, setText, show } from "./dom.js";
import { prepareLanguageButton } from "./language.js";
import { checkSession, drawLink, drawZone } from "./linkview.js";
import { LiveLink } from "./live.js";
import { leadsTo } from "./poolmodel.js";
import { pool as poolWords } from "./poolwords.js";
import { RiskBanner } from "./risk.js";
import { Guard } from "./runner-guard.js";
import { drawHead } from "./runner-head.js";
import { JobList } from "./runner-jobs.js";
import { Menu } from "./runner-menu.js";
import { Notices } from "./runner-notices.js";
import { Awake, vibrate } from "./runner-phone.js";
import { PoolSheet } from "./runner-pool.js";
import { PressQueue } from "./runner-queue.js";
import { ReadingSheet, UnitList } from "./runner-report.js";
import { OPPOSITE, undoable, whatToSay } from "./runner-say.js";
import { PressSender } from "./runner-send.js";
import { UnsentList } from "./runner-unsent.js";
import { OwnJobs, jobModel, walkOf } from "./runner-walk.js";
import { runner as words } from "./runnerwords.js";
import { keepSettings, readSettings } from "./settings.js";
import { SignInForm, findSession, followLinks } from "./signin.js";
import { Sound } from "./sound.js";
import { Store } from "./store.js";
import { HubClock, clockTime } from "./time.js";
import { uuidV7 } from "./uuid.js";
import { calls as callWords, link as linkWords, top } from "./words.js";

/** Messages that come together are drawn together, milliseconds. */
const GATHER_MS = 40;

/** A hub that did not answer when the page opened is asked again, milliseconds. */
const ASK_AGAIN_MS = 2_000;

/** The page. */
class RunnerPage {
  constructor() {
    this.settings = readSettings();
    /** @type {Session|null} */
    this.session = null;
    /** @type {ReturnType<typeof setTimeout>|undefined} the drawing that was asked for */
    this.drawSoon = undefined;
    /** @type {ReturnType<typeof setTimeout>|undefined} the drawing of the next second */
    this.drawNext = undefined;
    this.askingEnded = false;
    this.store = new Store();
    this.clock = new HubClock(() => performance.now());
    this.own = new OwnJobs();
    this.sound = new Sound(() => this.settings, () => this.#drawSound());
    this.risk = new RiskBanner(this.store, () => this.#alarm("risk"), () => this.redraw());
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
    this.jobs = new JobList(byId("jobs"), ...this.#onJobs());
    this.rest = new JobList(byId("rest-list"), ...this.#onJobs());
    this.folded = byIdAs(HTMLDetailsElement, "rest");
    this.unsent = new UnsentList(this.queue, () => this.#queueChanged());
    this.reading = new ReadingSheet((report) => this.#keepReading(report));
    this.units = new UnitList(() => this.store.units.values(), (unit) => this.reading.open(unit));
    this.pool = new PoolSheet({
      store: this.store,
      live: () => this.live.state === "live",
      keep: (move, back) => this.#keepMove(move, back),
      done: (move, back) => this.#offerBack(uuidV7(), move, back),
      guard: this.guard,
    });
    this.menu = new Menu((name, value) => this.#set(name, value), (changes) => this.#setSound(changes));
    this.#prepareButtons();
    this.sound.prepare();
    this.#applySettings();
    prepareLanguageButton();
    followLinks();
  }

  /** @returns {[(id: string, action: Undoable) => void, (unit: string) => void, Guard]} what the cards do */
  #onJobs() {
    const read = (/** @type {string} */ unit) => this.reading.open(this.store.units.get(unit) ?? { unit });
    return [(id, action) => this.#press(id, action), read, this.guard];
  }

  #prepareButtons() {
    setText(byId("name"), top.name);
    setText(byId("reading-other"), words.readingAny);
    setText(byId("bring-label"), words.bring);
    byId("reading-other").addEventListener("click", () => this.units.open());
    byId("sign-out").addEventListener("click", () => this.#signOut());
    byId("try-now").addEventListener("click", () => this.live.tryNow());
    byId("sound").addEventListener("click", () => this.#setSound({ muted: this.sound.mutesByPress() }));
    this.folded.addEventListener("toggle", () => this.redraw());
    addEventListener("online", () => this.live.tryNow());
    addEventListener("storage", () => this.#queueChanged());
    document.addEventListener("swapcall:redraw", () => this.redraw());
  }

  /** Finds out who is there, then connects; keeps asking a hub that does not answer. */
  async start() {
    const { session, why, unreachable } = await findSession();
    if (session !== null) return this.#signedIn(session);
    if (!unreachable) return this.form.open(why);
    show(byId("banner"), true);
    show(byId("try-now"), false);
    setText(byId("banner-text"), linkWords.neverReached);
    setTimeout(() => this.start(), ASK_AGAIN_MS);
    return undefined;
  }

  /** @param {Session} session */
  #signedIn(session) {
    this.session = session;
    setText(byId("who"), top.who(session.name, session.role));
    document.body.dataset.signedIn = "true";
    show(byId("try-now"), true);
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

  /** @param {LinkState} state */
  #linkChanged(state) {
    document.body.dataset.link = state;
    if (state === "signed_out") {
      this.session = null;
      this.live.stop();
      this.store.forget();
      this.risk.heed();
      for (const { sheet } of [this.menu, this.units, this.reading, this.pool]) sheet.close();
      document.body.dataset.signedIn = "false";
      this.notices.clear();
      this.form.open();
    }
    if (state === "live") this.#caughtUp();
    this.redraw();
  }

  /** Fetches the calls that have ended: without them a job that ended meanwhile would be gone without a word why. */
  async #caughtUp() {
    const { epoch } = this.store;
    this.askingEnded = true;
    const answer = await callsWithEnded();
    this.askingEnded = false;
    const ended = answer.outcome === "ok" && epoch === this.store.epoch ? answer.body?.calls : [];
    for (const call of ended ?? []) if (call.ended_at) this.store.call(call);
    this.#tellNews();
    this.sender.run();
    this.pool.fetch();
    this.redraw();
  }

  /** @param {Announcement[]} announcements */
  #heard(announcements) {
    this.risk.heed();
    for (const { kind, call } of announcements) {
      this.#alarm(kind);
      if (kind === "new") setText(byId("aloud"), callWords.opened(call, bringAloud(call)));
      if (kind === "lapsed") setText(byId("aloud"), callWords.lapsedAloud(call));
    }
    if (this.live.state === "live") this.#tellNews();
    showBadge(this.store.liveCalls().length, this.live.state === "lost", this.store.risks.length);
    this.redraw();
  }

  /** @param {Announcement["kind"]|"risk"} kind */
  #alarm(kind) {
    this.sound.play(kind);
    if (this.settings.buzz === "on") vibrate(kind);
  }

  /** What became of one's own jobs while one was on the way. */
  #tellNews() {
    if (this.session === null || this.store.inSnapshot || this.askingEnded) return;
    const ending = callsOf(this.queue.all().filter(({ action }) => action === "done" || action === "release"));
    for (const { call, what } of this.own.news(this.store.calls, this.session.name, ending)) {
      this.notices.say(call.id, words.news[what](call.unit, call.claimed_by ?? ""), { lasting: true });
      this.#alarm("reminded");
    }
  }

  /**
   * @param {string} id of the call
   * @param {Undoable} action
   */
  #press(id, action) {
    const call = this.store.calls.get(id);
    if (call !== undefined) this.#act({ unit: call.unit, call: id, action });
  }

  /** @param {Press} press that is taken back */
  #undo({ unit, call, action, back }) {
    if (back !== undefined) this.#keepMove(back, undefined);
    if (call === undefined || !undoable(action)) return;
    this.#act({ unit, call, action: OPPOSITE[action], undoes: action });
  }

  /** @param {{unit: string, call: string, action: Press["action"], undoes?: Undoable}} press */
  #act(press) {
    this.notices.drop(press.call);
    const kept = this.#keep({ ...press, kind: "call", revision: this.store.calls.get(press.call)?.revision });
    if (kept === null) return;
    if (this.live.state === "live" || press.action === undefined) return;
    this.notices.offerUndo(press.call, words.kept(press.action, press.unit), () => this.#unkeep(kept));
  }

  /** @param {Report} report */
  #keepReading(report) {
    this.#keep({ kind: "report", unit: report.unit, report });
  }

  /** @param {Move} move @param {Move|undefined} back what takes it back */
  #keepMove(move, back) {
    const kept = this.#keep({ kind: "kit", unit: move.label, move, back });
    if (kept === null || this.live.state === "live") return;
    this.notices.offerUndo(kept.id, poolWords.kept(move.label, leadsTo(move)), () => this.#unkeep(kept));
  }

  /** A move that did not wait in the queue. @param {string} key @param {Move} move @param {Move|undefined} back */
  #offerBack(key, move, back) {
    const text = poolWords.pressed(move.label, leadsTo(move));
    if (back === undefined) this.notices.say(key, text, { lasting: false });
    else this.notices.offerUndo(key, text, () => this.#keepMove(back, undefined));
  }

  /**
   * One way for all: kept, then sent.
   * @param {Omit<Press, "id"|"at"|"who">} press
   */
  #keep(press) {
    if (this.session === null) return null;
    const kept = this.queue.add({ ...press, who: this.session.name });
    if (kept === null) this.notices.say("full", words.tooMany, { lasting: true });
    this.#queueChanged();
    return kept;
  }

  /** Takes back a press that had not been sent when it was made; by now it may be on its way. @param {Press} press */
  #unkeep(press) {
    const still = this.queue.all().find(({ id }) => id === press.id);
    if (still && !still.trying && !still.unanswered) this.queue.remove(press.id);
    else this.#undo(press);
    this.#queueChanged();
  }

  #queueChanged() {
    this.sender.run();
    this.redraw();
  }

  /** @param {Settled} settled */
  #settled(settled) {
    const { press, call } = settled;
    if (call !== null) this.store.call(call);
    this.#tellNews();
    const said = whatToSay(settled);
    if (said === null) return;
    const key = press.call ?? press.id;
    if (said.undo) this.notices.offerUndo(key, said.text, () => this.#undo(press));
    else this.notices.say(key, said.text, { lasting: said.lasting ?? false });
  }

  /**
   * @template {keyof Settings} Name
   * @param {Name} name
   * @param {Settings[Name]} value
   */
  #set(name, value) {
    this.settings[name] = value;
    keepSettings(this.settings);
    this.#applySettings();
    if (name === "buzz" && value === "on") vibrate("reminded");
    this.redraw();
  }

  #applySettings() {
    document.documentElement.dataset.theme = this.settings.theme;
    document.body.dataset.hand = this.settings.hand;
    this.menu.draw(this.settings);
    this.#drawSound();
  }

  /** Mutes, or sounds so that one hears how loud it is. @param {Partial<Settings>} changes */
  #setSound(changes) {
    Object.assign(this.settings, changes);
    keepSettings(this.settings);
    this.sound.sample();
    this.#applySettings();
  }

  #drawSound() {
    const state = this.sound.state();
    setText(byId("sound"), words.sound[state]);
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
    this.drawSoon = undefined;
    const now = this.clock.now();
    const lost = this.live.state === "lost";
    setText(byId("clock"), now === null ? "–" : clockTime(now, true));
    drawZone(now);
    this.#drawSound();
    setText(byId("awake"), words.awake[this.awake.state]);
    setAttribute(byId("awake"), "data-awake", this.awake.state);
    this.risk.draw(now, lost, this.live.heardHub);
    this.pool.draw(now);
    if (this.session !== null) {
      drawLink(this.live);
      this.unsent.draw(this.session.name, this.live.state === "live");
      // Before the hub has said what time it is, nothing of it has been heard either.
      this.#drawWalk(this.session, now ?? Date.now(), lost);
    }
    showBadge(this.session === null ? 0 : this.store.liveCalls().length, lost, this.store.risks.length);
    const untilNext = now === null ? 500 : (1005 - (now % 1000)) / this.clock.rate;
    this.drawNext = setTimeout(() => this.#draw(), Math.max(250, untilNext));
  }

  /**
   * @param {Session} session
   * @param {number} now
   * @param {boolean} lost
   */
  #drawWalk(session, now, lost) {
    const { name } = session;
    const presses = this.queue.all().filter((press) => ["waits", "trying"].includes(this.queue.standing(press, name)));
    const walk = walkOf(this.store.liveCalls(), presses, name);
    const sending = callsOf(presses.filter((press) => this.queue.standing(press, name) === "trying"));
    const unsent = callsOf(presses);
    const model = (/** @type {CallView} */ call) => {
      const seen = { now, session, lost, sending: sending.has(call.id), unsent: unsent.has(call.id) && !sending.has(call.id) };
      return jobModel(call, this.store.units.get(call.unit), seen);
    };
    this.jobs.draw(walk.jobs.map(model));
    const folded = [...walk.rest, ...walk.others];
    show(this.folded, folded.length > 0);
    setText(byId("rest-heading"), words.rest(walk.rest.length, walk.others.length));
    this.rest.draw(this.folded.open ? folded.map(model) : []);
    drawHead(walk, this.store, this.live, now);
  }
}

/** @param {Press[]} presses @returns {Set<string>} the calls they are for */
function callsOf(presses) {
  return new Set(presses.map(({ call }) => call ?? ""));
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
