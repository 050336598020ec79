//! What is broken on purpose: `kill -9` under load, cut connections, bad lines, stalled readers, clocks that are wrong;
//! the power, at every point of a run, of a thinning, of a recovery and of a cart's spool; full, read-only, slow and broken
//! disks; the order of writes and syncs, watched from outside; and a day of all that for carts, on a clock that runs fast.

mod cart_clocks;
mod cart_kills;
mod crash;
mod crowd;
mod cuts;
mod day;
mod disk;
mod disk_recovery;
mod hub_clock;
mod judge;
mod listener;
mod mixed_run;
mod network;
mod oplog;
mod pace;
mod power;
mod power_recovery;
mod power_thinning;
mod preload;
mod probe;
mod promises;
mod readers;
mod rebuild;
mod sectors;
mod small_hub;
mod spool_power;
mod spools;
mod syncs;
mod thinned_run;
mod thinning;
mod truth;
