/**
 * How the ops screen begins: what it asks for first, and what may come later without anybody's press being lost.
 */

import assert from "node:assert/strict";
import { rowOf, until, untilText } from "./kit.mjs";
import { play, test } from "./stage.mjs";

/** Holds back what fits a pattern until it is let go. */
function holding(pattern) {
  let letGo;
  const free = new Promise((resolve) => (letGo = resolve));
  const arrange = (context) => context.route(pattern, async (route) => {
    await free;
    await route.continue();
  });
  return { arrange, letGo };
}

/** Notes the path of everything that is asked for, in order. */
const noting = (asked) => async (context) => {
  context.on("request", (request) => asked.push(`${request.method()} ${new URL(request.url()).pathname}`));
};

test("the hub is asked who is there while the modules are still on their way, and only once", () =>
  play("typical", async ({ open }) => {
    for (const token of ["token-mia", null]) {
      const asked = [];
      const { arrange, letGo } = holding("**/board.js");
      const both = async (context) => {
        await noting(asked)(context);
        await arrange(context);
      };
      const opening = open(token, { arrange: both });
      const question = token ? "POST /v1/session" : "GET /v1/session";
      while (!asked.includes(question)) await new Promise((resolve) => setTimeout(resolve, 10));
      letGo();
      const page = await opening;
      await page.locator(token ? ".row" : "#sign-in-form").first().waitFor();
      assert.deepEqual(asked.filter((one) => one.endsWith("/v1/session")), [question]);
    }
  }, [/status of 401/]));

test("what nobody sees at first comes afterwards, by itself", () =>
  play("typical", async ({ open }) => {
    const asked = [];
    const page = await open("token-mia", { arrange: noting(asked) });
    await until(page, () => performance.getEntriesByType("resource").some(({ name }) => name.endsWith("/peoplemodel.js")));
    const order = (name) => asked.findIndex((one) => one.endsWith(name));
    assert.ok(order("/v1/calls") > 0 && order("/late.js") > order("/v1/calls"), asked.join("\n"));
    assert.equal(order("/words-de.js"), -1, "nobody wants German here");
  }));

test("a German page fetches the German words", () =>
  play("typical", async ({ open }) => {
    const asked = [];
    const page = await open("token-mia", { arrange: noting(asked), locale: "de-DE" });
    await untilText(page.locator("#calls-heading"), /Aufträge/);
    assert.ok(asked.some((one) => one.endsWith("/words-de.js")));
  }));

test("a press that comes sooner than its panel opens it when it has come", () =>
  play("typical", async ({ open }) => {
    const { arrange, letGo } = holding("**/late.js");
    const page = await open("token-lead", { arrange });
    await rowOf(page, "BOW1").locator(".callsign").click();
    await until(page, () => document.querySelector('.row[data-unit="BOW1"][aria-current]'));
    assert.equal(await page.locator("#sheet").count(), 0);
    letGo();
    await untilText(page.locator("#sheet-heading"), /BOW1/);
    await page.locator("#people-open").waitFor();
  }));

test("a panel that comes late does not call back whoever has gone on to something else", () =>
  play("typical", async ({ open }) => {
    for (const goOn of [(page) => page.keyboard.press("/"), (page) => page.locator("#filter-text").click()]) {
      const { arrange, letGo } = holding("**/late.js");
      const page = await open("token-lead", { arrange });
      await page.keyboard.press("w");
      await goOn(page);
      letGo();
      await page.locator("#people-open").waitFor();
      assert.equal(await page.locator("#windows").isVisible(), false);
      assert.equal(await page.evaluate(() => document.activeElement.id), "filter-text");
    }
  }));

for (const missing of ["late.js", "pool.css"]) {
  test(`panels that did not come, for want of ${missing}, are asked for again by the next press`, () =>
    play("typical", async ({ open }) => {
      let refuse = true;
      const arrange = (context) => context.route(`**/${missing}`, (route) => (refuse ? route.abort() : route.continue()));
      const page = await open("token-lead", { arrange });
      await page.keyboard.press("p");
      await page.waitForTimeout(300);
      assert.equal(await page.locator("#people").count(), 0);
      refuse = false;
      await page.keyboard.press("p");
      await page.locator("#people").waitFor({ state: "visible" });
      const styles = await page.evaluate(() => [...document.styleSheets].map(({ href }) => href.split("/").at(-1)));
      assert.deepEqual(styles, ["ops.css", "windows.css", "sheets.css", "risk.css", "panels.css", "pool.css", "narrow.css"], "the last has the last word");
    }, [/ERR_FAILED/, /status of 404/]));
}

test("what is said to lie out of sight below does, in every order, wherever one has scrolled to", () =>
  play("sixty", async ({ open }) => {
    const page = await open("token-mia", { viewport: { width: 1920, height: 1080 } });
    /** Where the rows are by the page's own word, and what is said of it. */
    const below = () =>
      page.evaluate(() => {
        const area = document.getElementById("rows-area").getBoundingClientRect();
        const middles = [...document.querySelectorAll(".row")].map((row) => row.getBoundingClientRect()).map(({ top, height }) => top + height / 2);
        const line = document.getElementById("below");
        const said = line.hidden ? 0 : Number(/\d+/.exec(line.textContent)[0]);
        return { said, seen: middles.filter((middle) => middle > area.bottom).length };
      });
    const agree = async (what) => {
      for (let look = 0; ; look += 1) {
        const { said, seen } = await below();
        if (said === seen) return seen;
        assert.ok(look < 40, `${what}: ${said} said, ${seen} there`);
        await page.waitForTimeout(50);
      }
    };
    const counts = [];
    for (const order of ["soonest", "group", "callsign"]) {
      await page.locator(`#sort [data-choice="${order}"]`).click();
      for (const part of [0, 0.4, 1]) {
        await page.locator("#rows-area").evaluate((area, share) => area.scrollTo({ top: share * area.scrollHeight, behavior: "instant" }), part);
        counts.push(await agree(`${order}, ${part} down`));
      }
    }
    assert.ok(counts[0] > counts[1] && counts[1] > counts[2], counts.join());
    assert.equal(counts[2], 0);
  }));
