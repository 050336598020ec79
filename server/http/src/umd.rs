//! The tally ports: packets of the TSL UMD protocol from the vision mixer, v3.1 and v5.0 by UDP, v5.0 by TCP.
//!
//! The protocols know neither sign-in nor answer, so a port is open only where the crew says so, may be kept to a few
//! senders by address, and can do one thing: say what is on air. What is malformed is counted and dropped. Readers hand
//! messages to one gatherer, which keeps the newest word on each display and tells the desk what that changes, so a mixer
//! that repeats itself a thousand times a second costs the journal nothing, and a desk that is busy loses no last word.

use std::io;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;

use rustix::net::sockopt;
use swapcall_crew::{Command, Display, TALLY_SIGNALS_MAX, TallyFor, TallyLight, TallySignal};
use swapcall_desk::Desk;
use swapcall_wire::{UMD_PACKET_MAX, UmdError, UmdMessage, UmdStream, read_umd_datagram};
use tokio::io::AsyncReadExt;
use tokio::net::{TcpListener, TcpStream, UdpSocket};
use tokio::sync::{Semaphore, mpsc};
use tokio::task::JoinSet;
use tokio::time::sleep;

use crate::limits::{
    ACCEPT_AGAIN_AFTER, TALLY_AGAIN_AFTER, TALLY_GATHER, TALLY_HANDED_OVER, TALLY_KEEPALIVE,
    TALLY_LINES,
};
use crate::metrics::{Metrics, TallyPacket};

/// Where the hub hears a vision mixer. Nowhere, unless said.
#[derive(Debug, Default)]
pub struct TallyPorts {
    /// A bound socket for datagrams.
    pub udp: Option<UdpSocket>,
    /// A bound socket for connections.
    pub tcp: Option<TcpListener>,
    /// Who is listened to; everybody when empty.
    pub from: Vec<IpAddr>,
}

impl TallyPorts {
    /// Each way in, and its address.
    pub fn heard_at(&self) -> Vec<(&'static str, SocketAddr)> {
        let udp = self
            .udp
            .as_ref()
            .and_then(|socket| socket.local_addr().ok());
        let tcp = self
            .tcp
            .as_ref()
            .and_then(|listener| listener.local_addr().ok());
        let ways = [("UDP", udp), ("TCP", tcp)];
        ways.into_iter()
            .filter_map(|(how, address)| Some((how, address?)))
            .collect()
    }
}

/// What every reader has.
#[derive(Clone)]
struct Reader {
    from: Arc<[IpAddr]>,
    metrics: Arc<Metrics>,
    give: mpsc::Sender<Vec<UmdMessage>>,
}

/// Begins to listen; ends when what it returns is dropped.
pub(crate) fn listen(ports: TallyPorts, desk: Desk, metrics: Arc<Metrics>) -> JoinSet<()> {
    let mut tasks = JoinSet::new();
    if ports.udp.is_none() && ports.tcp.is_none() {
        return tasks;
    }
    let (give, taken) = mpsc::channel(TALLY_HANDED_OVER);
    let reader = Reader {
        from: ports.from.into(),
        metrics,
        give,
    };
    if let Some(socket) = ports.udp {
        tasks.spawn(reader.clone().datagrams(socket));
    }
    if let Some(listener) = ports.tcp {
        tasks.spawn(reader.clone().connections(listener));
    }
    tasks.spawn(gather(desk, taken));
    tasks
}

impl Reader {
    async fn datagrams(self, socket: UdpSocket) {
        // One byte more, so that a datagram that is too long is seen to be.
        let mut buffer = [0; UMD_PACKET_MAX + 1];
        loop {
            match socket.recv_from(&mut buffer).await {
                Ok((_, peer)) if !self.listens_to(peer.ip()) => {
                    self.metrics.tally(TallyPacket::Stranger);
                }
                Ok((length, _)) => self.take(read_umd_datagram(&buffer[..length])).await,
                // Such as an echo of something that could not be delivered; nothing of ours depends on it.
                Err(error) => {
                    tracing::debug!(error = %error, "a tally datagram could not be received");
                    sleep(ACCEPT_AGAIN_AFTER).await;
                }
            }
        }
    }

    async fn connections(self, listener: TcpListener) {
        let room = Arc::new(Semaphore::new(TALLY_LINES));
        let mut lines = JoinSet::new();
        loop {
            while lines.try_join_next().is_some() {}
            match listener.accept().await {
                Ok((_, peer)) if !self.listens_to(peer.ip()) => {
                    self.metrics.tally(TallyPacket::Stranger);
                }
                Ok((stream, peer)) => {
                    let Ok(permit) = Arc::clone(&room).try_acquire_owned() else {
                        self.metrics.tally(TallyPacket::NoRoom);
                        continue;
                    };
                    if let Err(error) = notice_silence(&stream) {
                        tracing::debug!(error = %error, "a tally line stays without keepalive");
                    }
                    let reader = self.clone();
                    lines.spawn(async move {
                        let _permit = permit;
                        tracing::info!(%peer, "a tally line is connected");
                        reader.line(stream).await;
                        tracing::info!(%peer, "a tally line has ended; lights stay as last told");
                    });
                }
                Err(error) => {
                    tracing::debug!(error = %error, "a tally line could not be accepted");
                    sleep(ACCEPT_AGAIN_AFTER).await;
                }
            }
        }
    }

    async fn line(&self, mut stream: TcpStream) {
        let mut packets = UmdStream::default();
        let mut buffer = [0; UMD_PACKET_MAX];
        while let Ok(length @ 1..) = stream.read(&mut buffer).await {
            for read in packets.take(&buffer[..length]) {
                self.take(read).await;
            }
        }
    }

    fn listens_to(&self, peer: IpAddr) -> bool {
        self.from.is_empty() || self.from.contains(&peer.to_canonical())
    }

    async fn take(&self, read: Result<Vec<UmdMessage>, UmdError>) {
        match read {
            Ok(messages) => {
                self.metrics.tally(TallyPacket::Read);
                if !messages.is_empty() {
                    // The gatherer ends only together with this.
                    let _ = self.give.send(messages).await;
                }
            }
            Err(error) => {
                self.metrics.tally(TallyPacket::Malformed);
                tracing::debug!(error = %error, "a tally packet was dropped");
            }
        }
    }
}

/// A mixer may have nothing to say for hours; one that is gone must not keep its place.
fn notice_silence(stream: &TcpStream) -> io::Result<()> {
    let (idle, interval, count) = TALLY_KEEPALIVE;
    sockopt::set_socket_keepalive(stream, true)?;
    sockopt::set_tcp_keepidle(stream, idle)?;
    sockopt::set_tcp_keepintvl(stream, interval)?;
    sockopt::set_tcp_keepcnt(stream, count)?;
    Ok(())
}

/// Keeps the newest word on each display and tells the desk.
async fn gather(desk: Desk, mut taken: mpsc::Receiver<Vec<UmdMessage>>) {
    let mut newest = Newest::default();
    let mut failed: u64 = 0;
    while let Some(messages) = taken.recv().await {
        newest.add(messages);
        loop {
            while newest.has_room()
                && let Ok(more) = taken.try_recv()
            {
                newest.add(more);
            }
            newest.forget_known(&desk);
            if newest.signals.is_empty() {
                break;
            }
            let command = Command::Tally {
                actor: None,
                signals: newest.signals.clone(),
            };
            match desk.submit(command).await {
                Ok(_) => newest.signals.clear(),
                Err(error) => {
                    failed += 1;
                    if failed.is_power_of_two() {
                        tracing::warn!(error = %error, failed, "a tally was not stored; trying again");
                    }
                    sleep(TALLY_AGAIN_AFTER).await;
                }
            }
        }
        // Whatever a sender does, the desk is asked so often at most.
        sleep(TALLY_GATHER).await;
    }
}

/// The newest word on each display, in the order in which the words came.
#[derive(Debug, Default)]
struct Newest {
    signals: Vec<TallySignal>,
}

impl Newest {
    /// Whether a whole packet more fits into one command.
    fn has_room(&self) -> bool {
        self.signals.len() + UMD_PACKET_MAX / 6 < TALLY_SIGNALS_MAX
    }

    fn add(&mut self, messages: Vec<UmdMessage>) {
        for message in messages {
            let display = Display {
                screen: message.screen,
                index: message.index,
            };
            // What this covers, it takes back.
            self.signals.retain(
                |older| !matches!(older.to, TallyFor::Display(other) if display.covers(other)),
            );
            self.signals.push(TallySignal {
                to: TallyFor::Display(display),
                light: light(&message),
            });
        }
    }

    /// Drops what the desk knows already, and what is for nobody.
    fn forget_known(&mut self, desk: &Desk) {
        let published = desk.published();
        let news = |signal: &TallySignal| {
            published.units().any(|unit| {
                signal.to.means(unit.callsign(), unit.profile())
                    && unit.tally().is_none_or(|tally| tally.light != signal.light)
            })
        };
        // A word that is no news still takes back an older one that is: all go together, or none.
        if !self.signals.iter().any(news) {
            self.signals.clear();
        }
    }
}

/// Of two lamps at once the graver counts.
fn light(message: &UmdMessage) -> TallyLight {
    match (message.program, message.preview) {
        (true, _) => TallyLight::Program,
        (false, true) => TallyLight::Preview,
        (false, false) => TallyLight::Clear,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(screen: u16, index: u16, program: bool) -> UmdMessage {
        UmdMessage {
            screen,
            index,
            program,
            preview: false,
            text: String::new(),
        }
    }

    fn kept(newest: &Newest) -> Vec<(u16, u16, TallyLight)> {
        let display = |signal: &TallySignal| match &signal.to {
            TallyFor::Display(display) => (display.screen, display.index, signal.light),
            TallyFor::Unit(unit) => panic!("{unit} was not named"),
        };
        newest.signals.iter().map(display).collect()
    }

    #[test]
    fn the_newest_word_on_a_display_takes_the_place_of_older_ones() {
        let mut newest = Newest::default();
        newest.add(vec![told(0, 1, true), told(0, 2, true), told(0, 1, false)]);
        assert_eq!(
            kept(&newest),
            [(0, 2, TallyLight::Program), (0, 1, TallyLight::Clear)]
        );
    }

    #[test]
    fn a_word_to_every_display_takes_back_what_was_said_before_and_not_after() {
        let every = Display::EVERY;
        let mut newest = Newest::default();
        newest.add(vec![
            told(0, 1, true),
            told(1, 1, true),
            told(0, every, false),
            told(0, 2, true),
        ]);
        assert_eq!(
            kept(&newest),
            [
                (1, 1, TallyLight::Program),
                (0, every, TallyLight::Clear),
                (0, 2, TallyLight::Program)
            ]
        );
    }

    #[test]
    fn on_air_counts_before_next() {
        let both = UmdMessage {
            preview: true,
            ..told(0, 1, true)
        };
        assert_eq!(light(&both), TallyLight::Program);
        assert_eq!(light(&told(0, 1, false)), TallyLight::Clear);
    }
}
