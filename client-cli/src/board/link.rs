//! The live socket: connects, listens, notices silence, and comes back with its cursor.
//!
//! It reads and waits in a thread of its own: there is one connection, and nothing else to do meanwhile.

use std::io::{ErrorKind, Read, Write};
use std::net::{TcpStream, ToSocketAddrs};
use std::sync::Arc;
use std::thread::sleep;
use std::time::Duration;

use swapcall_trust::Doubt;
use swapcall_wire::{CloseCode, LiveMessage};
use tokio::sync::mpsc::Sender;
use tokio_rustls::rustls::pki_types::ServerName;
use tokio_rustls::rustls::{ClientConfig, ClientConnection, StreamOwned};
use tokio_tungstenite::tungstenite::client::{IntoClientRequest, client_with_config};

use tokio_tungstenite::tungstenite::http::{HeaderValue, Uri, header};
use tokio_tungstenite::tungstenite::protocol::WebSocketConfig;
use tokio_tungstenite::tungstenite::{Error, HandshakeError, Message, WebSocket};

use super::Cursor;
use crate::backoff::{Backoff, chance};
use crate::settings::Settings;

/// Longest wait for a connection and for the first message.
const CONNECT: Duration = Duration::from_secs(10);
/// Largest message that is taken: thousands of aged units at once.
const MESSAGE_BYTES: usize = 32 * 1024 * 1024;
/// Heartbeats that may be missed.
const MISSED: f64 = 3.0;

/// What the view is told.
#[derive(Clone, Debug, PartialEq)]
pub enum LinkEvent {
    /// A message from the hub.
    Message(Box<LiveMessage>),
    /// The hub is lost; another try follows.
    Lost {
        /// Why.
        reason: String,
    },
}

/// A connection with or without TLS.
trait Line: Read + Write + Send {
    /// How long a read may wait.
    fn wait_at_most(&self, patience: Duration) -> std::io::Result<()>;
}

impl Line for TcpStream {
    fn wait_at_most(&self, patience: Duration) -> std::io::Result<()> {
        self.set_read_timeout(Some(patience))
    }
}

impl Line for StreamOwned<ClientConnection, TcpStream> {
    fn wait_at_most(&self, patience: Duration) -> std::io::Result<()> {
        self.sock.wait_at_most(patience)
    }
}

type Socket = WebSocket<Box<dyn Line>>;

/// Why a connection ended, and how to come back.
struct End {
    reason: String,
    hint: Option<Duration>,
    signed_out: bool,
    doubt: Option<Doubt>,
}

impl End {
    fn new(reason: impl Into<String>) -> Self {
        Self {
            reason: reason.into(),
            hint: None,
            signed_out: false,
            doubt: None,
        }
    }

    /// The other side is not our hub: asking again soon would not change it.
    fn doubted(doubt: Doubt) -> Self {
        Self {
            reason: doubt.to_string(),
            hint: None,
            signed_out: true,
            doubt: Some(doubt),
        }
    }
}

/// Follows the hub for ever, until nobody listens to the events any more; blocks. Ends by itself, with the reason, when
/// the first connection shows that it is another hub than expected; later that is a loss like others.
pub fn follow(settings: &Settings, events: &Sender<LinkEvent>) -> Option<Doubt> {
    let mut cursor = Cursor::default();
    let mut backoff = Backoff::default();
    loop {
        let end = match connect(settings, &cursor) {
            Ok(mut socket) => listen(&mut socket, &mut cursor, &mut backoff, events),
            Err(end) => end,
        };
        let end = Some(end).filter(|_| !events.is_closed())?;
        if cursor == Cursor::default() && end.doubt.is_some() {
            return end.doubt;
        }
        let wait = if end.signed_out {
            backoff.signed_out(chance())
        } else {
            backoff.failed(end.hint, chance())
        };
        let lost = LinkEvent::Lost { reason: end.reason };
        events.blocking_send(lost).ok()?;
        sleep(wait);
    }
}

fn connect(settings: &Settings, cursor: &Cursor) -> Result<Socket, End> {
    let address = format!("{}{}", settings.live_address(), cursor.path());
    let mut request = address
        .into_client_request()
        .map_err(|error| End::new(error.to_string()))?;
    if let Some(token) = &settings.token {
        let bearer = HeaderValue::from_str(&format!("Bearer {token}"));
        let bearer = bearer.map_err(|error| End::new(error.to_string()))?;
        request.headers_mut().insert(header::AUTHORIZATION, bearer);
    }
    let mut config = WebSocketConfig::default();
    config.max_message_size = Some(MESSAGE_BYTES);
    config.max_frame_size = Some(MESSAGE_BYTES);
    let tls = settings
        .tls()
        .map_err(|error| End::new(error.to_string()))?;
    let line = reach(request.uri(), tls).map_err(|error| connect_failed(&Error::Io(error)))?;
    match client_with_config(request, line, Some(config)) {
        Ok((socket, _)) => Ok(socket),
        Err(HandshakeError::Failure(error)) => Err(connect_failed(&error)),
        // A read that waited for too long.
        Err(HandshakeError::Interrupted(_)) => Err(End::new("no answer")),
    }
}

/// A connection to the hub's address, in TLS where that is spoken.
fn reach(address: &Uri, tls: Option<Arc<ClientConfig>>) -> std::io::Result<Box<dyn Line>> {
    let host = address.host().unwrap_or_default();
    // RFC 3986, section 3.2.2: an IPv6 address stands in brackets.
    let host = host.trim_start_matches('[').trim_end_matches(']');
    let usual = if tls.is_some() { 443 } else { 80 };
    let stream = first_that_answers(host, address.port_u16().unwrap_or(usual))?;
    stream.set_nodelay(true)?;
    stream.set_write_timeout(Some(CONNECT))?;
    stream.wait_at_most(CONNECT)?;
    let Some(tls) = tls else {
        return Ok(Box::new(stream));
    };
    let name = ServerName::try_from(host.to_owned()).map_err(std::io::Error::other)?;
    let connection = ClientConnection::new(tls, name).map_err(std::io::Error::other)?;
    Ok(Box::new(StreamOwned::new(connection, stream)))
}

/// Tries every address of a name in turn.
fn first_that_answers(host: &str, port: u16) -> std::io::Result<TcpStream> {
    let mut last = std::io::Error::new(ErrorKind::NotFound, "the name has no address");
    for address in (host, port).to_socket_addrs()? {
        match TcpStream::connect_timeout(&address, CONNECT) {
            Ok(stream) => return Ok(stream),
            Err(error) => last = error,
        }
    }
    Err(last)
}

fn connect_failed(error: &Error) -> End {
    if let Error::Io(error) = error {
        return match Doubt::behind(error) {
            Some(doubt) if doubt != Doubt::NoTls => End::doubted(doubt),
            Some(doubt) => End::new(doubt.to_string()),
            None => End::new(error.to_string()),
        };
    }
    let Error::Http(response) = error else {
        return End::new(error.to_string());
    };
    let hint = response
        .headers()
        .get(header::RETRY_AFTER)
        .and_then(|value| value.to_str().ok()?.parse().ok());
    let status = response.status();
    match status.as_u16() {
        401 | 403 => End {
            reason: "the hub does not take our token: give one with --token-file".to_owned(),
            hint: None,
            signed_out: true,
            doubt: None,
        },
        _ => End {
            hint: hint.map(Duration::from_secs),
            ..End::new(format!("the hub answered {status}"))
        },
    }
}

/// Hands messages on until the connection ends or falls silent.
fn listen(
    socket: &mut Socket,
    cursor: &mut Cursor,
    backoff: &mut Backoff,
    events: &Sender<LinkEvent>,
) -> End {
    let mut patience = CONNECT;
    let (mut caught_up, mut hint) = (false, None);
    loop {
        let text = match socket.read() {
            Ok(Message::Text(text)) => text,
            Ok(Message::Close(frame)) => {
                let code = frame.as_ref().map(|frame| u16::from(frame.code));
                let reason = frame
                    .map(|frame| frame.reason.to_string())
                    .filter(|reason| !reason.is_empty());
                return End {
                    reason: reason.unwrap_or("the hub closed the connection".to_owned()),
                    hint,
                    signed_out: code == Some(CloseCode::SignedOut.code()),
                    doubt: None,
                };
            }
            // Pings are answered by the library; nothing else is part of the contract.
            Ok(_) => continue,
            Err(error) => {
                return End {
                    hint,
                    ..End::new(what_ended(&error, patience))
                };
            }
        };
        // A kind of message that this version does not know is left out, as the contract asks of clients.
        let Ok(message) = serde_json::from_str::<LiveMessage>(&text) else {
            continue;
        };
        match &message {
            LiveMessage::Hello { heartbeat_s, .. } => {
                patience = Duration::from_secs_f64((heartbeat_s * MISSED).clamp(0.2, 600.0));
                if let Err(error) = socket.get_ref().wait_at_most(patience) {
                    return End::new(error.to_string());
                }
            }
            LiveMessage::CaughtUp { .. } => caught_up = true,
            // Only a connection that lasted a heartbeat counts as a success: a hub that dies after each snapshot must
            // not be called back at once every time.
            LiveMessage::Heartbeat { .. } if caught_up => backoff.succeeded(),
            LiveMessage::Bye { retry_after_ms, .. } => {
                hint = Some(Duration::from_millis(*retry_after_ms));
            }
            _ => {}
        }
        cursor.note(&message);
        let event = LinkEvent::Message(Box::new(message));
        if events.blocking_send(event).is_err() {
            return End::new("nobody listens");
        }
    }
}

fn what_ended(error: &Error, patience: Duration) -> String {
    match error {
        Error::Io(error) if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {
            format!("nothing heard for {:.0} s", patience.as_secs_f64())
        }
        Error::ConnectionClosed | Error::AlreadyClosed => "the connection ended".to_owned(),
        error => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio_tungstenite::tungstenite::http::Response;

    fn refused(status: u16, retry_after: Option<&str>) -> End {
        let mut response = Response::builder().status(status);
        if let Some(value) = retry_after {
            response = response.header("retry-after", value);
        }
        connect_failed(&Error::Http(Box::new(response.body(None).unwrap())))
    }

    #[test]
    fn a_refused_token_is_told_apart_from_a_busy_hub() {
        assert!(refused(401, None).signed_out && refused(403, None).signed_out);
        let busy = refused(503, Some("7"));
        assert!(!busy.signed_out);
        assert_eq!(busy.hint, Some(Duration::from_secs(7)));
        // RFC 9110, section 10.2.3 also allows a date; then our own back-off decides.
        assert_eq!(
            refused(503, Some("Fri, 31 Dec 1999 23:59:59 GMT")).hint,
            None
        );
        assert_eq!(connect_failed(&Error::ConnectionClosed).hint, None);
    }

    #[tokio::test]
    async fn an_absent_hub_is_said_again_and_again_until_nobody_listens() {
        let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        let hub = format!("http://{}", listener.local_addr().unwrap());
        drop(listener);
        let settings = Settings {
            hub,
            trust: None,
            token: Some("secret".to_owned()),
            spool: "/nowhere".into(),
            bounds: crate::spool::Bounds::default(),
        };
        let (give, mut take) = tokio::sync::mpsc::channel(1);
        let following = tokio::task::spawn_blocking(move || follow(&settings, &give));
        for _ in 0..3 {
            let Some(LinkEvent::Lost { reason }) = take.recv().await else {
                panic!("no loss was told")
            };
            assert!(!reason.is_empty() && !reason.contains("secret"), "{reason}");
        }
        drop(take);
        tokio::time::timeout(Duration::from_secs(30), following)
            .await
            .expect("it ends with its listener")
            .unwrap();
    }
}
