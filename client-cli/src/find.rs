//! Looks for hubs on the local network, by DNS-SD (RFC 6763) over multicast DNS (RFC 6762).

use std::collections::BTreeMap;
use std::net::{IpAddr, SocketAddr, TcpStream};
use std::time::Duration;

use mdns_sd::{ResolvedService, ServiceDaemon, ServiceEvent};
use swapcall_trust::Fingerprint;
use swapcall_wire::{Announced, SERVICE};

use crate::clock::Stopwatch;
use crate::trouble::Trouble;

/// How long is listened for hubs: an answer takes up to 120 ms (RFC 6762, section 6), the question is asked again after
/// one second and after two more.
pub const LISTEN: Duration = Duration::from_millis(3_500);
/// How long after the first answer others are waited for.
const OTHERS: Duration = Duration::from_millis(700);
/// How long an address is tried.
const TRY: Duration = Duration::from_millis(800);

/// A hub that announces itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// What its machine is called.
    pub name: String,
    /// Where it can be reached, the likeliest first.
    pub addresses: Vec<SocketAddr>,
    /// Its version.
    pub version: String,
    /// Its certificate; none where it does not speak TLS.
    pub fingerprint: Option<Fingerprint>,
}

impl Found {
    fn new(service: &ResolvedService) -> Self {
        let announced = Announced::read(|key| service.get_property_val_str(key).map(str::to_owned));
        let mut addresses: Vec<IpAddr> = service
            .addresses
            .iter()
            .map(mdns_sd::ScopedIp::to_ip_addr)
            .filter(|address| !is_link_local(*address))
            .collect();
        addresses.sort_by_key(|address| (address.is_loopback(), address.is_ipv6(), *address));
        let suffix = format!(".{}", service.ty_domain);
        let name = service.fullname.strip_suffix(&suffix);
        Self {
            name: name.unwrap_or(&service.fullname).to_owned(),
            addresses: addresses
                .into_iter()
                .map(|address| SocketAddr::new(address, service.port))
                .collect(),
            version: announced.version,
            fingerprint: announced.sha256.and_then(|digits| digits.parse().ok()),
        }
    }

    /// The address to use as `scheme://host:port`: the first that takes a connection, else the likeliest. `None` where
    /// the hub gave none that this machine could use.
    pub fn address(&self) -> Option<String> {
        let answers = |address: &&SocketAddr| TcpStream::connect_timeout(address, TRY).is_ok();
        let best = self.addresses.iter().find(answers);
        let scheme = if self.fingerprint.is_some() {
            "https"
        } else {
            "http"
        };
        best.or(self.addresses.first())
            .map(|address| format!("{scheme}://{address}"))
    }
}

/// Whether an address needs an interface's name beside it, which no address of a hub can carry.
fn is_link_local(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(_) => false,
        IpAddr::V6(address) => address.is_unicast_link_local(),
    }
}

/// Listens for hubs. Those that answer mostly do so at once, so a little after the first the listening ends; where one
/// certificate is wanted it ends with that hub, and goes on past all others.
pub fn hubs(wanted: Option<Fingerprint>) -> Result<Vec<Found>, Trouble> {
    let failed = |error| Trouble::local("look for hubs on the network", error);
    let daemon = ServiceDaemon::new().map_err(failed)?;
    let events = daemon.browse(SERVICE).map_err(failed)?;
    let since = Stopwatch::start();
    let mut until = LISTEN;
    let mut known: BTreeMap<String, Found> = BTreeMap::new();
    while let Ok(event) = events.recv_timeout(until.saturating_sub(since.elapsed())) {
        match event {
            ServiceEvent::ServiceResolved(service) => {
                let found = Found::new(&service);
                let it_is = wanted.is_some() && found.fingerprint == wanted;
                known.insert(service.fullname.clone(), found);
                if it_is {
                    break;
                }
                if wanted.is_none() {
                    until = until.min(since.elapsed() + OTHERS);
                }
            }
            ServiceEvent::ServiceRemoved(_, name) => {
                known.remove(&name);
            }
            _ => {}
        }
    }
    // Its thread ends by itself; nothing was announced that would have to be taken back.
    let _ = daemon.shutdown();
    Ok(known.into_values().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_that_cannot_be_used_is_not_offered_and_the_likeliest_comes_first() {
        let service = |addresses: &str, digits: &str| {
            let announced = Announced {
                version: "1.2.3".to_owned(),
                sha256: Some(digits.to_owned()),
            };
            let info = mdns_sd::ServiceInfo::new(
                SERVICE,
                "boat house",
                "swapcall-x.local.",
                addresses,
                7979,
                &announced.entries()[..],
            );
            Found::new(&info.unwrap().as_resolved_service())
        };
        let fingerprint = Fingerprint::of(b"abc");
        let found = service(
            "2001:db8::7,fe80::1,127.0.0.1,192.0.2.7",
            &fingerprint.digits(),
        );
        let shown: Vec<String> = found.addresses.iter().map(SocketAddr::to_string).collect();
        assert_eq!(
            shown,
            ["192.0.2.7:7979", "[2001:db8::7]:7979", "127.0.0.1:7979"]
        );
        assert_eq!(
            (found.version.as_str(), found.fingerprint),
            ("1.2.3", Some(fingerprint))
        );
        assert_eq!(found.name, "boat house");
        // What is no fingerprint is none: nothing would be pinned to it.
        assert_eq!(service("192.0.2.7", "nonsense").fingerprint, None);
    }

    #[test]
    fn the_address_that_answers_is_taken() {
        let open = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        let closed = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        let refuses = closed.local_addr().unwrap();
        drop(closed);
        let answers = open.local_addr().unwrap();
        let mut found = Found {
            name: "hub".to_owned(),
            addresses: vec![refuses, answers],
            version: String::new(),
            fingerprint: None,
        };
        assert_eq!(found.address(), Some(format!("http://{answers}")));
        found.addresses = vec![refuses];
        assert_eq!(found.address(), Some(format!("http://{refuses}")));
        found.addresses.clear();
        assert_eq!(found.address(), None);
    }
}
