//! Every limit of the edge, with its reason.

use std::time::Duration;

/// Reports in one request: a cart that was away for a quarter of an hour at one report a second.
pub const BATCH_REPORTS: usize = 1_000;

/// Reports in one command to the desk. A request with more is handed over in pieces, one after the other, so that a
/// hundred spools that come in at once let what others say come between: each piece is a few milliseconds' work.
pub const COMMAND_REPORTS: usize = 100;

/// Bytes of a request's body: 1,000 full reports take about 700 kB.
pub const BODY_BYTES: usize = 2 * 1024 * 1024;

/// Bytes of a message from a live client, and of its socket's reading buffer: it has nothing to say, and a thousand
/// buffers of the library's usual 128 KiB would be 128 MiB.
pub const LIVE_MESSAGE_BYTES: usize = 4 * 1024;

/// Between heartbeats. Three missed ones are three seconds: what a crew can bear not to know.
pub const HEARTBEAT: Duration = Duration::from_secs(1);

/// Between pings. Two that go unanswered end the socket, so a pulled cable is noticed within half a minute.
pub const PING: Duration = Duration::from_secs(10);

/// One frame must leave within this time, else the reader is too slow.
pub const SEND_WITHIN: Duration = Duration::from_secs(10);

/// Between two refreshes of the forecasts of silent units on live sockets.
pub const AGED_EVERY: Duration = Duration::from_secs(10);

/// How long a browser's session lasts: a long show with its rehearsal.
pub const SESSION_HOURS: i64 = 7 * 24;

/// Clients are told to wait at least this long when the hub stops; they add chance of their own.
pub const COME_BACK_AFTER: Duration = Duration::from_millis(500);

/// Points that one history answer may hold at full resolution: a day at one report a second.
pub const HISTORY_POINTS: usize = 100_000;

/// Ended calls in one page.
pub const CALLS_PAGE: usize = 100;
