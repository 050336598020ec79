//! A connection to the camera whose reads and writes share one time limit, so that a camera that trickles bytes cannot
//! hold a look up.

use std::io::{self, ErrorKind, Read, Write};
use std::net::{TcpStream, ToSocketAddrs};
use std::time::Duration;

use super::trouble::Trouble;
use crate::clock::Stopwatch;

/// How much time is left.
#[derive(Clone, Copy, Debug)]
pub(super) struct Budget {
    since: Stopwatch,
    limit: Duration,
}

impl Budget {
    /// So much from now on.
    pub(super) fn new(limit: Duration) -> Self {
        Self {
            since: Stopwatch::start(),
            limit,
        }
    }

    /// What is left of it; an error when nothing is.
    fn left(self) -> io::Result<Duration> {
        let left = self.limit.saturating_sub(self.since.elapsed());
        if left.is_zero() {
            return Err(ErrorKind::TimedOut.into());
        }
        Ok(left)
    }
}

/// A TCP connection that ends with its time.
#[derive(Debug)]
pub(super) struct Link {
    stream: TcpStream,
    budget: Budget,
}

impl Link {
    /// Connects to the first address of `host` that answers.
    pub(super) fn connect(host: &str, port: u16, budget: Budget) -> Result<Self, Trouble> {
        let addresses = (host, port)
            .to_socket_addrs()
            .map_err(|error| Trouble::NoSuchHost(error.to_string()))?;
        let mut trouble = Trouble::NoSuchHost("no address".to_owned());
        for address in addresses {
            match TcpStream::connect_timeout(&address, budget.left()?) {
                Ok(stream) => {
                    // Requests are small and wait for their answers.
                    stream.set_nodelay(true)?;
                    return Ok(Self { stream, budget });
                }
                Err(error) => trouble = error.into(),
            }
        }
        Err(trouble)
    }

    /// Sets a new limit.
    pub(super) fn renew(&mut self, budget: Budget) {
        self.budget = budget;
    }

    /// The connection itself, without a limit.
    pub(super) fn unlimited(self) -> io::Result<TcpStream> {
        self.stream.set_read_timeout(None)?;
        Ok(self.stream)
    }
}

impl Read for Link {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.stream.set_read_timeout(Some(self.budget.left()?))?;
        self.stream.read(into)
    }
}

impl Write for Link {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.stream.set_write_timeout(Some(self.budget.left()?))?;
        self.stream.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.stream.flush()
    }
}
