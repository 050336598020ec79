//! The packets of PTP/IP (CIPA DC-005): a length, a type, and a body, little-endian, over TCP.

use std::io::Read;

use uuid::Uuid;

use super::fields::Fields;
use super::trouble::Trouble;

/// The most that is taken of one dataset. What we ask for has some hundred bytes.
pub(super) const DATASET_BYTES: usize = 64 * 1024;
/// The most that a packet may have: a dataset and its transaction's number.
const PACKET_BYTES: usize = HEAD_BYTES + 4 + DATASET_BYTES;
/// Length and type.
const HEAD_BYTES: usize = 8;
/// Version 1.0 of the protocol, the major number in the upper half.
const VERSION: u32 = 0x0001_0000;
/// What we call ourselves; a camera may show it.
const FRIENDLY_NAME: &str = "swapcall";

/// Packet types.
pub(super) mod kind {
    pub(in crate::source::ptp) const INIT_COMMAND_REQUEST: u32 = 1;
    pub(in crate::source::ptp) const INIT_COMMAND_ACK: u32 = 2;
    pub(in crate::source::ptp) const INIT_EVENT_REQUEST: u32 = 3;
    pub(in crate::source::ptp) const INIT_EVENT_ACK: u32 = 4;
    pub(in crate::source::ptp) const INIT_FAIL: u32 = 5;
    pub(in crate::source::ptp) const OPERATION_REQUEST: u32 = 6;
    pub(in crate::source::ptp) const OPERATION_RESPONSE: u32 = 7;
    pub(in crate::source::ptp) const EVENT: u32 = 8;
    pub(in crate::source::ptp) const START_DATA: u32 = 9;
    pub(in crate::source::ptp) const DATA: u32 = 10;
    pub(in crate::source::ptp) const END_DATA: u32 = 12;
    pub(in crate::source::ptp) const PROBE_REQUEST: u32 = 13;
    pub(in crate::source::ptp) const PROBE_RESPONSE: u32 = 14;
}

/// A packet as it came.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Packet {
    /// Its type.
    pub(super) kind: u32,
    /// What stands behind length and type.
    pub(super) body: Vec<u8>,
}

impl Packet {
    /// Reads one. The length is the camera's word: it is bounded before anything is taken, and memory grows only with
    /// the bytes that come.
    pub(super) fn read(from: &mut impl Read) -> Result<Self, Trouble> {
        let mut head = [0; HEAD_BYTES];
        from.read_exact(&mut head)?;
        let mut fields = Fields::of("a packet", &head);
        let (length, kind) = (fields.u32()? as usize, fields.u32()?);
        if !(HEAD_BYTES..=PACKET_BYTES).contains(&length) {
            return Err(Trouble::garbage(format!("a packet of {length} bytes")));
        }
        let expected = length - HEAD_BYTES;
        let mut body = Vec::new();
        if from.take(expected as u64).read_to_end(&mut body)? < expected {
            return Err(Trouble::Closed);
        }
        Ok(Self { kind, body })
    }

    /// The bytes of a packet.
    pub(super) fn bytes(kind: u32, body: &[u8]) -> Vec<u8> {
        let length = (HEAD_BYTES + body.len()) as u32;
        [&length.to_le_bytes(), &kind.to_le_bytes(), body].concat()
    }

    /// Its fields, where it is of the expected type.
    pub(super) fn fields_of(
        &self,
        expected: u32,
        name: &'static str,
    ) -> Result<Fields<'_>, Trouble> {
        if self.kind == kind::INIT_FAIL {
            let reason = Fields::of("Init_Fail", &self.body).u32()?;
            return Err(Trouble::NotWanted(reason));
        }
        if self.kind != expected {
            let kind = self.kind;
            return Err(Trouble::garbage(format!(
                "a packet of type {kind} for {name}"
            )));
        }
        Ok(Fields::of(name, &self.body))
    }
}

/// The first packet of the command connection.
pub(super) fn init_command_request(initiator: Uuid) -> Vec<u8> {
    let name = FRIENDLY_NAME.encode_utf16().chain([0]);
    let name: Vec<u8> = name.flat_map(u16::to_le_bytes).collect();
    let body = [
        initiator.as_bytes().as_slice(),
        &name,
        &VERSION.to_le_bytes(),
    ]
    .concat();
    Packet::bytes(kind::INIT_COMMAND_REQUEST, &body)
}

/// The first packet of the event connection: it names the command connection that it belongs to.
pub(super) fn init_event_request(connection: u32) -> Vec<u8> {
    Packet::bytes(kind::INIT_EVENT_REQUEST, &connection.to_le_bytes())
}

/// Asks for an operation that sends no data to the camera.
pub(super) fn operation_request(code: u16, transaction: u32, parameters: &[u32]) -> Vec<u8> {
    /// No data, or data from the camera to us.
    const NO_DATA_OUT: u32 = 1;
    let mut body = NO_DATA_OUT.to_le_bytes().to_vec();
    body.extend(code.to_le_bytes());
    body.extend(transaction.to_le_bytes());
    body.extend(parameters.iter().flat_map(|number| number.to_le_bytes()));
    Packet::bytes(kind::OPERATION_REQUEST, &body)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bytes written by hand, field by field, as CIPA DC-005 orders them.
    #[test]
    fn our_packets_are_laid_out_as_the_standard_says() {
        let guid = Uuid::from_u128(0x0001_0203_0405_0607_0809_0a0b_0c0d_0e0f);
        let mut expected = vec![46, 0, 0, 0, 1, 0, 0, 0];
        expected.extend(0..16);
        expected.extend(b"s\0w\0a\0p\0c\0a\0l\0l\0\0\0");
        expected.extend([0, 0, 1, 0]);
        assert_eq!(init_command_request(guid), expected);
        assert_eq!(init_event_request(7), [12, 0, 0, 0, 3, 0, 0, 0, 7, 0, 0, 0]);
        assert_eq!(
            operation_request(0x1005, 3, &[0x0001_0001]),
            [
                22, 0, 0, 0, 6, 0, 0, 0, 1, 0, 0, 0, 0x05, 0x10, 3, 0, 0, 0, 1, 0, 1, 0
            ]
        );
        assert_eq!(
            Packet::bytes(kind::PROBE_RESPONSE, &[]),
            [8, 0, 0, 0, 14, 0, 0, 0]
        );
    }

    #[test]
    fn a_length_is_bounded_before_it_is_believed() {
        for length in [0_u32, 7, 64 * 1024 + 13, u32::MAX] {
            let bytes = [length.to_le_bytes(), [7, 0, 0, 0]].concat();
            let error = Packet::read(&mut bytes.as_slice()).unwrap_err();
            assert!(error.to_string().contains(&length.to_string()), "{error}");
        }
        let largest = Packet::bytes(kind::END_DATA, &vec![9; 4 + DATASET_BYTES]);
        assert_eq!(
            Packet::read(&mut largest.as_slice()).unwrap().body.len(),
            4 + DATASET_BYTES
        );
    }

    #[test]
    fn what_ends_in_the_middle_is_a_connection_that_ended() {
        let whole = init_event_request(7);
        for end in 0..whole.len() {
            let error = Packet::read(&mut &whole[..end]).unwrap_err();
            assert!(matches!(error, Trouble::Closed), "{end}: {error}");
        }
    }

    #[test]
    fn a_camera_that_does_not_want_us_says_why() {
        let fail = |reason: u32| Packet {
            kind: kind::INIT_FAIL,
            body: reason.to_le_bytes().to_vec(),
        };
        let said = |reason| {
            let packet = fail(reason);
            let refused = packet.fields_of(kind::INIT_COMMAND_ACK, "Init_Command_Ack");
            refused.unwrap_err().to_string()
        };
        assert!(said(1).contains("allow “swapcall”"), "{}", said(1));
        assert!(said(2).contains("another program"), "{}", said(2));
        assert!(said(9).contains("reason 9"), "{}", said(9));
    }
}
