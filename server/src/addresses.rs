//! What this machine is called and which addresses it has, as far as Linux says without asking anybody.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// The machine's host name, if it has one that can stand in a certificate.
pub(crate) fn host_name() -> Option<String> {
    let name = rustix::system::uname().nodename().to_str().ok()?.to_owned();
    let fits = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '.';
    (!name.is_empty() && name != "localhost" && name.chars().all(fits)).then_some(name)
}

/// The machine's own addresses, loopback and link-local ones left out. Empty where the system does not show them.
pub(crate) fn local() -> Vec<IpAddr> {
    let read = |path: &str| std::fs::read_to_string(path).unwrap_or_default();
    let mut found: Vec<IpAddr> = version_4(&read("/proc/net/fib_trie"));
    found.extend(version_6(&read("/proc/net/if_inet6")));
    found
}

/// Out of the routing table: the lines `|-- ADDRESS` that are followed by `/32 host LOCAL`.
fn version_4(table: &str) -> Vec<IpAddr> {
    let mut found: Vec<Ipv4Addr> = Vec::new();
    let mut last: Option<Ipv4Addr> = None;
    for line in table.lines().map(str::trim) {
        if let Some(address) = line.strip_prefix("|-- ") {
            last = address.parse().ok();
        } else if line == "/32 host LOCAL" {
            found.extend(last);
        }
    }
    found.retain(|address| !address.is_loopback() && !address.is_link_local());
    found.sort_unstable();
    found.dedup();
    found.into_iter().map(IpAddr::from).collect()
}

/// Out of the list of interfaces: 32 hexadecimal digits at the start of each line.
fn version_6(list: &str) -> Vec<IpAddr> {
    list.lines()
        .filter_map(|line| u128::from_str_radix(line.split_whitespace().next()?, 16).ok())
        .map(Ipv6Addr::from)
        .filter(|address| !address.is_loopback() && !address.is_unicast_link_local())
        .map(IpAddr::from)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cut from a Linux machine's /proc/net, the addresses replaced by ones for documentation (RFC 5737, RFC 3849).
    const TABLE: &str = "Main:\n  +-- 0.0.0.0/0 3 0 5\n     |-- 0.0.0.0\n        /0 universe UNICAST\n     +-- 192.0.2.0/24 2 0 2\n        |-- 192.0.2.0\n           /24 link UNICAST\n        |-- 192.0.2.7\n           /32 host LOCAL\n        |-- 192.0.2.255\n           /32 link BROADCAST\nLocal:\n           |-- 127.0.0.1\n              /32 host LOCAL\n        |-- 192.0.2.7\n           /32 host LOCAL\n";
    const LIST: &str = "00000000000000000000000000000001 01 80 10 80       lo\n20010db8000000000000000000000007 02 40 00 80     eth0\nfe800000000000000242acfffe110002 02 40 20 80     eth0\n";

    #[test]
    fn own_addresses_are_told_from_networks_and_broadcasts() {
        assert_eq!(version_4(TABLE), ["192.0.2.7".parse::<IpAddr>().unwrap()]);
        assert_eq!(version_6(LIST), ["2001:db8::7".parse::<IpAddr>().unwrap()]);
        assert!(version_4("nonsense").is_empty() && version_6("nonsense").is_empty());
    }

    #[test]
    fn a_host_name_fits_into_a_certificate() {
        let fits = |name: String| rcgen::CertificateParams::new(vec![name]).is_ok();
        assert!(host_name().is_none_or(fits));
    }
}
