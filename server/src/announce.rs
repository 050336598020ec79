//! The hub on the local network, by DNS-SD (RFC 6763) over multicast DNS (RFC 6762): carts find it without an address.

use std::net::SocketAddr;
use std::time::Duration;

use mdns_sd::{IfKind, ServiceDaemon, ServiceInfo};
use swapcall_http::Encryption;
use swapcall_wire::{Announced, SERVICE};

use crate::addresses;

/// How long the goodbye may take when the hub stops.
const GOODBYE: Duration = Duration::from_millis(500);

/// An announcement; taken back when it is dropped.
pub(crate) struct Announcement {
    daemon: ServiceDaemon,
    name: String,
}

/// Announces a hub that listens here, unless only this machine reaches it. Without multicast the hub serves all the same:
/// carts are then given its address.
pub(crate) fn announce(address: SocketAddr, encryption: &Encryption) -> Option<Announcement> {
    if address.ip().is_loopback() {
        return None;
    }
    match try_to(address, encryption) {
        Ok(announcement) => {
            tracing::info!(name = %announcement.name, "the network is told where the hub is");
            Some(announcement)
        }
        Err(error) => {
            tracing::warn!(
                error = %error,
                "the network cannot be told where the hub is; give carts its address with --hub"
            );
            None
        }
    }
}

fn try_to(address: SocketAddr, encryption: &Encryption) -> mdns_sd::Result<Announcement> {
    let machine = addresses::host_name().unwrap_or_else(|| "hub".to_owned());
    // A domain would make several labels of it; what follows the first dot says nothing to a crew.
    let machine = machine.split('.').next().unwrap_or("hub");
    let announced = Announced {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        sha256: encryption.keys().map(|keys| keys.fingerprint().digits()),
    };
    // A host name of the hub's own: the machine's may be announced by somebody else already.
    let host = format!("swapcall-{machine}.local.");
    let ip = address.ip();
    let entries = announced.entries();
    let port = address.port();
    let mut service = if ip.is_unspecified() {
        ServiceInfo::new(SERVICE, machine, &host, "", port, &entries[..])?.enable_addr_auto()
    } else {
        ServiceInfo::new(SERVICE, machine, &host, ip, port, &entries[..])?
    };
    // Who listens on 0.0.0.0 is not reached by version 6 of the protocol; on [::] Linux listens for both.
    if ip.is_ipv4() {
        service.set_interfaces(vec![IfKind::IPv4]);
    }
    let daemon = ServiceDaemon::new()?;
    // On the hub's own machine the loopback would be heard as well, and its address push the others out of caches.
    if !addresses::local().is_empty() {
        daemon.disable_interface(vec![IfKind::LoopbackV4, IfKind::LoopbackV6])?;
    }
    let name = service.get_fullname().to_owned();
    daemon.register(service)?;
    Ok(Announcement { daemon, name })
}

impl Drop for Announcement {
    /// Says goodbye (RFC 6762, section 10.1), so that nobody looks for a hub that has gone.
    fn drop(&mut self) {
        if let Ok(gone) = self.daemon.unregister(&self.name) {
            let _ = gone.recv_timeout(GOODBYE);
        }
        if let Ok(stopped) = self.daemon.shutdown() {
            let _ = stopped.recv_timeout(GOODBYE);
        }
    }
}
