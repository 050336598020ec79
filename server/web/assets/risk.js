/**
 * The banner of cards at risk, on every screen: above everything else, at once, and no dialog, so that whoever is in the
 * middle of something can go on. It goes when the hub says that the danger is over, and at no press.
 * @module risk
 */

/** @import { CardRiskView, PoolCardView } from "swapcall-wire" */
/** @import { Store } from "./store.js" */

import { listCards } from "./api.js";
import { arrange, byId, fill, make, setAttribute, setText, show } from "./dom.js";
import { clockTime, toMs } from "./time.js";
import { duration, risk as words } from "./words.js";

/** Until somebody has pressed "seen" here, it sounds again after this long, milliseconds. */
const AGAIN_MS = 20_000;

/** The record is not fetched anew more often than this, milliseconds. */
const SOONEST_MS = 3_000;

/** A danger is the same one as long as these are. @param {CardRiskView} risk */
const identity = ({ card, kind, unit, slot, since }) => [card, kind, unit, slot, since].join(" ");

/** The banner. */
export class RiskBanner {
  /**
   * @param {Store} store
   * @param {() => void} alarm sounds
   * @param {() => void} redraw asks for a drawing
   */
  constructor(store, alarm, redraw) {
    this.store = store;
    this.alarm = alarm;
    this.redraw = redraw;
    /** @type {Set<string>} dangers that have sounded here */
    this.sounded = new Set();
    /** @type {ReturnType<typeof setInterval>|undefined} sounds until somebody has seen it */
    this.again = undefined;
    /** @type {Map<string, PoolCardView>} the cards in danger, as last fetched */
    this.cards = new Map();
    /** @type {number|null} of the kit when they were */
    this.fetched = null;
    this.fetchedAt = -Infinity;
    /** @type {Map<string, ReturnType<typeof makeRow>>} */
    this.rows = new Map();
    /** What was drawn last. @type {CardRiskView[]|null} */
    this.drawn = null;
    this.scene = "";
    this.isFlat = true;
    addEventListener("resize", () => (this.scene = ""));
    this.root = byId("risk");
    this.heading = make("h2", "risk-heading", "", { id: "risk-heading" });
    /** Read out once: the rest counts its age up. */
    this.aloud = make("p", "unseen", "", { role: "alert" });
    this.old = make("b", "risk-old");
    this.list = make("ol", "risk-list");
    this.seen = make("button", "risk-seen", words.seen, { type: "button" });
    this.seen.addEventListener("click", () => this.#hush());
    fill(this.root, fill(make("div", "risk-head"), this.heading, this.old, this.seen), this.list, this.aloud);
  }

  /** After every message: what is new sounds and shows without waiting for a drawing. */
  heed() {
    const now = new Set(this.store.risks.map(identity));
    const fresh = [...now].some((risk) => !this.sounded.has(risk));
    this.sounded = now;
    if (now.size === 0) this.#hush();
    if (fresh) {
      this.alarm();
      setText(this.aloud, this.store.risks.map(aloudOf).join(" "));
      clearInterval(this.again);
      this.again = setInterval(() => this.alarm(), AGAIN_MS);
    }
    const due = fresh || performance.now() - this.fetchedAt > SOONEST_MS;
    if (now.size > 0 && due && this.fetched !== this.store.kitRevision) this.#fetch();
    if (fresh || this.rows.size !== now.size) this.draw(null, false, null);
  }

  #hush() {
    clearInterval(this.again);
    this.again = undefined;
    this.redraw();
  }

  /** The record of these cards: whether a twin was copied. Not having it is no reason to wait with the alarm. */
  async #fetch() {
    this.fetched = this.store.kitRevision;
    this.fetchedAt = performance.now();
    const answer = await listCards();
    if (answer.outcome !== "ok") return;
    this.cards = new Map((answer.body?.cards ?? []).map((card) => [card.card, card]));
    this.redraw();
  }

  /**
   * @param {number|null} now the hub's clock
   * @param {boolean} lost whether the hub is lost: then nothing here passes for new
   * @param {number|null} heard when the hub was heard last, by its clock
   */
  draw(now, lost, heard) {
    const { risks } = this.store;
    // Most drawings come between two seconds and have nothing to say.
    const scene = [Math.floor((now ?? 0) / 1000), lost, this.again, this.fetchedAt, this.cards.size, document.querySelector("dialog[open]")?.id].join(" ");
    if (risks === this.drawn && scene === this.scene) return;
    Object.assign(this, { drawn: risks, scene });
    show(this.root, risks.length > 0);
    setAttribute(document.body, "data-risk", risks.length > 0 ? "true" : null);
    if (risks.length > 0) this.#write(risks, now, lost, heard);
    else this.rows.clear();
    this.#makeRoom();
  }

  /**
   * @param {CardRiskView[]} risks
   * @param {number|null} now
   * @param {boolean} lost
   * @param {number|null} heard
   */
  #write(risks, now, lost, heard) {
    setText(this.heading, words.heading(risks.length));
    show(this.old, lost);
    if (lost) setText(this.old, words.old(heard === null ? "–" : clockTime(heard)));
    show(this.seen, this.again !== undefined);
    setAttribute(this.root, "data-many", risks.length > 1 ? "true" : null);
    setAttribute(this.root, "data-seen", this.again === undefined ? "true" : null);
    const kept = new Map(risks.map((risk) => [identity(risk), this.rows.get(identity(risk)) ?? makeRow(risk)]));
    this.rows = kept;
    for (const risk of risks) {
      const known = kept.get(identity(risk))?.known;
      if (known && now !== null) setText(known, knownOf(risk, this.cards.get(risk.card), now));
    }
    arrange(this.list, [...kept.values()].map(({ root }) => root));
  }

  /** An open dialog covers the whole page, so the banner goes into it; whatever sticks to the upper edge sticks below it. */
  #makeRoom() {
    const dialog = this.root.hidden ? null : document.querySelector("dialog[open]");
    const home = dialog ?? document.body;
    if (this.root.parentElement !== home) home.prepend(this.root);
    // Asking for a height makes the browser lay out the page.
    if (this.root.hidden && this.isFlat) return;
    this.isFlat = this.root.hidden;
    const height = this.root.hidden ? 0 : this.root.offsetHeight;
    document.body.style.setProperty("--risk-height", `${height}px`);
  }
}

/** @param {CardRiskView} risk */
function makeRow(risk) {
  const where = make("b", "risk-where", words.where(risk.card, risk.unit, risk.slot));
  const kind = make("span", "risk-kind", [other(risk), words.kinds[risk.kind] ?? ""].filter((text) => text !== "").join(": "));
  const known = make("span", "risk-known");
  const todo = make("b", "risk-todo", todoOf(risk));
  return { root: fill(make("li", "risk-one"), where, kind, known, todo), known };
}

/** @param {CardRiskView} risk */
const aloudOf = (risk) => `${words.heading(1)}: ${words.where(risk.card, risk.unit, risk.slot)}. ${todoOf(risk)}`;

/** @param {CardRiskView} risk */
const other = ({ other_unit: unit, other_slot: slot }) => (unit ? words.also(unit, slot ?? "") : "");

/** @param {CardRiskView} risk */
function todoOf({ kind, card, unit, slot, other_unit: otherUnit, other_slot: otherSlot }) {
  const say = words.todo[kind] ?? words.todo.footage_in_slot;
  return say(card, unit, slot, otherUnit ?? "", otherSlot ?? "");
}

/**
 * The record of what is known, in one line.
 * @param {CardRiskView} risk
 * @param {PoolCardView|undefined} card
 * @param {number} now
 */
function knownOf(risk, card, now) {
  const since = toMs(risk.since) ?? now;
  const facts = [];
  if (risk.used_percent !== undefined && risk.used_percent !== null) facts.push(words.full(risk.used_percent));
  facts.push(words.copies(risk.verified_copies ?? 0, risk.copies_wanted ?? 0));
  if (card !== undefined) facts.push(card.twin ? words.twin(card.twin, words.copies(card.twin_verified_copies ?? 0, card.copies_wanted)) : words.noTwin);
  return [...facts, words.since(clockTime(since), duration(Math.max(0, now - since)))].join(" · ");
}
