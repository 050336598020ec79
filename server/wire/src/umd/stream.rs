//! Packets of v5.0 on a stream: wrapped in DLE STX, with every DLE inside doubled.

use super::{UMD_PACKET_MAX, UmdError, UmdMessage, read_v5};

/// Data link escape.
const DLE: u8 = 0xfe;
/// After DLE: a packet begins.
const STX: u8 = 0x02;

/// Finds the packets in the bytes of one connection, however they are cut. Holds at most one packet.
#[derive(Clone, Debug, Default)]
pub struct UmdStream {
    /// The packet so far, without its wrapping; `None` between packets.
    packet: Option<Vec<u8>>,
    /// The last byte was a DLE that is not yet explained.
    escaped: bool,
    /// Bytes outside of packets were told already.
    lost: bool,
}

impl UmdStream {
    /// Takes the next bytes and gives, in order, what became whole and what had to be dropped. Bytes outside of packets
    /// are told once until a packet begins again.
    pub fn take(&mut self, bytes: &[u8]) -> Vec<Result<Vec<UmdMessage>, UmdError>> {
        let mut found = Vec::new();
        for byte in bytes {
            found.extend(self.take_one(*byte));
        }
        found
    }

    fn take_one(&mut self, byte: u8) -> Option<Result<Vec<UmdMessage>, UmdError>> {
        if std::mem::take(&mut self.escaped) {
            return match byte {
                STX => self.begin(),
                DLE => self.data(DLE),
                // An escape that means nothing: the packet cannot be trusted any more.
                _ => {
                    self.packet = None;
                    self.outside()
                }
            };
        }
        if byte == DLE {
            self.escaped = true;
            return None;
        }
        self.data(byte)
    }

    fn begin(&mut self) -> Option<Result<Vec<UmdMessage>, UmdError>> {
        self.lost = false;
        let unfinished = self.packet.replace(Vec::new());
        // A sender that broke off in the middle: what there was of it is no packet.
        unfinished.map(|packet| Err(short(&packet)))
    }

    fn data(&mut self, byte: u8) -> Option<Result<Vec<UmdMessage>, UmdError>> {
        let Some(packet) = &mut self.packet else {
            return self.outside();
        };
        packet.push(byte);
        let &[low, high, ..] = packet.as_slice() else {
            return None;
        };
        let whole = usize::from(u16::from_le_bytes([low, high])) + 2;
        if whole > UMD_PACKET_MAX {
            self.packet = None;
            // What follows belongs to this one, which is told here.
            self.lost = true;
            return Some(Err(UmdError::TooLong(whole)));
        }
        if packet.len() < whole {
            return None;
        }
        self.packet.take().map(|packet| read_v5(&packet))
    }

    fn outside(&mut self) -> Option<Result<Vec<UmdMessage>, UmdError>> {
        let told = std::mem::replace(&mut self.lost, true);
        (!told).then_some(Err(UmdError::OutOfStep))
    }
}

/// What is wrong with a packet that another one interrupts.
fn short(packet: &[u8]) -> UmdError {
    let said = match packet {
        &[low, high, ..] => usize::from(u16::from_le_bytes([low, high])),
        _ => 0,
    };
    UmdError::Length {
        said,
        has: packet.len().saturating_sub(2),
    }
}
