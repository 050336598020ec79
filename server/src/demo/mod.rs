//! The demo regatta.

use clap::Args;

use crate::HubError;

/// Arguments of `swapcall-hub demo`.
#[derive(Debug, Args)]
pub struct DemoArguments {}

/// Runs the demo until Ctrl-C.
pub(crate) fn run(_arguments: &DemoArguments) -> Result<(), HubError> {
    Err(HubError::Internal("not yet".to_owned()))
}
