//! The test kit: the real binaries in throw-away folders, an API client that speaks the wire types, a live client that
//! keeps what a screen would keep, and carts that discharge.
//!
//! Everything here waits for a condition, never for a time, and gives up with a message that says what it waited for.

#![expect(
    clippy::missing_panics_doc,
    reason = "a test kit panics when a test fails; that is its answer"
)]

pub mod api;
pub mod binaries;
pub mod caller;
pub mod form;
pub mod hostile;
pub mod hub;
pub mod intervals;
pub mod live;
pub mod prognostics;
pub mod proxy;
pub mod ptp_camera;
pub mod vectors;
pub mod wait;
