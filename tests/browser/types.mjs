/**
 * The screens' types: every module of the screens is checked, strictly, against the messages that the hub itself describes
 * in its OpenAPI document. Not called `*.test.mjs`, so that it is a step of its own: `node --test tests/browser/types.mjs`.
 */

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { cp, mkdir, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import openapiTS, { astToString } from "openapi-typescript";
import { PROGRAM } from "./real-hub.mjs";

const run = promisify(execFile);
const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const ASSETS = here("../../server/web/assets/");
const OUT = here("../out/types/");

/** Runs the checker on a project's folder or file. @returns {Promise<string[]>} one line for each finding */
async function findings(project) {
  try {
    await run(process.execPath, [here("node_modules/typescript/bin/tsc"), "--pretty", "false", "--project", project]);
    return [];
  } catch (error) {
    if (!error.stdout) throw error;
    return error.stdout.trim().split("\n");
  }
}

before(async () => {
  const { stdout: document } = await run(PROGRAM, ["openapi"], { maxBuffer: 1 << 24 });
  const types = await openapiTS(document, { rootTypes: true, rootTypesNoSchemaPrefix: true });
  await rm(OUT, { recursive: true, force: true });
  await mkdir(OUT, { recursive: true });
  await writeFile(`${OUT}wire.d.ts`, astToString(types));
});

test("every module of the screens agrees with itself and with the hub's messages", async () => {
  assert.deepEqual(await findings(here("tsconfig.json")), []);
});

/** In a copy: a module, what stands there, what a slip would make of it, and a word of the finding. */
const SLIPS = [
  ["rowmodel.js", "unit.clock_offset_s", "unit.clock_ofset_s", "clock_ofset_s"],
  ["freshness.js", "unit.silent_after", "unit.silentAfter", "silentAfter"],
  ["store.js", 'case "caught_up":', 'case "caughtup":', "caughtup"],
  ["callmodel.js", "call.leave_by", "call.leaveBy", "leaveBy"],
  ["pass.js", "{ join: value }", "{ code: value }", "code"],
  ["words-de.js", "facts.recording_share * 100", "facts.recordingShare * 100", "recordingShare"],
  ["words-de.js", "JETZT LOS", "JETZT LOS\",\n  leave: \"jetzt", "leave"],
  ["settings.js", 'theme: ["auto", "light", "dark"]', 'theme: ["auto", "bright", "dark"]', "bright"],
];

test("a misspelt member or a wrong kind in any of them is found", async () => {
  const copy = `${OUT}slips/`;
  await cp(ASSETS, copy, { recursive: true });
  const config = JSON.parse(await readFile(here("tsconfig.json"), "utf8"));
  config.compilerOptions.paths = { "swapcall-wire": ["./wire.d.ts"] };
  await writeFile(`${OUT}tsconfig.json`, JSON.stringify({ ...config, include: ["slips/*.js"] }));
  for (const [name, right, wrong] of SLIPS) {
    const source = await readFile(copy + name, "utf8");
    assert.ok(source.includes(right), `${name} has no ${right} any more: choose another place for the slip`);
    await writeFile(copy + name, source.replace(right, wrong));
  }
  const found = await findings(`${OUT}tsconfig.json`);
  for (const [name, , wrong, word] of SLIPS) {
    assert.ok(found.some((line) => line.includes(name) && line.includes(word)), `${name}: ${wrong} went unnoticed\n${found.join("\n")}`);
  }
});

test("no module of the screens silences the checker, and any is for JSON only", async () => {
  /** Where JSON comes in: what it holds is not known before it has been looked at. */
  const JSON_ENTERS = ["api.js", "settings.js"];
  for (const name of (await readdir(ASSETS)).filter((file) => file.endsWith(".js"))) {
    const source = await readFile(ASSETS + name, "utf8");
    assert.ok(!/@ts-(ignore|expect-error|nocheck)/.test(source), `${name} silences the checker`);
    assert.ok(JSON_ENTERS.includes(name) || !/@\w+ \{.*\bany\b.*\}/.test(source), `${name} says any`);
  }
});
