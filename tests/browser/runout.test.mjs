/**
 * The run-out view in a real browser: windows of the rundown in the rows, changing them, the filter, groups, and the
 * keyboard.
 */

import assert from "node:assert/strict";
import { contrast } from "./contrast.mjs";
import { callView, inMinutes, windowView } from "./fleet-data.mjs";
import { allColoursOf, callOf, coloursOf, rowOf, tooLow, until, untilLive, untilText } from "./kit.mjs";
import { NO_CONNECTION, play, test } from "./stage.mjs";

const BUSY = /status of 503/;
const MINUTE = 60_000;

const boxes = (page, unit) => rowOf(page, unit).locator(".window-label");
const line = (page, pattern) => page.locator(".window-line", { hasText: pattern });
const press = async (page, ...keys) => {
  for (const key of keys) await page.keyboard.press(key);
};
const untilBoxes = (page, unit, count) =>
  until(page, ([name, wanted]) => document.querySelectorAll(`.row[data-unit=${JSON.stringify(name)}] .window-label`).length === wanted, [unit, count]);

test("held, break and rolling stand in the row: by word, title and shape, not by colour alone", () =>
  play("held", async ({ open }) => {
    const page = await open();
    await untilBoxes(page, "MID1", 3);
    assert.deepEqual(await boxes(page, "MID1").locator(".window-word").allTextContents(), ["BREAK", "HELD", "BREAK"]);
    assert.deepEqual(await boxes(page, "MID1").locator(".window-title").allTextContents(), ["Lens change", "Final of the eights", "Lunch"]);
    assert.equal(await rowOf(page, "MID1").locator(".window-rolling").count(), 2, "its own break lies in between");
    const fence = (kind) => rowOf(page, "MID1").locator(`.window-${kind}`).first().evaluate((box) => getComputedStyle(box).backgroundImage.includes("repeating"));
    assert.deepEqual([await fence("held"), await fence("break")], [true, false]);
    assert.match(await rowOf(page, "BOW2").locator(".track").getAttribute("aria-label"), /held from .* to .*, Heat 4/);
  }));

test("a call for a camera that is held says so on its card, beside when to leave", () =>
  play("held", async ({ open }) => {
    const page = await open();
    await untilText(callOf(page, "BOW2").locator(".call-held"), /^HELD until \d\d:\d\d \(Heat 4\): do not touch\. (Swap from|No gap)/);
    assert.equal(await callOf(page, "BOW2").getAttribute("data-held"), "true");
    assert.equal(await callOf(page, "MID2").locator(".call-held").isVisible(), false);
  }));

test("with the hub lost not even a dark unit stands out as if it were live", () =>
  play("held", async ({ hub, open }) => {
    const page = await open();
    const ground = async (unit) => (await coloursOf(rowOf(page, unit))).bg;
    assert.notEqual(await ground("ROVER"), await ground("BOW1"));
    await hub.stop();
    await page.waitForSelector("body[data-link=lost]");
    assert.equal(await ground("ROVER"), await ground("BOW1"));
  }, [NO_CONNECTION]));

test("the word of a window that goes on beyond the axis is there in full, or not at all", async () => {
  let words = 0;
  for (const width of [1280, 1920]) {
    for (const locale of ["en-GB", "de-DE"]) {
      await play("quiet", async ({ hub, open }) => {
        // Seen for two to eighteen minutes at the end of an axis of an hour: less than a word takes, and more.
        const units = [...hub.units.keys()];
        hub.windows = units.map((unit, index) => windowView(Date.now(), [58 - 2 * index, 75], index % 2 ? "held" : "break", { title: "Lunch", units: [unit] }));
        const page = await open("token-mia", { viewport: { width, height: 1080 }, locale });
        await until(page, (count) => document.querySelectorAll(".row .window-label").length === count, units.length);
        const found = await page.evaluate(() => {
          const seen = [...document.querySelectorAll(".row .window-word")].filter((word) => word.getClientRects().length > 0);
          const over = seen.map((word) => word.getBoundingClientRect().right - word.closest(".track").getBoundingClientRect().right);
          return { words: seen.length, over: Math.max(...over) };
        });
        assert.ok(found.over <= 0.5, `${found.over} px beyond the axis, ${locale} at ${width}`);
        words += found.words;
      });
    }
  }
  assert.ok(words >= 8, `${words} words were looked at`);
});

test("the word of a window that began before the axis stands where the axis begins", () =>
  play("held", async ({ open }) => {
    const page = await open("token-mia", { viewport: { width: 1920, height: 1080 } });
    await untilBoxes(page, "BOW1", 3);
    const label = await boxes(page, "BOW1").first().boundingBox();
    const track = await rowOf(page, "BOW1").locator(".track").boundingBox();
    assert.ok(Math.abs(label.x - track.x) < 2, `${label.x} and ${track.x}`);
    assert.ok(await boxes(page, "BOW1").first().locator(".window-word").isVisible());
    const box = await rowOf(page, "BOW1").locator(".window-held").first().boundingBox();
    assert.ok(box.x < track.x - 10, "the box itself began earlier");
  }));

test("a change of the rundown reaches the rows by itself, with one reading for all units; reports cause none", () =>
  play("sixty", async ({ hub, open }) => {
    const page = await open();
    await until(page, () => document.querySelectorAll(".row").length === 60);
    await until(page, () => document.getElementById("board").dataset.windows === "false");
    const before = hub.rundownReads;
    hub.setWindows([windowView(Date.now(), [5, 15], "held", { title: "Heat 5" })]);
    await untilBoxes(page, "BOW1", 1);
    const seq = hub.seq + 120;
    while (hub.seq < seq) await new Promise((resolve) => setTimeout(resolve, 20));
    assert.equal(hub.rundownReads, before + 1);
    hub.setWindows([]);
    await untilBoxes(page, "BOW1", 0);
  }));

test("with no rundown to be had, rows show what their units say, and the panel says so until it is there", () =>
  play("quiet", async ({ hub, open }) => {
    const now = Date.now();
    hub.rundownAlive = false;
    const window = { kind: "held", title: "Heat 4", until: inMinutes(now, 7) };
    hub.put("unit", { ...hub.units.get("BOW1"), window, next_window: { kind: "break", start: inMinutes(now, 20), until: inMinutes(now, 30) } });
    const page = await open();
    await untilBoxes(page, "BOW1", 2);
    await press(page, "w");
    await untilText(page.locator("#windows-state"), /could not be read/);
    hub.rundownAlive = true;
    hub.setWindows([windowView(now, [-5, 7], "held", { title: "Heat 4" })]);
    await untilText(page.locator("#windows-state"), /as read at \d\d:\d\d:\d\d/);
    await untilBoxes(page, "BOW2", 1);
  }, [BUSY]));

test("by keyboard alone: the lead holds the chosen unit for 15 minutes, with a title, and takes it back", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-lead");
    await rowOf(page, "MID2").waitFor();
    await press(page, "s", "PageDown", "PageDown");
    const unit = await page.locator(".row[aria-current=true]").getAttribute("data-unit");
    await press(page, "w");
    await until(page, () => document.activeElement?.textContent === "Held");
    await press(page, "Tab", "Tab", "Tab");
    await page.keyboard.type("lens change, w c r d");
    await press(page, "Tab", "Tab", "Tab", "Tab");
    assert.equal(await page.evaluate(() => document.activeElement.textContent), "15 min");
    await press(page, "Enter");
    await untilText(page.locator("#window-said"), new RegExp(`Added: HELD, ${unit}, \\d\\d:\\d\\d–\\d\\d:\\d\\d`));
    await untilBoxes(page, unit, 1);
    const [window] = hub.windows;
    assert.deepEqual([window.kind, window.title, window.units], ["held", "lens change, w c r d", [unit]]);
    assert.equal(Date.parse(window.end) - Date.parse(window.start), 15 * MINUTE);
    assert.ok(Math.abs(Date.parse(window.start) - Date.now()) < 5000, "from now on");
    await press(page, "u");
    await untilText(page.locator("#window-said"), /Taken back/);
    assert.deepEqual(hub.windows, []);
    await untilBoxes(page, unit, 0);
    await press(page, "Escape");
    await page.locator("#windows").waitFor({ state: "hidden" });
    assert.equal([...hub.calls.values()].length, 0);
  }));

test("a break for a group from one clock time to another; a wrong time is said, and nothing is sent", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-lead");
    await press(page, "w");
    await page.getByRole("button", { name: "Break", exact: true }).click();
    await page.locator("#window-whom").selectOption("g:finish");
    await page.locator("#window-start").fill("soon");
    await page.locator("#window-end").fill("1100");
    await press(page, "Enter");
    await untilText(page.locator("#window-said"), /no clock time/);
    assert.deepEqual(hub.windows, []);
    const start = new Date(Date.now() + 30 * MINUTE);
    const clock = (date) => `${String(date.getHours()).padStart(2, "0")}:${String(date.getMinutes()).padStart(2, "0")}`;
    const end = new Date(start.getTime() + 20 * MINUTE);
    await page.locator("#window-start").fill(clock(start));
    await page.locator("#window-end").fill(clock(end));
    await press(page, "Enter");
    await untilText(page.locator("#window-said"), /Added: BREAK, group finish/);
    const [window] = hub.windows;
    assert.deepEqual([window.kind, window.groups, window.units], ["break", ["finish"], undefined]);
    assert.deepEqual([clock(new Date(window.start)), clock(new Date(window.end))], [clock(start), clock(end)]);
    await untilText(line(page, /group finish/), /BREAK.*in \d+ min/);
  }));

test("5 minutes longer, end now, remove, each with undo; undo goes after 10 s", () =>
  play("held", async ({ hub, open }) => {
    const page = await open("token-lead");
    await press(page, "w");
    const heat = line(page, /group start/);
    const find = () => hub.windows.find(({ title }) => title === "Heat 4");
    const original = structuredClone(hub.windows);
    await heat.getByRole("button", { name: /^\+5 min/ }).click();
    await untilText(page.locator("#window-said"), /5 min longer: HELD, group start/);
    assert.equal(Date.parse(find().end) - Date.parse(original[0].end), 5 * MINUTE);
    await page.getByRole("button", { name: /^Undo/ }).click();
    await untilText(page.locator("#window-said"), /Taken back/);
    assert.deepEqual(hub.windows, original);
    await heat.getByRole("button", { name: /^End now/ }).click();
    await untilText(page.locator("#window-said"), /Ended: HELD, group start/);
    assert.ok(Math.abs(Date.parse(find().end) - Date.now()) < 5000);
    await untilBoxes(page, "BOW2", 3);
    await press(page, "u");
    await until(page, () => document.getElementById("window-said").textContent === "Taken back.");
    await line(page, /MID1/).getByRole("button", { name: /^Remove/ }).click();
    await untilText(page.locator("#window-said"), /Removed: BREAK, MID1/);
    assert.equal(hub.windows.length, original.length - 1);
    assert.ok(await page.locator("#window-undo").isVisible());
    await page.waitForFunction(() => document.getElementById("window-undo").hidden, null, { timeout: 13_000 });
    await press(page, "u");
    assert.equal(hub.windows.length, original.length - 1, "too late");
  }));

test("who changes a window that somebody else has changed meanwhile is told, and nothing is overwritten", () =>
  play("held", async ({ hub, open }) => {
    const page = await open("token-lead");
    await press(page, "w");
    await line(page, /group start/).waitFor();
    // Changed at the hub, but the word of it is still on its way; and another window was added.
    const [first, ...others] = hub.windows;
    hub.windows = [{ ...first, title: "Heat 5" }, ...others, windowView(Date.now(), [90, 95], "break", { title: "Tea" })];
    const before = structuredClone(hub.windows);
    await line(page, /group start/).getByRole("button", { name: /^\+5 min/ }).click();
    await untilText(page.locator("#window-said"), /Somebody else changed or removed this window/);
    assert.deepEqual(hub.windows, before);
    await untilText(line(page, /group start/), /Heat 5/);
    await line(page, /group start/).getByRole("button", { name: /^\+5 min/ }).click();
    await untilText(page.locator("#window-said"), /5 min longer/);
    assert.equal(hub.windows.length, before.length, "what others have added stays");
  }));

test("a change that comes to the hub behind somebody else's is merged into theirs, as often as it takes and no oftener", () =>
  play("held", async ({ hub, open }) => {
    const page = await open("token-lead");
    await press(page, "w");
    const original = structuredClone(hub.windows);
    const tea = windowView(Date.now(), [90, 95], "break", { title: "Tea" });
    hub.beforeRundown = () => hub.setWindows([...hub.windows, tea]);
    await line(page, /group start/).getByRole("button", { name: /^\+5 min/ }).click();
    await untilText(page.locator("#window-said"), /5 min longer/);
    assert.equal(hub.windows.length, original.length + 1, "theirs stays");
    assert.equal(Date.parse(hub.windows[0].end) - Date.parse(original[0].end), 5 * MINUTE);
    // The same window, changed while the change to it was on its way: theirs holds, and that is said.
    const [first, ...others] = hub.windows;
    hub.beforeRundown = () => hub.setWindows([{ ...first, title: "Heat 5" }, ...others]);
    await line(page, /group start/).getByRole("button", { name: /^Remove/ }).click();
    await untilText(page.locator("#window-said"), /Somebody else changed or removed this window/);
    assert.equal(hub.windows[0].title, "Heat 5");
    // Others without end: it gives up and says so.
    let sent = 0;
    const again = () => {
      sent += 1;
      hub.setWindows([...hub.windows, { ...tea, title: `Tea ${sent}` }]);
      setTimeout(() => (hub.beforeRundown = again));
    };
    hub.beforeRundown = again;
    await line(page, /group start/).getByRole("button", { name: /^\+5 min/ }).click();
    await untilText(page.locator("#window-said"), /did not take it: look at it again/);
    assert.equal(sent, 4);
  }, [/status of 409/]));

test("a refusal of the hub is said in its own words", () =>
  play("held", async ({ hub, open }) => {
    const page = await open("token-lead");
    await press(page, "w");
    await line(page, /group start/).waitFor();
    hub.rundownAlive = false;
    await line(page, /group start/).getByRole("button", { name: /^Remove/ }).click();
    await untilText(page.locator("#window-said"), /did not take it: not now/);
  }, [BUSY]));

test("a runner sees the windows and cannot change them", () =>
  play("held", async ({ open }) => {
    const page = await open("token-mia");
    await press(page, "w");
    await untilText(line(page, /group start/), /HELD.*Heat 4.*\d+ min left/);
    await untilText(page.locator("#window-read-only"), /Only lead and owner/);
    assert.equal(await page.locator("#windows button:visible").count(), 1, "nothing but the button that closes it");
    assert.equal(await page.locator("#window-form").isVisible(), false);
  }));

test("with the hub lost the windows are said to be old, and nothing can be changed", () =>
  play("held", async ({ hub, open }) => {
    const page = await open("token-lead");
    await press(page, "w");
    await line(page, /group start/).waitFor();
    await hub.stop();
    await page.locator("#banner").waitFor({ state: "visible" });
    await untilText(page.locator("#windows-state"), /HUB LOST: as of \d\d:\d\d:\d\d, nothing can be changed/);
    assert.equal(await page.locator("#windows button:enabled:visible").count(), 1);
    await until(page, () => document.querySelector('.row[data-unit="BOW1"]').dataset.state === "old");
    const style = await rowOf(page, "BOW1").locator(".window-held").first().evaluate((box) => getComputedStyle(box).borderTopStyle);
    assert.equal(style, "dashed");
    await hub.start();
    await untilLive(page);
    await untilText(page.locator("#windows-state"), /as read at/);
    await until(page, () => !document.getElementById("window-add").disabled);
  }, [NO_CONNECTION]));

test("the filter hides rows, counts them, and never hides a call silently", () =>
  play("held", async ({ hub, open }) => {
    const page = await open();
    await until(page, () => document.querySelectorAll(".row").length === 9);
    await press(page, "/", ..."finish", "Enter");
    await until(page, () => document.querySelectorAll(".row").length === 2);
    await untilText(page.locator("#filter-count"), /2 of 9 shown, 7 hidden/);
    await untilText(page.locator("#filter-calls"), /3 calls outside the filter/);
    await untilText(page.locator("#filter-dark"), /1 dark outside/);
    hub.put("call", callView(Date.now(), { number: 60, unit: "CRANE" }));
    await untilText(page.locator("#filter-calls"), /4 calls outside the filter/);
    await page.getByRole("button", { name: "has call", exact: true }).click();
    await until(page, () => document.querySelectorAll(".row").length === 1);
    assert.equal(await page.locator(".row").getAttribute("data-unit"), "FIN2");
    await press(page, "f");
    await until(page, () => document.querySelectorAll(".row").length === 9);
    assert.equal(await page.locator("#filter-told").isVisible(), false);
    await page.getByRole("button", { name: "silent or dark" }).click();
    // On a slow machine the others grow silent as well, while this goes on.
    const quiet = () => [...document.querySelectorAll(".row")].every((row) => ["silent", "dark"].includes(row.dataset.state));
    await until(page, quiet);
    for (const unit of ["FIN2", "ROVER"]) assert.ok(await rowOf(page, unit).isVisible());
    await page.getByRole("button", { name: "silent or dark" }).click();
    await page.getByRole("button", { name: "held now" }).click();
    await until(page, () => [...document.querySelectorAll(".row")].map((row) => row.dataset.unit).sort().join() === "BOW1,BOW2");
    await press(page, "/", ..."nothing like it");
    await page.locator("#rows-none").waitFor({ state: "visible" });
    await press(page, "Escape", "Escape", "f");
    await until(page, () => document.querySelectorAll(".row").length === 9);
    assert.equal(await page.evaluate(() => document.activeElement.id), "", "back at the keys of the board");
  }));

test("rows are chosen by keys; Enter opens the chosen unit, a click on a callsign as well, Enter on a button does not", () =>
  play("typical", async ({ open }) => {
    const page = await open();
    await page.evaluate(() => {
      window.opened = [];
      document.addEventListener("swapcall:open-unit", (event) => window.opened.push(event.detail.unit));
    });
    await rowOf(page, "BOW2").waitFor();
    const order = await page.locator(".row").evaluateAll((rows) => rows.map((row) => row.dataset.unit));
    const chosen = () => page.locator(".row[aria-current=true]").getAttribute("data-unit");
    await press(page, "Enter");
    await press(page, "PageDown", "PageDown", "]");
    assert.equal(await chosen(), order[2]);
    await press(page, "[");
    assert.equal(await chosen(), order[1]);
    await untilText(page.locator("#aloud"), new RegExp(`${order[1]} chosen`));
    await press(page, "Enter");
    assert.equal(await page.locator(".call[aria-current] .call-unit").textContent(), "BOW2", "calls keep their own choice");
    await rowOf(page, "POD").locator(".callsign").click();
    assert.deepEqual(await page.evaluate(() => window.opened), [order[1], "POD"]);
    await page.locator("#theme").focus();
    await press(page, "Enter");
    assert.equal((await page.evaluate(() => window.opened)).length, 2);
    // One press closes one thing: the sheet that was opened, then the choice of a row.
    await press(page, "Escape");
    await page.locator("#sheet").waitFor({ state: "hidden" });
    assert.equal(await chosen(), "POD", "a click on a callsign chooses its row as well");
    await press(page, "Escape");
    await until(page, () => document.querySelector(".row[aria-current]") === null);
    await press(page, "PageUp");
    assert.equal(await chosen(), order.at(-1), "from below");
  }));

test("in order of groups there are headings, and rows without a group come last", () =>
  play("quiet", async ({ open }) => {
    const page = await open();
    await page.getByRole("button", { name: "group", exact: true }).click();
    await until(page, () => document.querySelectorAll(".group-head").length === 4);
    assert.deepEqual(await page.locator(".group-head").allTextContents(), ["course: 2 units", "finish: 2 units", "start: 2 units", "no group: 3 units"]);
    const items = await page.locator("#rows > li").evaluateAll((all) => all.map((one) => one.dataset.unit ?? "-"));
    assert.deepEqual(items.join(), "-,MID1,MID2,-,FIN1,FIN2,-,BOW1,BOW2,-,CRANE,POD,ROVER");
    await press(page, "s");
    await until(page, () => document.querySelectorAll(".group-head").length === 0);
  }));

test("whole show: the axis reaches to the end of the show and says to which, also after a new start", () =>
  play("held", async ({ open }) => {
    const page = await open();
    await press(page, "5");
    await untilText(page.locator("#span-told"), /to the end of Finals, \d\d:\d\d/);
    await untilText(page.locator("#axis-end"), /\+3 h 30/);
    assert.equal(await page.locator(".grid-end").count(), 1);
    await page.reload();
    await untilLive(page);
    await untilText(page.locator("#axis-end"), /\+3 h 30/);
    await press(page, "2");
    await untilText(page.locator("#axis-end"), /\+1 h/);
    assert.equal(await page.locator("#span-told").textContent(), "");
  }));

test("a claimed call says in the row who has it and since when", () =>
  play("busy", async ({ open }) => {
    const page = await open();
    await untilText(rowOf(page, "FIN2").locator(".call-tag"), /11 ▸ Tam ?\d\d:\d\d/);
  }));

test("a window for one unit touches one row", () =>
  play("sixty", async ({ hub, open }) => {
    const page = await open();
    await until(page, () => document.querySelectorAll(".row").length === 60);
    await page.evaluate(() => {
      window.touched = new Set();
      new MutationObserver((records) => {
        for (const { target } of records) if (target.matches(".windows")) window.touched.add(target.closest(".row").dataset.unit);
      }).observe(document.getElementById("rows"), { subtree: true, childList: true });
    });
    hub.setWindows([windowView(Date.now(), [5, 15], "held", { units: ["JIB9"] })]);
    await untilBoxes(page, "JIB9", 1);
    assert.deepEqual(await page.evaluate(() => [...window.touched]), ["JIB9"]);
  }));

test("contrast of the new parts: 7:1 for what is read from afar, 4.5:1 for the rest, in both lights", async () => {
  for (const colorScheme of ["dark", "light"]) {
    await play("held", async ({ open }) => {
      const page = await open("token-lead", { colorScheme, viewport: { width: 1920, height: 1080 } });
      await untilBoxes(page, "MID1", 3);
      await press(page, "w", "Escape", "/", ..."finish", "Enter", "w");
      await page.locator("#filter-told").waitFor({ state: "visible" });
      for (const [selector, least] of [
        [".window-word", 7],
        [".window-title", 7],
        ["#filter-count", 7],
        ["#filter-calls", 7],
        ["#filter-dark", 7],
        [".window-word-text", 7],
        [".window-about", 7],
        ["#windows-state", 4.5],
        ["#window-start-hint", 4.5],
        [".tool-label", 4.5],
      ]) {
        await page.locator(`${selector}:visible`).first().waitFor();
        // In one question: what is drawn anew in between is not there any more when it is asked for its colours.
        const found = await allColoursOf(page, [selector]);
        assert.ok(found.length > 0, selector);
        for (const { fg, bg } of found) assert.ok(contrast(fg, bg) >= least, `${colorScheme} ${selector}: ${contrast(fg, bg).toFixed(2)}`);
      }
      const edge = await page.locator(".window-held").first().evaluate((box) => getComputedStyle(box).borderTopColor);
      const [r, g, b] = edge.match(/\d+/g).map((part) => Number(part).toString(16).padStart(2, "0"));
      const { bg } = await coloursOf(page.locator("#board"));
      assert.ok(contrast(`#${r}${g}${b}`, bg) >= 3);
    });
  }
});

test("with panel and filter open no screen is wider than its window, and fingers find what they need", async () => {
  for (const [width, height, target] of [[390, 844, 44], [1280, 720, 24], [1920, 1080, 24]]) {
    for (const scenario of ["held", "sixty-held"]) {
      await play(scenario, async ({ open }) => {
        const page = await open("token-lead", { viewport: { width, height } });
        await page.locator(".row").first().waitFor();
        await press(page, "/", ..."o", "Enter", "w");
        await page.locator("#windows").waitFor({ state: "visible" });
        await page.locator(".window-line").first().waitFor();
        const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        assert.ok(overflow <= 0, `${scenario} at ${width}: ${overflow} px too wide`);
        assert.deepEqual(await tooLow(page, ":is(button, input, select)", target), [], `${scenario} at ${width}`);
        const panel = await page.locator("#windows").boundingBox();
        assert.ok(panel.x >= 0 && panel.x + panel.width <= width && panel.y + panel.height <= height, "the panel is in sight");
        const links = await page.locator("#jump").boundingBox();
        if (links !== null) assert.ok(panel.y + panel.height >= links.y, "the page shows between the panel and the links below it");
      });
    }
  }
});
