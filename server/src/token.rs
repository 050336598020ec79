//! `swapcall-hub token`: adds, lists and revokes tokens.
//!
//! A running hub is asked through its API with the owner's token from the data folder. Where none runs, the same API is
//! started on the folder for the moment it takes, on a loopback port: one way for every change.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use clap::{Args, Subcommand, ValueEnum};
use swapcall_desk::SystemClock;
use swapcall_http::{Encryption, TallyPorts};
use swapcall_trust::{Fingerprint, fingerprint_of_file};
use swapcall_wire::{NewToken, Role, TokenCreated, TokenList};
use tokio::sync::oneshot;
use uuid::Uuid;

use crate::cli::{listen, runtime};
use crate::config::{Config, Flags};
use crate::remote::Remote;
use crate::{HubError, Settings, owner, self_signed, start};

/// Arguments of `swapcall-hub token`.
#[derive(Debug, Args)]
pub(crate) struct TokenArguments {
    #[command(subcommand)]
    command: TokenCommand,
    /// The data folder, for the owner's token in it.
    #[arg(long, global = true, value_name = "FOLDER")]
    data: Option<PathBuf>,
    /// Where the hub runs.
    #[arg(long, global = true, value_name = "ADDRESS:PORT")]
    listen: Option<SocketAddr>,
    /// The hub's TOML file.
    #[arg(long, global = true, value_name = "FILE", env = "SWAPCALL_HUB_CONFIG")]
    config: Option<PathBuf>,
    /// Fingerprint of the hub's certificate, for a hub whose certificate is neither in its data folder nor in its TOML
    /// file.
    #[arg(
        long,
        global = true,
        value_name = "SHA256:…",
        env = "SWAPCALL_HUB_FINGERPRINT"
    )]
    hub_fingerprint: Option<Fingerprint>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum RoleName {
    Cart,
    Runner,
    Lead,
    Owner,
}

#[derive(Debug, Subcommand)]
enum TokenCommand {
    /// Make a token and print it, this once.
    Add {
        /// Whose it is; shown on claims.
        name: String,
        /// What it may do.
        #[arg(long, value_enum)]
        role: RoleName,
        /// For a cart: the units it may report for; every unit when left out.
        #[arg(long = "unit", value_name = "UNIT")]
        units: Vec<String>,
    },
    /// List tokens and sessions, without secrets.
    List,
    /// Revoke a token or session.
    Revoke {
        /// Its identity, from the list.
        id: Uuid,
    },
}

/// Carries out `swapcall-hub token`.
pub(crate) fn run(arguments: TokenArguments) -> Result<(), HubError> {
    let flags = Flags {
        data: arguments.data,
        listen: arguments.listen,
        ..Flags::default()
    };
    let config = Config::load(arguments.config.as_deref(), &flags)?;
    for remote in ways(&config, arguments.hub_fingerprint)? {
        if remote.answers()? {
            let remote = remote.with_token(read_owner_token(&config.data)?);
            return act(&remote, arguments.command);
        }
    }
    runtime()?.block_on(act_on_folder(&config, arguments.command))
}

/// How the hub of this configuration may be reached, the likeliest first. Its certificate is in a file here, so that no
/// other is taken for it.
pub(crate) fn ways(config: &Config, given: Option<Fingerprint>) -> Result<Vec<Remote>, HubError> {
    let pinned = |fingerprint| Remote::pinned(format!("https://{}", config.listen), fingerprint);
    if let Some(fingerprint) = given {
        return Ok(vec![pinned(fingerprint)?]);
    }
    let file = config
        .tls_cert
        .clone()
        .or_else(|| self_signed::certificate_in(&config.data));
    let mut ways = Vec::new();
    if let Some(file) = file {
        let fingerprint =
            fingerprint_of_file(&file).map_err(|error| HubError::Config(error.to_string()))?;
        ways.push(pinned(fingerprint)?);
    }
    // A hub of this folder may run without TLS today.
    ways.push(Remote::new(format!("http://{}", config.listen), ""));
    Ok(ways)
}

pub(crate) fn read_owner_token(data: &Path) -> Result<String, HubError> {
    let path = data.join(owner::FILE_NAME);
    let text = std::fs::read_to_string(&path).map_err(HubError::file(path))?;
    Ok(text.trim().to_owned())
}

/// Starts the API on the folder for the moment it takes.
async fn act_on_folder(config: &Config, command: TokenCommand) -> Result<(), HubError> {
    let listener = listen(SocketAddr::from(([127, 0, 0, 1], 0))).await?;
    let address = listener
        .local_addr()
        .map_err(|error| HubError::Internal(error.to_string()))?;
    let (stop, stopped) = oneshot::channel::<()>();
    let settings = Settings {
        store: config.store(),
        grace: Duration::from_secs(1),
        owner_file: None,
        upkeep: config.upkeep(),
        encryption: Encryption::Off,
        connections: None,
        time_zone: None,
        tally: TallyPorts::default(),
    };
    let wait = async move {
        let _ = stopped.await;
    };
    let hub = start(settings, Arc::new(SystemClock::real()), listener, wait).await?;
    let remote = Remote::new(format!("http://{address}"), read_owner_token(&config.data)?);
    let done = tokio::task::spawn_blocking(move || act(&remote, command)).await;
    let _ = stop.send(());
    hub.stopped().await?;
    done.map_err(|error| HubError::Internal(error.to_string()))?
}

fn act(remote: &Remote, command: TokenCommand) -> Result<(), HubError> {
    match command {
        TokenCommand::Add { name, role, units } => {
            let role = match role {
                RoleName::Cart => Role::Cart,
                RoleName::Runner => Role::Runner,
                RoleName::Lead => Role::Lead,
                RoleName::Owner => Role::Owner,
            };
            let created: TokenCreated = remote
                .post("/v1/tokens", &NewToken { name, role, units })?
                .or_error()?;
            println!("{}", created.token);
        }
        TokenCommand::List => {
            let list: TokenList = remote.get("/v1/tokens")?.or_error()?;
            for token in list.tokens {
                let role = format!("{:?}", token.role).to_lowercase();
                let kind = if token.session { "session" } else { "token" };
                println!(
                    "{}  {role:<6}  {kind:<7}  {}  {}",
                    token.id,
                    token.name,
                    token.units.join(" ")
                );
            }
        }
        TokenCommand::Revoke { id } => {
            remote.delete(&format!("/v1/tokens/{id}"))?.or_error()?;
            println!("revoked {id}");
        }
    }
    Ok(())
}
