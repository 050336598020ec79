/**
 * The panel of the pool: where every pack and card is, and a press to say where one is now. Whatever is typed while the
 * panel has the focus goes to the field for the label, as a scanner types it.
 * @module pool
 */

/** @import { PoolCardView, PoolPackView, Role, Session } from "swapcall-wire" */
/** @import { Answer } from "./api.js" */
/** @import { Move, Piece } from "./poolmodel.js" */
/** @import { Store } from "./store.js" */

import { listCards, listPacks, putPiece } from "./api.js";
import { byId, fill, make, setText, show } from "./dom.js";
import { readRefusal } from "./forms.js";
import { Panel } from "./panel.js";
import { Ahead } from "./poolahead.js";
import { PieceBox } from "./poolbox.js";
import { PoolList } from "./poollist.js";
import { atRisk, called, leadsTo, mayHold, nameOf, ofCard, ofPack, restoring, sharing, standing, whereOf } from "./poolmodel.js";
import { pool as words } from "./poolwords.js";
import { UNDO_MS } from "./undo.js";
import { undo as undoWords } from "./words.js";

/** A hub that does not tell when its kit changes is asked again after this long, milliseconds. */
const REFRESH_MS = 15_000;

/** On a busy site the kit changes all the time; nobody reads faster than this, milliseconds. */
const SOONEST_MS = 1_000;

/** @type {Role[]} */
const MAY_MOVE = ["runner", "lead", "owner"];

/** @typedef {{before: Piece, after: Piece, until: number}} Taken what can be taken back, until when on the steady counter */

/** The panel. */
export class Pool {
  /**
   * @param {Store} store
   * @param {() => void} redraw asks for a drawing
   */
  constructor(store, redraw) {
    this.store = store;
    this.redraw = redraw;
    /** @type {Session|null} */
    this.session = null;
    this.lost = false;
    /** @type {Piece[]|null} as last heard */
    this.pieces = null;
    /** @type {{kind: Piece["kind"], label: string}|null} */
    this.chosen = null;
    /** @type {Taken|null} */
    this.taken = null;
    this.askedAt = -Infinity;
    /** @type {number|null} of the kit when the lists were asked for */
    this.askedRevision = null;
    this.busy = false;
    /** What the lists were drawn for: they are long, and nothing in them changes within a second. */
    this.drawnFor = "";
    this.listVersion = 0;
    this.counts = { packs: make("b", "pool-count"), cards: make("b", "pool-count"), unsafe: make("span", "pool-count"), risks: make("b", "pool-count pool-count-risk") };
    this.field = make("input", "pool-label", "", { id: "pool-label", autocomplete: "off", autocapitalize: "off", spellcheck: "false", maxlength: "24", placeholder: words.placeholder });
    this.form = make("form", "pool-find");
    this.said = make("p", "pool-said", "", { role: "status" });
    this.undo = make("button", "act-undo", "", { type: "button" });
    this.which = make("div", "pool-which");
    this.trouble = make("p", "pool-trouble", "", { role: "status" });
    this.lists = [new PoolList("pack", (piece) => this.#choose(piece)), new PoolList("card", (piece) => this.#choose(piece))];
    this.box = new PieceBox({
      pieces: () => this.pieces ?? [],
      units: () => this.store.units.values(),
      move: (move) => this.#move(move),
      find: (text) => this.#find(text),
    });
    /** How the pool goes round in the hours to come. */
    this.ahead = new Ahead();
    this.panel = new Panel("pool", { onOpen: () => this.#opened(), onClose: () => this.#choose(null) });
    this.#fillPanel();
    setText(byId("pool-open"), words.button);
    byId("pool-open").addEventListener("click", () => this.toggle());
    this.panel.root.addEventListener("keydown", (event) => this.#key(event));
    // A key that went away under the focus, such as that of a press that was taken back, leaves it nowhere.
    document.addEventListener("keydown", (event) => this.panel.isOpen && event.target === document.body && this.#key(event), { capture: true });
  }

  #fillPanel() {
    fill(this.form, make("label", "", words.label, { for: "pool-label" }), this.field, make("button", "", words.find, { type: "submit" }));
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#find(this.field.value);
    });
    this.field.addEventListener("input", () => this.#typed());
    this.undo.addEventListener("click", () => this.#takeBack());
    const head = fill(make("p", "pool-counts"), ...Object.values(this.counts));
    const told = fill(make("div", "pool-news"), this.said, this.undo);
    fill(this.panel.body, head, this.form, this.which, this.box.root, told, this.trouble, ...this.lists.map(({ root }) => root), this.ahead.root);
    show(this.which, false);
  }

  /** Opens the panel, or closes it. */
  toggle() {
    if (this.panel.isOpen) this.panel.close();
    else if (this.session !== null) this.panel.open(words.heading);
    this.redraw();
  }

  #opened() {
    this.pieces = null;
    this.askedAt = -Infinity;
    this.field.value = "";
    this.#say("");
    setText(this.trouble, words.asking);
    this.field.focus();
  }

  /** Letters and digits are for the field, whatever else has the focus: a scanner types without looking. @param {KeyboardEvent} event */
  #key(event) {
    const { target, key } = event;
    if (event.ctrlKey || event.metaKey || event.altKey || key.length !== 1 || key === " ") return;
    if (target instanceof HTMLInputElement) return;
    // The letter itself follows the focus.
    this.field.value = "";
    this.field.focus();
    event.stopPropagation();
  }

  /** Somebody types: what was asked of another label is over. */
  #typed() {
    show(this.which, false);
    this.redraw();
  }

  /** @param {string} text a whole label */
  #find(text) {
    const label = text.trim();
    if (label === "" || this.pieces === null) return;
    const found = called(this.pieces, label);
    this.field.value = label;
    if (found.length === 1) this.#choose(found[0]);
    else this.#askWhich(label, found);
    // The next label takes the place of this one.
    this.field.focus();
    this.field.select();
  }

  /** A label that is nobody's, or two pieces'. @param {string} label @param {Piece[]} found */
  #askWhich(label, found) {
    this.#choose(null);
    const key = (/** @type {string} */ text, /** @type {() => void} */ press) => {
      const button = make("button", "pool-move", text, { type: "button" });
      button.addEventListener("click", press);
      return button;
    };
    const known = found.map((piece) => key(nameOf(piece), () => this.#choose(piece)));
    const fresh = [
      key(words.newPack, () => this.#move({ kind: "pack", label, body: { place: "ready" } })),
      key(words.newCard, () => this.#move({ kind: "card", label, body: { state: "blank", despite_footage: false } })),
    ];
    const keys = found.length > 0 ? known : fresh;
    const text = found.length > 0 ? words.both(label) : words.unknown(label);
    this.which.replaceChildren(make("p", "", text, { role: "status" }), fill(make("div", "pool-places"), ...(this.#may() ? keys : known)));
    show(this.which, true);
  }

  #may() {
    return this.session !== null && MAY_MOVE.includes(this.session.role);
  }

  /** @param {Piece|null} piece */
  #choose(piece) {
    this.chosen = piece === null ? null : { kind: piece.kind, label: piece.label };
    show(this.which, false);
    this.box.show(piece);
    if (piece !== null) this.panel.root.scrollTo({ top: 0 });
    this.redraw();
  }

  /** @param {Move|Piece} of @returns {Piece|undefined} the piece as the hub has it, as far as is known here */
  #known(of) {
    return this.pieces?.find(({ kind, label }) => kind === of.kind && label === of.label);
  }

  /** @param {Move} move */
  async #move(move) {
    if (this.busy) return;
    this.busy = true;
    const before = this.#known(move);
    const answer = await putPiece(move);
    this.busy = false;
    const after = this.#take(move, answer);
    if (after === null) return this.#notMoved(move, answer);
    this.taken = before === undefined || atRisk(before) ? null : { before, after, until: performance.now() + UNDO_MS };
    this.field.value = "";
    if (before === undefined) this.#choose(after);
    return this.#say(words.moved(nameOf(after), whereOf(after)));
  }

  /**
   * @param {Move} move
   * @param {Answer<PoolPackView|PoolCardView>} answer
   * @returns {Piece|null} as it is now; `null` when it was not moved
   */
  #take({ kind }, answer) {
    if (answer.outcome !== "ok" || answer.body === null) return null;
    const view = answer.body;
    const after = kind === "pack" && "pack" in view ? ofPack(view) : "card" in view ? ofCard(view) : null;
    if (after === null) return null;
    this.pieces = [...(this.pieces ?? []).filter((one) => one.kind !== after.kind || one.label !== after.label), after];
    this.listVersion += 1;
    return after;
  }

  /** @param {Move} move @param {Answer<unknown>} answer */
  #notMoved(move, answer) {
    this.taken = null;
    const problem = answer.outcome === "refused" ? answer.body : null;
    if (problem?.type?.endsWith(":card-holds-footage")) {
      this.#say("");
      const piece = this.#known(move);
      if (piece !== undefined) this.#choose(piece);
      return this.box.askAgain(move);
    }
    if (answer.outcome === "unreachable") return this.#say(words.noAnswer);
    return this.#say(words.refused(move.label, readRefusal(answer, () => "").rest));
  }

  async #takeBack() {
    const { taken } = this;
    if (taken === null || this.busy) return;
    this.taken = null;
    if (!sameStand(this.#known(taken.after), taken.after)) return this.#say(words.movedSince(nameOf(taken.after)));
    this.busy = true;
    const move = restoring(taken.before);
    const answer = await putPiece(move);
    this.busy = false;
    if (this.#take(move, answer) === null) return this.#notMoved(move, answer);
    const said = words.takenBack(nameOf(taken.before), leadsTo(move));
    const wiped = standing(taken.after) === "blank" && taken.before.kind === "card" && (taken.before.card.copies ?? []).length > 0;
    return this.#say(wiped ? words.forgotten(said) : said);
  }

  /** @param {string} text */
  #say(text) {
    setText(this.said, text);
    this.redraw();
  }

  async #ask() {
    this.askedAt = performance.now();
    this.askedRevision = this.store.kitRevision;
    const [packs, cards] = await Promise.all([listPacks(), listCards()]);
    if (packs.outcome === "ok" && cards.outcome === "ok") {
      this.pieces = sharing([...(packs.body?.packs ?? []).map(ofPack), ...(cards.body?.cards ?? []).map(ofCard)], this.pieces ?? []);
      this.listVersion += 1;
      setText(this.trouble, "");
    } else {
      const bad = packs.outcome === "ok" ? cards : packs;
      const why = bad.outcome === "unreachable" ? words.unreachable : words.noList(readRefusal(bad, () => "").rest);
      setText(this.trouble, why);
    }
    this.redraw();
  }

  /**
   * @param {number|null} now the hub's clock, milliseconds
   * @param {Session} session
   * @param {boolean} lost whether the hub is lost
   */
  draw(now, session, lost) {
    Object.assign(this, { session, lost });
    show(byId("pool-open"), true);
    if (!this.panel.isOpen || now === null) return;
    const since = performance.now() - this.askedAt;
    const due = since > REFRESH_MS || (since > SOONEST_MS && this.askedRevision !== this.store.kitRevision);
    if (due && !lost && !this.busy) this.#ask();
    this.#drawUndo();
    this.#drawLists(now);
    // Nobody waits for it: the lists come first.
    if (this.pieces !== null) this.ahead.draw(this.store.kitRevision, lost);
    if (this.chosen === null) return;
    const known = this.pieces?.find(({ kind, label }) => kind === this.chosen?.kind && label === this.chosen.label);
    if (known !== undefined) this.box.show(known);
    this.box.draw(now, { may: this.#may(), lost });
  }

  #drawUndo() {
    const left = (this.taken?.until ?? 0) - performance.now();
    if (left <= 0) this.taken = null;
    show(this.undo, this.taken !== null);
    this.undo.disabled = this.lost;
    if (this.taken !== null) setText(this.undo, undoWords.button(Math.ceil(left / 1000)));
  }

  /** @param {number} now */
  #drawLists(now) {
    const { pieces } = this;
    const key = [this.listVersion, Math.floor(now / 1000), this.field.value].join(" ");
    if (pieces === null || key === this.drawnFor) return;
    this.drawnFor = key;
    for (const list of this.lists) list.draw(pieces, this.field.value, now);
    const many = (/** @type {(piece: Piece) => boolean} */ is) => pieces.filter(is).length;
    const ready = many((piece) => piece.kind === "pack" && piece.pack.ready);
    setText(this.counts.packs, words.counts.packs(ready));
    const blank = many((piece) => piece.kind === "card" && standing(piece) === "blank");
    setText(this.counts.cards, words.counts.cards(blank));
    const unsafe = many((piece) => piece.kind === "card" && standing(piece) !== "in_slot" && mayHold(piece.card));
    setText(this.counts.unsafe, words.counts.unsafe(unsafe));
    show(this.counts.unsafe, unsafe > 0);
    const risks = many(atRisk);
    setText(this.counts.risks, words.counts.risks(risks));
    show(this.counts.risks, risks > 0);
  }
}

/** Whether nobody has moved it since. @param {Piece|undefined} now @param {Piece} then */
function sameStand(now, then) {
  const since = (/** @type {Piece} */ piece) => (piece.kind === "pack" ? piece.pack.since : piece.card.since);
  return now !== undefined && since(now) === since(then) && whereOf(now) === whereOf(then);
}
