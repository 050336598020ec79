/**
 * The lanes of a row's piece of the axis keep out of each other's way: what is written in one covers no word of another.
 */
import assert from "node:assert/strict";

import { windowView } from "./fleet-data.mjs";
import { until } from "./kit.mjs";
import { play, test } from "./stage.mjs";

/** More than it takes until a new size has been drawn, milliseconds. */
const DRAWN_MS = 200;

/** Words of windows that something of the other lanes lies on, and how many words were looked at. */
const covered = (page) =>
  page.evaluate(() => {
    const found = [];
    let words = 0;
    for (const row of document.querySelectorAll(".row")) {
      const track = row.querySelector(".track").getBoundingClientRect();
      const seen = (element) => element.getClientRects().length > 0 && element.textContent !== "";
      const others = [...row.querySelectorAll(".mark, .label, .beyond, .over")].filter(seen);
      for (const word of [...row.querySelectorAll(".window-word")].filter(seen)) {
        const box = word.getBoundingClientRect();
        if (box.right < track.left || box.left > track.right) continue;
        words += 1;
        for (const other of others) {
          const { left, right, top, bottom } = other.getBoundingClientRect();
          const deep = Math.min(bottom, box.bottom) - Math.max(top, box.top);
          if (right > box.left && left < box.right && deep > 0.5) found.push(`${row.dataset.unit}: ${other.textContent} lies ${deep.toFixed(1)} px on ${word.textContent}`);
        }
      }
    }
    return { found, words };
  });

/** Chips that lie on each other at the end of the axis. */
const crowded = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll(".row")].flatMap((row) => {
      const [upper, lower] = ["battery", "cards"].map((cause) => row.querySelector(`.beyond-${cause}`));
      if (upper.textContent === "" || lower.textContent === "") return [];
      const deep = upper.getBoundingClientRect().bottom - lower.getBoundingClientRect().top;
      return deep > 0.5 ? [`${row.dataset.unit}: ${deep.toFixed(1)} px`] : [];
    }),
  );

/** Marks whose middle is not that of their bar, in pixels; `marks` counts what was looked at. */
const astray = (page) =>
  page.evaluate(() => {
    const middle = (element) => {
      const { top, bottom } = element.getBoundingClientRect();
      return (top + bottom) / 2;
    };
    const lanes = [...document.querySelectorAll(".row")].flatMap((row) =>
      ["battery", "cards"].map((cause) => [row.querySelector(`.bar-${cause}`), row.querySelector(`.mark-${cause}`), `${row.dataset.unit} ${cause}`]),
    );
    const seen = lanes.filter(([bar, mark]) => bar.getClientRects().length > 0 && mark.getClientRects().length > 0);
    const off = seen.map(([bar, mark, name]) => [name, middle(mark) - middle(bar)]).filter(([, by]) => Math.abs(by) > 1);
    return { marks: seen.length, off: off.map(([name, by]) => `${name}: ${by.toFixed(1)} px`) };
  });

for (const [width, height] of [[1920, 1080], [1600, 900], [1280, 720], [390, 844]]) {
  for (const [scenario, locale] of [["quiet", "en-GB"], ["quiet", "de-DE"], ["sixty", "en-GB"]]) {
    test(`a run-out far to the right covers no word of the rundown: ${scenario}, ${locale}, ${width} px wide`, () =>
      play(scenario, async ({ hub, open }) => {
        hub.windows = [windowView(Date.now(), [46, 75], "break", { title: "Lunch" }), windowView(Date.now(), [3, 20], "held", { title: "Heat 4" })];
        const page = await open("token-mia", { viewport: { width, height }, locale });
        await until(page, () => document.querySelectorAll(".row .window-label").length >= 18);
        // How high the lanes are is worked out once a second.
        await page.locator("#board[data-windows=true]").waitFor();
        const { found, words } = await covered(page);
        assert.ok(words >= 9, `${words} words were looked at`);
        assert.deepEqual(found, []);
        assert.deepEqual(await crowded(page), []);
      }));
  }
}

for (const [scenario, least] of [["busy", 5], ["held", 5], ["sixty", 20]]) {
  test(`a mark sits in the middle of its bar: ${scenario}`, () =>
    play(scenario, async ({ open }) => {
      const page = await open("token-mia", { viewport: { width: 1920, height: 1080 } });
      for (const [width, height] of [[1920, 1080], [1280, 720], [390, 844]]) {
        await page.setViewportSize({ width, height });
        await page.waitForTimeout(DRAWN_MS);
        const { marks, off } = await astray(page);
        assert.ok(marks >= least, `${marks} marks were looked at`);
        assert.deepEqual(off, [], `${width} px wide`);
      }
    }));
}

test("control: a label that is pushed down onto a word is found", () =>
  play("quiet", async ({ hub, open }) => {
    hub.windows = [windowView(Date.now(), [46, 75], "break", { title: "Lunch" })];
    const page = await open("token-mia", { viewport: { width: 1920, height: 1080 } });
    await until(page, () => document.querySelectorAll(".row .window-label").length >= 9);
    await page.evaluate(() => (document.querySelector('.row[data-unit="FIN1"] .beyond-battery').style.top = "66%"));
    const { found } = await covered(page);
    assert.match(found.join(), /FIN1: B .* px on BREAK/);
  }));
