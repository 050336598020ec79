/**
 * A card at risk: on every screen at once, above everything, with what is known and what to do; it goes when the hub says
 * so, and what was heard before the hub was lost does not pass for new.
 */

import assert from "node:assert/strict";
import { contrast } from "./contrast.mjs";
import { allColoursOf, tryNow, until, untilText } from "./kit.mjs";
import { PHONE, job } from "./runner-kit.mjs";
import { riskView, tellKit } from "./scenario-pool.mjs";
import { NO_CONNECTION, play, test } from "./stage.mjs";
import { leastApart } from "./vision.mjs";

const banner = (page) => page.locator("#risk");

/** Notes every tone that the page plays. */
const hearTones = () => {
  window.tones = [];
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (...when) {
    window.tones.push(Math.round(this.frequency.value));
    return start.apply(this, when);
  };
};

for (const [name, more] of [["ops", {}], ["phone", PHONE]]) {
  test(`${name}: on the live message, with unit, slot, what is known and what to do; gone when the hub takes it back`, () =>
    play("pool", async ({ hub, open }) => {
      const page = await open("token-mia", more);
      assert.equal(await banner(page).isVisible(), false);
      tellKit(hub, { risks: [riskView(Date.now())] });
      await untilText(banner(page).locator(".risk-heading"), /^CARD AT RISK$/);
      await untilText(banner(page).locator(".risk-where"), /^C15 in BOW2 A$/);
      await untilText(banner(page).locator(".risk-known"), /it was 64 % full · 1 of 2 copies verified · its twin C16: 2 of 2 copies verified · since \d\d:\d\d, 1 min/);
      await untilText(banner(page).locator(".risk-todo"), /^Stop recording on it\. Pull card C15 from BOW2 A, put in a blank one, copy C15\.$/);
      assert.match(await page.title(), /CARD AT RISK/);
      // The rest of the page goes on: nothing is modal.
      await page.locator(more.path ? "#menu-open" : "#help-open").click();
      await page.keyboard.press("Escape");
      tellKit(hub, { risks: [] });
      await banner(page).waitFor({ state: "hidden" });
      assert.doesNotMatch(await page.title(), /RISK/);
    }));

  test(`${name}: above everything else, also above what covers the page`, () =>
    play("risk", async ({ open }) => {
      const page = await open("token-mia", more);
      await banner(page).waitFor();
      if (more.path) await job(page, "BOW2").getByRole("button", { name: "Reading" }).click();
      else await page.keyboard.press("?");
      await until(page, () => {
        const { left, top, width } = document.querySelector(".risk-heading").getBoundingClientRect();
        const over = document.elementFromPoint(left + width / 4, top + 5);
        return over !== null && over.closest("#risk") !== null && top >= 0 && top < 60;
      });
      // In the dialog, its key works.
      await page.locator(".risk-seen").click();
      await page.locator(".risk-seen").waitFor({ state: "hidden" });
      await banner(page).waitFor();
      await page.keyboard.press("Escape");
      await until(page, () => document.querySelector("#risk").parentElement === document.body || document.querySelector("dialog[open]") !== null);
    }));
}

test("it sounds at once, not like a call, again until somebody has seen it, and anew for another danger", () =>
  play("pool", async ({ hub, open }) => {
    const page = await open("token-mia", { prepare: hearTones });
    await page.keyboard.press("m");
    await until(page, () => window.tones.length > 0);
    await page.evaluate(() => (window.tones.length = 0));
    await page.clock.install();
    tellKit(hub, { risks: [riskView(Date.now())] });
    await until(page, () => window.tones.length >= 6);
    assert.deepEqual((await page.evaluate(() => window.tones)).slice(0, 3), [990, 740, 494]);
    // Told again, the same danger is no news.
    tellKit(hub);
    await page.clock.fastForward(19_000);
    assert.equal(await page.evaluate(() => window.tones.length), 6);
    await page.clock.fastForward(2_000);
    await until(page, () => window.tones.length === 12);
    await page.locator(".risk-seen").click();
    await page.clock.fastForward(60_000);
    assert.equal(await page.evaluate(() => window.tones.length), 12);
    tellKit(hub, { risks: [...hub.kit.risks, riskView(Date.now(), { card: "C17", kind: "fill_dropped", unit: "FIN1" })] });
    await until(page, () => window.tones.length >= 18);
  }, [NO_CONNECTION]));

test("each kind says what it is and what to do, in both languages", async () => {
  for (const [locale, what] of [["en-GB", [/erased.*may still be saved/, /Two slots.*Give the card that is not C12 its own label/]], ["de-DE", [/gelöscht.*zu retten/, /Zwei Schächte.*ihr eigenes Etikett/]]]) {
    await play("risk", async ({ hub, open }) => {
      const page = await open("token-mia", { locale });
      tellKit(hub, { risks: [riskView(Date.now(), { kind: "fill_dropped" }), hub.kit.risks[1]] });
      for (const [index, pattern] of what.entries()) await untilText(page.locator(".risk-one").nth(index), pattern);
    });
  }
});

test("hub lost: the danger stays, and says that it is old; after a reconnection only what the hub says counts", () =>
  play("risk", async ({ hub, open }) => {
    const page = await open();
    await banner(page).waitFor();
    await hub.stop();
    await page.waitForSelector("body[data-link=lost]");
    await untilText(page.locator(".risk-old"), /HUB LOST: as of \d\d:\d\d\. Look for yourself\./);
    assert.notEqual(await banner(page).evaluate((root) => getComputedStyle(root).borderTopStyle), "solid");
    assert.equal(await page.title(), "HUB LOST · Swapcall");
    hub.kit.risks = [];
    await hub.start();
    await tryNow(page);
    await banner(page).waitFor({ state: "hidden" });
  }, [NO_CONNECTION]));

test("a hub that tells no kit leaves no danger of another one standing", () =>
  play("risk", async ({ hub, open }) => {
    const page = await open();
    await banner(page).waitFor();
    await hub.stop();
    await page.waitForSelector("body[data-link=lost]");
    hub.kit.revision = null;
    await hub.start();
    await tryNow(page);
    await banner(page).waitFor({ state: "hidden" });
  }, [NO_CONNECTION]));

test("it is read from afar, in both lights; on a phone its key is a target", async () => {
  for (const colorScheme of ["dark", "light"]) {
    await play("risk", async ({ open }) => {
      const page = await open("token-mia", { ...PHONE, colorScheme });
      await banner(page).waitFor();
      const words = [".risk-heading", ".risk-where", ".risk-kind", ".risk-known", ".risk-todo", ".risk-seen"];
      for (const { selector, fg, bg } of await allColoursOf(page, words)) assert.ok(contrast(fg, bg) >= 7, `${selector} ${fg} on ${bg}`);
      assert.ok((await page.locator(".risk-seen").boundingBox()).height >= 44);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      assert.ok(wide <= 0, `${wide} px too wide`);
    });
  }
});

test("for eyes of every kind: stripes and triangle of the frame, how far a pack is charged, and what is at risk, none by colour alone", async () => {
  for (const colorScheme of ["dark", "light"]) {
    await play("risk", async ({ hub, open }) => {
      const page = await open("token-mia", { colorScheme });
      await page.keyboard.press("b");
      await page.locator("#pool .pool-row[data-risk]").first().waitFor();
      const look = await page.evaluate(() => {
        const hex = (colour) => `#${colour.match(/\d+/g).slice(0, 3).map((part) => Number(part).toString(16).padStart(2, "0")).join("")}`;
        const of = (selector, part) => getComputedStyle(document.querySelector(selector), part);
        const root = of(":root");
        return {
          stripes: of("#risk").borderImageSource.match(/rgb\([^)]*\)/g).map(hex),
          triangle: of(".risk-heading", "::before").clipPath,
          bar: [root.getPropertyValue("--battery").trim(), hex(of(".pool-bar:not([hidden])").backgroundColor)],
          edges: [of("#pool .pool-row[data-risk]").borderLeftWidth, of("#pool .pool-row:not([data-risk])").borderLeftWidth],
        };
      });
      assert.ok(leastApart(look.stripes[0], look.stripes.at(-1)) >= 20, look.stripes.join());
      assert.match(look.triangle, /^polygon/);
      assert.ok(leastApart(...look.bar) >= 20, look.bar.join());
      assert.notEqual(...look.edges);
      await untilText(page.locator("#pool .pool-row[data-risk] .pool-mark").first(), /^AT RISK$/);
      await hub.stop();
      await page.waitForSelector("body[data-link=lost]");
      assert.equal(await banner(page).evaluate((root) => getComputedStyle(root).borderImageSource), "none");
      await hub.start();
    }, [NO_CONNECTION]);
  }
});
