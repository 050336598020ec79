/**
 * The panel of people, for leads and owners: invite somebody by a picture, a code or a link, see who is on, end a sign-in.
 * @module people
 */

import { endSignIn, invite, listPeople } from "./api.js";
import { arrange, byId, fill, make, setText, show } from "./dom.js";
import { Form, readRefusal } from "./forms.js";
import { Panel } from "./panel.js";
import { people as words } from "./panelwords.js";
import { inOrder, invitable, linkOf, personLine, pictureOf, timeLeftOf } from "./peoplemodel.js";
import { ROLES } from "./words.js";

/** @import { Session } from "swapcall-wire" */
/** @import { Answer, Invitation } from "./api.js" */
/** @import { FieldPlan } from "./forms.js" */
/** @import { Signed } from "./peoplemodel.js" */
/** @import { HubClock } from "./time.js" */

/** The list is asked for again after this long, milliseconds. */
const REFRESH_MS = 5_000;

/** How long "really end?" waits for the second press, milliseconds. */
const CONFIRM_MS = 5_000;

/** The texts of one line. */
const TEXTS = /** @type {const} */ (["name", "role", "what", "when"]);

/** @param {string} pointer JSON Pointer */
const last = (pointer) => pointer.split("/").at(-1) ?? "";

/** The panel. */
export class People {
  /**
   * @param {HubClock} clock
   * @param {() => void} redraw asks for a new drawing
   */
  constructor(clock, redraw) {
    this.clock = clock;
    this.redraw = redraw;
    /** @type {Session|null} */
    this.session = null;
    this.lost = false;
    /** @type {Signed[]|null} as last heard */
    this.list = null;
    this.askedAt = -Infinity;
    /** @type {{id: string, until: number}|null} the sign-in whose end waits for a second press */
    this.confirm = null;
    /** @type {Map<string, ReturnType<typeof makeLine>>} parts of the lines by id */
    this.lines = new Map();
    this.card = new JoinCard();
    this.said = make("p", "people-said", "", { role: "status" });
    this.rows = make("ul", "people-list");
    this.form = new Form(planFor("lead"), words.invite, () => this.#invite());
    this.panel = new Panel("people", { onOpen: () => this.#forget(), onClose: () => this.card.drop() });
    const on = fill(make("section", "people-on"), make("h3", "", words.on), this.said, this.rows);
    fill(this.panel.body, fill(make("section"), make("h3", "", words.inviteHeading), this.form.root, this.card.root), on);
    setText(byId("people-open"), words.button);
    byId("people-open").addEventListener("click", () => this.toggle());
  }

  /** Opens the panel for whoever may see it, or closes it. */
  toggle() {
    if (this.panel.isOpen) this.panel.close();
    else if (this.#may()) this.panel.open(words.heading);
    this.redraw();
  }

  #may() {
    return invitable(this.session?.role).length > 0;
  }

  #forget() {
    this.list = null;
    this.askedAt = -Infinity;
    setText(this.said, words.asking);
  }

  /**
   * @param {number|null} now the hub's clock, milliseconds
   * @param {Session} session
   * @param {boolean} lost whether the hub is lost
   */
  draw(now, session, lost) {
    if (this.session?.role !== session.role) this.form.setPlan(planFor(session.role));
    Object.assign(this, { session, lost });
    show(byId("people-open"), this.#may());
    if (!this.panel.isOpen || now === null) return;
    this.form.block(lost);
    this.card.drawLeft(now);
    if (!lost && performance.now() - this.askedAt > REFRESH_MS) this.#ask();
    this.#drawList(now, session);
  }

  /** @returns {Promise<void>} */
  async #invite() {
    const { name, role, minutes } = this.form.values();
    if (name === "") return this.form.complain({ name: words.needName }, "");
    const guest = invitable(this.session?.role).find((one) => one === role) ?? "runner";
    const answer = await invite({ name, role: guest, minutes: Number(minutes) });
    if (answer.outcome !== "ok" || answer.body === null) {
      const { wrong, rest } = readRefusal(answer, last);
      return this.form.complain(wrong, rest);
    }
    this.form.clear();
    this.card.show(answer.body, this.clock.now());
    return this.redraw();
  }

  async #ask() {
    this.askedAt = performance.now();
    const answer = await listPeople();
    if (answer.outcome === "ok") {
      this.list = inOrder(answer.body?.people ?? []);
      setText(this.said, words.count(this.list.length));
    } else {
      setText(this.said, whyNoList(answer));
    }
    this.redraw();
  }

  /**
   * @param {number} now
   * @param {Session} session
   */
  #drawList(now, session) {
    /** @type {Signed[]} */
    const list = this.list ?? [];
    for (const id of [...this.lines.keys()]) if (!list.some((person) => person.id === id)) this.lines.delete(id);
    const roots = list.map((person) => {
      const parts = this.lines.get(person.id) ?? makeLine(() => this.#end(person.id));
      this.lines.set(person.id, parts);
      const line = personLine(person, now, session.name);
      for (const part of TEXTS) setText(parts[part], line[part]);
      setText(parts.button, this.#confirmed(person.id) ? words.reallyEnd(person.name) : words.end);
      parts.button.disabled = this.lost;
      return parts.root;
    });
    arrange(this.rows, roots);
  }

  /** @param {string} id */
  #confirmed(id) {
    const { confirm } = this;
    return confirm?.id === id && performance.now() < confirm.until;
  }

  /** @param {string} id */
  async #end(id) {
    if (!this.#confirmed(id)) {
      this.confirm = { id, until: performance.now() + CONFIRM_MS };
      return this.redraw();
    }
    this.confirm = null;
    const answer = await endSignIn(id);
    const ended = answer.outcome === "ok";
    if (ended) this.list = (this.list ?? []).filter((person) => person.id !== id);
    setText(this.said, ended ? words.ended : readRefusal(answer, () => "").rest);
    // Whatever stands there is read before the list is asked for again.
    this.askedAt = performance.now();
    return this.redraw();
  }
}

/** An invitation on the screen. */
class JoinCard {
  constructor() {
    /** @type {Invitation|null} */
    this.join = null;
    this.guest = make("p", "join-guest");
    /** Holds the picture, while there is one. */
    this.frame = make("div", "join-frame");
    this.noPicture = make("p", "", words.noPicture);
    this.code = make("p", "join-code", "", { "aria-hidden": "true" });
    /** The code letter by letter, for those who have it read out: as one word it would be mumbled. */
    this.spelt = make("p", "unseen");
    this.link = make("p", "join-link");
    this.warning = make("p", "join-warning");
    this.left = make("p", "join-left");
    this.root = make("div", "join");
    fill(this.root, this.guest, this.frame, this.noPicture, this.code, this.spelt, this.link, this.warning, this.left);
    this.drop();
  }

  /**
   * @param {Invitation} join
   * @param {number|null} now the hub's clock, milliseconds
   */
  show(join, now) {
    this.join = join;
    const { address, warning } = linkOf(join, location.origin);
    const picture = pictureOf(join.qr_svg);
    setText(this.guest, words.guest(join.name, ROLES[join.role] ?? join.role));
    show(this.noPicture, picture === "");
    if (picture) this.frame.replaceChildren(make("img", "join-picture", "", { src: picture, alt: words.pictureAlt(join.name) }));
    setText(this.code, join.code);
    setText(this.spelt, words.codeAloud([...join.code].join(" ")));
    setText(this.link, address);
    setText(this.warning, warning);
    // With the rest, not with the next second: an invitation without an end would look like one for ever.
    if (now !== null) this.drawLeft(now);
    show(this.root, true);
    this.root.scrollIntoView({ block: "nearest" });
  }

  /** @param {number} now the hub's clock, milliseconds */
  drawLeft(now) {
    if (this.join === null) return;
    const { over, text } = timeLeftOf(this.join, now);
    setText(this.left, text);
    // What no longer works is not shown as if it did.
    if (over) this.#wipe();
  }

  /** A code that was on the screen is not left lying behind it. */
  drop() {
    this.join = null;
    this.#wipe();
    show(this.root, false);
  }

  #wipe() {
    this.frame.replaceChildren();
    show(this.noPicture, false);
    for (const part of [this.code, this.spelt, this.link, this.warning]) setText(part, "");
  }
}

/** @param {() => void} end ends the sign-in of this line */
function makeLine(end) {
  const button = make("button", "person-end", "", { type: "button" });
  const [name, role, what, when] = [make("b", "person-name"), make("span", "person-role"), make("span", "person-what"), make("p", "person-when")];
  button.addEventListener("click", end);
  const who = fill(make("div"), fill(make("p"), name, role, what), when);
  return { root: fill(make("li", "person"), who, button), name, role, what, when, button };
}

/** @param {string} role of whoever invites @returns {FieldPlan[]} */
function planFor(role) {
  return [
    { name: "name", label: words.fields.name, kind: "text" },
    { name: "role", label: words.fields.role, kind: "choice", choices: invitable(role).map((name) => [name, ROLES[name] ?? name]), key: role },
    { name: "minutes", label: words.fields.minutes, kind: "choice", choices: words.minutes.map(([minutes, text]) => [minutes, text]) },
  ];
}

/** @param {Answer<unknown>} answer */
function whyNoList(answer) {
  if (answer.outcome === "unreachable") return words.unreachable;
  return answer.status === 404 ? words.tooOld : words.noList(readRefusal(answer, () => "").rest);
}
