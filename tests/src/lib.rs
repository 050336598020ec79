//! Test kit.
