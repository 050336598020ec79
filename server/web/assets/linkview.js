/**
 * How the connection to the hub looks: a word at the top, and a banner nobody can overlook when the hub is lost.
 * @module linkview
 */

import { whoAmI } from "./api.js";
import { byId, setAttribute, setText, show } from "./dom.js";
import { clockTime, foreignPlace } from "./time.js";
import { link as words, top } from "./words.js";

/** @param {import("./live.js").LiveLink} live */
export function drawLink(live) {
  const short = { connecting: words.connecting, live: words.live, lost: words.lostShort, signed_out: words.signedOut };
  setText(byId("link"), short[live.state]);
  setAttribute(byId("link"), "data-link", live.state);
  show(byId("banner"), live.state === "lost");
  if (live.state !== "lost") return;
  const since = live.heardHub;
  setText(byId("banner-text"), since === null ? words.neverReached : words.lost(clockTime(since, true)));
  const retry = live.retryInMs();
  setText(byId("banner-retry"), retry === null ? words.trying : words.retry(retry));
  setText(byId("try-now"), words.tryNow);
}

/**
 * Names the place whose time is shown, where it is not the viewer's own.
 * @param {number|null} now the hub's clock, `null` before it is known
 */
export function drawZone(now) {
  const place = now === null ? "" : foreignPlace(now);
  show(byId("zone"), place !== "");
  if (place !== "") setText(byId("zone"), top.timeIn(place));
}

/** Tells a hub that no longer knows us from one that is gone. @returns {Promise<"ok"|"signed_out"|"unreachable">} */
export async function checkSession() {
  const answer = await whoAmI();
  if (answer.outcome === "ok") return "ok";
  return answer.status === 401 ? "signed_out" : "unreachable";
}
