//! Operations of ISO 15740 over the command connection: a request, a dataset where there is one, a response.

use std::io::{Read, Write};
use std::thread;
use std::time::Duration;

use uuid::Uuid;

use super::datasets::{self, DeviceInfo, PropertyDescription, StorageInfo};
use super::packets::{self, DATASET_BYTES, Packet, kind};
use super::stores::{Found, SLOTS, is_bare};
use super::trouble::{Trouble, response};

/// The battery's property.
pub(super) const BATTERY_LEVEL: u16 = 0x5001;

/// How often an operation is asked for while the camera is busy, and the pause between.
const BUSY_TRIES: u32 = 3;
const BUSY_PAUSE: Duration = Duration::from_millis(40);
/// Our session's number; any but zero.
const SESSION: u32 = 1;

/// An operation.
#[derive(Clone, Copy, Debug)]
struct Operation {
    code: u16,
    name: &'static str,
}

const GET_DEVICE_INFO: Operation = operation(0x1001, "GetDeviceInfo");
const OPEN_SESSION: Operation = operation(0x1002, "OpenSession");
const CLOSE_SESSION: Operation = operation(0x1003, "CloseSession");
const GET_STORAGE_IDS: Operation = operation(0x1004, "GetStorageIDs");
const GET_STORAGE_INFO: Operation = operation(0x1005, "GetStorageInfo");
const GET_PROPERTY_DESCRIPTION: Operation = operation(0x1014, "GetDevicePropDesc");

const fn operation(code: u16, name: &'static str) -> Operation {
    Operation { code, name }
}

/// The command connection, and what is known of the camera behind it.
#[derive(Debug)]
pub(super) struct Session<S> {
    stream: S,
    /// The number of the next transaction; outside a session and for its opening it is zero.
    next: u32,
    about: DeviceInfo,
}

/// What became of an operation that a camera may not have.
fn unless_missing<T>(result: Result<T, Trouble>) -> Result<Option<T>, Trouble> {
    match result {
        Err(Trouble::No {
            code:
                response::OPERATION_NOT_SUPPORTED
                | response::INVALID_STORAGE_ID
                | response::PROPERTY_NOT_SUPPORTED
                | response::STORE_NOT_AVAILABLE,
            ..
        }) => Ok(None),
        other => other.map(Some),
    }
}

impl<S: Read + Write> Session<S> {
    /// Says who we are on a new command connection. Gives the connection's number, for the event connection.
    pub(super) fn introduce(mut stream: S, initiator: Uuid) -> Result<(Self, u32), Trouble> {
        stream.write_all(&packets::init_command_request(initiator))?;
        let packet = Packet::read(&mut stream)?;
        let connection = packet
            .fields_of(kind::INIT_COMMAND_ACK, "Init_Command_Ack")?
            .u32()?;
        let session = Self {
            stream,
            next: 0,
            about: DeviceInfo::default(),
        };
        Ok((session, connection))
    }

    /// The stream below.
    pub(super) fn stream(&mut self) -> &mut S {
        &mut self.stream
    }

    /// What the camera said of itself.
    pub(super) fn about(&self) -> &DeviceInfo {
        &self.about
    }

    /// Opens the session and asks what the camera is. To be called when both connections stand.
    pub(super) fn open(&mut self) -> Result<(), Trouble> {
        match self.ask(OPEN_SESSION, &[SESSION]) {
            // Somebody left one open; what it knows of us is not known.
            Err(Trouble::No { code, .. }) if code == response::SESSION_ALREADY_OPEN => {
                self.next = 1;
                match self.ask(CLOSE_SESSION, &[]) {
                    // Where it cannot be closed, the next opening says so.
                    Ok(_) | Err(Trouble::No { .. }) => {}
                    Err(trouble) => return Err(trouble),
                }
                self.next = 0;
                self.ask(OPEN_SESSION, &[SESSION])?;
            }
            other => {
                other?;
            }
        }
        self.next = 1;
        self.ask_about()
    }

    /// Asks what the camera is, again.
    pub(super) fn ask_about(&mut self) -> Result<(), Trouble> {
        self.about = DeviceInfo::parse(&self.ask(GET_DEVICE_INFO, &[])?)?;
        Ok(())
    }

    /// The battery's property, where the camera has it.
    pub(super) fn battery(&mut self) -> Result<Option<PropertyDescription>, Trouble> {
        if !self.about.properties.contains(&BATTERY_LEVEL) || !self.can(GET_PROPERTY_DESCRIPTION) {
            return Ok(None);
        }
        let asked = self.ask(GET_PROPERTY_DESCRIPTION, &[u32::from(BATTERY_LEVEL)]);
        unless_missing(asked)?
            .map(|bytes| PropertyDescription::parse(&bytes, BATTERY_LEVEL))
            .transpose()
    }

    /// Every store's number, and what is in it where there is a card; none where the camera does not tell.
    pub(super) fn stores(&mut self) -> Result<Option<Vec<Found>>, Trouble> {
        if !self.can(GET_STORAGE_IDS) || !self.can(GET_STORAGE_INFO) {
            return Ok(None);
        }
        let Some(bytes) = unless_missing(self.ask(GET_STORAGE_IDS, &[]))? else {
            return Ok(None);
        };
        let mut stores = datasets::storage_ids(&bytes)?;
        stores.truncate(SLOTS);
        let with_info = stores
            .into_iter()
            .map(|store| Ok((store, self.store(store)?)));
        with_info.collect::<Result<_, _>>().map(Some)
    }

    fn store(&mut self, store: u32) -> Result<Option<StorageInfo>, Trouble> {
        if is_bare(store) {
            return Ok(None);
        }
        // It may have been pulled since the list was made.
        unless_missing(self.ask(GET_STORAGE_INFO, &[store]))?
            .map(|bytes| StorageInfo::parse(&bytes))
            .transpose()
    }

    fn can(&self, operation: Operation) -> bool {
        self.about.operations.contains(&operation.code)
    }

    /// Asks until the camera is no longer busy, some times.
    fn ask(&mut self, operation: Operation, parameters: &[u32]) -> Result<Vec<u8>, Trouble> {
        for again in 0..BUSY_TRIES {
            if again > 0 {
                thread::sleep(BUSY_PAUSE);
            }
            let (code, data) = self.transact(operation, parameters)?;
            match code {
                response::OK => return Ok(data),
                response::DEVICE_BUSY => {}
                code => {
                    let operation = operation.name;
                    return Err(Trouble::No { operation, code });
                }
            }
        }
        Err(Trouble::Busy)
    }

    /// One transaction: its response's code and its data.
    fn transact(
        &mut self,
        operation: Operation,
        parameters: &[u32],
    ) -> Result<(u16, Vec<u8>), Trouble> {
        let transaction = self.next;
        if transaction > 0 {
            // The standard leaves out zero and the number of all ones.
            self.next = if transaction >= u32::MAX - 1 {
                1
            } else {
                transaction + 1
            };
        }
        let request = packets::operation_request(operation.code, transaction, parameters);
        self.stream.write_all(&request)?;
        let mut packet = Packet::read(&mut self.stream)?;
        let mut data = Vec::new();
        if packet.kind == kind::START_DATA {
            data = self.data(&packet, transaction, operation)?;
            packet = Packet::read(&mut self.stream)?;
        }
        let mut fields = packet.fields_of(kind::OPERATION_RESPONSE, "Operation_Response")?;
        let code = fields.u16()?;
        same_transaction(fields.u32()?, transaction)?;
        Ok((code, data))
    }

    /// The data behind a `Start_Data` packet, up to and with `End_Data`.
    fn data(
        &mut self,
        start: &Packet,
        transaction: u32,
        operation: Operation,
    ) -> Result<Vec<u8>, Trouble> {
        /// Told by a camera that does not know yet how much comes.
        const UNKNOWN: u64 = u64::MAX;
        let mut fields = start.fields_of(kind::START_DATA, "Start_Data")?;
        same_transaction(fields.u32()?, transaction)?;
        let told = fields.u64()?;
        let name = operation.name;
        if told != UNKNOWN && told > DATASET_BYTES as u64 {
            return Err(Trouble::garbage(format!("{told} bytes for {name}")));
        }
        let mut data = Vec::new();
        loop {
            let packet = Packet::read(&mut self.stream)?;
            let last = packet.kind == kind::END_DATA;
            let expected = if last { kind::END_DATA } else { kind::DATA };
            let mut fields = packet.fields_of(expected, "Data")?;
            same_transaction(fields.u32()?, transaction)?;
            let piece = fields.rest();
            if data.len() + piece.len() > DATASET_BYTES {
                return Err(Trouble::garbage(format!("no end of data for {name}")));
            }
            data.extend_from_slice(piece);
            if last {
                break;
            }
        }
        if told != UNKNOWN && told != data.len() as u64 {
            let came = data.len();
            return Err(Trouble::garbage(format!(
                "{came} bytes instead of {told} for {name}"
            )));
        }
        Ok(data)
    }
}

fn same_transaction(theirs: u32, ours: u32) -> Result<(), Trouble> {
    if theirs == ours {
        return Ok(());
    }
    Err(Trouble::garbage(format!(
        "an answer to transaction {theirs} instead of {ours}"
    )))
}

#[cfg(test)]
#[path = "session_test.rs"]
pub(super) mod tests;
