/**
 * What the browser itself writes to the console when something belongs to a story; the screens cannot keep it from doing so.
 */

/** A request that the hub refuses. */
export const REFUSED = /Failed to load resource: the server responded with a status of (401|409)/;
/** A hub that goes away: which words depends on whether the socket was asked for, open or in use (Chromium's net_error_list.h). */
export const NO_CONNECTION =
  /WebSocket connection to .* failed|net::ERR_(CONNECTION_(REFUSED|RESET|CLOSED|ABORTED|FAILED)|SOCKET_NOT_CONNECTED|EMPTY_RESPONSE|INCOMPLETE_CHUNKED_ENCODING|CONTENT_LENGTH_MISMATCH)/;
