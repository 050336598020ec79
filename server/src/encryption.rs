//! Whether the hub speaks TLS: made from the configuration, told to whoever started it, and kept up to date.

use std::net::SocketAddr;
use std::time::Duration;

use swapcall_http::{Encryption, Keys, Looked};
use tokio::signal::unix::{SignalKind, signal};
use tokio::time::{MissedTickBehavior, interval};

use crate::config::Config;
use crate::{HubError, addresses, self_signed};

/// How often the files of the certificate are looked at: a renewed one is in use by the time somebody tries it.
const LOOK_EVERY: Duration = Duration::from_secs(2);

/// What the configuration asks for. `listen` is where the hub really listens.
pub(crate) fn from_config(config: &Config, listen: SocketAddr) -> Result<Encryption, HubError> {
    if config.tls_self_signed {
        return self_signed::ensure(&config.data, listen).map(Encryption::SelfSigned);
    }
    match (&config.tls_cert, &config.tls_key) {
        (Some(certificate), Some(key)) => Keys::load(certificate, key)
            .map(Encryption::Signed)
            .map_err(|error| HubError::Config(error.to_string())),
        _ => Ok(Encryption::Off),
    }
}

/// The hub's address as a browser takes it.
pub(crate) fn url(encryption: &Encryption, address: SocketAddr) -> String {
    let scheme = if encryption.keys().is_some() {
        "https"
    } else {
        "http"
    };
    format!("{scheme}://{address}")
}

/// Prints what a client needs to know this hub by. Where the hub listens on every address, the first one that others can
/// reach stands in the line to copy.
pub(crate) fn introduce(encryption: &Encryption, address: SocketAddr) {
    let Some(keys) = encryption.keys() else {
        return;
    };
    let fingerprint = keys.fingerprint();
    println!("Fingerprint of its certificate, to compare with what a browser or a cart sees:");
    println!("  {fingerprint}");
    let reachable = if address.ip().is_unspecified() {
        addresses::local()
            .first()
            .map_or(address, |ip| SocketAddr::new(*ip, address.port()))
    } else {
        address
    };
    println!("On another machine:");
    println!(
        "  swapcall fleet --hub https://{reachable} --hub-fingerprint {fingerprint} --token-file FILE"
    );
}

/// Reads the certificate again when its files change, and at once on SIGHUP, for as long as the hub runs.
pub(crate) fn keep_up_to_date(encryption: &Encryption) -> Result<(), HubError> {
    let Some(keys) = encryption.keys().cloned() else {
        return Ok(());
    };
    let mut hang_up =
        signal(SignalKind::hangup()).map_err(|error| HubError::Internal(error.to_string()))?;
    tokio::spawn(async move {
        let mut ticks = interval(LOOK_EVERY);
        ticks.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            let told = tokio::select! {
                _ = ticks.tick() => false,
                _ = hang_up.recv() => true,
            };
            let keys = keys.clone();
            // A disk that hangs must not hold up the requests.
            if let Ok(looked) = tokio::task::spawn_blocking(move || keys.look_again(told)).await {
                say(&looked);
            }
        }
    });
    Ok(())
}

fn say(looked: &Looked) {
    match looked {
        Looked::Unchanged => {}
        Looked::Taken(fingerprint) => {
            tracing::info!(fingerprint = %fingerprint, "new connections get the certificate as it is now");
        }
        Looked::Refused(error) => {
            tracing::error!(error = %error, "the new certificate cannot be used; the old one stays in use");
        }
    }
}
