//! What is broken on purpose: `kill -9` under load, cut connections, bad lines, stalled readers, clocks that are wrong;
//! and the order of writes and syncs, watched from outside.
//! What is broken on purpose: `kill -9` under load, cut connections, stalled readers; the power, at every point of a
//! run; full, read-only, slow and broken disks; and the order of writes and syncs, watched from outside.

mod cart_clocks;
mod crash;
mod crowd;
mod disk;
mod disk_recovery;
mod hub_clock;
mod listener;
mod mixed_run;
mod network;
mod oplog;
mod power;
mod preload;
mod probe;
mod promises;
mod readers;
mod rebuild;
mod sectors;
mod spools;
mod syncs;
mod thinning;
