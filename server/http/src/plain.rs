//! Plain HTTP at a TLS port: told what is wrong, in plain HTTP, and closed.

use std::time::Duration;

use swapcall_wire::{Problem, ProblemCode};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;

/// How long the peer may take to read the answer before it is gone in a reset.
const LINGER: Duration = Duration::from_secs(1);

/// Whether a connection that begins with this byte speaks HTTP: methods are capital letters, and a TLS handshake begins
/// with 22 (RFC 8446, section 5.1).
pub(crate) fn begins_a_request(byte: u8) -> bool {
    byte.is_ascii_uppercase()
}

/// Says that this port speaks HTTPS. Best effort: the peer may be gone.
pub(crate) async fn say_https(mut stream: TcpStream) {
    let problem = Problem::new(
        ProblemCode::HttpsNeeded,
        "This hub takes encrypted connections only. Use its address with https:// in front, and the fingerprint it \
         printed when it started. What you sent was not read; if it held a token, it went over the network unencrypted: \
         revoke it.",
    );
    let body = serde_json::to_string(&problem).unwrap_or_default();
    let answer = format!(
        "HTTP/1.1 {} Bad Request\r\nContent-Type: application/problem+json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        problem.status,
        body.len()
    );
    let _ = stream.write_all(answer.as_bytes()).await;
    let _ = stream.shutdown().await;
    // Unread bytes at the close would become a reset, which throws the answer away.
    let mut rest = [0; 4096];
    let read_on = async { while matches!(stream.read(&mut rest).await, Ok(1..)) {} };
    let _ = timeout(LINGER, read_on).await;
}
