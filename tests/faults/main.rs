//! What is broken on purpose: `kill -9` under load, cut connections, bad lines, stalled readers, clocks that are wrong;
//! the power, at every point of a run, of a thinning and of a recovery; full, read-only, slow and broken disks; and the
//! order of writes and syncs, watched from outside.

mod cart_clocks;
mod crash;
mod crowd;
mod cuts;
mod disk;
mod disk_recovery;
mod hub_clock;
mod judge;
mod listener;
mod mixed_run;
mod network;
mod oplog;
mod power;
mod power_recovery;
mod power_thinning;
mod preload;
mod probe;
mod promises;
mod readers;
mod rebuild;
mod sectors;
mod spools;
mod syncs;
mod thinned_run;
mod thinning;
mod truth;
