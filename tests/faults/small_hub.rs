//! The other end of a cart's line, as small as it can be: it takes reports, and the test says what becomes of each request.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};

use serde_json::json;
use swapcall_tests::wait;
use swapcall_wire::ReportBatch;

/// What becomes of a request.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reply {
    /// All of it is stored, and said to be.
    Stored,
    /// The first so many are stored; for the rest there is no room now.
    StoredSome(usize),
    /// The line is cut before the answer.
    Cut,
    /// No answer, ever; the line stays.
    Silence,
}

/// Listens on a free port for as long as the test runs; each connection has a thread of its own. Gives its address.
///
/// # Panics
///
/// When no port is free.
pub(crate) fn listen<F>(decide: F) -> String
where
    F: Fn(&ReportBatch) -> Reply + Clone + Send + 'static,
{
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    let address = listener.local_addr().expect("a bound socket has one");
    std::thread::spawn(move || {
        for stream in listener.incoming().flatten() {
            let decide = decide.clone();
            std::thread::spawn(move || while serve(&stream, &decide).is_some() {});
        }
    });
    format!("http://{address}")
}

/// One request and its answer; `None` ends the connection.
fn serve(mut stream: &TcpStream, decide: impl Fn(&ReportBatch) -> Reply) -> Option<()> {
    let mut reader = BufReader::new(stream);
    let mut length = 0;
    loop {
        let mut line = String::new();
        // An end of the stream is no line, and no request.
        if reader.read_line(&mut line).ok()? == 0 {
            return None;
        }
        let line = line.trim().to_ascii_lowercase();
        if let Some(value) = line.strip_prefix("content-length:") {
            length = value.trim().parse().ok()?;
        }
        if line.is_empty() {
            break;
        }
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body).ok()?;
    let batch: ReportBatch = serde_json::from_slice(&body).expect("carts send batches");
    let stored = match decide(&batch) {
        Reply::Stored => batch.reports.len(),
        Reply::StoredSome(count) => count.min(batch.reports.len()),
        Reply::Cut => return None,
        Reply::Silence => loop {
            std::thread::park();
        },
    };
    let outcomes = batch.reports.iter().enumerate().map(|(place, report)| {
        if place < stored {
            json!({"id": report.id, "status": "accepted", "seq": place + 1})
        } else {
            let problem =
                json!({"type": "about:blank", "title": "busy", "status": 503, "detail": "no room"});
            json!({"id": report.id, "status": "refused", "problem": problem})
        }
    });
    let answer = json!({"now": wait::wall(), "accepted": stored, "duplicate": 0,
        "refused": batch.reports.len() - stored, "results": outcomes.collect::<Vec<_>>()});
    let text = answer.to_string();
    let head = format!(
        "HTTP/1.1 200 OK\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n",
        text.len()
    );
    stream.write_all((head + &text).as_bytes()).ok()
}
