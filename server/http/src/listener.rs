//! The hub's door: takes connections, shakes hands, and hands them on, never more than there is room for.
//!
//! One task accepts and does nothing else. A handshake runs in a task of its own, so that a peer that never finishes one
//! holds up nobody. An error of accepting, such as no free file descriptor, is waited out: the hub goes on.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

use axum::extract::connect_info::Connected;
use axum::serve::{IncomingStream, Listener};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, mpsc};
use tokio::time::{sleep, timeout};
use tokio_rustls::TlsAcceptor;

use crate::limits::{ACCEPT_AGAIN_AFTER, HANDED_OVER, HANDSHAKE_WITHIN};
use crate::metrics::{Metrics, Turned};
use crate::plain;
use crate::tls::{Encryption, Keys};
use crate::umd::TallyPorts;
use crate::watched::{Activity, Guarded, Line, Place};

/// Where the hub listens, and how.
pub struct Front {
    /// The bound socket.
    pub listener: TcpListener,
    /// Whether it speaks TLS, and with whose certificate.
    pub encryption: Encryption,
    /// Connections at a time; further ones are closed at once. At least 1.
    pub connections: usize,
    /// IANA name of the show's time zone, said to every screen; `None` when nobody knows.
    pub time_zone: Option<String>,
    /// Where vision mixers are heard.
    pub tally: TallyPorts,
}

/// What a request knows of its connection.
#[derive(Clone)]
pub(crate) struct Peer {
    /// Who is on the other side.
    pub(crate) address: SocketAddr,
    /// To say what goes on.
    pub(crate) activity: Arc<Activity>,
}

impl Connected<IncomingStream<'_, Door>> for Peer {
    fn connect_info(stream: IncomingStream<'_, Door>) -> Self {
        Self {
            address: *stream.remote_addr(),
            activity: stream.io().activity(),
        }
    }
}

/// Connections that are ready to be served.
pub(crate) struct Door {
    ready: mpsc::Receiver<(Guarded, SocketAddr)>,
    address: SocketAddr,
}

impl Door {
    /// Begins to take connections; ends when this is dropped.
    pub(crate) fn open(front: Front, metrics: Arc<Metrics>) -> io::Result<Self> {
        let address = front.listener.local_addr()?;
        let (give, ready) = mpsc::channel(HANDED_OVER);
        let porter = Porter {
            room: Arc::new(Semaphore::new(front.connections)),
            keys: front.encryption.keys().cloned(),
            metrics,
            give,
        };
        tokio::spawn(porter.work(front.listener));
        Ok(Self { ready, address })
    }
}

impl Listener for Door {
    type Io = Guarded;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Guarded, SocketAddr) {
        match self.ready.recv().await {
            Some(connection) => connection,
            // The porter works as long as this receiver lives.
            None => std::future::pending().await,
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        Ok(self.address)
    }
}

/// Who takes the connections.
struct Porter {
    room: Arc<Semaphore>,
    keys: Option<Keys>,
    metrics: Arc<Metrics>,
    give: mpsc::Sender<(Guarded, SocketAddr)>,
}

impl Porter {
    async fn work(self, listener: TcpListener) {
        let mut failed: u64 = 0;
        loop {
            let accepted = tokio::select! {
                accepted = listener.accept() => accepted,
                () = self.give.closed() => return,
            };
            match accepted {
                Ok((stream, address)) => self.take(stream, address),
                Err(error) if is_the_peers(&error) => {}
                Err(error) => {
                    self.metrics.turned_away(Turned::AcceptFailed);
                    failed += 1;
                    // Ten a second would fill the log; the metric counts them all.
                    if failed.is_power_of_two() {
                        tracing::warn!(error = %error, failed, "a connection could not be accepted; trying again");
                    }
                    sleep(ACCEPT_AGAIN_AFTER).await;
                }
            }
        }
    }

    /// Takes one connection in, if there is room.
    fn take(&self, stream: TcpStream, address: SocketAddr) {
        let Ok(permit) = Arc::clone(&self.room).try_acquire_owned() else {
            self.metrics.turned_away(Turned::Full);
            tracing::debug!(peer = %address, "no room for another connection");
            return;
        };
        let place = Place::take(permit, self.metrics.connections.clone());
        if let Err(error) = stream.set_nodelay(true) {
            // A heartbeat must not wait for the acknowledgement of an update (up to 40 ms on Linux).
            tracing::debug!(error = %error, "a connection stays with delayed sending");
        }
        let (keys, metrics, give) = (
            self.keys.clone(),
            Arc::clone(&self.metrics),
            self.give.clone(),
        );
        tokio::spawn(async move {
            let line = match keys {
                None => Line::Plain(stream),
                Some(keys) => match timeout(HANDSHAKE_WITHIN, shake_hands(stream, &keys)).await {
                    Ok(Ok(line)) => line,
                    Ok(Err(why)) => return metrics.turned_away(why),
                    Err(_) => return metrics.turned_away(Turned::SlowHandshake),
                },
            };
            let guarded = Guarded::new(line, place, metrics);
            // Where nobody takes it any more, the hub is stopping.
            let _ = give.send((guarded, address)).await;
        });
    }
}

/// An error of one connection, gone before it was taken; the next accept is another matter.
fn is_the_peers(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::ConnectionAborted
            | io::ErrorKind::ConnectionReset
            | io::ErrorKind::ConnectionRefused
            | io::ErrorKind::Interrupted
    )
}

async fn shake_hands(stream: TcpStream, keys: &Keys) -> Result<Line, Turned> {
    let mut first = [0];
    if matches!(stream.peek(&mut first).await, Ok(1)) && plain::begins_a_request(first[0]) {
        plain::say_https(stream).await;
        return Err(Turned::PlainHttp);
    }
    let stream = TlsAcceptor::from(keys.current())
        .accept(stream)
        .await
        .map_err(|error| {
            tracing::debug!(error = %error, "a TLS handshake failed");
            Turned::BadHandshake
        })?;
    Ok(Line::Tls(Box::new(stream)))
}
