/**
 * The calls panel: what must be done, first thing on top, and the buttons to take and finish it.
 * @module calls
 */

/** @import { CallView, Session } from "swapcall-wire" */
/** @import { Piece } from "./callmodel.js" */
/** @import { CallModel } from "./callmodel.js" */
/** @import { Store } from "./store.js" */
/** @import { Press } from "./undo.js" */

import { callModel, endedLine } from "./callmodel.js";
import { arrange, byId, fill, make, setAttribute, setText, show } from "./dom.js";
import { clockTime, compareMoments, toMs } from "./time.js";
import { Undo, takingBack } from "./undo.js";
import { calls as words, duration, undo as undoWords } from "./words.js";

/** How long an answer stays on the card, milliseconds. */
const NOTICE_MS = 10_000;

/** How long "really done?" waits for the second press, milliseconds. */
const CONFIRM_MS = 5_000;

/** @typedef {"claim"|"release"|"done"} Action what a runner can do with a call */

/** @type {Action[]} */
const ACTIONS = ["claim", "release", "done"];

/** Parts of a card that are plain text. */
const TEXTS = /** @type {const} */ (["number", "stateWord", "unit", "inTime", "position", "by", "out", "why", "leave", "held", "claim", "lapse", "history"]);

/** @typedef {ReturnType<typeof makeCard>} Card the parts of a card, and what it shows */

/** The panel. Keeps the chosen call by identity, so that a new call on top never slips under somebody's finger. */
export class CallsPanel {
  /**
   * @param {Store} store
   * @param {(id: string, action: Action|"undo") => Promise<string>} act does it at the hub; gives what went wrong, or ""
   * @param {() => void} redraw asks for a new drawing
   */
  constructor(store, act, redraw) {
    this.store = store;
    /** @type {Session|null} */
    this.session = null;
    this.act = act;
    this.redraw = redraw;
    this.list = byId("call-list");
    /** @type {Map<string, Card>} card parts by call id */
    this.cards = new Map();
    /** @type {Map<string, {text: string, until: number}>} answers by call id */
    this.notices = new Map();
    /** @type {Set<string>} calls with a request under way */
    this.busy = new Set();
    /** @type {{id: string, until: number}|null} the call whose "done" waits for a second press */
    this.confirm = null;
    this.undo = new Undo(() => performance.now());
    /** @type {Map<string, ReturnType<typeof makeSlip>>} slim cards of calls done a moment ago, by call id */
    this.slips = new Map();
    /** @type {string|null} the call whose pressed button had the focus: one that waits for its answer loses it */
    this.pressedAt = null;
    /** @type {string|null} the chosen call */
    this.chosen = null;
    /** @type {CallView[]} what must be done first on top */
    this.shown = [];
    setText(byId("calls-none-text"), words.none);
    setText(byId("ended-heading"), words.ended);
  }

  /**
   * @param {number} now the hub's clock, milliseconds
   * @param {Session} session
   * @param {number|null} lostSince when the hub was last heard, if it is lost: then nothing can be claimed
   */
  draw(now, session, lostSince) {
    const lost = lostSince !== null;
    this.session = session;
    this.shown = this.store.liveCalls();
    const justDone = this.#justDone();
    this.#keepChosen(session);
    const count = this.shown.length;
    setText(byId("calls-heading"), lost ? words.headingOld(count, clockTime(lostSince, true)) : words.heading(count));
    show(byId("calls-none"), this.shown.length === 0);
    show(this.list, this.shown.length + justDone.length > 0);
    if (this.shown.length === 0) setText(byId("calls-none-next"), nextToStop(this.store, now));
    const focused = this.#focusedCall() ?? this.pressedAt;
    for (const id of [...this.cards.keys()]) if (!this.shown.some((call) => call.id === id)) this.cards.delete(id);
    for (const id of [...this.slips.keys()]) if (!justDone.some((press) => press.call.id === id)) this.slips.delete(id);
    const cards = this.shown.map((call) => {
      const card = this.#card(call.id);
      this.#patch(card, callModel(call, now, session, this.store.units.get(call.unit)), call.id, lost);
      return { call, root: card.root };
    });
    const slips = justDone.map((press) => ({ call: press.call, root: this.#slip(press, lost) }));
    // A call that is done stays where it was, so that nothing slips under the finger that wants to take it back.
    const both = [...cards, ...slips].sort((a, b) => compareMoments(a.call.by, b.call.by) || a.call.number - b.call.number);
    arrange(this.list, both.map(({ root }) => root));
    this.#keepFocus(focused);
    if (this.pressedAt !== null && !this.busy.has(this.pressedAt)) this.pressedAt = null;
    this.#drawEnded(this.store.endedCalls());
  }

  /** Presses of "done" that can still be taken back. */
  #justDone() {
    const presses = this.undo.newestFirst().map((id) => this.undo.of(id, this.store.calls.get(id)));
    return presses.flatMap((press) => (press?.action === "done" ? [press] : []));
  }

  /** The call in whose card the focus is. */
  #focusedCall() {
    return [...this.cards, ...this.slips].find(([, { root }]) => root.contains(document.activeElement))?.[0] ?? null;
  }

  /** When a card gives way to a slim one, or comes back from it, the focus goes along. @param {string|null} id */
  #keepFocus(id) {
    if (id === null || document.activeElement !== document.body) return;
    this.slips.get(id)?.button.focus();
    this.cards.get(id)?.root.focus();
  }

  /** @param {CallView[]} ended */
  #drawEnded(ended) {
    show(byId("ended"), ended.length > 0);
    const lines = ended.map(endedLine);
    const list = byId("ended-list");
    if (list.dataset.lines === lines.join("\n")) return;
    list.dataset.lines = lines.join("\n");
    list.replaceChildren(...lines.map((line) => make("li", "", line)));
  }

  /**
   * Until somebody chooses, the first call that is still to be taken, or one's own.
   * @param {Session} session
   */
  #keepChosen(session) {
    if (this.shown.some((call) => call.id === this.chosen)) return;
    const own = this.shown.find((call) => call.state === "open" || call.claimed_by === session.name);
    this.chosen = (own ?? this.shown[0])?.id ?? null;
  }

  /** Chooses the next or previous call. @param {1|-1} step */
  move(step) {
    const index = this.shown.findIndex((call) => call.id === this.chosen) + step;
    this.choose(this.shown[Math.min(this.shown.length - 1, Math.max(0, index))]?.id ?? null);
    this.#chosenCard()?.root.scrollIntoView({ block: "nearest" });
  }

  /** @param {string|null} id the call that keys act on from now on */
  choose(id) {
    this.chosen = id;
    this.redraw();
  }

  /** @returns {string|undefined} callsign of the chosen call's unit */
  chosenUnit() {
    return this.store.calls.get(this.chosen ?? "")?.unit;
  }

  /** Does something with the chosen call, if its button allows it. @param {Action} action */
  press(action) {
    const button = this.#chosenCard()?.buttons[action];
    if (this.chosen !== null && button && !button.hidden && !button.disabled) this.#pressed(this.chosen, action);
  }

  #chosenCard() {
    return this.chosen === null ? undefined : this.cards.get(this.chosen);
  }

  /**
   * @param {string} id
   * @param {Action} action
   */
  async #pressed(id, action) {
    this.chosen = id;
    const mine = this.cards.get(id)?.last?.mine ?? false;
    if (action === "done" && !mine && !this.#confirmed(id)) {
      this.confirm = { id, until: performance.now() + CONFIRM_MS };
      return this.redraw();
    }
    this.confirm = null;
    this.pressedAt = this.#focusedCall();
    this.busy.add(id);
    this.notices.delete(id);
    const call = this.store.calls.get(id);
    if (call && this.session) this.undo.note(action, call, this.session.name);
    this.redraw();
    const wrong = await this.act(id, action);
    this.busy.delete(id);
    if (wrong) this.undo.drop(id);
    if (wrong) this.notices.set(id, { text: wrong, until: performance.now() + NOTICE_MS });
    return this.redraw();
  }

  /** Takes back the last press that can be taken back; with none there, nothing happens. */
  takeBackLast() {
    const last = this.undo.newestFirst().find((id) => this.#toTakeBack(id) !== null);
    if (last !== undefined) this.#takeBack(last);
  }

  /** The press on this call that can be taken back now. @param {string} id */
  #toTakeBack(id) {
    const press = this.busy.has(id) ? null : this.undo.of(id, this.store.calls.get(id));
    return press?.trouble === "" ? press : null;
  }

  /** @param {string} id */
  async #takeBack(id) {
    const press = this.#toTakeBack(id);
    if (press === null) return;
    this.chosen = id;
    this.pressedAt = this.#focusedCall();
    this.busy.add(id);
    this.redraw();
    const wrong = await this.act(id, takingBack(press));
    this.busy.delete(id);
    if (wrong && press.action === "done") this.undo.failed(id, wrong);
    else this.undo.drop(id);
    if (!wrong) setText(byId("aloud"), undoWords.takenBack(press.call.unit));
    else if (press.action !== "done") this.notices.set(id, { text: wrong, until: performance.now() + NOTICE_MS });
    this.redraw();
  }

  /**
   * The slim card of a call that was done a moment ago.
   * @param {Press} press
   * @param {boolean} lost
   */
  #slip(press, lost) {
    const { id } = press.call;
    const slip = this.slips.get(id) ?? makeSlip(id, () => this.#takeBack(id));
    this.slips.set(id, slip);
    setText(slip.text, press.trouble || undoWords.done(press.call.number, press.call.unit));
    setText(slip.button, this.busy.has(id) ? words.busy : undoWords.button(this.undo.secondsLeft(press)));
    show(slip.button, press.trouble === "");
    slip.button.disabled = lost || this.busy.has(id);
    return slip.root;
  }

  /** @param {string} id */
  #confirmed(id) {
    const { confirm } = this;
    return confirm?.id === id && performance.now() < confirm.until;
  }

  /** @param {string} id */
  #card(id) {
    const card = this.cards.get(id) ?? this.#makeCard(id);
    this.cards.set(id, card);
    return card;
  }

  /** @param {string} id */
  #makeCard(id) {
    const card = makeCard(id);
    for (const action of ACTIONS) card.buttons[action].addEventListener("click", () => this.#pressed(id, action));
    card.undo.addEventListener("click", () => this.#takeBack(id));
    card.root.addEventListener("pointerdown", () => this.choose(id));
    return card;
  }

  /**
   * @param {Card} card
   * @param {CallModel} model
   * @param {string} id
   * @param {boolean} lost
   */
  #patch(card, model, id, lost) {
    for (const name of TEXTS) setText(card[name], model[name]);
    drawBring(card.bring, model.bring);
    const { root } = card;
    setAttribute(card.number, "data-long", String(model.number.length > 3));
    setAttribute(root, "data-state", model.state);
    setAttribute(root, "data-mine", String(model.mine));
    setAttribute(root, "data-lapsed", String(model.lapsed));
    setAttribute(root, "data-overdue", String(model.overdue));
    setAttribute(root, "data-leave-now", String(model.leaveNow));
    setAttribute(root, "data-held", String(model.heldNow));
    setAttribute(root, "aria-current", id === this.chosen ? "true" : null);
    setAttribute(root, "aria-label", `${words.number(model.number)}, ${model.unit}`);
    const notice = this.notices.get(id);
    setText(card.notice, notice && performance.now() < notice.until ? notice.text : "");
    this.#patchButtons(card, model, id, lost);
    card.last = model;
  }

  /**
   * @param {Card} card
   * @param {CallModel} model
   * @param {string} id
   * @param {boolean} lost
   */
  #patchButtons(card, model, id, lost) {
    const busy = this.busy.has(id);
    for (const action of ACTIONS) {
      const button = card.buttons[action];
      const hadFocus = button === document.activeElement;
      const really = action === "done" && !model.mine && this.#confirmed(id);
      const text = really ? words.reallyDone : words[action];
      setText(button, busy ? words.busy : text);
      show(button, model.buttons[action]);
      if (button.disabled !== (busy || lost)) button.disabled = busy || lost;
      if (hadFocus && button.hidden) card.root.focus();
    }
    const press = this.undo.of(id, this.store.calls.get(id));
    if (press === null && card.undo === document.activeElement) card.root.focus();
    show(card.undo, press !== null);
    card.undo.disabled = busy || lost;
    if (press !== null) setText(card.undo, busy ? words.busy : undoWords.button(this.undo.secondsLeft(press)));
  }
}

/**
 * Makes the slim card of a call that is done.
 * @param {string} id of the call
 * @param {() => void} takeBack
 */
function makeSlip(id, takeBack) {
  const root = make("li", "slip");
  root.dataset.call = id;
  const text = make("p", "slip-text", "", { role: "status" });
  const button = make("button", "act act-undo", "", { type: "button" });
  button.addEventListener("click", takeBack);
  fill(root, text, button);
  return { root, text, button };
}

/**
 * Makes the parts of a card.
 * @param {string} id of its call
 */
function makeCard(id) {
  const button = (/** @type {Action} */ action) => make("button", `act act-${action}`, "", { type: "button" });
  const parts = {
    root: make("li", "call", "", { tabindex: "-1" }),
    number: make("span", "call-number"),
    stateWord: make("span", "call-state"),
    unit: make("h3", "call-unit"),
    inTime: make("span", "call-in"),
    position: make("p", "call-position"),
    by: make("p", "call-by"),
    bring: make("p", "call-bring"),
    out: make("p", "call-out"),
    why: make("p", "call-why"),
    leave: make("p", "call-leave"),
    held: make("p", "call-held"),
    claim: make("p", "call-claim"),
    lapse: make("p", "call-lapse"),
    history: make("p", "call-history"),
    notice: make("p", "call-notice", "", { role: "alert" }),
    buttons: { claim: button("claim"), release: button("release"), done: button("done") },
    undo: make("button", "act act-undo", "", { type: "button" }),
    /** @type {CallModel|null} what is shown */
    last: null,
  };
  parts.root.dataset.call = id;
  const buttons = fill(make("div", "call-buttons"), ...ACTIONS.map((action) => parts.buttons[action]), parts.undo);
  const slab = fill(make("div", "call-slab"), parts.number, parts.stateWord);
  const head = fill(make("div", "call-head"), parts.unit, parts.inTime, parts.position, parts.by);
  const doing = fill(make("div", "call-do"), parts.bring, parts.out, parts.leave, parts.held);
  const text = fill(make("div", "call-text"), parts.why, parts.claim, parts.lapse, parts.history);
  fill(parts.root, slab, fill(make("div", "call-body"), head, doing, text, parts.notice, buttons));
  return parts;
}

/**
 * Pictures and words of what to bring, drawn anew when they are others than before.
 * @param {HTMLElement} element
 * @param {Piece[]} pieces
 */
export function drawBring(element, pieces) {
  const key = pieces.map(({ item, text }) => `${item} ${text}`).join();
  if (element.dataset.pieces === key) return;
  element.dataset.pieces = key;
  const drawn = pieces.map(({ item, text }) => fill(make("span", `bring bring-${item}`), make("i", "", "", { "aria-hidden": "true" }), make("b", "", text)));
  element.replaceChildren(...drawn);
}

/**
 * With nothing to do now, the panel says who is next.
 * @param {Store} store
 * @param {number} now
 */
export function nextToStop(store, now) {
  /** @type {{at: number, unit: string}|null} */
  let next = null;
  for (const unit of store.units.values()) {
    const at = toMs(unit.run_out?.earliest?.p50);
    if (at !== null && !unit.dark && (next === null || at < next.at)) next = { at, unit: unit.unit };
  }
  if (next === null) return "";
  return next.at <= now ? words.nextNow(next.unit) : words.next(next.unit, duration(next.at - now), clockTime(next.at));
}
