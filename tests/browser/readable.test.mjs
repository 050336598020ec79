/**
 * Contrast as painted, in every state and both lights (WCAG 2.2, SC 1.4.3, 1.4.6, 1.4.11): every word against every colour
 * of what it lies on, hatches too; marks that carry a meaning; the ring of focus.
 */

import assert from "node:assert/strict";
import { everyAge } from "./marks.mjs";
import { seen, tooWeak } from "./readable.mjs";
import { play, test } from "./stage.mjs";
import { STATES, reach } from "./states.mjs";

const WIDE = { viewport: { width: 1920, height: 1080 } };
const PHONE = { viewport: { width: 390, height: 844 } };

/** On the ops screen these are read at three metres. */
const AFAR = /\.(call-unit|call-in|call-position|call-by|call-number|call-state|call-leave|callsign|big|range|mark|label|flag|window-word|risk-heading|risk-where|risk-todo)\b|#(clock|banner-text|calls-heading|calls-none-text)\b/;

const leastForWords = (state) => (what) => (state.path !== "/runner" && AFAR.test(what) ? 7 : 4.5);

/**
 * Marks that carry a meaning, and where their colour stands. Left out is what only decorates: the lines of the grid, the
 * thin lines between rows, and the hatch of old rows, beside which the age, a dashed bar and a word say the same.
 */
const MARKS = [
  [".row[data-state=fresh] .bar-battery", "backgroundColor"],
  [".row[data-state=fresh] .bar-cards", "borderTopColor"],
  [".row[data-state=silent] .bar", "borderTopColor"],
  [".row[data-state=fresh] .mark", "backgroundColor"],
  // While the hub is lost a dark row must not stand out: its words say it then.
  ["body:not([data-link=lost]) .row[data-state=dark]", "backgroundColor"],
  [".row[data-call=open]::before", "borderTopColor"],
  [".row[data-call=claimed]::before", "borderTopColor"],
  [".be-there::after", "borderLeftColor"],
  [".window-held", "borderTopColor"],
  [".air:not(:empty)", "borderTopColor"],
  [".window-break", "borderTopColor"],
  [".window-rolling", "backgroundColor"],
  [".cause-battery", "backgroundColor"],
  [".cause-cards", "borderTopColor"],
  [".key-battery", "backgroundColor"],
  [".key-cards", "borderTopColor"],
  [".bring i", "borderTopColor"],
  [".call", "borderTopColor"],
  [".slip", "borderTopColor"],
  [".job", "borderTopColor"],
  ["#unsent", "borderTopColor"],
  [".pool-chosen", "borderTopColor"],
  [".pool-row[data-risk]", "borderLeftColor"],
  [".pool-bar:not([hidden])", "borderTopColor"],
  [".risk-one", "borderTopColor"],
  ["button:enabled", "borderTopColor|backgroundColor"],
  [":is(input, select):enabled", "borderTopColor"],
  ["#link", "borderTopColor"],
  [".notice-undo .notice-bar", "borderTopColor"],
  [".pic-battery", "stroke"],
  [".pic-card", "stroke"],
  [".pic-fan", "stroke"],
  [".pic-swap", "stroke"],
  [".pic-ended", "stroke"],
  [".pic-happened", "stroke"],
  [".pic-stopped", "fill"],
  [".pic-served", "stroke"],
  [".pic-mode-recording", "fill"],
  [".pic-mode-standby", "fill"],
  [".pic-battery-line", "stroke"],
  [".pic-cards-line", "stroke"],
  [".pic-present", "stroke"],
];

/** What was found anywhere, so that no place in the list has become a name for nothing. */
const found = new Set();

STATES.forEach((state) => {
  test(`words, marks and focus are seen: ${state.name}`, async () => {
    const size = state.path === "/runner" ? PHONE : WIDE;
    for (const once of state.brief ? [["dark"], ["light"]] : [["dark", "light"]]) {
      await play(state.scenario, async ({ hub, open }) => {
        if (state.scenario === "held") everyAge(hub);
        const page = await open(state.token === undefined ? "token-mia" : state.token, { ...size, colorScheme: once[0], path: state.path });
        await reach(state, page, hub);
        for (const colorScheme of once) {
          await page.emulateMedia({ colorScheme });
          const words = await seen(page, "words");
          assert.ok(words.length >= 5, `${state.name}: ${words.length} words`);
          const marks = await seen(page, "marks", MARKS);
          for (const { what } of marks) found.add(what);
          const wrong = [...tooWeak(words, leastForWords(state)), ...tooWeak(marks, () => 3)];
          assert.deepEqual(wrong, [], `${state.name}, ${colorScheme}`);
        }
        // Keys make the browser show the focus.
        await page.keyboard.press("Tab");
        for (const colorScheme of once) {
          await page.emulateMedia({ colorScheme });
          assert.deepEqual(tooWeak(await seen(page, "rings"), () => 3), [], `${state.name}, ${colorScheme}`);
        }
      }, state.expected);
    }
  });
});

test("every mark of the list was looked at somewhere", () => {
  assert.deepEqual(MARKS.map((one) => one.join(" ")).filter((what) => !found.has(what)), []);
});

test("the check finds words on a hatch as dark as they are, a pale mark, and a ring nobody sees", () =>
  play("quiet", async ({ open }) => {
    const page = await open("token-mia", { ...WIDE, colorScheme: "dark" });
    await page.locator(".row").first().waitFor();
    await page.evaluate(() => {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(`
        #calls-none { background: repeating-linear-gradient(135deg, #f4f4ee 0 6px, transparent 6px 16px); }
        .bar-battery { background: #30343a !important; }
        #help-open:focus-visible { outline-color: #202020; }
        #volume:focus-visible { outline: none; }`);
      document.adoptedStyleSheets = [sheet];
    });
    const words = tooWeak(await seen(page, "words"), () => 4.5);
    assert.ok(words.length === 2 && words.every((one) => /#calls-none-(text|next)/.test(one)), words.join("\n"));
    assert.match(tooWeak(await seen(page, "marks", MARKS), () => 3).join(), /^\.row\[data-state=fresh\] \.bar-battery/);
    await page.keyboard.press("Tab");
    const rings = tooWeak(await seen(page, "rings"), () => 3);
    assert.ok(rings.length === 2 && /help-open/.test(rings.join()) && /#volume.*shows no focus/.test(rings.join()), rings.join("\n"));
  }));
