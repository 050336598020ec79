/**
 * What a page says it will need: every module that its scripts import, so that a browser asks for all of them at once and
 * does not find them one after the other.
 */

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { test } from "node:test";

const WEB = new URL("../../server/web/", import.meta.url);
const readText = (name) => readFile(new URL(name, WEB), "utf8");

/** Names of assets in tags of a page that fit a pattern. */
const named = (page, tag) => [...page.matchAll(tag)].map(([, name]) => name);
const preloads = (page) => named(page, /<link rel="modulepreload" href="assets\/([^"]+)"(?: fetchpriority="low")?>/g);
const entries = (page) => named(page, /<script type="module"[^>]* src="assets\/([^"]+)">/g);

/** The modules that a module imports when it is loaded; what it fetches later with `import()` is not among them. */
const imports = (source) => [...source.matchAll(/^(?:import|export)\b[^;"]*"\.\/([^"]+)";/gm)].map(([, name]) => name);

/** Everything that modules import, and what those import, without the modules themselves. */
async function importedBy(names, read) {
  const seen = new Set(names);
  for (const name of seen) for (const one of imports(await read(name))) seen.add(one);
  return [...seen].filter((name) => !names.includes(name));
}

/** How the list of a page differs from what its scripts import. */
async function differences(page, read) {
  const listed = preloads(page);
  const needed = await importedBy(entries(page), read);
  return [
    ...needed.filter((name) => !listed.includes(name)).map((name) => `${name} is imported, but not in the list`),
    ...listed.filter((name) => !needed.includes(name)).map((name) => `${name} is in the list, but not imported`),
    ...listed.filter((name, index) => listed.indexOf(name) !== index).map((name) => `${name} is in the list twice`),
  ];
}

const read = (name) => readText(`assets/${name}`);
const pages = (await readdir(WEB)).filter((name) => name.endsWith(".html"));

test("both pages are looked at", () => assert.deepEqual(pages.sort(), ["index.html", "runner.html"]));

/** What the hub is asked first needs these; everything else gives way to that question. */
const FIRST = ["pass.js", "api.js", "socket.js"];

for (const name of pages) {
  test(`${name} lets the question who is there go before its modules`, async () => {
    const page = await readText(name);
    assert.deepEqual(named(page, /<link rel="modulepreload" href="assets\/([^"]+)">/g), FIRST);
    assert.deepEqual(new Set(await importedBy(["early.js"], read)), new Set(FIRST));
  });

  test(`${name} names every module that its scripts import, and no other`, async () => {
    const page = await readText(name);
    assert.ok(entries(page).length > 0 && preloads(page).length > 20);
    assert.deepEqual(await differences(page, read), []);
  });

  test(`control: a module that is missing in the list of ${name}, or stands there for nothing, is found`, async () => {
    const page = await readText(name);
    for (const one of preloads(page)) {
      const without = page.replace(new RegExp(`<link rel="modulepreload" href="assets/${one}".*>\\n`), "");
      assert.deepEqual(await differences(without, read), [`${one} is imported, but not in the list`]);
    }
    const link = (module) => `<link rel="modulepreload" href="assets/${module}">`;
    const [first] = preloads(page);
    assert.deepEqual(await differences(page + link("sheet.js") + link(first), read), ["sheet.js is in the list, but not imported", `${first} is in the list twice`]);
  });
}

test("imports of every form are seen, and fetching later is none of them", () => {
  const source = [
    'import { a } from "./a.js";',
    "import {\n  b,\n  c,\n} from \"./b.js\";",
    'import "./c.js";',
    'export { d } from "./d.js";',
    'import * as e from "./e.js";',
    'const { f } = await import("./f.js");',
    '/** @import { G } from "./g.js" */',
  ];
  assert.deepEqual(imports(source.join("\n")), ["a.js", "b.js", "c.js", "d.js", "e.js"]);
});
