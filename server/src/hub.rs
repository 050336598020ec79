//! One hub: desk, edge and listener wired together.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use swapcall_desk::{Clock, Desk, DeskConfig, DeskThread, Phase, Upkeep};
use swapcall_http::{Encryption, Front, Metrics, TallyPorts};
use swapcall_journal::{MemoryJournal, SledOptions, SledSite};
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use uuid::Uuid;

use crate::{HubError, owner};

/// Where the journal lives.
#[derive(Clone, Debug)]
pub enum Store {
    /// In memory, gone with the process: for tests.
    Memory,
    /// In this folder.
    Folder {
        /// The data folder.
        path: PathBuf,
        /// What the journal may take; the identity of a new one is made here.
        options: SledOptions,
    },
}

/// What a hub needs to start.
#[derive(Debug)]
pub struct Settings {
    /// Where the journal lives.
    pub store: Store,
    /// How long requests and sockets get to end.
    pub grace: Duration,
    /// Where the owner's token is kept; next to the journal when `None` and the journal has a folder.
    pub owner_file: Option<PathBuf>,
    /// How the journal is looked after.
    pub upkeep: Upkeep,
    /// Whether it speaks TLS.
    pub encryption: Encryption,
    /// Connections at a time, at least 1; as many as fit when `None`.
    pub connections: Option<usize>,
    /// IANA name of the show's time zone; screens go by their own when `None`.
    pub time_zone: Option<String>,
    /// Where vision mixers are heard.
    pub tally: TallyPorts,
}

/// A running hub.
pub struct Hub {
    desk: Desk,
    thread: DeskThread,
    edge: JoinHandle<std::io::Result<swapcall_http::Closing>>,
    /// The owner's token, when this start created the store.
    pub new_owner_token: Option<String>,
}

/// Starts a hub: the listener answers at once (with `not-ready`), the journal is recovered, and the owner's token is
/// made where the store is new. Completes when the hub serves; an error means that nothing is left running.
/// `shutdown` ends it from outside: complete it, then call [`Hub::stopped`].
pub async fn start(
    settings: Settings,
    clock: Arc<dyn Clock>,
    listener: TcpListener,
    shutdown: impl Future<Output = ()> + Send + 'static,
) -> Result<Hub, HubError> {
    let metrics = Arc::new(Metrics::new()?);
    let seed = Uuid::new_v4().as_u64_pair().0;
    let config = DeskConfig {
        clock,
        observer: metrics.clone(),
        seed,
        upkeep: settings.upkeep,
    };
    let (desk, thread) =
        open(config, &settings.store).map_err(|error| HubError::Internal(error.to_string()))?;
    let (abandon, abandoned) = oneshot::channel::<()>();
    let either = async move {
        tokio::select! {
            () = shutdown => {}
            // Dropped unsent when the start succeeded, and then this must wait for the other for ever.
            Ok(()) = abandoned => {}
            else => std::future::pending().await,
        }
    };
    let front = Front {
        listener,
        encryption: settings.encryption,
        connections: settings.connections.unwrap_or_else(connections),
        time_zone: settings.time_zone,
        tally: settings.tally,
    };
    let edge = tokio::spawn(swapcall_http::serve(
        front,
        desk.clone(),
        metrics,
        either,
        settings.grace,
    ));
    let phase = desk
        .wait_for_phase(|phase| *phase != Phase::Replaying)
        .await;
    if let Phase::Failed(fault) = phase {
        let _ = abandon.send(());
        let _ = edge.await;
        // It may be waiting for the disk to come back.
        let _ = tokio::task::spawn_blocking(move || thread.stop()).await;
        return Err(HubError::Journal(fault.why.to_string()));
    }
    let owner_file = settings.owner_file.or(match &settings.store {
        Store::Memory => None,
        Store::Folder { path, .. } => Some(path.join(owner::FILE_NAME)),
    });
    let new_owner_token = owner::ensure(&desk, owner_file.as_deref()).await?;
    Ok(Hub {
        desk,
        thread,
        edge,
        new_owner_token,
    })
}

/// As many connections as are worth having, and no more than leave half of the file descriptors to the journal and to
/// whatever else the process opens.
fn connections() -> usize {
    let files = rustix::process::getrlimit(rustix::process::Resource::Nofile).current;
    let half = files.map_or(usize::MAX, |files| {
        usize::try_from(files / 2).unwrap_or(usize::MAX)
    });
    half.clamp(1, swapcall_http::limits::CONNECTIONS)
}

fn open(config: DeskConfig, store: &Store) -> std::io::Result<(Desk, DeskThread)> {
    let epoch = Uuid::new_v4();
    match store.clone() {
        Store::Memory => Desk::start(config, MemoryJournal::new(epoch).storage()),
        Store::Folder { path, options } => {
            let options = SledOptions {
                new_epoch: epoch,
                ..options
            };
            Desk::start(
                config,
                SledSite {
                    folder: path,
                    options,
                },
            )
        }
    }
}

impl Hub {
    /// The desk, for tests and figures.
    pub fn desk(&self) -> &Desk {
        &self.desk
    }

    /// Completes when the hub has stopped: requests ended, queue worked off, journal closed, sockets told. An error is
    /// a journal that failed while the hub ran.
    pub async fn stopped(self) -> Result<(), HubError> {
        let desk = self.desk.clone();
        let closing = self
            .edge
            .await
            .map_err(|error| HubError::Internal(error.to_string()))?;
        let thread = self.thread;
        tokio::task::spawn_blocking(move || thread.stop())
            .await
            .map_err(|error| HubError::Internal(error.to_string()))?;
        match closing {
            Ok(closing) => {
                if !closing.sockets_closed().await {
                    tracing::warn!("some live sockets did not close in time");
                }
            }
            Err(error) => return Err(HubError::Internal(error.to_string())),
        }
        match desk.phase() {
            Phase::Failed(fault) => Err(HubError::Journal(fault.why.to_string())),
            _ => Ok(()),
        }
    }

    /// Completes when the journal fails while the hub runs.
    pub async fn failed(desk: Desk) {
        desk.wait_for_phase(|phase| matches!(phase, Phase::Failed(_)))
            .await;
    }
}
