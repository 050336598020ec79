/**
 * The panel of people: invitations by picture, code and link, who is on, ending a sign-in.
 */

import assert from "node:assert/strict";
import { contrast } from "./contrast.mjs";
import { allColoursOf, openTopMenu, tooLow, until, untilText } from "./kit.mjs";
import { person } from "./scenario-routes.mjs";
import { play, test } from "./stage.mjs";

const { inOrder, invitable, linkOf, personLine, pictureOf, timeLeftOf } = await import(new URL("../../server/web/assets/peoplemodel.js", import.meta.url));

const TURNED_DOWN = /Failed to load resource: the server responded with a status of (404|422)/;
const NOW = Date.parse("2026-06-13T09:14:05Z");

const openPeople = async (page) => {
  await openTopMenu(page);
  await page.locator("#people-open").click();
  await page.locator("#people").waitFor({ state: "visible" });
};
const field = (page, label) => page.locator("#people").getByLabel(label);
const make = (page) => page.locator("#people").getByRole("button", { name: "Make an invitation" }).click();

test("nobody invites for as much as they may do themselves", () => {
  assert.deepEqual(["cart", "runner", "lead", "owner", undefined].map(invitable), [[], [], ["runner"], ["runner", "lead"], []]);
});

test("a link is whole, and one that leads every device to itself is said to", () => {
  const link = "/#join=BCDFG-HJKLM";
  assert.deepEqual(linkOf({ link }, "https://192.168.1.10:7979"), { address: "https://192.168.1.10:7979/#join=BCDFG-HJKLM", warning: "" });
  for (const origin of ["http://127.0.0.1:7979", "http://localhost:7979", "http://[::1]:7979"]) assert.match(linkOf({ link }, origin).warning, /leads every device to itself/);
  assert.equal(linkOf({ link: `https://hub.example:7979${link}` }, "http://127.0.0.1:7979").address, `https://hub.example:7979${link}`);
});

test("a picture travels inside its address, whatever stands in it", () => {
  const svg = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0h1" fill="#000"/><text>100 % & "ü"</text></svg>';
  const address = pictureOf(svg);
  assert.match(address, /^data:image\/svg\+xml;charset=utf-8,[\w%.~!*'()-]+$/);
  assert.equal(decodeURIComponent(address.split(",")[1]), svg);
  assert.deepEqual([pictureOf(undefined), pictureOf("")], ["", ""]);
});

test("an invitation says how long it works, then that it is over", () => {
  const join = { expires_at: "2026-06-13T09:24:05Z" };
  assert.deepEqual(timeLeftOf(join, NOW), { over: false, text: "Works for 10 min more." });
  assert.equal(timeLeftOf(join, NOW + 600_000).over, true);
});

test("a line says who, what, and when; whoever has a screen open stands first", () => {
  const ana = person(NOW, { name: "Ana", sockets: 2, expires_at: "2026-06-13T17:14:05Z" });
  const ben = person(NOW, { name: "Ben", sockets: 0, session: false, heard_at: undefined });
  const cleo = person(NOW, { name: "Cleo", sockets: 0 });
  assert.deepEqual(personLine(ana, NOW, "Mia"), {
    name: "Ana", role: "runner", what: "signed in on a screen", when: "2 screens open · since 30 min · ends in 8 h 00",
  });
  assert.deepEqual(personLine(ben, NOW, "Ben"), { name: "Ben (your name)", role: "runner", what: "has a token", when: "not heard since the hub started · since 30 min" });
  assert.equal(personLine(cleo, NOW, "Mia").when, "heard 4 s ago · since 30 min");
  assert.deepEqual(inOrder([cleo, ben, ana]).map(({ name }) => name), ["Ana", "Ben", "Cleo"]);
});

test("a runner has no such button, and the key does nothing", () =>
  play("quiet", async ({ open }) => {
    const page = await open("token-mia");
    await page.locator(".row").first().waitFor();
    assert.equal(await page.locator("#people-open").isVisible(), false);
    await page.keyboard.press("p");
    await page.keyboard.press("?");
    await page.locator("#help").waitFor({ state: "visible" });
    assert.equal(await page.locator("#people").isVisible(), false);
  }));

test("a lead invites a runner: picture, code and link, with the time they work; closing takes them away", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-lead");
    await page.keyboard.press("p");
    await page.locator("#people").waitFor({ state: "visible" });
    await make(page);
    await untilText(page.locator("#people .form-wrong:visible"), /Say who it is for/);
    await field(page, "Name, as it stands on claims").fill("Ana");
    hub.answers.refuse = { pointer: "/name", detail: "stands twice" };
    await make(page);
    await untilText(page.locator("#people .form-wrong:visible"), /stands twice/);
    await make(page);
    await untilText(page.locator("#people .join-guest"), /^For Ana, runner\. Works once\.$/);
    await untilText(page.locator("#people .join-code"), /^BCDFG-HJKLM$/);
    assert.equal(await page.locator("#people .join-link").textContent(), `${hub.url}/#join=BCDFG-HJKLM`);
    await untilText(page.locator("#people .join-warning"), /leads every device to itself/);
    await untilText(page.locator("#people .join-left"), /^Works for (10|9) min more\.$/);
    await until(page, () => document.querySelector(".join-picture").naturalWidth > 0, null);
    await page.keyboard.press("Escape");
    await openPeople(page);
    assert.equal(await page.locator("#people .join").isVisible(), false);
    assert.equal((await page.locator("#people").textContent()).includes("BCDFG"), false);
  }, [TURNED_DOWN]));

test("an invitation says how long it works from the first moment that it is seen", () =>
  play("quiet", async ({ open }) => {
    const page = await open("token-lead");
    await openPeople(page);
    await page.evaluate(() => {
      const card = document.querySelector("#people .join");
      new MutationObserver(() => (window.leftAtFirst ??= card.querySelector(".join-left").textContent)).observe(card, { attributes: true });
    });
    await field(page, "Name, as it stands on claims").fill("Ana");
    await make(page);
    await page.locator("#people .join").waitFor({ state: "visible" });
    assert.match(await page.evaluate(() => window.leftAtFirst), /^Works for (10|9) min more\.$/);
  }, [TURNED_DOWN]));

test("without a picture from the hub the code must do, and it says so", () =>
  play("quiet", async ({ hub, open }) => {
    hub.answers.qr = "";
    const page = await open("token-owner");
    await openPeople(page);
    await field(page, "Name, as it stands on claims").fill("Lou");
    await field(page, "Role").selectOption("lead");
    await make(page);
    await untilText(page.locator("#people .join"), /For Lou, lead\..*no picture to scan/);
    assert.equal(await page.locator("#people .join-picture").isVisible(), false);
  }, [TURNED_DOWN]));

test("an invitation that is too old is no longer shown as one that works", () =>
  play("quiet", async ({ hub, open }) => {
    const page = await open("token-lead");
    await openPeople(page);
    await field(page, "Name, as it stands on claims").fill("Ana");
    await make(page);
    await untilText(page.locator("#people .join-code"), /BCDFG/);
    hub.say({ type: "heartbeat", seq: hub.seq, now: new Date(Date.now() + 700_000).toISOString() });
    await untilText(page.locator("#people .join-left"), /too old now/);
    assert.deepEqual([await page.locator("#people .join-code").textContent(), await page.locator("#people .join-picture").isVisible()], ["", false]);
  }, [TURNED_DOWN]));

test("who is on, and the end of a sign-in at the second press", () =>
  play("quiet", async ({ hub, open }) => {
    hub.answers.people = [person(Date.now(), { name: "Ana", sockets: 0 }), person(Date.now(), { name: "Lead", role: "lead" })];
    const page = await open("token-lead");
    await openPeople(page);
    await untilText(page.locator("#people .people-said"), /2 sign-ins/);
    await page.locator("#people .person-name").nth(1).waitFor();
    assert.deepEqual(await page.locator("#people .person-name").allTextContents(), ["Lead (your name)", "Ana"]);
    const ana = page.locator("#people .person", { hasText: "Ana" });
    await ana.getByRole("button", { name: "End" }).click();
    await untilText(ana.locator("button"), /End Ana's\? Press again/);
    assert.equal(hub.answers.people.length, 2);
    await ana.locator("button").click();
    await ana.waitFor({ state: "detached" });
    await untilText(page.locator("#people .people-said"), /must be invited again/);
    assert.deepEqual(hub.answers.people.map(({ name }) => name), ["Lead"]);
  }));

test("a hub too old to say who is on: it says what does the same", () =>
  play("quiet", async ({ open }) => {
    const page = await open("token-lead");
    await openPeople(page);
    await untilText(page.locator("#people .people-said"), /cannot say who is on.*swapcall-hub token list/);
  }, [TURNED_DOWN]));

test("the panel of people is readable in both lights, and fits a phone", async () => {
  for (const colorScheme of ["dark", "light"]) {
    await play("quiet", async ({ hub, open }) => {
      hub.answers.people = [person(Date.now(), { name: "A name of sixty-four letters, which is the longest that may stand.", sockets: 0 })];
      const page = await open("token-lead", { colorScheme, viewport: { width: 390, height: 844 } });
      await openPeople(page);
      await field(page, "Name, as it stands on claims").fill("Ana");
      await make(page);
      await page.locator(".join-code").waitFor();
      await page.locator(".person").waitFor();
      const words = [".join-guest", ".join-code", ".join-link", ".join-warning", ".join-left", ".person-name", ".person-role", ".person-what", ".person-when", ".people-said", "label", "button:not(:disabled)"];
      const found = await allColoursOf(page, words.map((selector) => `#people ${selector}`));
      assert.deepEqual(words.filter((selector) => !found.some((one) => one.selector === `#people ${selector}`)), []);
      for (const { selector, fg, bg } of found) assert.ok(contrast(fg, bg) >= 4.5, `${colorScheme} ${selector}: ${fg} on ${bg}`);
      assert.deepEqual(await tooLow(page, "#people :is(button, input, select)", 44), []);
      const wide = await page.evaluate(() => document.querySelector("#people").scrollWidth - innerWidth);
      assert.ok(wide <= 0, `${wide} px too wide`);
    }, [TURNED_DOWN]);
  }
});
