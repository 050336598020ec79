/**
 * The languages of the screens: the same words in each, nothing forgotten, and no text for people anywhere else.
 */

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { test } from "node:test";

const ASSETS = new URL("../../server/web/assets/", import.meta.url);
const words = (name) => import(new URL(`${name}.js`, ASSETS));
/** The files of one language together: each is fetched where it is wanted. */
const FAMILIES = ["", "-kit", "-panels", "-pool", "-runner", "-windows"];
const together = async (language) => Object.assign({}, ...(await Promise.all(FAMILIES.map((family) => words(`words${family}-${language}`)))));
const english = await together("en");
const languages = { de: await together("de") };
const { pickLanguage } = await words("settings");

/** Stands for any argument: a text, a number, a list and an object in one, recognised again in what comes out. */
const SAMPLES = [
  (place) => 7_380_000 + place * 3_600_000,
  (place) => `‹${place}›`,
  (place) => ["battery", "cards"][place % 2],
  (place) => [{ letter: `‹${place}›`, text: `«${place}»` }],
  (place) => [10 + place],
  (place) => [`‹${place}›`],
  (place) => ({ number: 70 + place, unit: `‹${place}›`, position: `«${place}»` }),
];

/** What a function says for one kind of argument, `null` when it takes another kind. */
function said(wording, sample, changed) {
  const given = Array.from({ length: wording.length }, (_, place) => sample(place === changed ? place + 5 : place));
  try {
    const text = JSON.stringify(wording(...given));
    return /undefined|NaN|null|\[object/.test(text) ? null : text;
  } catch {
    return null;
  }
}

/** Which arguments change what is said, by kind of argument; `null` for a kind that it does not take. */
function used(wording) {
  return SAMPLES.map((sample) => {
    const before = said(wording, sample, -1);
    if (before === null) return null;
    return Array.from({ length: wording.length }, (_, place) => said(wording, sample, place) !== before).join();
  });
}

/** Whether two wordings use the same arguments, as far as both take the same kinds. */
function useTheSame(ours, theirs) {
  const [left, right] = [used(ours), used(theirs)];
  const both = left.map((_, kind) => kind).filter((kind) => left[kind] !== null && right[kind] !== null);
  const someKind = both.length > 0 || left.every((kind) => kind === null) === right.every((kind) => kind === null);
  return someKind && both.every((kind) => left[kind] === right[kind]);
}

/** Every way in which a language's words differ in shape from the English ones. */
function differences(ours, theirs, path = "") {
  if (typeof ours !== typeof theirs || Array.isArray(ours) !== Array.isArray(theirs)) return [`${path}: another kind`];
  if (typeof ours === "string") return ours.trim() !== "" && theirs.trim() === "" ? [`${path}: empty`] : [];
  if (typeof ours === "function") {
    if (ours.length !== theirs.length) return [`${path}: ${theirs.length} arguments instead of ${ours.length}`];
    return useTheSame(ours, theirs) ? [] : [`${path}: does not use the same arguments`];
  }
  const names = new Set([...Object.keys(ours), ...Object.keys(theirs)]);
  return [...names].flatMap((name) => {
    const where = path === "" ? name : `${path}.${name}`;
    if (!(name in ours)) return [`${where}: only here`];
    return name in theirs ? differences(ours[name], theirs[name], where) : [`${where}: missing`];
  });
}

for (const [name, theirs] of Object.entries(languages)) {
  test(`the words of ${name} have the shape of the English ones: keys, kinds, arguments, nothing empty`, () => {
    assert.deepEqual(differences(english, theirs), []);
  });
}

test("what is compared would be seen to differ", () => {
  const like = (changes) => differences({ ...english }, { ...english, ...changes });
  assert.deepEqual(like({}), []);
  assert.deepEqual(like({ link: { ...english.link, live: " " } }), ["link.live: empty"]);
  assert.deepEqual(like({ link: { ...english.link, live: () => "" } }), ["link.live: another kind"]);
  assert.deepEqual(like({ calls: { ...english.calls, by: (clock, more) => clock + more } }), ["calls.by: 2 arguments instead of 1"]);
  assert.deepEqual(like({ calls: { ...english.calls, by: (_clock) => "by then" } }), ["calls.by: does not use the same arguments"]);
  const { now, ...rest } = english.board;
  assert.deepEqual(like({ board: { ...rest, then: now } }), ["board.now: missing", "board.then: only here"]);
  const { signIn } = english;
  assert.deepEqual(like({ signIn: { ...signIn, where: [signIn.where[0]] } }), ["signIn.where.1: missing"]);
});

test("every word there is comes from one module, in the language of the device", async () => {
  const handing = ["words", "panelwords", "poolwords", "runnerwords"];
  const names = (await Promise.all(handing.map(words))).flatMap((module) => Object.keys(module));
  assert.deepEqual(names.sort(), [...Object.keys(english), "language"].sort());
  const files = (await readdir(ASSETS)).filter((file) => /^words-.*-en\.js$/.test(file));
  assert.equal(files.length, FAMILIES.length - 1, "a family that is not compared");
});

test("every language names another one in its button, and says so of it", () => {
  assert.deepEqual(english.top.language, { name: "Deutsch", code: "de" });
  assert.deepEqual(languages.de.top.language, { name: "English", code: "en" });
});

test("the language is the chosen one, else the first that the browser asks for and we speak, else English", () => {
  assert.equal(pickLanguage("de", ["en-GB"]), "de");
  assert.equal(pickLanguage("auto", ["fr-CH", "de-CH", "en"]), "de");
  assert.equal(pickLanguage("auto", ["EN-us", "de"]), "en");
  assert.equal(pickLanguage("auto", ["fr", "deu", ""]), "en");
  assert.equal(pickLanguage("auto", []), "en");
});

test("German says every sentence of the hub about why somebody must go", async () => {
  const source = await readFile(new URL("../../server/crew/src/tests/words.rs", import.meta.url), "utf8");
  const sentences = [...source.matchAll(/"((?:battery|cards|dark for|just went|nothing heard|never heard)[^"]*)"/g)].map(([, text]) => text);
  assert.ok(sentences.length >= 9, "the hub's own examples");
  for (const sentence of sentences) {
    const ours = languages.de.calls.why(sentence, "");
    assert.doesNotMatch(ours, /\b(battery|cards?|dark|went|heard|nothing|never|recording|off|full|about|left|no|for|just)\b/, ours);
  }
  assert.equal(languages.de.calls.why("battery 18 %, recording, about 14 min left: 11–19", ""), "Akku 18 %, Aufnahme, noch etwa 14 min: 11–19");
  assert.equal(languages.de.calls.why("dark for 42 s; cards A 100 %, B no card, full, off", ""), "schwarz seit 42 s; Karten A 100 %, B ohne Karte, voll, aus");
  assert.equal(languages.de.calls.why("something new", ""), "something new", "rather in English than not at all");
});

/** The facts behind a forecast, as the hub sends them. */
const FACTS = {
  drain_pct_per_h: { mean: 19.6, sd: 1 },
  recording_pct_per_h: { mean: 53.9, sd: 2 },
  charge_pct: { mean: 62.8, sd: 0.6 },
  end_pct: { mean: 8.1, sd: 1.4 },
  curve: "pack",
  discharges: 3,
  recording_share: 0.618,
  external_share: 0,
  doubt: "habit",
  sentence: "Drains 54 %/h recording.",
};

test("what a forecast rests on: the hub's sentence in English, the same facts in German", () => {
  const plain = { mode: "recording", external: false, voltage: false, planned: false };
  const basis = (facts, setting) => languages.de.row.basis({ ...FACTS, ...facts }, { ...plain, ...setting });
  assert.equal(english.row.basis(FACTS, plain), FACTS.sentence);
  assert.equal(
    basis({}, {}),
    "Verbraucht 54 %/h bei Aufnahme, nimmt 62 % der Zeit auf; Kurve aus 3 Entladungen dieses Akkus, der bei etwa 8 % ausgeht. " +
      "Am unsichersten ist, was die Kamera tun wird: ein Ablaufplan würde helfen.",
  );
  assert.match(basis({ discharges: 1 }, { planned: true }), /aus 1 Entladung dieses.*was die Kamera tun wird\.$/);
  assert.match(basis({ curve: "general", doubt: "end" }, { mode: "standby" }), /^Verbraucht jetzt 20 %\/h, 54 %.*geschätzt \(8 % ± 1\)\. Das ist/);
  assert.match(basis({ curve: "fleet", doubt: "charge" }, { external: true, voltage: true }), /^Am Netz.*anderer Akkus hier\. .*wie viel noch drin/);
  assert.equal(basis({ recording_pct_per_h: undefined }, {}), FACTS.sentence, "an older hub sends only words");
  assert.equal(new Set(["end", "charge", "drain", "habit"].map((doubt) => basis({ doubt }, {}))).size, 4);
});

test("German words what the hub refuses, and hands on what it has no words for", () => {
  const { failed } = languages.de.calls;
  assert.match(failed("call 12 ended at 14:02", "call-ended"), /schon beendet/);
  assert.match(failed("something new", "never-seen"), /something new/);
  assert.match(failed("something new", undefined), /something new/);
});

/** Places in a program where a literal is shown to people: the text of elements, and attributes that are read or shown. */
const SHOWN = [
  /\bsetText\([^;]*?,\s*(?:[^;"'`]*[^\w;"'`])?(["'`])(.*?)\1/g,
  /\.(?:textContent|innerText|title|placeholder|ariaLabel)\s*=\s*(["'`])(.*?)\1/g,
  /\bmake\(\s*"[^"]*",\s*(?:"[^"]*"|`[^`]*`),\s*(["'`])(.*?)\1/g,
  /"(?:title|aria-label|aria-description|alt|placeholder)"?\s*[,:]\s*(["'`])(.*?)\1/g,
];

/** Anywhere else, a literal of several words in a row is a sentence, unless it stands where only programs read. */
const LITERAL = /(["'`])((?:\\.|(?!\1)[^\\\n])*)\1/g;
const SENTENCE = /\p{L}{2,}[,.;:!?]? \p{L}+[,.;:!?]? \p{L}{2,}/u;
const FOR_PROGRAMS = /\b(?:Error|make|part|querySelector(?:All)?|closest|matches)\([^()]*$|className = $/;

/** Text for people in a program's source. */
function textIn(source) {
  const code = source.replace(/\/\*[\s\S]*?\*\//g, "").replace(/^\s*\/\/.*$/gm, "").replace(/\s\/\/ .*$/gm, "");
  const bare = (literal) => literal.replace(/\$\{[^}]*\}/g, "");
  const shown = SHOWN.flatMap((pattern) => [...code.matchAll(pattern)].map(([, , literal]) => literal));
  const sentences = [...code.matchAll(LITERAL)].filter(
    ({ 2: literal, index }) => SENTENCE.test(literal) && !FOR_PROGRAMS.test(code.slice(Math.max(0, index - 120), index)),
  );
  return [...shown, ...sentences.map(([, , literal]) => literal)].filter((literal) => /\p{L}/u.test(bare(literal)));
}

test("no screen file but the words files holds text for people", async () => {
  for (const name of (await readdir(ASSETS)).filter((file) => file.endsWith(".js") && !file.startsWith("words-"))) {
    assert.deepEqual(textIn(await readFile(new URL(name, ASSETS), "utf8")), [], name);
  }
  for (const name of ["index.html", "runner.html"]) {
    const page = await readFile(new URL(`../${name}`, ASSETS), "utf8");
    const bare = page.replace(/<title>Swapcall<\/title>/, "").replace(/<[^>]*>/g, "").trim();
    assert.equal(bare, "", name);
    assert.doesNotMatch(page, / (?:title|alt|placeholder|aria-label)=/, name);
  }
});

test("text for people outside the words files would be found", () => {
  const found = [
    'setText(byId("link"), "lost");',
    "setText(element, lost ? words.lost : `live since ${clock}`);",
    'button.textContent = "Claim";',
    'fill(list, make("li", "", "nothing yet"));',
    'setAttribute(track, "aria-label", "battery and cards");',
    'const why = "The hub did not answer.";',
  ];
  for (const line of found) assert.equal(textIn(line).length > 0, true, line);
  const fine = [
    'setText(byId("sign-in-why"), words.empty);',
    'make("span", "cause cause-battery wide", text);',
    "setText(element, `${number} · ${clock}`);",
    'throw new Error("index.html has no such element");',
    "// the hub did not answer",
    'setText(parts.beyond, lane?.beyond ?? "");',
    'clock("en-GB", { timeZone: zone, hour: "2-digit" });',
  ];
  for (const line of fine) assert.deepEqual(textIn(line), [], line);
});
