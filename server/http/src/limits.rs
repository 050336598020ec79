//! Every limit of the edge, with its reason.

use std::time::Duration;

/// Reports in one request: a cart that was away for a quarter of an hour at one report a second.
pub const BATCH_REPORTS: usize = 1_000;

/// Bytes of a request's body: 1,000 full reports take about 700 kB.
pub const BODY_BYTES: usize = 2 * 1024 * 1024;

/// Bytes of a message from a live client: it has nothing to say.
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

/// Connections at a time, unless half of the process's file descriptors are fewer: every screen and cart of a fleet ten
/// times as large as the largest show, at about 20 kB each.
pub const CONNECTIONS: usize = 4_096;

/// A TLS handshake must be complete within this time: two round trips, and a slow phone's arithmetic.
pub const HANDSHAKE_WITHIN: Duration = Duration::from_secs(10);

/// Bytes of a request's headers, names and values: our clients send less than one thousand, a browser with cookies of
/// others on the same host a few.
pub const HEADER_BYTES: usize = 32 * 1024;

/// Bytes of a head that is still not complete: then the connection is closed, so that all of them together stay within
/// half a gigabyte whatever they send.
pub const HEAD_BYTES: usize = 128 * 1024;

/// A request's head must be complete within this time, counted from its first byte or from the connection: it is one or
/// two packets, sent at once by every client there is.
pub const HEAD_WITHIN: Duration = Duration::from_secs(10);

/// A body must be complete within this time: 2 MiB over a bad link of half a megabit per second.
pub const BODY_WITHIN: Duration = Duration::from_secs(30);

/// A connection on which nothing is asked is closed after this time: longer than the minute at which most clients repeat.
pub const IDLE_FOR: Duration = Duration::from_secs(75);

/// An answer of which nothing gets away for this time is given up, and its reader with it.
pub const READER_STALLS_FOR: Duration = Duration::from_secs(30);

/// Connections that wait to be served; the server takes them at once, so this only evens out bursts.
pub const HANDED_OVER: usize = 64;

/// How long accepting rests after an error such as no free file descriptor: others may give some back meanwhile.
pub const ACCEPT_AGAIN_AFTER: Duration = Duration::from_millis(100);
