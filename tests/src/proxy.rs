//! A fault proxy between a client and the hub: passes bytes on late, slowly, in one direction only or not at all, and
//! resets or cuts connections, as it is told while it runs.
//!
//! What a lost packet is to TCP, a pause or in the end a reset, is what a client sees of it here.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{sleep, spawn};
use std::time::{Duration, Instant};

use crate::wait;

/// Bytes that are passed on at once.
const PIECE: usize = 4 * 1024;
/// Pieces under way in one direction: what the line itself holds.
const UNDER_WAY: usize = 64;
/// Between two looks at what was told meanwhile.
const LOOK: Duration = Duration::from_millis(5);

/// How good the line is. The default is perfect.
#[derive(Clone, Copy, Debug, Default)]
pub struct Line {
    /// How late every piece arrives.
    pub delay: Duration,
    /// By how much the delay differs from piece to piece, up or down. Order is kept, as TCP keeps it.
    pub jitter: Duration,
    /// How much passes in a second and direction; no limit when `None`.
    pub bytes_per_s: Option<u64>,
    /// Connections are reset at a random point, after this many bytes in one direction in the mean.
    pub reset_after: Option<u64>,
}

/// A direction through the proxy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// From the client to the hub.
    Up,
    /// From the hub to the client.
    Down,
}

/// What becomes of bytes and new connections.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Mode {
    #[default]
    Pass,
    Stall,
    HalfOpen(Way),
    Refuse,
}

#[derive(Default)]
struct Shared {
    told: Mutex<(Mode, Line)>,
    open: Mutex<Vec<Arc<Connection>>>,
    ended: AtomicBool,
    chance: AtomicU64,
    resets: AtomicU64,
}

/// A connection through the proxy.
struct Connection {
    client: TcpStream,
    server: TcpStream,
    broken: AtomicBool,
}

impl Connection {
    fn ends(&self) -> [&TcpStream; 2] {
        [&self.client, &self.server]
    }

    /// Both sides get a reset. Closing with a linger of nothing sends one; the close comes when both threads have
    /// let go, which the end of the reading brings about.
    fn break_off(&self) {
        self.broken.store(true, Ordering::SeqCst);
        for end in self.ends() {
            let _ = socket2::SockRef::from(end).set_linger(Some(Duration::ZERO));
            let _ = end.shutdown(Shutdown::Read);
        }
    }

    fn is_broken(&self) -> bool {
        self.broken.load(Ordering::SeqCst)
    }
}

/// A proxy on a free port of its own.
pub struct Proxy {
    address: String,
    shared: Arc<Shared>,
}

impl Proxy {
    /// Starts a proxy in front of `upstream` (`ADDRESS:PORT`).
    ///
    /// # Panics
    ///
    /// When no port is free.
    pub fn before(upstream: &str) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let address = listener
            .local_addr()
            .expect("a bound socket has an address");
        let shared = Arc::new(Shared::default());
        let (of_thread, upstream) = (Arc::clone(&shared), upstream.to_owned());
        spawn(move || accept(&listener, &upstream, &of_thread));
        Self {
            address: address.to_string(),
            shared,
        }
    }

    /// `ADDRESS:PORT` for clients.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// How many connections were reset so far.
    pub fn resets(&self) -> u64 {
        self.shared.resets.load(Ordering::SeqCst)
    }

    /// From now on the line is this good.
    pub fn line(&self, line: Line) {
        lock(&self.shared.told).1 = line;
    }

    /// Lets bytes pass, and new connections.
    pub fn pass(&self) {
        self.mode(Mode::Pass);
    }

    /// Holds every byte back without closing anything: a pulled cable.
    pub fn stall(&self) {
        self.mode(Mode::Stall);
    }

    /// Swallows every byte and every close in one direction, for the connections that are there and new ones; what was
    /// swallowed is gone for good.
    pub fn half_open(&self, way: Way) {
        self.mode(Mode::HalfOpen(way));
    }

    /// Resets every connection (RST instead of FIN); new ones are taken.
    pub fn reset(&self) {
        for connection in lock(&self.shared.open).drain(..) {
            self.shared.resets.fetch_add(1, Ordering::SeqCst);
            connection.break_off();
        }
    }

    /// Cuts every connection and takes no new ones.
    pub fn cut(&self) {
        self.mode(Mode::Refuse);
        for connection in lock(&self.shared.open).drain(..) {
            // It may have ended by itself.
            let _ = connection.ends().map(|end| end.shutdown(Shutdown::Both));
        }
    }

    fn mode(&self, mode: Mode) {
        lock(&self.shared.told).0 = mode;
    }
}

impl Drop for Proxy {
    fn drop(&mut self) {
        self.shared.ended.store(true, Ordering::SeqCst);
        self.cut();
        // Wakes the accepting thread, so that it sees the end.
        let _ = TcpStream::connect(&self.address);
    }
}

impl Shared {
    fn mode(&self) -> Mode {
        lock(&self.told).0
    }

    fn line(&self) -> Line {
        lock(&self.told).1
    }

    /// A number from 0 to 1: `SplitMix64` (Steele, Lea and Flood 2014) over a counter.
    fn chance(&self) -> f64 {
        const STEP: u64 = 0x9e37_79b9_7f4a_7c15;
        let mut z = self
            .chance
            .fetch_add(STEP, Ordering::SeqCst)
            .wrapping_add(STEP);
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) as f64 / u64::MAX as f64
    }

    /// How late the next piece is.
    fn late(&self) -> Duration {
        let line = self.line();
        let apart = line.jitter.mul_f64(2.0 * self.chance());
        (line.delay + apart).saturating_sub(line.jitter)
    }
}

fn lock<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

fn accept(listener: &TcpListener, upstream: &str, shared: &Arc<Shared>) {
    for client in listener.incoming().flatten() {
        if shared.ended.load(Ordering::SeqCst) {
            return;
        }
        if shared.mode() == Mode::Refuse {
            continue;
        }
        let Ok(server) = TcpStream::connect(upstream) else {
            continue;
        };
        // Nagle's delay would add to ours.
        let _ = (client.set_nodelay(true), server.set_nodelay(true));
        let connection = Arc::new(Connection {
            client,
            server,
            broken: AtomicBool::default(),
        });
        let mut open = lock(&shared.open);
        // What has ended by itself must not keep its sockets.
        open.retain(|known| Arc::strong_count(known) > 1);
        open.push(Arc::clone(&connection));
        drop(open);
        for way in [Way::Up, Way::Down] {
            let (pieces, coming) = sync_channel(UNDER_WAY);
            let (reading, writing) = (Arc::clone(shared), Arc::clone(shared));
            let (from, to) = (Arc::clone(&connection), Arc::clone(&connection));
            spawn(move || take_in((&from, way), &pieces, &reading));
            spawn(move || hand_out((&to, way), &coming, &writing));
        }
    }
}

/// Reads pieces and says when each is due at the other end.
fn take_in(
    (connection, way): (&Connection, Way),
    pieces: &SyncSender<(Instant, Vec<u8>)>,
    shared: &Shared,
) {
    let [client, server] = connection.ends();
    let mut from = if way == Way::Up { client } else { server };
    let mut buffer = [0; PIECE];
    let mut last = wait::now();
    while let Ok(count @ 1..) = from.read(&mut buffer) {
        last = last.max(wait::now() + shared.late());
        if pieces.send((last, buffer[..count].to_vec())).is_err() {
            return;
        }
    }
}

/// Writes pieces when they are due, as slowly as the line is, until the other side closes or the connection is reset.
fn hand_out(
    (connection, way): (&Connection, Way),
    coming: &Receiver<(Instant, Vec<u8>)>,
    shared: &Shared,
) {
    let [client, server] = connection.ends();
    let mut to = if way == Way::Up { server } else { client };
    let until_reset = shared.chance() * 2.0;
    let mut passed = 0;
    loop {
        let (due, piece) = match coming.recv_timeout(LOOK) {
            Ok(piece) => piece,
            Err(RecvTimeoutError::Timeout) => continue,
            Err(RecvTimeoutError::Disconnected) => break,
        };
        sleep(due.saturating_duration_since(wait::now()));
        while shared.mode() == Mode::Stall && !connection.is_broken() {
            sleep(LOOK);
        }
        if shared.mode() == Mode::HalfOpen(way) {
            continue;
        }
        if connection.is_broken() || to.write_all(&piece).is_err() {
            break;
        }
        passed += piece.len() as u64;
        let line = shared.line();
        if let Some(rate) = line.bytes_per_s {
            sleep(Duration::from_secs_f64(
                piece.len() as f64 / rate.max(1) as f64,
            ));
        }
        if line
            .reset_after
            .is_some_and(|mean| passed as f64 > until_reset * mean as f64)
        {
            shared.resets.fetch_add(1, Ordering::SeqCst);
            connection.break_off();
        }
    }
    while shared.mode() == Mode::HalfOpen(way) && !connection.is_broken() {
        sleep(LOOK);
    }
    if !connection.is_broken() {
        let _ = to.shutdown(Shutdown::Both);
    }
}

#[cfg(test)]
#[path = "proxy_test.rs"]
mod tests;
