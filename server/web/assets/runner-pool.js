/**
 * The phone's way to say where a pack or card is: scan or type its label, one press on a big target. Presses go through the
 * queue like all others; only what lets footage go asks the hub and waits for its answer.
 * @module runner-pool
 */

/** @import { CardState, PackPlace } from "swapcall-wire" */
/** @import { Move, Piece } from "./poolmodel.js" */
/** @import { Guard } from "./runner-guard.js" */
/** @import { Store } from "./store.js" */

import { listCards, listPacks, putPiece } from "./api.js";
import { byId, byIdAs, fill, make, setAttribute, setText, show } from "./dom.js";
import { atRisk, baysOf, called, copiesOf, lineOf, nameOf, ofCard, ofPack, restoring, secondPress, standing } from "./poolmodel.js";
import { pool as words } from "./poolwords.js";
import { runner } from "./runnerwords.js";
import { calls as callWords } from "./words.js";

/** A key that lets footage go takes no press for so long, milliseconds. */
const DELIBERATE_MS = 900;

/** The lists are not fetched more often than this, milliseconds. */
const SOONEST_MS = 1_000;

/** @type {PackPlace[]} */
const PACK_KEYS = ["ready", "bay", "spent", "out_of_service"];

/** @type {CardState[]} */
const CARD_KEYS = ["holding_footage", "copying", "safe", "blank", "out_of_service"];

/**
 * @typedef {object} Around what the sheet works with
 * @property {Store} store
 * @property {() => boolean} live whether the hub is there
 * @property {(move: Move, back: Move|undefined) => void} keep takes a press; `back` takes it back
 * @property {(move: Move, back: Move|undefined) => void} done says that the hub took a press that did not wait
 * @property {Guard} guard
 */

/** The sheet. */
export class PoolSheet {
  /** @param {Around} around */
  constructor(around) {
    this.around = around;
    /** @type {Piece[]|null} as last heard */
    this.pieces = null;
    /** @type {Piece|null} */
    this.piece = null;
    /** Whether the bay is asked for. */
    this.asksBay = false;
    /** @type {number|null} of the kit when the lists were fetched */
    this.revision = null;
    this.fetchedAt = -Infinity;
    this.sheet = byIdAs(HTMLDialogElement, "pool");
    this.field = make("input", "pool-label", "", { id: "pool-label", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", maxlength: "24", enterkeyhint: "search" });
    this.trouble = make("p", "pool-trouble", "", { role: "status" });
    this.name = make("h3", "pool-name", "", { tabindex: "-1" });
    this.mark = make("b", "pool-mark");
    this.state = make("p", "pool-state");
    this.facts = make("p", "pool-facts");
    this.told = make("p", "pool-ask", "", { role: "status" });
    this.keys = make("div", "pool-keys");
    this.caution = make("p", "pool-caution");
    this.#fillSheet();
  }

  #fillSheet() {
    setText(byId("pool-heading"), words.phoneHeading);
    setText(byId("pool-open"), words.phone);
    show(byId("pool-open"), true);
    byId("pool-open").addEventListener("click", () => this.open());
    const form = fill(make("form", "pool-find"), make("label", "", words.label, { for: "pool-label" }), this.field, make("button", "pool-find-key", words.find, { type: "submit" }));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#submitted(this.field.value.trim());
    });
    const close = make("button", "sheet-close", runner.close, { type: "button" });
    close.addEventListener("click", () => this.sheet.close());
    this.sheet.addEventListener("keydown", (event) => this.#key(event));
    fill(this.sheet, form, this.trouble, this.name, this.mark, this.state, this.facts, this.told, this.keys, this.caution, close);
  }

  /** Opens it for the next label. */
  open() {
    this.#show(null);
    this.field.value = "";
    if (!this.sheet.open) this.sheet.showModal();
    this.field.focus();
    this.fetch();
  }

  /** Letters are for the field, whatever has the focus. @param {KeyboardEvent} event */
  #key({ target, key, ctrlKey, metaKey, altKey }) {
    if (ctrlKey || metaKey || altKey || key.length !== 1 || key === " " || target === this.field) return;
    this.field.value = "";
    this.field.focus();
  }

  /** Asks for the lists, so that they are there when the hub is not. */
  async fetch() {
    if (!this.around.live()) return this.draw();
    this.revision = this.around.store.kitRevision;
    this.fetchedAt = performance.now();
    const [packs, cards] = await Promise.all([listPacks(), listCards()]);
    if (packs.outcome === "ok" && cards.outcome === "ok") {
      this.pieces = [...(packs.body?.packs ?? []).map(ofPack), ...(cards.body?.cards ?? []).map(ofCard)];
      this.#renew();
    }
    return this.draw();
  }

  /** Somebody may have moved meanwhile what is shown here. */
  #renew() {
    const { piece } = this;
    if (piece === null) return;
    this.piece = this.pieces?.find(({ kind, label }) => kind === piece.kind && label === piece.label) ?? piece;
    for (const key of this.keys.querySelectorAll("[aria-pressed]")) {
      if (key instanceof HTMLElement) setAttribute(key, "aria-pressed", String(standing(this.piece) === key.dataset.move));
    }
    document.dispatchEvent(new CustomEvent("swapcall:redraw"));
  }

  /** @param {number|null} [now] the hub's clock */
  draw(now = null) {
    if (!this.sheet.open) return;
    const live = this.around.live();
    const due = performance.now() - this.fetchedAt > SOONEST_MS;
    if (live && due && this.revision !== this.around.store.kitRevision) this.fetch();
    const without = live ? words.asking : words.phoneUnknownList;
    const trouble = this.pieces === null ? without : words.phoneOld;
    setText(this.trouble, this.pieces !== null && live ? "" : trouble);
    show(this.trouble, this.trouble.textContent !== "");
    const { piece } = this;
    if (piece === null || now === null) return;
    const line = lineOf(piece, now);
    setText(this.mark, line.mark);
    show(this.mark, line.mark !== "");
    setText(this.state, `${line.where} · ${line.age}`);
    const copies = piece.kind === "card" ? copiesOf(piece.card, now) : [];
    setText(this.facts, [line.facts, ...copies].filter((fact) => fact !== "").join(" · "));
  }

  /** @param {string} text */
  #submitted(text) {
    if (text === "" || this.pieces === null) return;
    const found = called(this.pieces, text);
    if (found.length === 0 && this.asksBay) return this.#toBay(text);
    if (found.length === 1) return this.#show(found[0]);
    return this.#askWhich(text, found);
  }

  /** @param {string} label @param {Piece[]} found none, or two of the same label */
  #askWhich(label, found) {
    this.#show(null);
    setText(this.told, found.length > 0 ? words.both(label) : words.unknown(label));
    const known = found.map((piece) => this.#target(nameOf(piece), "", () => this.#show(piece)));
    const fresh = [
      this.#target(words.newPack, "", () => this.#send({ kind: "pack", label, body: { place: "ready" } })),
      this.#target(words.newCard, "", () => this.#send({ kind: "card", label, body: { state: "blank", despite_footage: false } })),
    ];
    this.keys.replaceChildren(...(found.length > 0 ? known : fresh));
  }

  /** @param {Piece|null} piece */
  #show(piece) {
    this.piece = piece;
    this.asksBay = false;
    for (const part of [this.name, this.state, this.facts]) show(part, piece !== null);
    show(this.mark, false);
    this.keys.replaceChildren();
    setText(this.caution, [words.chargeCaution, words.carryCaution, words.lawCaution].join(" "));
    show(this.caution, piece?.kind === "pack");
    setText(this.told, piece === null ? words.phoneEmpty : words.whereNow);
    if (piece === null) return;
    setText(this.name, nameOf(piece));
    const names = piece.kind === "pack" ? PACK_KEYS : CARD_KEYS;
    this.keys.replaceChildren(...names.map((name) => this.#place(piece, name)));
    // Not the field: the keyboard of a phone would cover the targets.
    this.name.focus({ preventScroll: true });
    this.name.scrollIntoView();
    document.dispatchEvent(new CustomEvent("swapcall:redraw"));
  }

  /** @param {Piece} piece @param {PackPlace|CardState} name */
  #place(piece, name) {
    const key = this.#target(words.move[name], name, () => this.#pressed(piece, name));
    setAttribute(key, "aria-pressed", String(standing(piece) === name));
    return key;
  }

  /** @param {string} text @param {string} name @param {() => void} press */
  #target(text, name, press) {
    const key = make("button", "pool-target", text, { type: "button" });
    key.dataset.move = name;
    this.around.guard.look(key, text);
    setTimeout(() => this.around.guard.look(key, text), 520);
    key.addEventListener("click", () => this.around.guard.ready(key) && press());
    return key;
  }

  /** @param {Piece} piece @param {PackPlace|CardState} name */
  #pressed(piece, name) {
    if (name === "bay") return this.#askBay();
    const { label } = piece;
    if (piece.kind === "pack") return this.#send({ kind: "pack", label, body: { place: /** @type {PackPlace} */ (name) } });
    const state = /** @type {CardState} */ (name);
    return this.#send({ kind: "card", label, body: { state, despite_footage: false } });
  }

  #askBay() {
    this.asksBay = true;
    setText(this.told, words.whichBay);
    this.keys.replaceChildren(...baysOf(this.pieces ?? []).map((bay) => this.#target(bay, "bay", () => this.#toBay(bay))));
    this.field.value = "";
    this.field.focus();
  }

  /** @param {string} bay */
  #toBay(bay) {
    if (this.piece?.kind === "pack") this.#send({ kind: "pack", label: this.piece.label, body: { place: "bay", bay } });
  }

  /** What takes a move back, where it is known how it was. @param {Move} move */
  #back(move) {
    const known = this.pieces?.find(({ kind, label }) => kind === move.kind && label === move.label);
    return known === undefined || atRisk(known) ? undefined : restoring(known);
  }

  /** @param {Move} move */
  #send(move) {
    // What the hub may refuse is not left to a moment when nobody looks.
    if (move.kind === "card" && ["blank", "safe"].includes(move.body.state ?? "") && this.around.live()) return this.#ask(move);
    this.around.keep(move, this.#back(move));
    this.#remember(move);
    return this.sheet.close();
  }

  /** Until the lists are fetched again, a pressed move counts. @param {Move} move */
  #remember(move) {
    this.revision = null;
    this.pieces = (this.pieces ?? []).map((piece) => moved(piece, move));
  }

  /** @param {Move} move */
  async #ask(move) {
    const answer = await putPiece(move);
    if (answer.outcome === "ok") {
      this.around.done(move, this.#back(move));
      return this.sheet.close();
    }
    const problem = answer.outcome === "refused" ? answer.body : null;
    if (problem?.type?.endsWith(":card-holds-footage")) return this.#askAgain(move);
    const refused = words.refused(move.label, callWords.failed(problem?.detail ?? "", ""));
    const said = answer.outcome === "unreachable" ? words.noAnswer : refused;
    return setText(this.told, said);
  }

  /** The hub will not take it: one more press, that cannot be the first one's echo. @param {Move} move */
  #askAgain(move) {
    const { piece } = this;
    if (move.kind !== "card" || piece?.kind !== "card") return;
    const asked = secondPress(piece.card, move);
    setText(this.told, asked.told.join(" "));
    const go = make("button", "pool-target pool-go", asked.go, { type: "button" });
    go.disabled = true;
    setTimeout(() => (go.disabled = false), DELIBERATE_MS);
    go.addEventListener("click", () => {
      if (this.around.live()) this.#ask({ ...move, body: { ...move.body, despite_footage: true } });
      else setText(this.told, words.needsHub);
    });
    this.keys.replaceChildren(this.#target(words.keep, "keep", () => this.#show(piece)), go);
  }
}

/** A piece as it is after a move. @param {Piece} piece @param {Move} move @returns {Piece} */
function moved(piece, move) {
  if (piece.kind !== move.kind || piece.label !== move.label) return piece;
  if (piece.kind === "pack" && move.kind === "pack") {
    const { place, bay } = move.body;
    return ofPack({ ...piece.pack, place: place ?? piece.pack.place, bay: bay ?? null, unit: null, charge: null });
  }
  if (piece.kind === "card" && move.kind === "card") return ofCard({ ...piece.card, state: move.body.state ?? piece.card.state, unit: null, slot: null });
  return piece;
}
