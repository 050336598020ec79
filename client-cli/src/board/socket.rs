//! A WebSocket that is waited for, not blocked on: tungstenite over a connection of tokio's, with or without TLS.

use std::io::{self, ErrorKind, Read, Write};
use std::sync::Arc;

use tokio::io::Interest;
use tokio::net::TcpStream;
use tokio_rustls::rustls::pki_types::ServerName;
use tokio_rustls::rustls::{ClientConfig, ClientConnection, StreamOwned};
use tungstenite::client::client_with_config;
use tungstenite::handshake::client::Request;
use tungstenite::protocol::WebSocketConfig;
use tungstenite::{Error, HandshakeError, Message, WebSocket};

/// A connection that says [`ErrorKind::WouldBlock`] where another would wait, and remembers what for.
struct Line {
    stream: TcpStream,
    awaited: Interest,
}

impl Line {
    /// Notes what is waited for, when it is.
    fn note<T>(&mut self, what: Interest, done: io::Result<T>) -> io::Result<T> {
        if matches!(&done, Err(error) if error.kind() == ErrorKind::WouldBlock) {
            self.awaited = what;
        }
        done
    }

    /// Waits until what could not be done can.
    async fn ready(&self) -> io::Result<()> {
        self.stream.ready(self.awaited).await.map(|_| ())
    }
}

impl Read for Line {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let done = self.stream.try_read(into);
        self.note(Interest::READABLE, done)
    }
}

impl Write for Line {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let done = self.stream.try_write(bytes);
        self.note(Interest::WRITABLE, done)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// A line with or without TLS.
enum Channel {
    Plain(Line),
    Tls(Box<StreamOwned<ClientConnection, Line>>),
}

impl Channel {
    fn line(&self) -> &Line {
        match self {
            Self::Plain(line) => line,
            Self::Tls(stream) => &stream.sock,
        }
    }
}

impl Read for Channel {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Plain(line) => line.read(into),
            Self::Tls(stream) => stream.read(into),
        }
    }
}

impl Write for Channel {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Plain(line) => line.write(bytes),
            Self::Tls(stream) => stream.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Plain(line) => line.flush(),
            Self::Tls(stream) => stream.flush(),
        }
    }
}

/// A WebSocket to a hub.
pub(super) struct Socket(WebSocket<Channel>);

impl Socket {
    /// Connects to where the request goes, in TLS where that is spoken, and shakes hands.
    pub(super) async fn connect(
        request: Request,
        tls: Option<Arc<ClientConfig>>,
        config: WebSocketConfig,
    ) -> Result<Self, Error> {
        let address = request.uri();
        let host = address.host().unwrap_or_default();
        // RFC 3986, section 3.2.2: an IPv6 address stands in brackets.
        let host = host.trim_start_matches('[').trim_end_matches(']');
        let usual = if tls.is_some() { 443 } else { 80 };
        let stream = TcpStream::connect((host, address.port_u16().unwrap_or(usual))).await?;
        stream.set_nodelay(true)?;
        let line = Line {
            stream,
            awaited: Interest::READABLE,
        };
        let channel = match tls {
            None => Channel::Plain(line),
            Some(tls) => {
                let name = ServerName::try_from(host.to_owned()).map_err(io::Error::other)?;
                let session = ClientConnection::new(tls, name).map_err(io::Error::other)?;
                Channel::Tls(Box::new(StreamOwned::new(session, line)))
            }
        };
        let mut shaking = client_with_config(request, channel, Some(config));
        loop {
            shaking = match shaking {
                Ok((socket, _)) => return Ok(Self(socket)),
                Err(HandshakeError::Failure(error)) => return Err(error),
                Err(HandshakeError::Interrupted(rest)) => {
                    rest.get_ref().get_ref().line().ready().await?;
                    rest.handshake()
                }
            };
        }
    }

    /// The next message. Cancel safe: what was read of one is kept for the next call. Pings are answered.
    pub(super) async fn next(&mut self) -> Result<Message, Error> {
        loop {
            match self.0.read() {
                Err(Error::Io(error)) if error.kind() == ErrorKind::WouldBlock => {
                    self.0.get_ref().line().ready().await?;
                }
                heard => return heard,
            }
        }
    }
}
