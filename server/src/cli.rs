//! The command line of the hub.

use std::io::IsTerminal;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use clap::{Args, Parser, Subcommand};
use swapcall_desk::SystemClock;
use swapcall_http::TallyPorts;
use tokio::net::{TcpListener, UdpSocket};
use tokio::signal::unix::{SignalKind, signal};
use tracing_subscriber::EnvFilter;

use crate::backup::{self, BackupArguments, RestoreArguments, VerifyArguments};
use crate::config::{Config, Flags, LogFormat};
use crate::demo::DemoArguments;
use crate::token::TokenArguments;
use crate::{HubError, Settings, announce, demo, encryption, start, token};

/// The Swapcall hub: carts report, the hub predicts when each camera stops, and calls a runner in time.
#[derive(Debug, Parser)]
#[command(
    version,
    about,
    after_help = "Exit codes: 0 ok, 1 fault of the hub, 2 usage or configuration, 3 cannot listen, 4 data folder or journal, 5 a running hub refused."
)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Run the hub until Ctrl-C or SIGTERM.
    #[command(
        after_help = "Example: swapcall-hub serve --data /var/lib/swapcall --listen 0.0.0.0:7979 --tls-self-signed"
    )]
    Serve(ServeArguments),
    /// Add, list and revoke tokens, on a running hub or in a data folder that no hub uses.
    #[command(after_help = "Example: swapcall-hub token add Ana --role runner")]
    Token(TokenArguments),
    /// Write everything a running hub holds into one file.
    #[command(after_help = "Example: swapcall-hub backup saturday.backup --data /var/lib/swapcall")]
    Backup(BackupArguments),
    /// Make a new data folder from a backup.
    #[command(
        after_help = "Example: swapcall-hub restore saturday.backup --data /var/lib/swapcall-restored"
    )]
    Restore(RestoreArguments),
    /// Read every record again and check it: of a backup, or of a data folder that no hub uses.
    #[command(after_help = "Example: swapcall-hub verify saturday.backup")]
    Verify(VerifyArguments),
    /// A regatta with nine cameras, in compressed time, on a store of its own.
    #[command(after_help = "Example: swapcall-hub demo --speed 20")]
    Demo(DemoArguments),
    /// Print the OpenAPI document of the API.
    Openapi,
}

#[derive(Debug, Args)]
struct ServeArguments {
    #[command(flatten)]
    flags: Flags,
    /// TOML file with the same keys as the flags (`listen`, `data`, `cache_mib`, `log`, `log_format`, `grace_s`, `clock_rate`,
    /// `keep_days`, `volume_records`, `snapshot_records`, `tls_cert`, `tls_key`, `tls_self_signed`,
    /// `plaintext_on_network`, `no_announce`, `time_zone`, `tally_udp`, `tally_tcp`, `tally_from`), and `connections`, the most at a time; the
    /// environment (`SWAPCALL_HUB_LISTEN` …) comes after it, flags come last.
    #[arg(long, value_name = "FILE", env = "SWAPCALL_HUB_CONFIG")]
    config: Option<PathBuf>,
    /// Print the configuration that would be used, and stop.
    #[arg(long)]
    print_config: bool,
}

/// Carries out a command line.
pub fn run(arguments: Arguments) -> Result<(), HubError> {
    match arguments.command {
        Command::Serve(arguments) => serve(&arguments),
        Command::Token(arguments) => token::run(arguments),
        Command::Backup(arguments) => backup::back_up(&arguments),
        Command::Restore(arguments) => backup::restore(&arguments),
        Command::Verify(arguments) => backup::verify(&arguments),
        Command::Demo(arguments) => demo::run(&arguments),
        Command::Openapi => {
            println!("{}", swapcall_http::openapi_document());
            Ok(())
        }
    }
}

/// A runtime with as many threads as the machine has cores, four at most: the work is waiting, not computing.
pub(crate) fn runtime() -> Result<tokio::runtime::Runtime, HubError> {
    let cores = std::thread::available_parallelism().map_or(2, std::num::NonZero::get);
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(cores.min(4))
        .enable_all()
        .build()
        .map_err(|error| HubError::Internal(error.to_string()))
}

fn serve(arguments: &ServeArguments) -> Result<(), HubError> {
    let config = Config::load(arguments.config.as_deref(), &arguments.flags)?;
    if arguments.print_config {
        print!("{}", config.as_toml());
        return Ok(());
    }
    config.may_listen()?;
    log_to_stderr(&config)?;
    runtime()?.block_on(serve_until_stopped(config))
}

pub(crate) fn log_to_stderr(config: &Config) -> Result<(), HubError> {
    let filter = EnvFilter::try_new(&config.log)
        .map_err(|error| HubError::Config(format!("log: {error}")))?;
    let builder = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_ansi(std::io::stderr().is_terminal());
    let set = match config.log_format {
        LogFormat::Text => builder.try_init(),
        LogFormat::Json => builder.json().try_init(),
    };
    set.map_err(|error| HubError::Internal(error.to_string()))
}

async fn serve_until_stopped(config: Config) -> Result<(), HubError> {
    let listener = listen(config.listen).await?;
    let address = listener
        .local_addr()
        .map_or(config.listen, |address| address);
    let settings = Settings {
        store: config.store(),
        grace: Duration::from_secs(config.grace_s),
        owner_file: None,
        upkeep: config.upkeep(),
        encryption: encryption::from_config(&config, address)?,
        connections: config.connections,
        time_zone: config.show_zone(),
        tally: tally_ports(&config).await?,
    };
    if config.clock_rate > 1.0 {
        tracing::warn!(
            rate = config.clock_rate,
            "the hub's clock runs fast: this is a rehearsal, not a show"
        );
    }
    let clock = Arc::new(SystemClock::faster(config.clock_rate));
    let heard = settings.tally.heard_at();
    let encryption = settings.encryption.clone();
    let url = encryption::url(&encryption, address);
    let hub = start(settings, clock, listener, stop_signal()?).await?;
    encryption::keep_up_to_date(&encryption)?;
    println!("Swapcall hub at {url}");
    if let Some(token) = &hub.new_owner_token {
        println!(
            "Owner's token, shown this once and kept in {}:",
            config.data.join("owner-token").display()
        );
        println!("  {token}");
        println!("Open {url}/#token={token} to see the screen.");
    }
    encryption::introduce(&encryption, address);
    let announced = (!config.no_announce).then(|| announce::announce(address, &encryption));
    for (how, address) in heard {
        println!("Tally by {how} at {address}");
    }
    if !address.ip().is_loopback() && encryption.keys().is_none() {
        tracing::warn!(%address, "without TLS everybody on this network can read tokens and reports");
    }
    // A journal that fails ends the taking, not the hub: what is known is still worth seeing until somebody stops it.
    let stopped = hub.stopped().await;
    drop(announced);
    stopped
}

/// Binds what the configuration says of the vision mixer.
async fn tally_ports(config: &Config) -> Result<TallyPorts, HubError> {
    let mut ports = TallyPorts {
        from: config.tally_from.clone(),
        ..TallyPorts::default()
    };
    if let Some(address) = config.tally_udp {
        let bound = UdpSocket::bind(address).await;
        ports.udp = Some(bound.map_err(|source| HubError::Listen {
            address: address.to_string(),
            source,
        })?);
    }
    if let Some(address) = config.tally_tcp {
        ports.tcp = Some(listen(address).await?);
    }
    Ok(ports)
}

pub(crate) async fn listen(address: std::net::SocketAddr) -> Result<TcpListener, HubError> {
    TcpListener::bind(address)
        .await
        .map_err(|source| HubError::Listen {
            address: address.to_string(),
            source,
        })
}

/// Completes on Ctrl-C or SIGTERM.
pub(crate) fn stop_signal() -> Result<impl Future<Output = ()> + Send + 'static, HubError> {
    let mut terminate =
        signal(SignalKind::terminate()).map_err(|error| HubError::Internal(error.to_string()))?;
    let mut interrupt =
        signal(SignalKind::interrupt()).map_err(|error| HubError::Internal(error.to_string()))?;
    Ok(async move {
        tokio::select! {
            _ = terminate.recv() => tracing::info!("SIGTERM: stopping"),
            _ = interrupt.recv() => tracing::info!("Ctrl-C: stopping"),
        }
    })
}
