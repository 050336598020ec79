//! The demo regatta: a hub on a store of its own, nine virtual carts along a rowing course, and four runners, in
//! compressed time.
//!
//! `world` and everything below it (`unit`, `pack`, `cards`, `programme`, `running_order`, `course`, `chance`) is a pure model. Around it,
//! `carts` and `runners` are threads that talk to the hub through its API only, as real ones do.

use std::io::ErrorKind;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::time::Duration;

use clap::Args;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};

use self::folder::StoreFolder;
use self::stage::{Play, Stage};
use crate::cli::{listen, runtime, stop_signal};
use crate::{Hub, HubError, owner};

mod cards;
mod carts;
mod chance;
mod course;
mod folder;
mod mixer;
mod pace;
mod pack;
mod programme;
mod runners;
mod running_order;
mod stage;
mod store;
mod teller;
#[cfg(test)]
mod tests;
mod unit;
mod world;

/// Where the demo listens unless told otherwise.
const USUAL: SocketAddr =
    SocketAddr::new(std::net::IpAddr::V4(std::net::Ipv4Addr::LOCALHOST), 7979);
/// Units that four runners can serve.
const UNITS_PER_CREW: usize = 9;
const RUNNERS_PER_CREW: usize = 4;

/// Arguments of `swapcall-hub demo`.
#[derive(Debug, Args)]
pub(crate) struct DemoArguments {
    /// Regatta seconds per real second, 1 to 60.
    #[arg(long, default_value = "20", value_parser = speed)]
    speed: f64,
    /// Chance: the same number gives the same regatta.
    #[arg(long, default_value = "1")]
    seed: u64,
    /// Address and port to listen on [default: 127.0.0.1:7979, or a free port where that is taken].
    #[arg(long, value_name = "ADDRESS:PORT")]
    listen: Option<SocketAddr>,
    /// How many units, 1 to 60.
    #[arg(long, value_name = "N", default_value = "9", value_parser = clap::value_parser!(u8).range(1..=60))]
    units: u8,
    /// Keep the store in this folder, which must be new or empty.
    #[arg(long, value_name = "FOLDER")]
    keep: Option<PathBuf>,
    /// Write the owner's token to this file, for scripts; the file goes at the end unless --keep is given.
    #[arg(long, value_name = "FILE")]
    token_file: Option<PathBuf>,
    /// Leave the calls to whoever is at the screen: claim one and say done, and the swap is carried out.
    #[arg(long)]
    no_runners: bool,
}

fn speed(text: &str) -> Result<f64, String> {
    match text.parse() {
        Ok(speed) if (1.0..=60.0).contains(&speed) => Ok(speed),
        _ => Err("must be a number from 1 to 60".to_owned()),
    }
}

impl DemoArguments {
    fn play(&self) -> Play {
        let units = usize::from(self.units);
        Play {
            speed: self.speed,
            seed: self.seed,
            units,
            runners: if self.no_runners {
                0
            } else {
                RUNNERS_PER_CREW * units.div_ceil(UNITS_PER_CREW)
            },
            report_every: Duration::from_secs(1),
        }
    }
}

/// Runs the demo until Ctrl-C.
pub(crate) fn run(arguments: &DemoArguments) -> Result<(), HubError> {
    let runtime = runtime()?;
    let outcome = runtime.block_on(until_stopped(arguments));
    // A request that hangs must not hold up the end.
    runtime.shutdown_timeout(Duration::from_millis(300));
    outcome
}

async fn until_stopped(arguments: &DemoArguments) -> Result<(), HubError> {
    let stop = stop_signal()?;
    let mut hangup =
        signal(SignalKind::hangup()).map_err(|error| HubError::Internal(error.to_string()))?;
    let stop = async move {
        tokio::select! {
            () = stop => {}
            _ = hangup.recv() => {}
        }
    };
    tokio::pin!(stop);
    let listener = match arguments.listen {
        Some(address) if address.ip().is_loopback() => listen(address).await?,
        Some(address) => {
            return Err(HubError::Config(format!(
                "the demo has no TLS, so it stays on this machine: {address} is beyond it. Leave --listen out, or name a \
                 port of 127.0.0.1"
            )));
        }
        None => listen_somewhere().await?,
    };
    let folder = StoreFolder::make(arguments.keep.as_deref())?;
    let play = arguments.play();
    let mut stage = tokio::select! {
        stage = Stage::put_up(&play, folder.path(), listener) => stage?,
        () = &mut stop => return Ok(()),
    };
    let token_file = arguments.token_file.as_deref();
    let result = perform(&mut stage, arguments, stop).await;
    let ended = stage.take_down().await;
    if let (Some(file), None) = (token_file, &arguments.keep) {
        // It opens nothing any more.
        let _ = std::fs::remove_file(file);
    }
    result.and(ended)
}

/// The usual port, so that the address is easy to remember; any other where that is taken.
async fn listen_somewhere() -> Result<TcpListener, HubError> {
    match listen(USUAL).await {
        Err(HubError::Listen { source, .. }) if source.kind() == ErrorKind::AddrInUse => {
            listen(SocketAddr::new(USUAL.ip(), 0)).await
        }
        other => other,
    }
}

async fn perform(
    stage: &mut Stage,
    arguments: &DemoArguments,
    stop: impl Future<Output = ()>,
) -> Result<(), HubError> {
    if let Some(file) = &arguments.token_file {
        owner::write_private(file, &stage.owner).map_err(HubError::file(file))?;
    }
    if teller::say(&welcome(arguments, stage)).is_err() {
        return Ok(());
    }
    stage.tell()?;
    let desk = stage.hub.desk().clone();
    tokio::select! {
        () = stop => Ok(()),
        () = stage.ended() => Ok(()),
        () = Hub::failed(desk) => Err(HubError::Journal("the demo's store failed".to_owned())),
    }
}

fn welcome(arguments: &DemoArguments, stage: &Stage) -> String {
    let kept = |path: &Path| format!("\nThe store stays in {}.", path.display());
    let crew = if arguments.no_runners {
        "Nobody answers the calls but you: claim one on the screen, then say done, and the swap is carried out."
    } else {
        "Runners claim the calls, walk there and swap; now and then one is late. You may take calls as well."
    };
    format!(
        "Regatta demo: {} cameras along a rowing course, {} times as fast as life.\n\
         Open {}/#token={} to see the screen.\n\n\
         Watch the time left of each camera, and the calls that come before it is over.\n\
         All times are regatta time: it began at the time of day and runs ahead.\n\
         {crew}\n\
         Look at TOWER and ISLE: one loses its power after a while, the other has a bad radio link.{}\n\
         Ctrl-C ends the demo.\n",
        arguments.units,
        arguments.speed,
        stage.base,
        stage.lead,
        arguments.keep.as_deref().map(kept).unwrap_or_default(),
    )
}

#[cfg(test)]
mod argument_tests {
    use super::*;
    use clap::Parser;

    #[derive(Parser)]
    struct Line {
        #[command(flatten)]
        arguments: DemoArguments,
    }

    fn play(line: &[&str]) -> Result<Play, clap::Error> {
        let line = Line::try_parse_from(std::iter::once(&"demo").chain(line))?;
        Ok(line.arguments.play())
    }

    #[test]
    fn four_runners_serve_nine_units_and_more_serve_more() {
        let usual = play(&[]).unwrap();
        assert_eq!((usual.units, usual.runners), (9, 4));
        assert!((usual.speed - 20.0).abs() < 1e-9);
        assert_eq!(play(&["--units", "60"]).unwrap().runners, 28);
        assert_eq!(play(&["--no-runners"]).unwrap().runners, 0);
    }

    #[test]
    fn what_makes_no_sense_is_refused() {
        for line in [
            ["--speed", "0.5"],
            ["--speed", "61"],
            ["--speed", "NaN"],
            ["--units", "0"],
            ["--units", "61"],
        ] {
            assert!(play(&line).is_err(), "{line:?}");
        }
    }
}
