/**
 * The ops screen: puts the parts together. Everything shown is drawn from the store; everything pressed goes to the hub.
 * @module app
 */

/** @import { Session } from "swapcall-wire" */
/** @import { Action } from "./calls.js" */
/** @import { LinkState } from "./live.js" */
/** @import { Settings } from "./settings.js" */
/** @import { Announcement } from "./store.js" */

import { actOnCall, callsWithEnded, signOut } from "./api.js";
import { showBadge } from "./badge.js";
import { clockText } from "./board.js";
import { bringAloud } from "./callmodel.js";
import { CallsPanel } from "./calls.js";
import { byId, setText, show } from "./dom.js";
import { prepareFirstSteps } from "./firststeps.js";
import { listenToKeys } from "./keys.js";
import { prepareLanguageButton } from "./language.js";
import { checkSession, drawLink, drawZone } from "./linkview.js";
import { LiveLink } from "./live.js";
import { closePanels, listenForEscape, place } from "./panel.js";
import { Panels } from "./panels.js";
import { RiskBanner } from "./risk.js";
import { RunOutView } from "./runout.js";
import { keepSettings, nextChoice, readSettings, spanAt } from "./settings.js";
import { SignInForm, findSession, followLinks } from "./signin.js";
import { Sound } from "./sound.js";
import { Store } from "./store.js";
import { HubClock } from "./time.js";
import { Tools } from "./tools.js";
import { calls as callWords, top, undo as undoWords } from "./words.js";

/** Messages that come together are drawn together, milliseconds. */
const GATHER_MS = 40;

/** A fleet that is told from its beginning is drawn when it is complete; on a slow line, this often meanwhile, milliseconds. */
const GATHER_SNAPSHOT_MS = 400;

/** The screen. */
class Screen {
  constructor() {
    this.settings = readSettings();
    /** @type {Session|null} */
    this.session = null;
    /** @type {ReturnType<typeof setTimeout>|undefined} the drawing that was asked for */
    this.drawSoon = undefined;
    /** @type {ReturnType<typeof setTimeout>|undefined} the drawing of the next second */
    this.drawNext = undefined;
    this.store = new Store();
    this.clock = new HubClock(() => performance.now());
    this.sound = new Sound(() => this.settings, () => this.tools?.draw(this.sound.state()));
    this.risk = new RiskBanner(this.store, () => this.sound.play("risk"), () => this.redraw());
    this.runOut = new RunOutView(() => this.clock.now(), () => this.redraw(), (unit) => this.panels.suggest(unit));
    this.panel = new CallsPanel(this.store, (id, action) => this.#act(id, action), () => this.redraw());
    this.panels = new Panels(this.store, this.clock, this.runOut.running, () => this.redraw());
    this.form = new SignInForm((session) => this.#signedIn(session));
    this.live = new LiveLink({
      store: this.store,
      clock: this.clock,
      checkSession,
      onMessage: (announcements) => this.#heard(announcements),
      onState: (state) => this.#linkChanged(state),
    });
    this.tools = new Tools(this.#actions(), () => this.settings);
    followLinks();
    listenForEscape();
    prepareLanguageButton();
    prepareFirstSteps();
    listenToKeys(this.#actions(), () => this.session !== null);
    byId("sign-out").addEventListener("click", () => this.#signOut());
    byId("try-now").addEventListener("click", () => this.live.tryNow());
    addEventListener("resize", () => this.redraw());
    addEventListener("online", () => this.live.tryNow());
    this.tools.draw(this.sound.state());
  }

  /** Finds out who is there, then connects. */
  async start() {
    const { session, why } = await findSession();
    if (session === null) this.form.open(why);
    else this.#signedIn(session);
  }

  /** @param {Session} session */
  #signedIn(session) {
    this.session = session;
    setText(byId("who"), top.who(session.name, session.role));
    document.body.dataset.signedIn = "true";
    this.store.forget();
    this.live.start();
    this.#draw();
  }

  async #signOut() {
    await signOut();
    this.live.stop();
    this.#linkChanged("signed_out");
  }

  /** @param {LinkState} state */
  #linkChanged(state) {
    document.body.dataset.link = state;
    this.runOut.linkChanged(state);
    if (state === "signed_out") {
      this.session = null;
      closePanels();
      this.panels.closeWindows();
      this.store.forget();
      this.risk.heed();
      document.body.dataset.signedIn = "false";
      this.form.open();
    }
    if (state === "live") this.#fetchEnded();
    // Whoever opens the screen waits for this moment.
    if (state === "live") this.#draw();
    else this.redraw();
    // When the frame that was just drawn has been seen: the browser's beeper takes longer to make than the board.
    if (state === "live") requestAnimationFrame(() => setTimeout(() => this.sound.prepare()));
  }

  /** The last few calls that have ended, for the small list; not having them is no reason to complain. */
  async #fetchEnded() {
    const { epoch } = this.store;
    const answer = await callsWithEnded();
    if (answer.outcome !== "ok" || epoch !== this.store.epoch) return;
    for (const call of answer.body?.calls.filter((one) => one.ended_at) ?? []) this.store.call(call);
    this.redraw();
  }

  /**
   * Sound, title and picture do not wait for a drawing: a page in the background is not drawn.
   * @param {Announcement[]} announcements
   */
  #heard(announcements) {
    this.runOut.heed(this.store);
    this.risk.heed();
    for (const { kind, call } of announcements) {
      this.sound.play(kind);
      if (kind === "new") setText(byId("aloud"), callWords.opened(call, bringAloud(call)));
      if (kind === "lapsed") setText(byId("aloud"), callWords.lapsedAloud(call));
    }
    showBadge(this.store.liveCalls().length, this.live.state === "lost", this.store.risks.length);
    this.redraw();
  }

  /**
   * @param {string} id
   * @param {Action|"undo"} action
   * @returns {Promise<string>} what went wrong, or nothing
   */
  async #act(id, action) {
    const answer = await actOnCall(id, action);
    if (answer.outcome === "ok") {
      if (answer.body) this.store.call(answer.body);
      return "";
    }
    if (answer.outcome === "unreachable") return callWords.unreachable;
    if (answer.status === 401) this.#linkChanged("signed_out");
    const { body: problem } = answer;
    if (action === "undo" && problem?.type?.endsWith(":not-found")) return undoWords.tooOld;
    if (answer.status === 409 && problem?.claimed_by) return callWords.takenBy(problem.claimed_by);
    return callWords.failed(problem?.detail ?? String(answer.status), problem?.type?.split(":").at(-1));
  }

  /** @returns {ConstructorParameters<typeof Tools>[0]} */
  #actions() {
    return {
      move: (step) => this.panel.move(step),
      press: (action) => this.panel.press(action),
      ...this.runOut.actions(),
      takeBack: () => this.panel.takeBackLast(),
      undo: () => this.panels.undoWindow() || this.panel.takeBackLast(),
      windows: () => this.panels.toggleWindows(),
      escape: () => this.panels.closeWindows() || this.runOut.letGo(),
      people: () => this.panels.togglePeople(),
      pool: () => this.panels.togglePool(),
      kitSum: () => this.panels.toggleKitSum(),
      openCallUnit: () => this.panels.openUnit(this.panel.chosenUnit()),
      span: (index) => this.#set("spanMin", spanAt(index)),
      zoom: (step) => this.#set("spanMin", nextChoice("spanMin", this.settings.spanMin, step)),
      sort: () => this.#set("sort", nextChoice("sort", this.settings.sort)),
      setSort: (sort) => this.#set("sort", sort),
      theme: () => this.#set("theme", nextChoice("theme", this.settings.theme)),
      sound: () => this.#setSound({ muted: this.sound.mutesByPress() }),
      volume: (step) => this.#setSound({ muted: false, volume: nextChoice("volume", this.settings.volume, step) }),
      help: () => this.panels.toggleHelp(),
    };
  }

  /** @param {Partial<Settings>} changes */
  #setSound(changes) {
    Object.assign(this.settings, changes);
    keepSettings(this.settings);
    this.sound.sample();
    this.tools.draw(this.sound.state());
  }

  /**
   * @template {keyof Settings} Name
   * @param {Name} name
   * @param {Settings[Name]} value
   */
  #set(name, value) {
    this.settings[name] = value;
    keepSettings(this.settings);
    this.tools.draw(this.sound.state());
    this.redraw();
  }

  /** Asks for a drawing soon. */
  redraw() {
    if (this.drawSoon) return;
    const opening = this.store.inSnapshot && this.live.state === "connecting";
    this.drawSoon = setTimeout(() => this.#draw(), opening ? GATHER_SNAPSHOT_MS : GATHER_MS);
  }

  #draw() {
    clearTimeout(this.drawSoon);
    clearTimeout(this.drawNext);
    this.drawSoon = undefined;
    const now = this.clock.now();
    const lost = this.live.state === "lost";
    setText(byId("clock"), clockText(now));
    drawZone(now);
    drawLink(this.live);
    this.risk.draw(now, lost, this.live.heardHub);
    place();
    showBadge(this.session === null ? 0 : this.store.liveCalls().length, lost, this.store.risks.length);
    if (now !== null && this.session !== null) this.#drawFleet(this.session, now, lost);
    // The next drawing falls on the hub's next full second, so that its clock does not stutter.
    // In the demo hub seconds are short; four drawings a second are enough for any eye.
    const untilNext = now === null ? 500 : (1005 - (now % 1000)) / this.clock.rate;
    this.drawNext = setTimeout(() => this.#draw(), this.clock.rate > 1 ? Math.max(250, untilNext) : untilNext);
  }

  /**
   * @param {Session} session
   * @param {number} now
   * @param {boolean} lost
   */
  #drawFleet(session, now, lost) {
    const caughtUp = this.store.units.size > 0 || this.live.state === "live";
    const isEmpty = this.store.units.size === 0 && caughtUp;
    show(byId("empty"), isEmpty);
    show(byId("board"), !isEmpty);
    this.panel.draw(now, session, lost ? (this.live.heardHub ?? now) : null);
    this.runOut.draw({ store: this.store, now, settings: this.settings, session, lost });
    this.panels.draw(now, session, lost);
    setText(byId("jump-calls"), top.toCalls(this.store.liveCalls().length));
    setText(byId("jump-board"), top.toBoard);
  }
}

new Screen().start();
