//! A word with the service manager that started us: ready, alive, what we are at, stopping.
//!
//! The protocol is systemd's own (`man sd_notify`): lines of `NAME=value` in one datagram to the socket that
//! `NOTIFY_SOCKET` names. It is a dozen lines with the standard library, so no crate is asked. Where nobody listens,
//! nothing is said; a word that does not get through is no reason to stop reporting.

use std::os::linux::net::SocketAddrExt;
use std::os::unix::net::{SocketAddr, UnixDatagram};
use std::time::Duration;

use tokio::time::{Interval, MissedTickBehavior, interval};

use crate::settings::Environment;

/// Longest wait for a manager that does not read: our own work must not hang on it.
const PATIENCE: Duration = Duration::from_millis(500);
/// Longest line that is told, in characters; it is shown in a list of services.
const LINE: usize = 200;

/// The service manager, where there is one.
#[derive(Debug, Default)]
pub struct Service {
    way: Option<(UnixDatagram, SocketAddr)>,
    watchdog: Option<Duration>,
}

impl Service {
    /// As the environment says; `pid` is ours, because the watchdog may be meant for another process of the service.
    pub fn from(environment: &Environment, pid: u32) -> Self {
        let way = environment
            .get("NOTIFY_SOCKET")
            .and_then(|name| reach(name));
        let ours = environment
            .get("WATCHDOG_PID")
            .is_none_or(|text| text.parse() == Ok(pid));
        let watchdog = environment
            .get("WATCHDOG_USEC")
            .and_then(|text| text.parse().ok())
            .filter(|micros| *micros > 0 && ours && way.is_some())
            .map(Duration::from_micros);
        Self { way, watchdog }
    }

    /// The first look was taken: the service has started.
    pub fn ready(&self) {
        self.tell("READY=1");
    }

    /// What we are at, in one line.
    pub fn status(&self, text: &str) {
        let line: String = text
            .chars()
            .take_while(|letter| *letter != '\n')
            .take(LINE)
            .collect();
        self.tell(&format!("STATUS={line}"));
    }

    /// Still at work. Told by the loop that does the work and by nothing else, so that its standstill is noticed.
    pub fn alive(&self) {
        self.tell("WATCHDOG=1");
    }

    /// On the way out.
    pub fn stopping(&self) {
        self.tell("STOPPING=1");
    }

    /// When to say that we are alive: at half the time after which the manager loses patience, as it advises.
    pub fn pulse(&self) -> Pulse {
        Pulse(self.watchdog.map(|watchdog| {
            let mut beats = interval((watchdog / 2).max(Duration::from_millis(1)));
            beats.set_missed_tick_behavior(MissedTickBehavior::Skip);
            beats
        }))
    }

    fn tell(&self, text: &str) {
        if let Some((socket, address)) = &self.way {
            let _ = socket.send_to_addr(text.as_bytes(), address);
        }
    }
}

/// A path, or after an `@` a name in Linux's abstract space. Other kinds of address are not for this machine.
fn reach(name: &str) -> Option<(UnixDatagram, SocketAddr)> {
    let address = match name.strip_prefix('@') {
        Some(name) => SocketAddr::from_abstract_name(name).ok()?,
        None if name.starts_with('/') => SocketAddr::from_pathname(name).ok()?,
        None => return None,
    };
    let socket = UnixDatagram::unbound().ok()?;
    socket.set_write_timeout(Some(PATIENCE)).ok()?;
    Some((socket, address))
}

/// The moments at which to say that we are alive.
#[derive(Debug)]
pub struct Pulse(Option<Interval>);

impl Pulse {
    /// The next one; never where nobody wants to know.
    pub async fn beat(&mut self) {
        match &mut self.0 {
            Some(beats) => {
                beats.tick().await;
            }
            None => std::future::pending().await,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn environment(pairs: &[(&str, &str)]) -> Environment {
        let owned = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
        pairs.iter().map(owned).collect()
    }

    fn heard(socket: &UnixDatagram) -> String {
        let mut bytes = [0; 512];
        socket
            .set_read_timeout(Some(Duration::from_secs(10)))
            .unwrap();
        let length = socket.recv(&mut bytes).unwrap();
        String::from_utf8(bytes[..length].to_vec()).unwrap()
    }

    #[test]
    fn every_word_arrives_at_a_socket_with_a_path_or_an_abstract_name() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("notify");
        let abstract_name = format!("swapcall-test-{}", std::process::id());
        let by_name = SocketAddr::from_abstract_name(&abstract_name).unwrap();
        for (socket, name) in [
            (
                UnixDatagram::bind(&path).unwrap(),
                path.display().to_string(),
            ),
            (
                UnixDatagram::bind_addr(&by_name).unwrap(),
                format!("@{abstract_name}"),
            ),
        ] {
            let service = Service::from(&environment(&[("NOTIFY_SOCKET", &name)]), 1);
            service.ready();
            service.status("BOW2  battery 63 %\nno second line");
            service.alive();
            service.stopping();
            let words = [0; 4].map(|_| heard(&socket));
            assert_eq!(
                words,
                [
                    "READY=1",
                    "STATUS=BOW2  battery 63 %",
                    "WATCHDOG=1",
                    "STOPPING=1"
                ]
            );
        }
    }

    #[test]
    fn where_nobody_listens_nothing_is_said_and_nothing_fails() {
        for name in ["", "relative", "/nowhere/at/all", "vsock:2:1234", "@"] {
            let service = Service::from(&environment(&[("NOTIFY_SOCKET", name)]), 1);
            service.ready();
            service.status("x");
        }
        assert!(Service::from(&environment(&[]), 1).way.is_none());
    }

    #[test]
    fn a_manager_that_does_not_read_holds_nobody_up_for_long() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("notify");
        let _deaf = UnixDatagram::bind(&path).unwrap();
        let service = Service::from(
            &environment(&[("NOTIFY_SOCKET", path.to_str().unwrap())]),
            1,
        );
        // Linux lets at most this many datagrams wait at a socket, so the last one here certainly finds it full.
        let most = std::fs::read_to_string("/proc/sys/net/unix/max_dgram_qlen").unwrap();
        let most: usize = most.trim().parse().unwrap();
        for _ in 0..=most {
            service.alive();
        }
        let since = crate::clock::Stopwatch::start();
        service.alive();
        assert!(since.elapsed() < PATIENCE * 20, "{:?}", since.elapsed());
    }

    #[test]
    fn the_watchdog_is_ours_only_with_our_number_and_a_socket() {
        let wanted = |more: &[(&str, &str)], pid| {
            let pairs = [
                &[("NOTIFY_SOCKET", "@x"), ("WATCHDOG_USEC", "30000000")],
                more,
            ]
            .concat();
            Service::from(&environment(&pairs), pid).watchdog
        };
        let half_a_minute = Some(Duration::from_secs(30));
        assert_eq!(wanted(&[], 7), half_a_minute);
        assert_eq!(wanted(&[("WATCHDOG_PID", "7")], 7), half_a_minute);
        assert_eq!(wanted(&[("WATCHDOG_PID", "8")], 7), None);
        let alone = environment(&[("WATCHDOG_USEC", "30000000")]);
        assert_eq!(Service::from(&alone, 7).watchdog, None);
        for wrong in ["0", "soon", "-1"] {
            let pairs = [("NOTIFY_SOCKET", "@x"), ("WATCHDOG_USEC", wrong)];
            assert_eq!(
                Service::from(&environment(&pairs), 7).watchdog,
                None,
                "{wrong}"
            );
        }
    }

    #[tokio::test]
    async fn the_pulse_beats_twice_in_the_managers_patience_or_never() {
        let pairs = [("NOTIFY_SOCKET", "@x"), ("WATCHDOG_USEC", "200000")];
        let mut pulse = Service::from(&environment(&pairs), 7).pulse();
        let since = crate::clock::Stopwatch::start();
        // The first at once, then every 100 ms.
        for _ in 0..3 {
            pulse.beat().await;
        }
        let passed = since.elapsed();
        let expected = Duration::from_millis(195)..Duration::from_secs(10);
        assert!(expected.contains(&passed), "{passed:?}");
        let mut none = Service::default().pulse();
        let waited = tokio::time::timeout(Duration::from_millis(50), none.beat()).await;
        assert!(waited.is_err());
    }
}
