//! Every limit of the edge, with its reason.

use std::time::Duration;

use crate::bucket::Rate;

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

/// Units that one cart token may be bound to.
pub const UNITS_PER_TOKEN: usize = 256;

/// Requests of one token, reports and live frames aside: a screen that starts makes three, a person who presses keys as
/// fast as they can ten a second, and a lead's token may stand on a few tables. The burst lets a script set a show up.
pub(crate) const REQUESTS: Rate = Rate {
    per_s: 50.0,
    burst: 200.0,
};

/// Reports of one token, counted one by one however they are batched; an empty request counts as one. 60 units at one
/// report a second through one token are 60 a second. A cart that was away for an hour brings 3,600 of its own at once.
/// When one token carries 60 such units, 216,000 wait: 50,000 go at once and the rest in 83 s; the command line waits as
/// it is told and loses nothing.
pub(crate) const REPORTS: Rate = Rate {
    per_s: 2_000.0,
    burst: 50_000.0,
};

/// Live sockets of one token and its sessions: a crew's shared token on every phone. Beyond it 429; all sockets together
/// are bounded by the desk (503).
pub const SOCKETS_PER_TOKEN: usize = 100;

/// When a token has too many live sockets: somebody must close a screen, which takes a while.
pub(crate) const SOCKETS_RETRY_S: u32 = 30;

/// Wrong sign-ins of one address that are taken for typing mistakes: ten, and ten more each minute.
pub(crate) const WRONG_SIGN_INS: Rate = Rate {
    per_s: 10.0 / 60.0,
    burst: 10.0,
};

/// The first lock of an address, in seconds; each one in a row is twice as long.
pub(crate) const LOCK_FIRST_S: f64 = 10.0;

/// The longest lock, in seconds: what the command line is willing to wait.
pub(crate) const LOCK_LONGEST_S: f64 = 300.0;

/// An address that did not fail for so long, in seconds, begins anew.
pub(crate) const LOCK_FORGOTTEN_S: f64 = 900.0;

/// Addresses of which failures are remembered; each takes some 60 bytes.
pub(crate) const ADDRESSES: usize = 4_096;

/// Wrong join codes from all addresses together: a hundred, and thirty more each minute. A code is one of 20^10 ≈ 1.0e13
/// (43 bits). In the longest life of a code, an hour, 100 + 60 × 30 = 1,900 wrong ones are looked at; with the most codes
/// open at a time, 100, the chance that one of them is hit is 1,900 × 100 / 1.0e13 ≈ 2e-8. RFC 8628, section 5.1, asks for
/// 2^-32 ≈ 2.3e-10 for a single code: one code of ten minutes meets at most 400 guesses, 400 / 1.0e13 ≈ 4e-11.
pub(crate) const WRONG_CODES: Rate = Rate {
    per_s: 0.5,
    burst: 100.0,
};

/// How long a join code works where nobody says, in minutes: time to walk over and type it.
pub const JOIN_MINUTES: u32 = 10;

/// How long a join code may work at most, in minutes: a crew meeting.
pub const JOIN_MINUTES_MAX: u32 = 60;

/// Characters of what a parser says about a wrong body or query: it may repeat what it was given.
pub const COMPLAINT_CHARACTERS: usize = 300;
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

/// Lines of vision mixers at a time: a main and a spare of each kind, and some to spare.
pub const TALLY_LINES: usize = 16;

/// Tally packets that wait for the gatherer; further ones wait with the system.
pub const TALLY_HANDED_OVER: usize = 64;

/// Between two looks at what mixers have said: shorter than a frame of any picture.
pub const TALLY_GATHER: Duration = Duration::from_millis(15);

/// How long a tally that could not be stored waits for the next try.
pub const TALLY_AGAIN_AFTER: Duration = Duration::from_secs(1);

/// A tally line on which nothing comes is asked after so long, so often, so many times: a mixer that lost its power keeps
/// its place for a minute.
pub const TALLY_KEEPALIVE: (Duration, Duration, u32) =
    (Duration::from_secs(30), Duration::from_secs(10), 3);

/// How long accepting rests after an error such as no free file descriptor: others may give some back meanwhile.
pub const ACCEPT_AGAIN_AFTER: Duration = Duration::from_millis(100);
/// Between two words about the kit: a screen draws it no more often than this.
pub(crate) const KIT_PAUSE: Duration = Duration::from_millis(200);
