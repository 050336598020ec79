//! End to end: the real hub and the real command line over real sockets and disks.

mod api_walk;
mod backup;
mod bounds;
mod browser_headers;
mod command;
mod fold;
mod forecasts;
mod joins;
mod limits;
mod live_socket;
mod oracles;
mod packs;
mod people;
mod problems;
mod qr;
mod readme;
mod recorded;
mod roles;
mod rundown;
mod screens;
mod secrets;
mod store;
mod tally;
mod texts;
mod tls;
mod undo;
