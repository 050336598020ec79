//! A small fault proxy between a client and the hub: it passes bytes on until told to cut or to stall.

use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicU8, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::{sleep, spawn};
use std::time::Duration;

const PASS: u8 = 0;
const STALL: u8 = 1;
const REFUSE: u8 = 2;

/// A proxy on a free port of its own.
pub struct Proxy {
    address: String,
    mode: Arc<AtomicU8>,
    open: Arc<Mutex<Vec<TcpStream>>>,
    ended: Arc<AtomicBool>,
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
            .expect("a bound socket has an address")
            .to_string();
        let proxy = Self {
            address,
            mode: Arc::default(),
            open: Arc::default(),
            ended: Arc::default(),
        };
        let (mode, open, ended) = (
            Arc::clone(&proxy.mode),
            Arc::clone(&proxy.open),
            Arc::clone(&proxy.ended),
        );
        let upstream = upstream.to_owned();
        spawn(move || {
            for client in listener.incoming().flatten() {
                if ended.load(Ordering::SeqCst) {
                    return;
                }
                if mode.load(Ordering::SeqCst) == REFUSE {
                    continue;
                }
                let Ok(server) = TcpStream::connect(&upstream) else {
                    continue;
                };
                join(&client, &server, &mode, &open);
            }
        });
        proxy
    }

    /// `ADDRESS:PORT` for clients.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Lets bytes pass, and new connections.
    pub fn pass(&self) {
        self.mode.store(PASS, Ordering::SeqCst);
    }

    /// Holds every byte back without closing anything: a pulled cable.
    pub fn stall(&self) {
        self.mode.store(STALL, Ordering::SeqCst);
    }

    /// Cuts every connection and takes no new ones.
    ///
    /// # Panics
    ///
    /// When another thread of the proxy panicked.
    pub fn cut(&self) {
        self.mode.store(REFUSE, Ordering::SeqCst);
        for stream in self
            .open
            .lock()
            .expect("no thread panics while it holds this")
            .drain(..)
        {
            // It may have ended by itself.
            let _ = stream.shutdown(Shutdown::Both);
        }
    }
}

impl Drop for Proxy {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::SeqCst);
        self.cut();
        // Wakes the accepting thread, so that it sees the end.
        let _ = TcpStream::connect(&self.address);
    }
}

fn join(
    client: &TcpStream,
    server: &TcpStream,
    mode: &Arc<AtomicU8>,
    open: &Mutex<Vec<TcpStream>>,
) {
    let copies = |stream: &TcpStream| stream.try_clone().ok();
    for stream in [client, server] {
        if let (Some(copy), Ok(mut open)) = (copies(stream), open.lock()) {
            open.push(copy);
        }
    }
    for (from, to) in [(client, server), (server, client)] {
        if let (Some(from), Some(to)) = (copies(from), copies(to)) {
            let mode = Arc::clone(mode);
            spawn(move || pump(from, to, &mode));
        }
    }
}

fn pump(mut from: TcpStream, mut to: TcpStream, mode: &AtomicU8) {
    let mut buffer = [0; 16 * 1024];
    loop {
        match from.read(&mut buffer) {
            Ok(0) | Err(_) => break,
            Ok(count) => {
                while mode.load(Ordering::SeqCst) == STALL {
                    sleep(Duration::from_millis(5));
                }
                if to.write_all(&buffer[..count]).is_err() {
                    break;
                }
            }
        }
    }
    let _ = to.shutdown(Shutdown::Both);
}
