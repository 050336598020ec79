//! One request from a loopback address of the test's choice: to the hub, each is somebody else.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::sync::atomic::{AtomicU16, Ordering};

use tokio::net::TcpSocket;
use tokio::runtime::Builder;

use crate::api::{Answer, Api};
use crate::wait::PATIENCE;

/// An address on this machine that nobody has used yet in this process.
pub fn fresh_address() -> Ipv4Addr {
    static NEXT: AtomicU16 = AtomicU16::new(1);
    let [high, low] = NEXT.fetch_add(1, Ordering::SeqCst).to_be_bytes();
    Ipv4Addr::new(127, 77, high, low)
}

/// What is sent.
#[derive(Clone, Debug, Default)]
pub struct Request<'a> {
    /// The method.
    pub method: &'a str,
    /// The path with its query.
    pub path: &'a str,
    /// The bearer token.
    pub token: Option<&'a str>,
    /// Further headers.
    pub headers: Vec<(&'a str, String)>,
    /// JSON.
    pub body: Option<&'a str>,
}

/// The status of a `GET` with the client's token, from an address that has failed at nothing yet: one that has failed
/// often is only told to wait.
pub fn status_anew(api: &Api, path: &str) -> u16 {
    let request = Request {
        method: "GET",
        path,
        token: Some(api.token()),
        ..Request::default()
    };
    send_from(fresh_address(), api, &request).status
}

/// Sends a request from `from` and reads the answer; of an upgrade only its head.
pub fn send_from(from: Ipv4Addr, api: &Api, request: &Request<'_>) -> Answer {
    let host = api.base().trim_start_matches("http://");
    let mut stream = connect(from, host.parse().expect("an address"));
    let mut head = format!(
        "{} {} HTTP/1.1\r\nhost: {host}\r\n",
        request.method, request.path
    );
    let mut add = |name: &str, value: &str| head.extend([name, ": ", value, "\r\n"]);
    if let Some(token) = request.token {
        add("authorization", &format!("Bearer {token}"));
    }
    for (name, value) in &request.headers {
        add(name, value);
    }
    if let Some(body) = request.body {
        add("content-type", "application/json");
        add("content-length", &body.len().to_string());
    }
    let text = format!("{head}\r\n{}", request.body.unwrap_or_default());
    stream.write_all(text.as_bytes()).expect("the hub reads");
    read_answer(stream)
}

fn connect(from: Ipv4Addr, to: SocketAddr) -> TcpStream {
    let runtime = Builder::new_current_thread().enable_all().build();
    let stream = runtime.expect("a runtime").block_on(async {
        let socket = TcpSocket::new_v4()?;
        socket.bind(SocketAddr::from((from, 0)))?;
        socket.connect(to).await?.into_std()
    });
    let stream = stream.expect("the hub listens");
    stream.set_nonblocking(false).expect("a blocking socket");
    stream.set_read_timeout(Some(PATIENCE)).expect("a time out");
    stream
}

fn read_answer(stream: TcpStream) -> Answer {
    let mut reader = BufReader::new(stream);
    let mut lines = Vec::new();
    loop {
        let mut line = String::new();
        let read = reader.read_line(&mut line).expect("a head in time");
        let line = line.trim_end().to_owned();
        if read == 0 || line.is_empty() {
            break;
        }
        lines.push(line);
    }
    let status = lines
        .first()
        .and_then(|line| line.split(' ').nth(1)?.parse().ok());
    let headers: Vec<(String, String)> = lines
        .iter()
        .skip(1)
        .filter_map(|line| line.split_once(": "))
        .map(|(name, value)| (name.to_ascii_lowercase(), value.to_owned()))
        .collect();
    let length = headers
        .iter()
        .find(|(name, _)| name == "content-length")
        .map_or(0, |(_, value)| value.parse().expect("a length"));
    let mut body = vec![0; length];
    reader.read_exact(&mut body).expect("a body in time");
    Answer {
        status: status.expect("a status"),
        headers,
        body: String::from_utf8_lossy(&body).into_owned(),
    }
}
