//! A small hub on a real socket, answering from the wire types: enough of the contract to test a client against.
//!
//! It keeps every report by id, one call, and the live messages of a script. It can be told to be busy, to refuse a
//! token, to refuse units, and to cut the live socket.

use std::collections::BTreeSet;
use std::io::{BufReader, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex, MutexGuard};
use std::thread;

use crate::request::{Request, read_request};
use crate::views::{call, epoch, limits, now, unit};
use swapcall_wire::{
    CallList, CallState, CallView, ClaimRequest, Fleet, History, LimitsDocument, LiveMessage,
    PoolCardList, PoolCardView, PostCopies, Problem, ProblemCode, PutCard, Report, ReportAnswer,
    ReportBatch, ReportOutcome, ReportStatus, Resumption, Rundown, UnitProfile, UnitView,
};
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::handshake::derive_accept_key;
use tokio_tungstenite::tungstenite::protocol::{Role, WebSocket};
use uuid::Uuid;

/// The token it takes.
pub(crate) const TOKEN: &str = "token-for-tests";
/// A unit whose reports it refuses.
pub(crate) const UNKNOWN: &str = "NOWHERE";

/// What it knows and how it behaves.
#[derive(Default)]
pub(crate) struct State {
    /// Reports in the order they were stored.
    pub(crate) stored: Vec<Report>,
    ids: BTreeSet<Uuid>,
    /// How many report requests came, refused ones included.
    pub(crate) requests: usize,
    /// Answer reports with 503 and `Retry-After` this many times.
    pub(crate) busy: usize,
    /// Once something is stored, answer reports with 429 and `Retry-After: 1` this many times.
    pub(crate) crowded: usize,
    /// Refuse larger batches as a whole.
    pub(crate) max_batch: Option<usize>,
    /// Who has call 12.
    pub(crate) claimed_by: Option<String>,
    /// Call 12 has ended.
    pub(crate) ended: bool,
    /// The profile that was put last.
    pub(crate) profile: UnitProfile,
    /// The rundown that was put last.
    pub(crate) rundown: Rundown,
    /// What was said of card C12.
    pub(crate) cards_put: Vec<PutCard>,
    /// What became of its copies.
    pub(crate) copies: Vec<PostCopies>,
    /// Live messages: sequence number and percent of unit BOW2.
    pub(crate) live: Vec<(u64, f64)>,
    /// Cut each live connection after so many messages of the script.
    pub(crate) cut_after: Option<usize>,
    /// Fall silent instead of beating, once the script is sent.
    pub(crate) mute: bool,
    /// The request targets of the live connections.
    pub(crate) live_targets: Vec<String>,
}

/// A running hub; ends with the test process.
#[derive(Clone)]
pub(crate) struct FakeHub {
    pub(crate) address: SocketAddr,
    state: Arc<Mutex<State>>,
}

/// What is answered with one of the contract's own examples.
fn example(method: &str, path: &str) -> Option<&'static str> {
    macro_rules! of {
        ($name:literal) => {
            include_str!(concat!("../../../server/wire/examples/", $name, ".json"))
        };
    }
    Some(match (method, path) {
        ("GET", "/v1/units/BOW2/forecasts") => of!("forecasts"),
        ("GET", "/v1/session") => of!("session"),
        ("POST", "/v1/joins") => of!("join_created"),
        ("POST", "/v1/joins/redeem") => of!("token_created"),
        ("GET", "/v1/packs") => of!("pool_pack_list"),
        ("GET", "/v1/rotation") => of!("rotation"),
        ("GET", "/v1/cards") => of!("pool_card_list"),
        ("GET", "/v1/chargers") => of!("bay_list"),
        ("PUT", "/v1/packs/P99") => of!("pool_pack"),
        ("GET", "/v1/cards/C12") => of!("card_ledger"),
        ("GET", "/v1/packs/P07/curve") => of!("pack"),
        _ => return None,
    })
}

/// A card of the contract's example.
fn card() -> PoolCardView {
    let text = example("GET", "/v1/cards").unwrap();
    let list: PoolCardList = serde_json::from_str(text).unwrap();
    list.cards.into_iter().next().unwrap()
}

impl FakeHub {
    /// Starts on a port of the system's choice.
    pub(crate) fn start() -> Self {
        Self::start_at("127.0.0.1:0".parse().unwrap(), Arc::default())
    }

    /// Starts on a known port, as after a restart.
    pub(crate) fn start_at(address: SocketAddr, state: Arc<Mutex<State>>) -> Self {
        let listener = TcpListener::bind(address).unwrap();
        let hub = Self {
            address: listener.local_addr().unwrap(),
            state,
        };
        let serving = hub.clone();
        thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let hub = serving.clone();
                thread::spawn(move || hub.serve(stream));
            }
        });
        hub
    }

    pub(crate) fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap()
    }

    pub(crate) fn url(&self) -> String {
        format!("http://{}", self.address)
    }

    fn serve(&self, mut stream: TcpStream) {
        let mut reader = BufReader::new(stream.try_clone().unwrap());
        while let Some(request) = read_request(&mut reader) {
            if request.target.starts_with("/v1/live") {
                return self.live(stream, &request);
            }
            let (status, body, retry) = self.answer(&request);
            let kind = if status < 300 {
                "application/json"
            } else {
                "application/problem+json"
            };
            let retry = retry
                .map(|seconds| format!("retry-after: {seconds}\r\n"))
                .unwrap_or_default();
            let head = format!(
                "HTTP/1.1 {status} X\r\ncontent-type: {kind}\r\n{retry}content-length: {}\r\n\r\n",
                body.len()
            );
            if stream
                .write_all(head.as_bytes())
                .and_then(|()| stream.write_all(body.as_bytes()))
                .is_err()
            {
                return;
            }
        }
    }

    /// The rundown, set before it is told when this is a `PUT`.
    fn rundown(&self, request: &Request) -> (u16, String, Option<u32>) {
        let mut state = self.state();
        let revision = state.rundown.revision.unwrap_or_default();
        if request.method == "PUT" {
            let given: Rundown = serde_json::from_str(&request.body).unwrap();
            if given.revision.is_some_and(|seen| seen != revision) {
                return problem(ProblemCode::RundownChanged, "look at it again");
            }
            state.rundown = Rundown {
                revision: Some(revision + 1),
                ..given
            };
        } else {
            state.rundown.revision = Some(revision);
        }
        ok(&state.rundown)
    }

    fn answer(&self, request: &Request) -> (u16, String, Option<u32>) {
        if request.bearer.as_deref() != Some(TOKEN) {
            return problem(ProblemCode::Unauthorized, "this token is unknown");
        }
        let path = request.target.split('?').next().unwrap();
        match (request.method.as_str(), path) {
            ("POST", "/v1/reports") => self.reports(&request.body),
            ("GET", "/v1/fleet") => ok(&self.fleet()),
            ("GET", "/v1/calls") => ok(&CallList {
                seq: 1,
                now: now(),
                calls: vec![self.call()],
                next: None,
            }),
            ("POST", "/v1/calls/12/claim") => self.claim(&request.body),
            ("POST", "/v1/calls/12/undo") if self.state().ended => {
                problem(ProblemCode::CannotUndo, "it was said too long ago")
            }
            ("POST", "/v1/calls/12/release" | "/v1/calls/12/done" | "/v1/calls/12/undo") => {
                ok(&self.call())
            }
            ("GET", "/v1/units/BOW2/history") => ok(&History {
                unit: "BOW2".into(),
                from: now(),
                to: now(),
                step_s: 0,
                points: Vec::new(),
            }),
            ("GET", "/v1/units/BOW2") => ok(&self.unit()),
            ("PUT", "/v1/units/BOW2") => {
                self.state().profile = serde_json::from_str(&request.body).unwrap();
                ok(&self.unit())
            }
            ("PUT", "/v1/cards/C12") => {
                let put: PutCard = serde_json::from_str(&request.body).unwrap();
                self.state().cards_put.push(put);
                ok(&card())
            }
            ("POST", "/v1/cards/C12/copies") => {
                let copies: PostCopies = serde_json::from_str(&request.body).unwrap();
                self.state().copies.push(copies);
                ok(&card())
            }
            ("GET", "/v1/limits") => ok(&limits(LimitsDocument::default())),
            ("PUT", "/v1/limits") => ok(&limits(serde_json::from_str(&request.body).unwrap())),
            (_, "/v1/rundown") => self.rundown(request),
            ("GET", _) if path.starts_with("/v1/units/") && example("GET", path).is_none() => {
                problem(ProblemCode::UnknownUnit, path)
            }
            (method, path) => match example(method, path) {
                Some(text) => (200, text.to_owned(), None),
                None => problem(ProblemCode::NotFound, path),
            },
        }
    }

    fn reports(&self, body: &str) -> (u16, String, Option<u32>) {
        let mut state = self.state();
        state.requests += 1;
        if state.busy > 0 {
            state.busy -= 1;
            return problem(ProblemCode::Busy, "the queue is full");
        }
        if state.crowded > 0 && !state.stored.is_empty() {
            state.crowded -= 1;
            return problem(ProblemCode::TooManyRequests, "this token sends too much");
        }
        let batch: ReportBatch = serde_json::from_str(body).unwrap();
        assert!(
            batch.sent_at.is_some(),
            "a batch carries the moment of sending"
        );
        let single = batch.reports.len() == 1;
        if state
            .max_batch
            .is_some_and(|most| batch.reports.len() > most)
        {
            return problem(ProblemCode::BatchTooLarge, "too many");
        }
        let mut answer = ReportAnswer {
            now: now(),
            accepted: 0,
            duplicate: 0,
            refused: 0,
            results: Vec::new(),
        };
        for report in batch.reports {
            let id = report
                .id
                .expect("a report carries the id made at its observation");
            let mut outcome = ReportOutcome {
                id: Some(id),
                status: ReportStatus::Accepted,
                seq: None,
                problem: None,
            };
            if report.unit == UNKNOWN {
                let refusal = Problem {
                    errors: vec![swapcall_wire::FieldError {
                        pointer: "/unit".into(),
                        detail: "is not registered".into(),
                    }],
                    ..Problem::new(ProblemCode::UnknownUnit, "NOWHERE is not registered")
                };
                if single {
                    return (
                        refusal.status,
                        serde_json::to_string(&refusal).unwrap(),
                        None,
                    );
                }
                (outcome.status, outcome.problem) = (ReportStatus::Refused, Some(refusal));
                answer.refused += 1;
            } else if state.ids.insert(id) {
                state.stored.push(report);
                outcome.seq = Some(state.stored.len() as u64);
                answer.accepted += 1;
            } else {
                outcome.status = ReportStatus::Duplicate;
                answer.duplicate += 1;
            }
            answer.results.push(outcome);
        }
        ok(&answer)
    }

    fn claim(&self, body: &str) -> (u16, String, Option<u32>) {
        let request: ClaimRequest = serde_json::from_str(body).unwrap();
        let mut state = self.state();
        if state.ended {
            return problem(ProblemCode::CallEnded, "call 12 is done");
        }
        let who = request.who.unwrap_or_else(|| "Kim".to_owned());
        if let Some(name) = state.claimed_by.clone().filter(|name| *name != who) {
            let mut refusal = Problem::new(ProblemCode::AlreadyClaimed, "call 12 is taken");
            refusal.claimed_by = Some(name);
            return (
                refusal.status,
                serde_json::to_string(&refusal).unwrap(),
                None,
            );
        }
        state.claimed_by = Some(who);
        drop(state);
        ok(&self.call())
    }

    fn fleet(&self) -> Fleet {
        Fleet {
            epoch: epoch(),
            seq: 1,
            now: now(),
            units: vec![self.unit()],
            calls: vec![self.call()],
        }
    }

    fn unit(&self) -> UnitView {
        UnitView {
            profile: self.state().profile.clone(),
            ..unit(1, 63.0)
        }
    }

    fn call(&self) -> CallView {
        let claimed_by = self.state().claimed_by.clone();
        let state = if claimed_by.is_some() {
            CallState::Claimed
        } else {
            CallState::Open
        };
        CallView {
            state,
            claimed_by,
            ..call()
        }
    }

    /// Speaks the live protocol by hand over the upgraded socket: the script from the cursor on, then beats.
    fn live(&self, mut stream: TcpStream, request: &Request) {
        let accept = derive_accept_key(request.websocket_key.as_deref().unwrap().as_bytes());
        let head = format!(
            "HTTP/1.1 101 X\r\nupgrade: websocket\r\nconnection: upgrade\r\nsec-websocket-accept: {accept}\r\n\r\n"
        );
        stream.write_all(head.as_bytes()).unwrap();
        let after = cursor(&request.target);
        let (script, cut_after, mute) = {
            let mut state = self.state();
            state.live_targets.push(request.target.clone());
            (state.live.clone(), state.cut_after, state.mute)
        };
        let top = script.last().map_or(0, |(seq, _)| *seq);
        let start = if after.is_some() {
            Resumption::Resumed
        } else {
            Resumption::Snapshot
        };
        let mut messages = vec![LiveMessage::Hello {
            protocol: 1,
            epoch: epoch(),
            seq: top,
            start,
            now: now(),
            heartbeat_s: 0.1,
            clock_rate: 1.0,
            time_zone: None,
        }];
        if after.is_none() {
            messages.push(LiveMessage::Call {
                seq: 1,
                call: Box::new(self.call()),
            });
            messages.push(LiveMessage::CaughtUp { seq: 0 });
        }
        let gap = script
            .iter()
            .filter(|(seq, _)| *seq > after.unwrap_or(0))
            .take(cut_after.unwrap_or(usize::MAX));
        messages.extend(gap.map(|(seq, percent)| LiveMessage::Unit {
            seq: *seq,
            unit: Box::new(unit(*seq, *percent)),
        }));
        // A gap that is cut short is not complete, and must not be called so.
        if after.is_some() && cut_after.is_none_or(|most| messages.len() <= most) {
            messages.push(LiveMessage::CaughtUp { seq: top });
        }
        let mut socket = WebSocket::from_raw_socket(stream, Role::Server, None);
        for message in messages {
            if send(&mut socket, &message).is_err() {
                return;
            }
        }
        while cut_after.is_none() {
            thread::sleep(std::time::Duration::from_millis(50));
            if !mute
                && send(
                    &mut socket,
                    &LiveMessage::Heartbeat {
                        seq: top,
                        now: now(),
                    },
                )
                .is_err()
            {
                return;
            }
        }
    }
}

fn send(socket: &mut WebSocket<TcpStream>, message: &LiveMessage) -> Result<(), ()> {
    socket
        .send(Message::text(serde_json::to_string(message).unwrap()))
        .map_err(|_| ())
}

fn cursor(target: &str) -> Option<u64> {
    assert!(
        !target.contains('?') || target.contains(&format!("epoch={}", epoch())),
        "{target}"
    );
    target
        .split_once("after=")?
        .1
        .split('&')
        .next()?
        .parse()
        .ok()
}

fn ok<T: serde::Serialize>(value: &T) -> (u16, String, Option<u32>) {
    (200, serde_json::to_string(value).unwrap(), None)
}

fn problem(code: ProblemCode, detail: &str) -> (u16, String, Option<u32>) {
    let problem = Problem::new(code, detail);
    let retry = match problem.status {
        503 => Some(0),
        429 => Some(1),
        _ => None,
    };
    (
        problem.status,
        serde_json::to_string(&problem).unwrap(),
        retry,
    )
}
