/**
 * The two lists of the pool: packs by place, cards by state, what is in danger first.
 * @module poollist
 */

/** @import { Piece } from "./poolmodel.js" */

import { arrange, fill, make, setAttribute, setText, show } from "./dom.js";
import { PLACES, STATES, fits, inOrder, lineOf, sinceOf, standing } from "./poolmodel.js";
import { pool as words } from "./poolwords.js";

/** The texts of one line. */
const TEXTS = /** @type {const} */ (["where", "facts", "mark", "age"]);

const MINUTE = 60_000;

/** Ages are told in minutes; there may be hundreds of them, milliseconds. */
const AGES_MS = 10_000;

/** Groups whose pieces are each somewhere else. */
const NAMED_APART = ["bay", "unit", "in_slot"];

/** One list. */
export class PoolList {
  /**
   * @param {"pack"|"card"} kind
   * @param {(piece: Piece) => void} choose somebody pressed a label
   */
  constructor(kind, choose) {
    this.kind = kind;
    this.choose = choose;
    /** What was drawn last. @type {Piece[]|null} */
    this.all = null;
    this.text = "";
    /** @type {Map<string, ReturnType<typeof makeRow>>} by label */
    this.rows = new Map();
    const names = kind === "pack" ? words.places : words.states;
    /** @type {{name: string, word: string, root: HTMLElement, heading: HTMLElement, list: HTMLElement}[]} */
    this.groups = (kind === "pack" ? PLACES : STATES).map((name) => makeGroup(name, /** @type {Record<string, string>} */ (names)[name]));
    this.none = make("p", "pool-none");
    this.root = fill(make("section", "pool-list"), make("h3", "", kind === "pack" ? words.packs : words.cards), this.none);
    fill(this.root, ...this.groups.map(({ root }) => root));
  }

  /**
   * @param {Piece[]} all of both kinds
   * @param {string} text what is looked for
   * @param {number} now the hub's clock
   */
  draw(all, text, now) {
    if (all === this.all && text === this.text) {
      for (const { piece } of this.rows.values()) if (piece !== null) this.#row(piece, now);
      return;
    }
    Object.assign(this, { all, text });
    const ours = all.filter(({ kind }) => kind === this.kind);
    const shown = ours.filter((piece) => fits(piece, text));
    const labels = new Set(shown.map(({ label }) => label));
    for (const label of [...this.rows.keys()]) if (!labels.has(label)) this.rows.delete(label);
    show(this.none, shown.length === 0);
    const empty = this.kind === "pack" ? words.noPacks : words.noCards;
    setText(this.none, ours.length === 0 ? empty : words.noneFits);
    for (const { name, word, root, heading, list } of this.groups) {
      const there = inOrder(shown.filter((piece) => standing(piece) === name));
      show(root, there.length > 0);
      setText(heading, words.group(word, there.length));
      arrange(list, there.map((piece) => this.#row(piece, now)));
    }
  }

  /** @param {Piece} piece @param {number} now */
  #row(piece, now) {
    const row = this.rows.get(piece.label) ?? makeRow(piece.label, () => this.choose(row.piece ?? piece));
    this.rows.set(piece.label, row);
    if (row.piece === piece && now < row.until) return row.root;
    row.until = now + (now - sinceOf(piece) < MINUTE ? 1000 : AGES_MS);
    row.piece = piece;
    const line = lineOf(piece, now);
    for (const part of TEXTS) setText(row[part], line[part]);
    // Of most groups the heading says where they are.
    show(row.where, NAMED_APART.includes(standing(piece)));
    show(row.mark, line.mark !== "");
    show(row.bar, line.percent !== null);
    if (line.percent !== null) row.bar.value = line.percent;
    setAttribute(row.root, "data-risk", line.risk ? "true" : null);
    return row.root;
  }
}

/** @param {string} name @param {string} word */
function makeGroup(name, word) {
  const [root, heading, list] = [make("div", "pool-group"), make("h4"), make("ol")];
  root.dataset.group = name;
  return { name, word, root: fill(root, heading, list), heading, list };
}

/** @param {string} label @param {() => void} choose */
function makeRow(label, choose) {
  const button = make("button", "pool-piece", label, { type: "button" });
  button.addEventListener("click", choose);
  const parts = {
    where: make("span", "pool-where"),
    mark: make("b", "pool-mark"),
    facts: make("span", "pool-facts"),
    age: make("span", "pool-age"),
    // How full it is stands beside it in words.
    bar: make("progress", "pool-bar", "", { max: "100", "aria-hidden": "true" }),
    /** @type {Piece|null} */
    piece: null,
    /** Until when, by the hub's clock, what it says holds. */
    until: 0,
  };
  const root = fill(make("li", "pool-row"), button, fill(make("p", "pool-told"), parts.mark, parts.where, parts.facts, parts.bar), parts.age);
  return { root, ...parts };
}
