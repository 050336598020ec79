//! A camera over the network by PTP/IP: the operations of ISO 15740 over the transport of CIPA DC-005, and no maker's own.
//!
//! From the inside out: [`fields`] and [`datasets`] the bytes of what is told, [`packets`] how they travel, [`session`]
//! one operation after the other, [`events`] what the camera tells by itself; [`gauge`] and [`stores`] make a battery
//! and card slots of it. Every length is the camera's word and bounded before it is believed.

mod datasets;
mod events;
mod fields;
mod gauge;
mod initiator;
mod link;
mod packets;
mod session;
mod stores;
mod trouble;

use std::io::Write;
use std::thread;
use std::time::Duration;

use self::events::Events;
use self::gauge::Gauge;
use self::link::{Budget, Link};
use self::packets::{Packet, kind};
use self::session::Session;
use self::stores::Stores;
use self::trouble::Trouble;
use super::{Finding, Source};

/// Where cameras listen (CIPA DC-005, registered with IANA as `ptp-ip`).
const PORT: u16 = 15740;
/// How often a camera that is taken is asked for a connection in one look, and the pause between.
const TAKEN_TRIES: u32 = 3;
const TAKEN_PAUSE: Duration = Duration::from_millis(50);

/// A camera, connected to when it is looked at.
#[derive(Debug)]
pub struct Ptp {
    host: String,
    port: u16,
    patience: Duration,
    connection: Option<Connection>,
    gauge: Gauge,
    stores: Stores,
}

/// Both connections of a session.
#[derive(Debug)]
struct Connection {
    session: Session<Link>,
    events: Events,
}

impl Ptp {
    /// Watches the camera at `HOST[:PORT]`; a look takes no longer than `patience`.
    pub fn parse(text: &str, patience: Duration) -> Result<Self, String> {
        let wrong = || {
            format!(
                "“{text}” is not HOST or HOST:PORT, such as 192.168.1.40, camera.local:15740 or [fe80::1%eth0]:15740"
            )
        };
        let (host, port) = host_and_port(text).ok_or_else(wrong)?;
        Ok(Self {
            host: host.to_owned(),
            port,
            // What is said of a camera is better than that somebody does not answer, so it must come before that.
            patience: patience.mul_f64(0.75),
            connection: None,
            gauge: Gauge::default(),
            stores: Stores::default(),
        })
    }

    /// One look. A connection that ended since the last one, because the camera slept or was switched off and on, is
    /// made anew at once.
    fn look(&mut self) -> Result<Finding, Trouble> {
        let budget = Budget::new(self.patience);
        if let Some(mut connection) = self.connection.take() {
            match self.look_through(&mut connection, budget) {
                Err(trouble) if trouble.is_old_connection() => {}
                result => return self.settle(connection, result),
            }
        }
        let mut connection = self.connect(budget)?;
        let result = self.look_through(&mut connection, budget);
        self.settle(connection, result)
    }

    /// Connects. A camera that has not noticed yet that we left holds our own last connection for that of somebody else,
    /// so it is asked some more times.
    fn connect(&self, budget: Budget) -> Result<Connection, Trouble> {
        for _ in 1..TAKEN_TRIES {
            match Connection::open(&self.host, self.port, budget) {
                Err(Trouble::NotWanted(trouble::TAKEN)) => thread::sleep(TAKEN_PAUSE),
                result => return result,
            }
        }
        Connection::open(&self.host, self.port, budget)
    }

    /// Keeps the connection where it can be used again.
    fn settle(
        &mut self,
        connection: Connection,
        result: Result<Finding, Trouble>,
    ) -> Result<Finding, Trouble> {
        if !result.as_ref().is_err_and(Trouble::ends_connection) {
            self.connection = Some(connection);
        }
        result
    }

    fn look_through(
        &mut self,
        connection: &mut Connection,
        budget: Budget,
    ) -> Result<Finding, Trouble> {
        let news = connection.events.take();
        self.stores.hear(&news);
        if news.ended {
            return Err(Trouble::Closed);
        }
        let session = &mut connection.session;
        session.stream().renew(budget);
        if news.other_camera {
            session.ask_about()?;
        }
        let battery = passing(session.battery())?;
        let stores = passing(session.stores())?;
        self.finding(battery, stores, &session.about().model)
    }

    /// What both found. Where the camera has no time for one of them, the other is told all the same.
    fn finding(
        &mut self,
        battery: Result<Option<datasets::PropertyDescription>, Trouble>,
        stores: Result<Option<Vec<stores::Found>>, Trouble>,
        model: &str,
    ) -> Result<Finding, Trouble> {
        let mut finding = Finding::default();
        let mut trouble = None;
        match battery {
            Ok(description) => {
                finding.battery = description.and_then(|it| self.gauge.battery(&it));
            }
            Err(error) => trouble = Some(error),
        }
        match stores {
            Ok(Some(found)) => (finding.cards, finding.growing) = self.stores.look(&found),
            Ok(None) => {}
            Err(error) => trouble = trouble.or(Some(error)),
        }
        if finding.is_empty() {
            return Err(trouble.unwrap_or_else(|| Trouble::TellsNothing(model.to_owned())));
        }
        Ok(finding)
    }
}

impl Source for Ptp {
    fn name(&self) -> String {
        let (host, port) = (&self.host, self.port);
        if host.contains(':') {
            return format!("camera at [{host}]:{port}");
        }
        format!("camera at {host}:{port}")
    }

    fn read(&mut self) -> Result<Finding, String> {
        self.look().map_err(|trouble| trouble.to_string())
    }
}

impl Connection {
    /// Opens the command connection, the event connection that belongs to it, and a session.
    fn open(host: &str, port: u16, budget: Budget) -> Result<Self, Trouble> {
        let commands = Link::connect(host, port, budget)?;
        let (mut session, number) = Session::introduce(commands, initiator::guid())?;
        let mut events = Link::connect(host, port, budget)?;
        events.write_all(&packets::init_event_request(number))?;
        Packet::read(&mut events)?.fields_of(kind::INIT_EVENT_ACK, "Init_Event_Ack")?;
        session.open()?;
        let events = Events::listen(events.unlimited()?)?;
        Ok(Self { session, events })
    }
}

/// Lets a trouble that leaves the connection as it is stand for later; any other ends the look.
fn passing<T>(result: Result<T, Trouble>) -> Result<Result<T, Trouble>, Trouble> {
    match result {
        Err(trouble) if trouble.ends_connection() => Err(trouble),
        other => Ok(other),
    }
}

/// `HOST`, `HOST:PORT`, `[ADDRESS]:PORT`, or an IPv6 address alone.
fn host_and_port(text: &str) -> Option<(&str, u16)> {
    let with_port = |host, port: &str| {
        let port = port.parse().ok().filter(|port| *port > 0)?;
        Some((host, port))
    };
    let (host, port) = match text.strip_prefix('[') {
        Some(rest) => match rest.split_once(']')? {
            (host, "") => (host, PORT),
            (host, rest) => with_port(host, rest.strip_prefix(':')?)?,
        },
        None if text.matches(':').count() == 1 => {
            let (host, port) = text.split_once(':')?;
            with_port(host, port)?
        }
        None => (text, PORT),
    };
    let fits = !host.is_empty() && host.chars().all(|c| c.is_ascii_graphic() && c != '/');
    fits.then_some((host, port))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_are_taken_with_and_without_a_port() {
        for (text, expected) in [
            ("192.168.1.40", Some(("192.168.1.40", 15740))),
            ("camera.local:55740", Some(("camera.local", 55740))),
            ("[fe80::1]:7", Some(("fe80::1", 7))),
            ("[fe80::1]", Some(("fe80::1", 15740))),
            ("fe80::1", Some(("fe80::1", 15740))),
            ("", None),
            (":15740", None),
            ("camera:", None),
            ("camera:0", None),
            ("camera:70000", None),
            ("[fe80::1", None),
            ("[fe80::1]7", None),
            ("http://camera", None),
            ("a camera", None),
        ] {
            assert_eq!(host_and_port(text), expected, "{text}");
        }
        let named = |text| Ptp::parse(text, Duration::from_secs(1)).map(|source| source.name());
        assert_eq!(
            named("camera.local").unwrap(),
            "camera at camera.local:15740"
        );
        assert_eq!(named("::1").unwrap(), "camera at [::1]:15740");
        assert!(named("x y").unwrap_err().contains("HOST:PORT"));
    }

    #[test]
    fn a_camera_that_is_away_is_told_of_with_what_to_do() {
        // Bound and let go: nobody listens there.
        let port = std::net::TcpListener::bind("127.0.0.1:0")
            .and_then(|listener| listener.local_addr())
            .unwrap()
            .port();
        let mut camera = Ptp::parse(&format!("127.0.0.1:{port}"), Duration::from_secs(2)).unwrap();
        let said = camera.read().unwrap_err();
        assert!(said.contains("wake the camera"), "{said}");
    }

    #[test]
    fn one_thing_is_told_where_the_camera_has_no_time_for_the_other() {
        let mut camera = Ptp::parse("camera", Duration::from_secs(1)).unwrap();
        let description = datasets::PropertyDescription {
            current: 63,
            form: datasets::Form::None,
        };
        let finding = camera.finding(Ok(Some(description)), Err(Trouble::Busy), "R1");
        let percent = finding.unwrap().battery.map(|battery| battery.percent);
        assert_eq!(percent, Some(63.0));
        let finding = camera.finding(
            Err(Trouble::Busy),
            Ok(Some(vec![(0x0001_0000, None)])),
            "R1",
        );
        assert_eq!(finding.unwrap().cards.unwrap().slots.len(), 1);
        let busy = camera.finding(Err(Trouble::Busy), Ok(None), "R1");
        assert!(busy.unwrap_err().to_string().contains("is busy"));
        let nothing = camera.finding(Ok(None), Ok(None), "R1").unwrap_err();
        assert!(
            nothing.to_string().contains("(R1) tells neither"),
            "{nothing}"
        );
    }
}
