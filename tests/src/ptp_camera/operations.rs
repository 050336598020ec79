//! Operations of ISO 15740 on the command connection.

use std::io::{self, Write};
use std::net::TcpStream;
use std::sync::Mutex;

use super::connection::{packet, stay_mute};
use super::layout::{self, Layout};
use super::{Garbage, Manner, OPERATIONS, State, lock};

const OK: u16 = 0x2001;
const SESSION_NOT_OPEN: u16 = 0x2003;
const INVALID_TRANSACTION: u16 = 0x2004;
const NOT_SUPPORTED: u16 = 0x2005;
const INVALID_STORE: u16 = 0x2008;
const NO_SUCH_PROPERTY: u16 = 0x200A;
const BUSY: u16 = 0x2019;
const INVALID_PARAMETER: u16 = 0x201D;
const ALREADY_OPEN: u16 = 0x201E;

/// A request, taken apart.
struct Request {
    code: u16,
    transaction: u32,
    parameters: Vec<u32>,
}

impl Request {
    /// Four bytes of data phase, two of the operation's code, four of the transaction's number, up to five parameters.
    fn from(body: &[u8]) -> Option<Self> {
        let number = |bytes: &[u8]| {
            let digits = bytes.iter().rev();
            digits.fold(0, |sum: u32, byte| (sum << 8) | u32::from(*byte))
        };
        let (data_phase, rest) = body.split_at_checked(4)?;
        // No data at all, or from the camera.
        (number(data_phase) <= 1).then_some(())?;
        let (code, rest) = rest.split_at_checked(2)?;
        let (transaction, rest) = rest.split_at_checked(4)?;
        (rest.len() % 4 == 0 && rest.len() <= 20).then_some(())?;
        Some(Self {
            code: number(code) as u16,
            transaction: number(transaction),
            parameters: rest.chunks(4).map(number).collect(),
        })
    }

    fn first(&self) -> u32 {
        self.parameters.first().copied().unwrap_or(0)
    }
}

/// What an operation gives: a response code and its parameters, and data before it.
type Outcome = (u16, Vec<u32>, Option<Vec<u8>>);

/// The session on one command connection.
pub(super) struct Session<'a> {
    state: &'a Mutex<State>,
    /// The number of the last transaction, in an open session.
    last: Option<u32>,
}

impl<'a> Session<'a> {
    pub(super) fn new(state: &'a Mutex<State>) -> Self {
        Self { state, last: None }
    }

    /// Answers operations until the connection ends. Before the event connection stands there are none.
    pub(super) fn serve(&mut self, stream: &mut TcpStream) -> io::Result<()> {
        loop {
            let (kind, body) = packet(stream)?;
            let request = Request::from(&body).filter(|_| kind == 6);
            let request = request.ok_or(io::ErrorKind::InvalidData)?;
            let manner = {
                let mut shared = lock(self.state);
                if shared.event.is_none() {
                    return Ok(());
                }
                shared.requests.push(body);
                shared.manner
            };
            match manner {
                Manner::Mute => return stay_mute(stream),
                Manner::HangsUp => return Ok(()),
                Manner::Garbage(garbage) => {
                    let (.., data) = self.outcome(&request);
                    nonsense(
                        stream,
                        garbage,
                        request.transaction,
                        &data.unwrap_or_default(),
                    )?;
                }
                _ => {
                    let outcome = self.outcome(&request);
                    answer(stream, request.transaction, outcome)?;
                }
            }
        }
    }

    fn outcome(&mut self, request: &Request) -> Outcome {
        let none = |code| (code, Vec::new(), None);
        if !OPERATIONS.contains(&request.code) {
            return none(NOT_SUPPORTED);
        }
        let manner = lock(self.state).manner;
        if manner == Manner::Busy {
            self.last = self.last.map(|_| request.transaction);
            return none(BUSY);
        }
        match (request.code, self.last) {
            (0x1002, None) if manner == Manner::LeftOpen => {
                lock(self.state).manner = Manner::Well;
                self.last = Some(0);
                return none(ALREADY_OPEN);
            }
            (0x1002, None) => return none(self.open(request)),
            (0x1002, Some(_)) => return none(ALREADY_OPEN),
            // What it is may be asked outside a session, in a transaction without a number.
            (0x1001, None) if request.transaction == 0 => {}
            (_, None) => return none(SESSION_NOT_OPEN),
            // Transactions count up by one.
            (_, Some(last)) if request.transaction != last + 1 => return none(INVALID_TRANSACTION),
            (_, Some(last)) => self.last = Some(last + 1),
        }
        self.inside(request)
    }

    fn open(&mut self, request: &Request) -> u16 {
        if request.transaction != 0 {
            return INVALID_TRANSACTION;
        }
        if request.first() == 0 {
            return INVALID_PARAMETER;
        }
        self.last = Some(0);
        OK
    }

    fn inside(&mut self, request: &Request) -> Outcome {
        let body = lock(self.state).body.clone();
        let none = |code| (code, Vec::new(), None);
        let data = |data| (OK, Vec::new(), Some(data));
        let battery = body.battery.as_ref().filter(|_| request.first() == 0x5001);
        match request.code {
            0x1001 => data(layout::device_info(&body)),
            0x1003 => {
                self.last = None;
                none(OK)
            }
            0x1004 => data(layout::storage_ids(&body)),
            0x1005 => {
                let store = body.stores.iter().find(|it| it.number == request.first());
                let store = store.filter(|store| store.number & 0xffff != 0);
                store.map_or(none(INVALID_STORE), |store| {
                    data(layout::storage_info(store))
                })
            }
            // No pictures on it.
            0x1006 => (OK, vec![0], None),
            0x1007 => data(Layout::default().list32(&[]).0),
            0x1014 => battery.map_or(none(NO_SUCH_PROPERTY), |it| data(layout::battery(it))),
            0x1015 => battery.map_or(none(NO_SUCH_PROPERTY), |it| data(vec![it.value])),
            _ => none(NOT_SUPPORTED),
        }
    }
}

fn answer(stream: &mut TcpStream, transaction: u32, outcome: Outcome) -> io::Result<()> {
    let (code, parameters, data) = outcome;
    if let Some(data) = data {
        stream.write_all(&start(transaction, data.len() as u64))?;
        // In two packets, so that both kinds are seen.
        let (one, other) = data.split_at(data.len() / 2);
        stream.write_all(&piece(10, transaction, one))?;
        stream.write_all(&piece(12, transaction, other))?;
    }
    let head = Layout::default().u16(code).u32(transaction);
    let response = parameters.iter().fold(head, |layout, it| layout.u32(*it));
    stream.write_all(&response.packet(7))
}

fn start(transaction: u32, total: u64) -> Vec<u8> {
    Layout::default().u32(transaction).u64(total).packet(9)
}

fn piece(kind: u32, transaction: u32, data: &[u8]) -> Vec<u8> {
    Layout::default().u32(transaction).bytes(data).packet(kind)
}

/// Nonsense instead of the answer with this data.
fn nonsense(
    stream: &mut TcpStream,
    garbage: Garbage,
    transaction: u32,
    data: &[u8],
) -> io::Result<()> {
    let half = &data[..data.len() / 2];
    match garbage {
        Garbage::ShortLength => stream.write_all(&Layout::default().u32(4).u32(9).0),
        Garbage::HugeLength => stream.write_all(&Layout::default().u32(u32::MAX).u32(9).0),
        Garbage::HugeDataset => stream.write_all(&start(transaction, 1 << 40)),
        Garbage::Endless => {
            stream.write_all(&start(transaction, u64::MAX))?;
            loop {
                stream.write_all(&piece(10, transaction, &[0; 4000]))?;
            }
        }
        Garbage::WrongType => stream.write_all(&Layout::default().packet(4)),
        Garbage::HalfDataset => {
            stream.write_all(&start(transaction, half.len() as u64))?;
            stream.write_all(&piece(12, transaction, half))?;
            let response = Layout::default().u16(OK).u32(transaction);
            stream.write_all(&response.packet(7))
        }
        Garbage::HalfPacket => {
            let whole = start(transaction, data.len() as u64);
            stream.write_all(&whole[..11])?;
            Err(io::ErrorKind::UnexpectedEof.into())
        }
        Garbage::WrongTransaction => {
            let response = Layout::default().u16(OK).u32(transaction + 7);
            stream.write_all(&response.packet(7))
        }
    }
}
