//! The tally signal as vision mixers and tally controllers send it to under-monitor displays: TSL UMD protocol, v3.1 and
//! v5.0. Bytes in, messages out; what they mean for a unit is not decided here.
//!
//! Sources: TSL UMD protocol v3.1 and v5.0, as restated in public equipment manuals. The four tallies of v3.1 have no
//! colour in the protocol; that tally 1 is program and tally 2 is preview is common practice. In v5.0 a lamp is red
//! (program), green (preview) or amber (both).

mod stream;
#[cfg(test)]
mod tests;

pub use stream::UmdStream;

use thiserror::Error;

/// The largest packet of v5.0, in bytes, its count included; no datagram of either version needs more.
pub const UMD_PACKET_MAX: usize = 2048;
/// The screen or display that means every one of them (v5.0).
pub const UMD_EVERY: u16 = 0xffff;

/// Bytes of a v3.1 message: address, control, sixteen characters.
const V3_BYTES: usize = 18;
/// Added to the address of a v3.1 message, so that only its first byte has the highest bit.
const V3_HEADER: u8 = 0x80;
/// The highest address of v3.1.
const V3_ADDRESS_MAX: u8 = 126;
/// Bytes of a v5.0 packet before its first message, without the count: version, flags, screen.
const V5_HEAD: usize = 4;

/// What one display is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UmdMessage {
    /// The screen the display belongs to, or [`UMD_EVERY`]. Always 0 in v3.1, which knows none.
    pub screen: u16,
    /// The display, or [`UMD_EVERY`]. In v3.1 its address, 0 to 126.
    pub index: u16,
    /// On air.
    pub program: bool,
    /// Chosen to be next.
    pub preview: bool,
    /// The words under the picture, without padding and without characters that cannot be shown.
    pub text: String,
}

/// Why bytes are no tally packet. None of it can be answered: the protocols have no way back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum UmdError {
    /// Neither version begins like this.
    #[error("neither a v3.1 message nor a v5.0 packet")]
    Unknown,
    /// A v3.1 address that no display can have.
    #[error("v3.1: address {0} is above {V3_ADDRESS_MAX}")]
    Address(u8),
    /// A v3.1 control byte with its highest bit set: the middle of something else.
    #[error("v3.1: control byte {0:#04x} has its highest bit set")]
    Control(u8),
    /// A v3.1 text with a byte outside of ASCII: two messages that ran into each other.
    #[error("v3.1: text byte {0:#04x} is not ASCII")]
    Text(u8),
    /// A v5.0 packet says another length than it has.
    #[error("v5.0: the packet says {said} bytes after its count and has {has}")]
    Length {
        /// Said by its count.
        said: usize,
        /// Found.
        has: usize,
    },
    /// A v5.0 packet of a version that is not known.
    #[error("v5.0: minor version {0} is not known, only 0 is")]
    Version(u8),
    /// A v5.0 message reaches over the end of its packet.
    #[error("v5.0: message {0} of the packet, counted from 0, is cut off")]
    CutOff(usize),
    /// More than a packet may have.
    #[error("{0} bytes are more than the {UMD_PACKET_MAX} of a packet")]
    TooLong(usize),
    /// Bytes on a stream that belong to no packet.
    #[error("v5.0: bytes outside of a packet; the sender must wrap packets in DLE STX")]
    OutOfStep,
}

/// Reads a datagram: one packet of v5.0, or one or more messages of v3.1.
///
/// A packet without messages is sound and says nothing; so is control data, which v5.0 leaves undefined.
pub fn read_umd_datagram(bytes: &[u8]) -> Result<Vec<UmdMessage>, UmdError> {
    if bytes.len() > UMD_PACKET_MAX {
        return Err(UmdError::TooLong(bytes.len()));
    }
    match bytes {
        [low, high, 0, ..] if usize::from(u16::from_le_bytes([*low, *high])) == bytes.len() - 2 => {
            read_v5(bytes)
        }
        [V3_HEADER..=u8::MAX, ..] if bytes.len().is_multiple_of(V3_BYTES) => {
            bytes.chunks_exact(V3_BYTES).map(read_v3).collect()
        }
        [low, high, version, ..] if *high <= (UMD_PACKET_MAX >> 8) as u8 => {
            let said = usize::from(u16::from_le_bytes([*low, *high]));
            let has = bytes.len() - 2;
            Err(if said == has {
                UmdError::Version(*version)
            } else {
                UmdError::Length { said, has }
            })
        }
        _ => Err(UmdError::Unknown),
    }
}

/// One message of v3.1, of exactly [`V3_BYTES`] bytes.
fn read_v3(bytes: &[u8]) -> Result<UmdMessage, UmdError> {
    let &[header, control, ref text @ ..] = bytes else {
        return Err(UmdError::Unknown);
    };
    let address = match header.checked_sub(V3_HEADER) {
        Some(address) if address <= V3_ADDRESS_MAX => address,
        Some(address) => return Err(UmdError::Address(address)),
        None => return Err(UmdError::Unknown),
    };
    if control >> 7 != 0 {
        return Err(UmdError::Control(control));
    }
    if let Some(foreign) = text.iter().find(|byte| !byte.is_ascii()) {
        return Err(UmdError::Text(*foreign));
    }
    Ok(UmdMessage {
        screen: 0,
        index: u16::from(address),
        program: control & 1 != 0,
        preview: control & 2 != 0,
        text: shown(text.iter().copied().map(char::from)),
    })
}

/// A packet of v5.0 from its count on, without the wrapping of a stream.
fn read_v5(bytes: &[u8]) -> Result<Vec<UmdMessage>, UmdError> {
    let has = bytes.len().saturating_sub(2);
    let &[
        low,
        high,
        version,
        flags,
        screen_low,
        screen_high,
        ref messages @ ..,
    ] = bytes
    else {
        return Err(UmdError::Length { said: V5_HEAD, has });
    };
    let said = usize::from(u16::from_le_bytes([low, high]));
    if said != has {
        return Err(UmdError::Length { said, has });
    }
    if version != 0 {
        return Err(UmdError::Version(version));
    }
    // Bit 1: what follows is control data for the screen, of which the protocol says no more.
    if flags & 2 != 0 {
        return Ok(Vec::new());
    }
    let screen = u16::from_le_bytes([screen_low, screen_high]);
    read_v5_messages(messages, screen, flags & 1 != 0)
}

fn read_v5_messages(
    mut rest: &[u8],
    screen: u16,
    wide_text: bool,
) -> Result<Vec<UmdMessage>, UmdError> {
    let mut messages = Vec::new();
    let mut place = 0;
    while let &[index_low, index_high, low, high, ref more @ ..] = rest {
        let control = u16::from_le_bytes([low, high]);
        // Bit 15: control data of an undefined form in place of text; how long it is nobody says.
        if control >> 15 != 0 {
            return Ok(messages);
        }
        let &[length_low, length_high, ref more @ ..] = more else {
            return Err(UmdError::CutOff(place));
        };
        let length = usize::from(u16::from_le_bytes([length_low, length_high]));
        let (text, after) = more
            .split_at_checked(length)
            .ok_or(UmdError::CutOff(place))?;
        // Two bits for each lamp: right, text, left. Red is program, green preview, amber both.
        let lamps = [control & 3, control >> 2 & 3, control >> 4 & 3];
        messages.push(UmdMessage {
            screen,
            index: u16::from_le_bytes([index_low, index_high]),
            program: lamps.iter().any(|lamp| lamp & 1 != 0),
            preview: lamps.iter().any(|lamp| lamp & 2 != 0),
            text: if wide_text {
                shown_wide(text)
            } else {
                shown(text.iter().copied().map(char::from))
            },
        });
        rest = after;
        place += 1;
    }
    if rest.is_empty() {
        Ok(messages)
    } else {
        Err(UmdError::CutOff(place))
    }
}

/// UTF-16, little-endian; half a pair becomes the sign for what cannot be read.
fn shown_wide(bytes: &[u8]) -> String {
    let units = bytes
        .chunks_exact(2)
        .map(|pair| u16::from_le_bytes([pair[0], pair[1]]));
    shown(char::decode_utf16(units).map(|read| read.unwrap_or(char::REPLACEMENT_CHARACTER)))
}

/// Padding is spaces or NUL, by maker.
fn shown(text: impl Iterator<Item = char>) -> String {
    let kept: String = text.filter(|letter| !letter.is_control()).collect();
    kept.trim().to_owned()
}
