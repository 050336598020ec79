//! A camera that speaks PTP/IP: a responder of our own, as a thread, for the tests of the command line's `ptp` source.
//! What it shows is set by the test: battery, stores, events, and how it misbehaves. libgphoto2 reads it as well, so that
//! it is judged by somebody else's reading of the standards.

mod connection;
mod layout;
mod operations;

use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{JoinHandle, spawn};

use self::layout::Layout;

/// The operations it has; any other is answered with “operation not supported”.
pub(crate) const OPERATIONS: [u16; 9] = [
    0x1001, 0x1002, 0x1003, 0x1004, 0x1005, 0x1006, 0x1007, 0x1014, 0x1015,
];

/// What values the battery may have.
#[derive(Clone, Debug)]
pub enum Form {
    /// It is not told.
    None,
    /// From one to another in steps.
    Range {
        /// The least.
        least: u8,
        /// The most.
        most: u8,
        /// How far apart.
        step: u8,
    },
    /// These.
    List(Vec<u8>),
}

/// The battery's property.
#[derive(Clone, Debug)]
pub struct Battery {
    /// Its value.
    pub value: u8,
    /// Its scale.
    pub form: Form,
}

/// A card, or a place for one: its number's lower half is zero then.
#[derive(Clone, Debug)]
pub struct Store {
    /// `StorageID`.
    pub number: u32,
    /// Bytes that fit.
    pub capacity: u64,
    /// Bytes that still fit.
    pub free: u64,
    /// The volume's name.
    pub label: String,
}

/// What the camera shows.
#[derive(Clone, Debug)]
pub struct Body {
    /// What it is called.
    pub model: String,
    /// Its battery, where it tells of it.
    pub battery: Option<Battery>,
    /// Its cards.
    pub stores: Vec<Store>,
}

/// How it behaves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Manner {
    /// As the standards say.
    #[default]
    Well,
    /// Takes connections and bytes, and says nothing.
    Mute,
    /// Ends the connection of whoever connects or asks.
    HangsUp,
    /// Answers every operation with `Device_Busy`.
    Busy,
    /// Refuses the command connection with this reason of `Init_Fail`.
    Refuses(u32),
    /// Says that a session is open already, once.
    LeftOpen,
    /// Talks nonsense.
    Garbage(Garbage),
}

/// Nonsense in place of an operation's data or response.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Garbage {
    /// A packet that says it is shorter than its own head.
    ShortLength,
    /// A packet that says it has four gigabytes.
    HugeLength,
    /// A dataset that says it has a terabyte.
    HugeDataset,
    /// Data that never end.
    Endless,
    /// A packet of a type that has no place there.
    WrongType,
    /// Half a dataset, in a packet that says so.
    HalfDataset,
    /// A connection that ends in the middle of a packet.
    HalfPacket,
    /// The answer to another question.
    WrongTransaction,
}

/// What the camera and its connections share.
#[derive(Debug)]
pub(crate) struct State {
    body: Body,
    manner: Manner,
    ended: bool,
    /// The connection in use: its number, and its two sockets.
    number: u32,
    command: Option<TcpStream>,
    event: Option<TcpStream>,
    /// Everything that was accepted and may still be open.
    open: Vec<TcpStream>,
    requests: Vec<Vec<u8>>,
    initiators: Vec<([u8; 16], String)>,
    probe_answers: usize,
}

/// A camera on a port of its own. Dropped, it is switched off: its connections end and its port is free.
#[derive(Debug)]
pub struct PtpCamera {
    address: SocketAddr,
    state: Arc<Mutex<State>>,
    accepting: Option<JoinHandle<()>>,
}

impl PtpCamera {
    /// Starts one on a free port.
    ///
    /// # Panics
    ///
    /// When no port is free.
    pub fn start(body: Body) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        Self::listen(listener, body)
    }

    /// Switches one on where another was.
    ///
    /// # Panics
    ///
    /// When the port was taken meanwhile.
    pub fn start_at(address: SocketAddr, body: Body) -> Self {
        let listener = TcpListener::bind(address).expect("the port is free again");
        Self::listen(listener, body)
    }

    fn listen(listener: TcpListener, body: Body) -> Self {
        let address = listener
            .local_addr()
            .expect("a bound socket has an address");
        let state = Arc::new(Mutex::new(State {
            body,
            manner: Manner::Well,
            ended: false,
            number: 0,
            command: None,
            event: None,
            open: Vec::new(),
            requests: Vec::new(),
            initiators: Vec::new(),
            probe_answers: 0,
        }));
        let of_thread = Arc::clone(&state);
        let accepting = Some(spawn(move || connection::accept(&listener, &of_thread)));
        Self {
            address,
            state,
            accepting,
        }
    }

    /// Where it listens.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// What it shows now.
    pub fn body(&self) -> Body {
        lock(&self.state).body.clone()
    }

    /// Changes what it shows, without telling anybody.
    pub fn set(&self, change: impl FnOnce(&mut Body)) {
        change(&mut lock(&self.state).body);
    }

    /// Behaves like this from now on.
    pub fn behave(&self, manner: Manner) {
        lock(&self.state).manner = manner;
    }

    /// Tells an event (`StoreAdded` 0x4004, `StoreRemoved` 0x4005, `DevicePropChanged` 0x4006, `StoreFull` 0x400A …) to
    /// whoever is connected.
    pub fn tell(&self, code: u16, parameters: &[u32]) {
        // An event that belongs to no transaction has the number of all ones.
        let head = Layout::default().u16(code).u32(u32::MAX);
        let event = parameters.iter().fold(head, |layout, it| layout.u32(*it));
        self.send_event(&event.packet(8));
    }

    /// Asks on the event connection whether somebody is still there.
    pub fn probe(&self) {
        self.send_event(&Layout::default().packet(13));
    }

    /// How often a probe was answered.
    pub fn probe_answers(&self) -> usize {
        lock(&self.state).probe_answers
    }

    fn send_event(&self, packet: &[u8]) {
        let mut state = lock(&self.state);
        if let Some(event) = &mut state.event {
            // Whoever it was may be gone.
            let _ = std::io::Write::write_all(event, packet);
        }
    }

    /// The operations that were asked for so far.
    pub fn asked(&self) -> Vec<u16> {
        let code = |body: &Vec<u8>| u16::from_le_bytes([body[4], body[5]]);
        lock(&self.state).requests.iter().map(code).collect()
    }

    /// The bodies of the requests so far: data phase, code, transaction, parameters.
    pub fn requests(&self) -> Vec<Vec<u8>> {
        lock(&self.state).requests.clone()
    }

    /// Who connected so far: GUID and friendly name.
    pub fn initiators(&self) -> Vec<([u8; 16], String)> {
        lock(&self.state).initiators.clone()
    }

    /// Ends every connection without a word, as a camera does that falls asleep.
    pub fn hang_up(&self) {
        lock(&self.state).hang_up();
    }
}

impl Drop for PtpCamera {
    fn drop(&mut self) {
        lock(&self.state).ended = true;
        self.hang_up();
        // Wakes the accepting thread, so that it sees the end and lets go of the port.
        let _ = TcpStream::connect(self.address);
        if let Some(accepting) = self.accepting.take() {
            let _ = accepting.join();
        }
        self.hang_up();
    }
}

impl State {
    fn hang_up(&mut self) {
        for stream in self.open.drain(..) {
            // It may have ended by itself.
            let _ = stream.shutdown(Shutdown::Both);
        }
        (self.command, self.event) = (None, None);
    }

    /// Ends the connection in use: without one of its two halves it is over (CIPA DC-005).
    fn end_session(&mut self) {
        for stream in [self.command.take(), self.event.take()]
            .into_iter()
            .flatten()
        {
            let _ = stream.shutdown(Shutdown::Both);
        }
    }
}

fn lock(state: &Mutex<State>) -> MutexGuard<'_, State> {
    state.lock().unwrap_or_else(PoisonError::into_inner)
}
