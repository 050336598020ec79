/**
 * The languages of the screens: the same words in each, nothing forgotten, and no text for people anywhere else.
 */

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { test } from "node:test";

const ASSETS = new URL("../../server/web/assets/", import.meta.url);
const words = (name) => import(new URL(`${name}.js`, ASSETS));
const english = await words("words-en");
const languages = { de: await words("words-de") };
const { pickLanguage } = await words("settings");

/** Stands for any argument: a text, a number, a list and an object in one, recognised again in what comes out. */
const SAMPLES = [
  (place) => 7_380_000 + place * 3_600_000,
  (place) => `‹${place}›`,
  (place) => ["battery", "cards"][place % 2],
  (place) => [{ letter: `‹${place}›`, text: `«${place}»` }],
  (place) => [10 + place],
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

/** Which arguments change what is said, by kind of argument. */
function used(wording) {
  return SAMPLES.map((sample) => {
    const before = said(wording, sample, -1);
    if (before === null) return "takes another kind";
    return Array.from({ length: wording.length }, (_, place) => said(wording, sample, place) !== before).join();
  });
}

/** Every way in which a language's words differ in shape from the English ones. */
function differences(ours, theirs, path = "") {
  if (typeof ours !== typeof theirs || Array.isArray(ours) !== Array.isArray(theirs)) return [`${path}: another kind`];
  if (typeof ours === "string") return ours.trim() !== "" && theirs.trim() === "" ? [`${path}: empty`] : [];
  if (typeof ours === "function") {
    if (ours.length !== theirs.length) return [`${path}: ${theirs.length} arguments instead of ${ours.length}`];
    return used(ours).join("; ") === used(theirs).join("; ") ? [] : [`${path}: does not use the same arguments`];
  }
  const names = new Set([...Object.keys(ours), ...Object.keys(theirs)]);
  return [...names].flatMap((name) => {
    const where = path === "" ? name : `${path}.${name}`;
    if (!(name in ours)) return [`${where}: only here`];
    return name in theirs ? differences(ours[name], theirs[name], where) : [`${where}: missing`];
  });
}

for (const [name, theirs] of Object.entries(languages)) {
  test(`words-${name}.js has the shape of words-en.js: keys, kinds, arguments, nothing empty`, () => {
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

test("words.js hands on every word there is", async () => {
  assert.deepEqual(Object.keys(await words("words")), [...Object.keys(english), "language"].sort());
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

/** Places in a program where a literal is shown to people: the text of elements, and attributes that are read or shown. */
const SHOWN = [
  /\bsetText\([^;]*?,\s*(?:[^;"'`]*[^\w;"'`])?(["'`])(.*?)\1/g,
  /\.(?:textContent|innerText|title|placeholder|ariaLabel)\s*=\s*(["'`])(.*?)\1/g,
  /\bmake\(\s*"[^"]*",\s*(?:"[^"]*"|`[^`]*`),\s*(["'`])(.*?)\1/g,
  /"(?:title|aria-label|aria-description|alt|placeholder)"?\s*[,:]\s*(["'`])(.*?)\1/g,
];

/** Anywhere else, a literal of several words in a row is a sentence, unless it stands where only programs read. */
const SENTENCE = /(["'`])((?:(?!\1).)*\p{L}{2,}[,.;:!?]? \p{L}+[,.;:!?]? \p{L}{2,}(?:(?!\1).)*)\1/gu;
const FOR_PROGRAMS = /\b(?:Error|make|part|querySelector(?:All)?|closest|matches)\([^()]*$|className = $/;

/** Text for people in a program's source. */
function textIn(source) {
  const code = source.replace(/\/\*[\s\S]*?\*\//g, "").replace(/^\s*\/\/.*$/gm, "").replace(/\s\/\/ .*$/gm, "");
  const bare = (literal) => literal.replace(/\$\{[^}]*\}/g, "");
  const shown = SHOWN.flatMap((pattern) => [...code.matchAll(pattern)].map(([, , literal]) => literal));
  const sentences = [...code.matchAll(SENTENCE)].filter(({ index }) => !FOR_PROGRAMS.test(code.slice(Math.max(0, index - 120), index)));
  return [...shown, ...sentences.map(([, , literal]) => literal)].filter((literal) => /\p{L}/u.test(bare(literal)));
}

test("no screen file but the words files holds text for people", async () => {
  for (const name of (await readdir(ASSETS)).filter((file) => file.endsWith(".js") && !file.startsWith("words"))) {
    assert.deepEqual(textIn(await readFile(new URL(name, ASSETS), "utf8")), [], name);
  }
  const page = await readFile(new URL("../index.html", ASSETS), "utf8");
  const bare = page.replace(/<title>Swapcall<\/title>/, "").replace(/<[^>]*>/g, "").trim();
  assert.equal(bare, "", "index.html");
  assert.doesNotMatch(page, / (?:title|alt|placeholder|aria-label)=/);
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
  ];
  for (const line of fine) assert.deepEqual(textIn(line), [], line);
});
