//! What is broken on purpose: `kill -9` under load, cut connections, stalled readers; and the order of writes and
//! syncs, watched from outside.

mod crash;
mod listener;
mod readers;
mod syncs;
