/**
 * The live socket, which may be opened before the rest of the page has come: then the fleet is on its way meanwhile, and
 * what was said is kept until somebody listens.
 * @module socket
 */

/** @typedef {{socket: WebSocket, said: MessageEvent[], ended: boolean}} Ahead a socket without a listener, and what it said */

/** @type {Ahead|null} */
let ahead = null;

/** @param {{after: string, epoch: string}|null} cursor where to go on @returns {URL} */
function address(cursor) {
  const url = new URL("/v1/live", location.href);
  url.protocol = url.protocol === "https:" ? "wss:" : "ws:";
  url.hash = "";
  for (const [name, value] of Object.entries(cursor ?? {})) url.searchParams.set(name, value);
  return url;
}

/** Opens the socket that the first `openSocket` will take. */
export function openAhead() {
  /** @type {Ahead} */
  const held = { socket: new WebSocket(address(null)), said: [], ended: false };
  held.socket.onmessage = (event) => held.said.push(event);
  held.socket.onclose = () => (held.ended = true);
  ahead = held;
}

/**
 * @param {{after: string, epoch: string}|null} cursor where to go on; `null` for everything from the beginning
 * @param {{onMessage: (event: MessageEvent) => void, onClose: (event: CloseEvent) => void}} told nothing before this returns
 * @returns {WebSocket}
 */
export function openSocket(cursor, { onMessage, onClose }) {
  const held = ahead;
  ahead = null;
  const usable = held !== null && !held.ended && cursor === null;
  if (!usable) held?.socket.close();
  const socket = usable ? held.socket : new WebSocket(address(cursor));
  socket.onmessage = onMessage;
  socket.onclose = onClose;
  if (usable) {
    queueMicrotask(() => {
      // Whoever has let go of the socket meanwhile hears no more of it.
      for (const event of held.said) if (socket.onmessage !== null) onMessage(event);
    });
  }
  return socket;
}
