//! Reading HTTP requests by hand, as much as the small hub needs.

use std::io::{BufRead, BufReader, Read};
use std::net::TcpStream;

/// One HTTP request, as far as the small hub looks at it.
pub(crate) struct Request {
    pub(crate) method: String,
    pub(crate) target: String,
    pub(crate) bearer: Option<String>,
    pub(crate) websocket_key: Option<String>,
    pub(crate) body: String,
}

/// Reads the next request of a connection; none when it has ended.
pub(crate) fn read_request(reader: &mut BufReader<TcpStream>) -> Option<Request> {
    let mut line = String::new();
    reader.read_line(&mut line).ok().filter(|read| *read > 0)?;
    let mut words = line.split_whitespace();
    let (method, target) = (words.next()?.to_owned(), words.next()?.to_owned());
    let (mut length, mut bearer, mut websocket_key) = (0, None, None);
    loop {
        let mut header = String::new();
        reader
            .read_line(&mut header)
            .ok()
            .filter(|read| *read > 0)?;
        let Some((name, value)) = header.trim_end().split_once(':') else {
            break;
        };
        match name.to_ascii_lowercase().as_str() {
            "content-length" => length = value.trim().parse().ok()?,
            "authorization" => bearer = value.trim().strip_prefix("Bearer ").map(str::to_owned),
            "sec-websocket-key" => websocket_key = Some(value.trim().to_owned()),
            // ureq sends a body of known length; anything else would be a change worth seeing.
            "transfer-encoding" => panic!("unexpected {header}"),
            _ => {}
        }
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body).ok()?;
    Some(Request {
        method,
        target,
        bearer,
        websocket_key,
        body: String::from_utf8(body).ok()?,
    })
}
