/**
 * How the ops screen looks and is handled: shapes, contrast, sizes, keys, and what is redrawn.
 */

import assert from "node:assert/strict";
import { contrast } from "./contrast.mjs";
import { callView, unitView } from "./fleet-data.mjs";
import { allColoursOf, coloursOf, openTopMenu, rowOf, tooLow, until, untilLive, untilText } from "./kit.mjs";
import { NO_CONNECTION, play, test } from "./stage.mjs";

test("battery and cards differ by shape and letter, not by colour alone", () =>
  play("quiet", async ({ open }) => {
    const page = await open();
    const look = (cause) =>
      rowOf(page, "BOW2").locator(`.bar-${cause}`).evaluate((bar) => {
        const style = getComputedStyle(bar);
        return { round: parseFloat(style.borderTopLeftRadius) > 4, striped: style.backgroundImage.includes("repeating") };
      });
    assert.deepEqual(await look("battery"), { round: true, striped: false });
    assert.deepEqual(await look("cards"), { round: false, striped: true });
    assert.deepEqual(await rowOf(page, "BOW2").locator(".mark").allTextContents(), ["B", "C"]);
  }));

test("names from outside are shown as text, never as markup", () =>
  play("hostile", async ({ open }) => {
    const page = await open();
    const nasty = '<img src=x onerror="document.title=1">';
    assert.equal(await rowOf(page, nasty).locator(".callsign").textContent(), nasty);
    assert.equal(await page.locator("#calls .call-why").first().textContent(), "<script>document.title=2</script>");
    assert.equal(await page.locator("#screen :is(img, script, b:not([class]) i, u)").count(), 0);
    assert.match(await page.title(), /^\(2\) Swapcall$/);
  }));

test("contrast of what must be read: 7:1 from afar, 4.5:1 close by, in both lights", async () => {
  const AFAR = ["#clock", ".call-unit", ".call-in", ".call-number", ".bring b", ".callsign", ".big", ".range", ".mark", ".label", ".flag"];
  const CLOSE = ["#who", ".call-why", ".call-leave", ".call-held", ".call-claim", ".position", ".age", ".mode", ".air", ".levels", ".if-recording", ".tick", "#legend span", "#axis-end", "#ended-list li", "button:not(:disabled)"];
  for (const colorScheme of ["dark", "light"]) {
    await play("held", async ({ open }) => {
      const page = await open("token-mia", { colorScheme });
      for (const [selectors, least] of [[AFAR, 7], [CLOSE, 4.5]]) {
        for (const { selector, fg, bg } of await allColoursOf(page, selectors)) assert.ok(contrast(fg, bg) >= least, `${colorScheme} ${selector}: ${fg} on ${bg} is ${contrast(fg, bg)}`);
      }
      const bars = { battery: "backgroundColor", cards: "borderTopColor" };
      for (const [cause, property] of Object.entries(bars)) {
        const bar = await page.evaluate(([name, key]) => getComputedStyle(document.querySelector(`.row[data-state=fresh] .bar-${name}`))[key], [cause, property]);
        const [r, g, b] = bar.match(/\d+/g).map((part) => Number(part).toString(16).padStart(2, "0"));
        const { bg } = await coloursOf(page.locator(".row[data-state=fresh]"));
        assert.ok(contrast(`#${r}${g}${b}`, bg) >= 3, `${colorScheme} bar of ${cause}`);
      }
    });
  }
});

test("the banner is read from afar, in both lights", async () => {
  for (const colorScheme of ["dark", "light"]) {
    await play("quiet", async ({ hub, open }) => {
      const page = await open("token-mia", { colorScheme });
      await hub.stop();
      await page.locator("#banner").waitFor({ state: "visible" });
      const { fg, bg } = await coloursOf(page.locator("#banner-text"));
      assert.ok(contrast(fg, bg) >= 7);
      await hub.start();
    }, [NO_CONNECTION]);
  }
});

/** A phone, a tablet, a small and a wide screen. */
const SIZES = [{ width: 390, height: 844 }, { width: 820, height: 1180 }, { width: 1280, height: 720 }, { width: 1920, height: 1080 }];

/** By then a new size has been drawn, whatever else the machine does: the page draws once a second, milliseconds. */
const DRAWN_MS = 4000;
const LOOK_AGAIN_MS = 100;

/**
 * Looks at a scripted state in each size, one after the other on one page, until nothing is wrong.
 * @param {string} scenario
 * @param {string} locale
 * @param {(page: import("playwright-core").Page, size: {width: number}) => Promise<string[]>} look says what is wrong
 */
const inEachSize = (scenario, locale, look) =>
  play(scenario, async ({ open }) => {
    const page = await open("token-mia", { viewport: SIZES[0], locale });
    await page.locator(".row").first().waitFor();
    for (const size of SIZES) {
      await page.setViewportSize(size);
      let wrong = [];
      for (let left = DRAWN_MS; left > 0; left -= LOOK_AGAIN_MS) {
        await page.waitForTimeout(LOOK_AGAIN_MS);
        wrong = await look(page, size);
        if (wrong.length === 0) break;
      }
      assert.deepEqual(wrong, [], `${scenario} ${locale} at ${size.width}`);
    }
  });

test("no screen is wider than its window, and fingers find the buttons", async () => {
  for (const [scenario, locale] of [["busy", "en-GB"], ["busy", "de-DE"], ["sixty", "de-DE"], ["hostile", "en-GB"]]) {
    await inEachSize(scenario, locale, async (page, { width }) => {
      const overflow = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      return [...(overflow > 0 ? [`${overflow} px too wide`] : []), ...(await tooLow(page, "button", width < 900 ? 44 : 24))];
    });
  }
});

test("on a phone the head takes three lines at most; its menu has the other buttons", async () => {
  for (const [width, locale, zone] of [[390, "en-GB", null], [390, "de-DE", "Europe/Berlin"], [360, "de-DE", "Europe/Berlin"], [360, "en-GB", null]]) {
    await play("busy", async ({ hub, open }) => {
      if (zone) hub.place = { time_zone: zone };
      const page = await open("token-lead", { viewport: { width, height: 800 }, locale, timezoneId: "Asia/Tokyo" });
      await page.locator("#people-open").waitFor({ state: "attached" });
      const lines = await page.evaluate(() => {
        const boxes = [...document.querySelectorAll("#top > *")].map((one) => one.getBoundingClientRect()).filter(({ height }) => height > 0);
        return boxes.sort((a, b) => a.top - b.top).reduce((ends, { top, bottom }) => (ends.length > 0 && top < ends.at(-1) ? ends : [...ends, bottom]), []).length;
      });
      assert.ok(lines <= 3, `${lines} lines at ${width}, ${locale}`);
      const { height } = await page.locator("#top").boundingBox();
      assert.ok(height <= 150, `${height} px high at ${width}, ${locale}`);
      for (const button of ["#sound", "#to-runner", "#top-menu"]) {
        const cut = await page.locator(button).evaluate((one) => one.scrollWidth - one.clientWidth);
        assert.ok(cut <= 0, `${button} is cut by ${cut} px at ${width}, ${locale}`);
      }
      const rest = ["#volume", "#theme", "#language", "#people-open", "#help-open", "#sign-out"];
      for (const button of rest) assert.equal(await page.locator(button).isVisible(), false, button);
      await openTopMenu(page);
      for (const button of rest) await page.locator(button).waitFor({ state: "visible" });
      await page.locator("#help-open").click();
      await page.locator("#help").waitFor({ state: "visible" });
      await page.keyboard.press("Escape");
      await page.locator("#top-menu").click();
      await page.locator("#volume").waitFor({ state: "hidden" });
    });
  }
  await play("busy", async ({ open }) => {
    const page = await open("token-lead");
    await page.locator("#volume").waitFor();
    assert.equal(await page.locator("#top-menu").isVisible(), false, "a wide screen has room for all of them");
  });
});

test("on a phone the callsign of an overdue call is not cut off", async () => {
  for (const locale of ["en-GB", "de-DE"]) {
    await play("quiet", async ({ hub, open }) => {
      hub.put("call", callView(Date.now(), { number: 4, unit: "BRIDGE", position: "road bridge, upstream rail", by: -13, leave: -16 }));
      const page = await open("token-mia", { viewport: { width: 390, height: 844 }, locale });
      await page.locator('.call[data-overdue="true"]').waitFor();
      const cut = await page.locator(".call-unit").evaluate((one) => one.scrollWidth - one.clientWidth);
      assert.ok(cut <= 0, `${cut} px are cut off in ${locale}`);
    });
  }
});

test("with 60 units reporting each second, no bar is redrawn unless its forecast changed", () =>
  play("sixty", async ({ hub, open }) => {
    const page = await open();
    await until(page, () => document.querySelectorAll(".row").length === 60);
    await page.evaluate(() => {
      window.touched = new Set();
      new MutationObserver((records) => {
        for (const { target } of records) window.touched.add(target.closest(".row").dataset.unit);
      }).observe(document.getElementById("rows"), { subtree: true, attributeFilter: ["style"] });
    });
    const moved = unitView(Date.now() + 1, { unit: "JIB9", position: "stand 36", battery: [5, 6, 7], cards: [30, 40, 50] });
    hub.put("unit", moved);
    await until(page, () => window.touched.has("JIB9"));
    const beats = hub.seq + 120; // two more rounds of reports of all units
    while (hub.seq < beats) await new Promise((resolve) => setTimeout(resolve, 20));
    await untilText(rowOf(page, "BOW1"), /heard/);
    assert.deepEqual(await page.evaluate(() => [...window.touched]), ["JIB9"]);
    await untilText(page.locator("#below"), /\d+ more below/);
  }));

test("axis and order follow keys and buttons, and are remembered; the help sheet opens and closes", () =>
  play("quiet", async ({ open }) => {
    const page = await open();
    await page.keyboard.press("4");
    await until(page, () => document.querySelector('#zoom [data-choice="240"]').getAttribute("aria-pressed") === "true");
    await page.keyboard.press("+");
    await until(page, () => document.querySelector('#zoom [data-choice="120"]').getAttribute("aria-pressed") === "true");
    await page.getByRole("button", { name: "callsign" }).click();
    await until(page, () => document.querySelector(".row").dataset.unit === "BOW1");
    await page.keyboard.press("t");
    await until(page, () => document.documentElement.dataset.theme === "light");
    await page.reload();
    await untilLive(page);
    await until(page, () => document.querySelector(".row")?.dataset.unit === "BOW1");
    assert.equal(await page.locator('#zoom [aria-pressed="true"]').textContent(), "2 h");
    await page.keyboard.press("?");
    await page.locator("#help").waitFor({ state: "visible" });
    await page.keyboard.press("Escape");
    await page.locator("#help").waitFor({ state: "hidden" });
  }));

/** Texts of the rows that are cut off, by what they are: what is read at a glance must never be. */
const cutOff = (page) =>
  page.evaluate(() => {
    const cut = [];
    for (const name of ["callsign", "big", "range", "if-short", "age", "mode", "levels", "hint"]) {
      for (const element of document.querySelectorAll(`.row .${name}`)) {
        const { clientWidth, scrollWidth, textContent } = element;
        const cell = element.closest(".cell-id, .cell-state, .cell-out").getBoundingClientRect();
        const out = element.getBoundingClientRect().right - cell.right;
        if (clientWidth > 0 && (scrollWidth > clientWidth || out > 0.5)) cut.push(`${name}: ${textContent}`);
      }
    }
    return cut;
  });

test("in either language what is read at a glance is never cut off", async () => {
  for (const [scenario, locale] of [["busy", "en-GB"], ["busy", "de-DE"], ["sixty", "en-GB"], ["sixty", "de-DE"]]) {
    await inEachSize(scenario, locale, cutOff);
  }
});

test("a German browser gets German; the button changes the language, and this device remembers it", () =>
  play("busy", async ({ open }) => {
    const page = await open("token-mia", { locale: "de-AT" });
    await untilText(page.locator("#calls-heading"), /Aufträge: 4/);
    assert.equal(await page.locator("html").getAttribute("lang"), "de");
    await untilText(page.locator(".call-why").nth(1), /^Akku 18 %, Aufnahme, noch etwa 14 min: 11–19$/);
    const button = page.getByRole("button", { name: "English" });
    assert.equal(await button.getAttribute("lang"), "en");
    await button.click();
    await untilText(page.locator("#calls-heading"), /Calls: 4/);
    assert.equal(await page.locator("html").getAttribute("lang"), "en");
    await page.reload();
    await untilText(page.locator("#calls-heading"), /Calls: 4/);
    await page.getByRole("button", { name: "Deutsch" }).waitFor();
  }));

test("the tab key reaches every button, and what has the focus shows it", () =>
  play("typical", async ({ open }) => {
    const page = await open();
    const wanted = new Set(await page.locator("button:visible:enabled").allTextContents());
    for (let step = 0; step < 40 && wanted.size > 0; step += 1) {
      await page.keyboard.press("Tab");
      const focused = await page.evaluate(() => {
        const element = document.activeElement;
        return { text: element.textContent, button: element.matches("button"), outline: getComputedStyle(element).outlineStyle };
      });
      if (!focused.button) continue;
      wanted.delete(focused.text);
      assert.notEqual(focused.outline, "none", focused.text);
    }
    assert.deepEqual([...wanted], []);
  }));
