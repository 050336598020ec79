//! What is broken on purpose: `kill -9` under load, cut connections, stalled readers; the power, at every point of a
//! run; full, read-only, slow and broken disks; and the order of writes and syncs, watched from outside.

mod crash;
mod disk;
mod disk_recovery;
mod mixed_run;
mod oplog;
mod power;
mod preload;
mod promises;
mod readers;
mod rebuild;
mod sectors;
mod syncs;
