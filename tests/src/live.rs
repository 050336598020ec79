//! A live client that keeps what a screen would keep: newest units and calls, its cursor, and every frame it saw.

use std::collections::BTreeMap;
use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::time::Duration;

use swapcall_trust::Fingerprint;
use swapcall_wire::{CallView, CardRiskView, LiveMessage, Resumption, UnitView};
use tokio_rustls::rustls::pki_types::ServerName;
use tokio_rustls::rustls::{ClientConnection, StreamOwned};
use tokio_tungstenite::tungstenite::client::IntoClientRequest;
use tokio_tungstenite::tungstenite::protocol::CloseFrame;
use tokio_tungstenite::tungstenite::{Message, WebSocket, client};
use uuid::Uuid;

use crate::api::Api;
use crate::wait::{self, PATIENCE};

/// What a screen remembers between connections.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    /// Where it stopped reading.
    pub cursor: Option<(Uuid, u64)>,
    /// Units by callsign.
    pub units: BTreeMap<String, UnitView>,
    /// Calls by identity.
    pub calls: BTreeMap<Uuid, CallView>,
    /// Every call state that was news: (call, revision), in order of arrival.
    pub call_news: Vec<(Uuid, u32)>,
    /// Cards at risk.
    pub risks: Vec<CardRiskView>,
    /// How the last connection began.
    pub start: Option<Resumption>,
    /// Whether the gap or snapshot is complete.
    pub caught_up: bool,
}

impl Memory {
    /// Takes one message the way every client must: what is not newer is dropped.
    pub fn take(&mut self, message: &LiveMessage) {
        match message {
            LiveMessage::Hello { epoch, start, .. } => {
                if *start == Resumption::Snapshot {
                    *self = Self {
                        call_news: std::mem::take(&mut self.call_news),
                        ..Self::default()
                    };
                }
                self.start = Some(*start);
                self.caught_up = false;
                let seq = self.cursor.map_or(0, |(_, seq)| seq);
                self.cursor = Some((*epoch, seq));
            }
            LiveMessage::Unit { seq, unit } => {
                self.advance(*seq);
                self.keep_unit(unit);
            }
            LiveMessage::Kit { risks, .. } => self.risks.clone_from(risks),
            LiveMessage::Aged { units } => units.iter().for_each(|unit| self.keep_unit(unit)),
            LiveMessage::Call { seq, call } => {
                self.advance(*seq);
                let known = self.calls.get(&call.id).map_or(0, |known| known.revision);
                if call.revision > known {
                    self.call_news.push((call.id, call.revision));
                    self.calls.insert(call.id, call.as_ref().clone());
                }
            }
            LiveMessage::CaughtUp { seq } => {
                self.advance(*seq);
                self.caught_up = true;
            }
            LiveMessage::Heartbeat { .. } | LiveMessage::Bye { .. } => {}
        }
    }

    fn advance(&mut self, seq: u64) {
        if let Some((_, known)) = &mut self.cursor {
            *known = seq.max(*known);
        }
    }

    fn keep_unit(&mut self, unit: &UnitView) {
        let newer = self
            .units
            .get(&unit.unit)
            .is_none_or(|known| (known.changed_seq, known.as_of) <= (unit.changed_seq, unit.as_of));
        if newer {
            self.units.insert(unit.unit.clone(), unit.clone());
        }
    }
}

/// A connection with or without TLS.
enum Line {
    Plain(TcpStream),
    Tls(Box<StreamOwned<ClientConnection, TcpStream>>),
}

impl Line {
    fn connect(api: &Api) -> io::Result<Self> {
        let stream = TcpStream::connect(api.address())?;
        let Some(config) = api.tls() else {
            return Ok(Self::Plain(stream));
        };
        let host = api.address().rsplit_once(':').map_or("", |(host, _)| host);
        let name = ServerName::try_from(host.to_owned()).map_err(io::Error::other)?;
        let tls = ClientConnection::new(Arc::clone(config), name).map_err(io::Error::other)?;
        Ok(Self::Tls(Box::new(StreamOwned::new(tls, stream))))
    }

    fn below(&self) -> &TcpStream {
        match self {
            Self::Plain(stream) => stream,
            Self::Tls(stream) => &stream.sock,
        }
    }
}

impl Read for Line {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::Plain(stream) => stream.read(buffer),
            Self::Tls(stream) => stream.read(buffer),
        }
    }
}

impl Write for Line {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Plain(stream) => stream.write(bytes),
            Self::Tls(stream) => stream.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Plain(stream) => stream.flush(),
            Self::Tls(stream) => stream.flush(),
        }
    }
}

/// A live socket.
pub struct Live {
    socket: WebSocket<Line>,
    /// What it knows.
    pub memory: Memory,
}

/// What a read gave.
#[derive(Debug)]
pub enum Heard {
    /// A message.
    Message(Box<LiveMessage>),
    /// A ping or pong.
    Control,
    /// The close frame, where one came.
    Closed(Option<CloseFrame>),
    /// The connection broke.
    Broken(String),
    /// Nothing within the time.
    Nothing,
}

impl Live {
    /// Connects anew.
    pub fn connect(api: &Api) -> Self {
        Self::resume(api, Memory::default())
    }

    /// Connects with what is remembered.
    ///
    /// # Panics
    ///
    /// When the hub does not take the socket.
    pub fn resume(api: &Api, memory: Memory) -> Self {
        Self::try_resume(api, memory)
            .unwrap_or_else(|error| panic!("the live socket was refused: {error}"))
    }

    /// Connects with what is remembered, if the hub lets it.
    pub fn try_resume(api: &Api, memory: Memory) -> Result<Self, String> {
        let scheme = if api.tls().is_some() { "wss" } else { "ws" };
        let address = api.address();
        let query = memory.cursor.map_or_else(String::new, |(epoch, seq)| {
            format!("?epoch={epoch}&after={seq}")
        });
        let mut request = format!("{scheme}://{address}/v1/live{query}")
            .into_client_request()
            .map_err(|error| error.to_string())?;
        let token = format!("Bearer {}", api.token())
            .parse()
            .map_err(|_| "a token that is no header".to_owned())?;
        request.headers_mut().insert("authorization", token);
        let stream = Line::connect(api).map_err(|error| error.to_string())?;
        let (socket, _) = client(request, stream).map_err(|error| error.to_string())?;
        // What follows tells how this connection begins, not how the last one did.
        let memory = Memory {
            start: None,
            caught_up: false,
            ..memory
        };
        Ok(Self { socket, memory })
    }

    /// The fingerprint of the certificate that this connection was made with; `None` without TLS.
    pub fn fingerprint(&self) -> Option<Fingerprint> {
        match self.socket.get_ref() {
            Line::Plain(_) => None,
            Line::Tls(stream) => {
                let shown = stream.conn.peer_certificates()?;
                shown
                    .first()
                    .map(|certificate| Fingerprint::of(certificate))
            }
        }
    }

    /// Reads one frame, waiting at most `limit`.
    ///
    /// # Panics
    ///
    /// When the hub sends something that is no live message.
    pub fn hear(&mut self, limit: Duration) -> Heard {
        self.socket
            .get_ref()
            .below()
            .set_read_timeout(Some(limit.max(Duration::from_millis(1))))
            .expect("a socket takes a timeout");
        match self.socket.read() {
            Ok(Message::Text(text)) => {
                let message: LiveMessage =
                    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {text}"));
                self.memory.take(&message);
                Heard::Message(Box::new(message))
            }
            Ok(Message::Close(frame)) => Heard::Closed(frame),
            Ok(_) => Heard::Control,
            Err(tokio_tungstenite::tungstenite::Error::Io(error))
                if matches!(
                    error.kind(),
                    std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut
                ) =>
            {
                Heard::Nothing
            }
            Err(error) => Heard::Broken(error.to_string()),
        }
    }

    /// Reads until the memory satisfies `wanted`.
    ///
    /// # Panics
    ///
    /// When it does not within [`PATIENCE`], or the socket ends.
    pub fn until(&mut self, what: &str, mut wanted: impl FnMut(&Memory) -> bool) {
        let began = wait::now();
        while !wanted(&self.memory) {
            assert!(
                began.elapsed() < PATIENCE,
                "waited {PATIENCE:?} for {what}: {:?}",
                self.memory
            );
            match self.hear(Duration::from_millis(200)) {
                Heard::Closed(frame) => panic!("closed while waiting for {what}: {frame:?}"),
                Heard::Broken(error) => panic!("broken while waiting for {what}: {error}"),
                _ => {}
            }
        }
    }

    /// Reads until the close frame and returns its code; `None` when the connection broke without one.
    ///
    /// # Panics
    ///
    /// When nothing ends the socket within [`PATIENCE`].
    pub fn close_code(&mut self) -> Option<u16> {
        let began = wait::now();
        loop {
            assert!(
                began.elapsed() < PATIENCE,
                "waited {PATIENCE:?} for the socket to end"
            );
            match self.hear(Duration::from_millis(200)) {
                Heard::Closed(frame) => return frame.map(|frame| frame.code.into()),
                Heard::Broken(_) => return None,
                _ => {}
            }
        }
    }

    /// Says something the hub has no use for.
    ///
    /// # Panics
    ///
    /// When the socket is gone.
    pub fn say(&mut self, text: &str) {
        self.socket
            .send(Message::text(text))
            .expect("the socket is open");
    }
}
