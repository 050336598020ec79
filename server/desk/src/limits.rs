//! Every limit of the desk, with its reason. Crossing one has a documented answer.

use std::time::Duration;

/// Commands that may wait for the desk. At 500 commits a second on a slow disk and hundreds of commands per commit this
/// is a fraction of a second; beyond it the hub answers `busy` (503 with `Retry-After`), never drops silently.
pub const QUEUE_LENGTH: usize = 1_024;

/// Commands in one commit. More do not make the disk faster, and the first of them waits for the last.
pub const BATCH_COMMANDS: usize = 256;

/// Live subscribers at once: a crew of hundreds, every one with two screens.
pub const SUBSCRIBERS: usize = 2_048;

/// Call changes that wait for one slow subscriber before it is cut off to come back with its cursor. Units do not
/// count: only the newest state of each waits.
pub const WAITING_CALLS: usize = 1_024;

/// Records between two snapshots of the fold. A start replays at most this many.
pub const SNAPSHOT_EVERY: u64 = 50_000;

/// Hub time between two looks at the deadlines.
pub const TICK: Duration = Duration::from_secs(1);

/// Between two tries to go on after the disk failed.
pub const RETRY: Duration = Duration::from_secs(2);

/// Real time between two looks at whether old records can be thinned.
pub const TIDY_EVERY_S: f64 = 1.0;

/// How long every record is kept as it is, in seconds, unless told otherwise: three days, so that a weekend's shows can
/// still be looked at in full on Monday.
pub const KEEP_FULL_S: f64 = 3.0 * 86_400.0;

/// Records in one part of a backup: about 300 kB.
pub const BACKUP_RECORDS: usize = 2_048;
