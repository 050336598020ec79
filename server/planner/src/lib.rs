//! Placeholder while the walls go up.
