//! Byte examples of both versions. They are computed rows of the check values (R-TSL31-*, R-TSL5-*), where an independent
//! packer (crate tsl-umd 0.1.1 for v3.1, npm tsl-umd-v5 1.0.7 for v5.0) gave the same bytes; the end-to-end tests read
//! them from there. Here they stand as bytes, and everything is done to them that a line can do.

use proptest::prelude::*;

use super::*;

const CAM_1: &[u8] = b"\x0f\0\0\0\0\0\x01\0\xc1\0\x05\0CAM 1";
const LAMPS: &[u8] = b"\x0c\0\0\0\0\0\xfe\0\xb6\0\x02\0AB";
const EVERY: &[u8] = b"\x0b\0\0\0\x03\0\xff\xff\x50\0\x01\0X";
const V3_CAM_1: &[u8] = b"\x80\x31CAM 1           ";

fn message(screen: u16, index: u16, lamps: (bool, bool), text: &str) -> UmdMessage {
    UmdMessage {
        screen,
        index,
        program: lamps.0,
        preview: lamps.1,
        text: text.to_owned(),
    }
}

fn wrapped(packet: &[u8]) -> Vec<u8> {
    let mut bytes = vec![0xfe, 0x02];
    for byte in packet {
        bytes.push(*byte);
        if *byte == 0xfe {
            bytes.push(*byte);
        }
    }
    bytes
}

fn packets(found: Vec<Result<Vec<UmdMessage>, UmdError>>) -> Vec<UmdMessage> {
    found.into_iter().flatten().flatten().collect()
}

#[test]
fn messages_of_v3_1_say_program_and_preview() {
    let read = |bytes| read_umd_datagram(bytes);
    assert_eq!(
        read(V3_CAM_1),
        Ok(vec![message(0, 0, (true, false), "CAM 1")])
    );
    assert_eq!(
        read(b"\x81\x32                "),
        Ok(vec![message(0, 1, (false, true), "")])
    );
    assert_eq!(
        read(b"\xfe\x3fABCDEFGHIJKLMNOP"),
        Ok(vec![message(0, 126, (true, true), "ABCDEFGHIJKLMNOP")])
    );
    // Tallies 3 and 4 have no meaning that everybody shares.
    assert_eq!(
        read(b"\x8d\x0cCAM 13\0\0\0\0\0\0\0\0\0\0"),
        Ok(vec![message(0, 13, (false, false), "CAM 13")])
    );
}

#[test]
fn several_messages_of_v3_1_may_share_a_datagram() {
    let both = [V3_CAM_1, b"\x81\x32CAM 2           "].concat();
    let read = read_umd_datagram(&both).map(|messages| messages.len());
    assert_eq!(read, Ok(2));
}

#[test]
fn packets_of_v5_0_say_program_and_preview() {
    assert_eq!(
        read_umd_datagram(CAM_1),
        Ok(vec![message(0, 1, (true, false), "CAM 1")])
    );
    assert_eq!(
        read_umd_datagram(LAMPS),
        Ok(vec![message(0, 254, (true, true), "AB")])
    );
    assert_eq!(
        read_umd_datagram(EVERY),
        Ok(vec![message(3, UMD_EVERY, (true, false), "X")])
    );
}

#[test]
fn text_of_v5_0_may_be_utf_16() {
    let packet = b"\x10\0\0\x01\0\0\x02\0\x02\0\x06\0K\0\xe4\0\x3c\xd8";
    assert_eq!(
        read_umd_datagram(packet),
        Ok(vec![message(0, 2, (false, true), "Kä\u{fffd}")])
    );
}

#[test]
fn what_v5_0_leaves_undefined_is_passed_over() {
    let screen_control = b"\x06\0\0\x02\0\0ab";
    let control_data = b"\x0b\0\0\0\0\0\x01\0\0\x80abc";
    let no_message = b"\x04\0\0\0\0\0";
    for packet in [&screen_control[..], control_data, no_message] {
        assert_eq!(read_umd_datagram(packet), Ok(Vec::new()), "{packet:?}");
    }
}

#[test]
fn each_way_of_being_malformed_is_told() {
    let cases: [(&[u8], UmdError); 9] = [
        (b"", UmdError::Unknown),
        (b"hello", UmdError::Unknown),
        (b"\xff\x31CAM 1           ", UmdError::Address(127)),
        (b"\x80\xb1CAM 1           ", UmdError::Control(0xb1)),
        (b"\x80\x31CAM\x80            ", UmdError::Text(0x80)),
        (&CAM_1[..16], UmdError::Length { said: 15, has: 14 }),
        (b"\x04\0\x01\0\0\0", UmdError::Version(1)),
        (
            b"\x0f\0\0\0\0\0\x01\0\xc1\0\x06\0CAM 1",
            UmdError::CutOff(0),
        ),
        (b"\x02\0\0\0", UmdError::Length { said: 4, has: 2 }),
    ];
    for (bytes, error) in cases {
        assert_eq!(read_umd_datagram(bytes), Err(error), "{bytes:?}");
    }
    let mut long = vec![0; UMD_PACKET_MAX + 1];
    long[..2].copy_from_slice(&(UMD_PACKET_MAX as u16 - 1).to_le_bytes());
    assert_eq!(
        read_umd_datagram(&long),
        Err(UmdError::TooLong(UMD_PACKET_MAX + 1))
    );
}

#[test]
fn a_stream_doubles_the_escape() {
    // Row R-TSL5-4: index 254 is an escape inside of the packet.
    let bytes = b"\xfe\x02\x0c\0\0\0\0\0\xfe\xfe\0\xb6\0\x02\0AB";
    assert_eq!(bytes.as_slice(), wrapped(LAMPS));
    assert_eq!(
        UmdStream::default().take(bytes),
        [Ok(vec![message(0, 254, (true, true), "AB")])]
    );
}

#[test]
fn a_stream_finds_its_step_again() {
    let mut stream = UmdStream::default();
    assert_eq!(stream.take(b"GET / HTTP"), [Err(UmdError::OutOfStep)]);
    assert_eq!(stream.take(b"/1.1"), [], "told once");
    assert_eq!(packets(stream.take(&wrapped(CAM_1))).len(), 1);
    // A packet that breaks off, then a whole one.
    let half = wrapped(CAM_1)[..9].to_vec();
    let found = stream.take(&[half, wrapped(CAM_1)].concat());
    assert_eq!(found.len(), 2);
    assert_eq!(found[0], Err(UmdError::Length { said: 15, has: 5 }));
    assert!(found[1].is_ok());
    // An escape that means nothing ends the packet.
    let found = stream.take(&[b"\xfe\x02\x0f\0\xfe\x07", &wrapped(CAM_1)[..]].concat());
    assert_eq!(found[0], Err(UmdError::OutOfStep));
    assert!(found[1].is_ok());
    // A count that no packet may have is not waited for.
    let found = stream.take(&[b"\xfe\x02\xff\xff".to_vec(), vec![0; 70_000]].concat());
    assert_eq!(found, [Err(UmdError::TooLong(65_537))]);
}

prop_compose! {
    fn packet()(
        screen in any::<u16>(),
        messages in prop::collection::vec((any::<u16>(), 0_u16..64, "[ -~]{0,12}"), 0..5),
    ) -> (Vec<UmdMessage>, Vec<u8>) {
        let mut bytes = vec![0, 0, 0, 0];
        bytes.extend(screen.to_le_bytes());
        let mut meant = Vec::new();
        for (index, lamps, text) in messages {
            bytes.extend(index.to_le_bytes());
            bytes.extend(lamps.to_le_bytes());
            bytes.extend((text.len() as u16).to_le_bytes());
            bytes.extend(text.as_bytes());
            let lit = |bit| (0..3).any(|lamp| lamps >> (2 * lamp) & bit != 0);
            meant.push(message(screen, index, (lit(1), lit(2)), text.trim()));
        }
        let count = (bytes.len() as u16 - 2).to_le_bytes();
        bytes[..2].copy_from_slice(&count);
        (meant, bytes)
    }
}

proptest! {
    #[test]
    fn packets_come_out_of_a_stream_however_it_is_cut(
        sent in prop::collection::vec(packet(), 1..6),
        cut in 1_usize..40,
    ) {
        let bytes: Vec<u8> = sent.iter().flat_map(|(_, bytes)| wrapped(bytes)).collect();
        let mut stream = UmdStream::default();
        let found: Vec<_> = bytes.chunks(cut).flat_map(|piece| stream.take(piece)).collect();
        let meant: Vec<_> = sent.into_iter().map(|(meant, _)| Ok(meant)).collect();
        prop_assert_eq!(found, meant);
    }

    #[test]
    fn a_packet_reads_the_same_as_a_datagram((meant, bytes) in packet()) {
        prop_assert_eq!(read_umd_datagram(&bytes), Ok(meant));
    }

    #[test]
    fn after_any_noise_a_stream_finds_the_packet_after_the_next(
        noise in prop::collection::vec(any::<u8>(), 0..200),
        (meant, bytes) in packet(),
    ) {
        // The noise may end in a half escape that swallows the first beginning.
        let mut stream = UmdStream::default();
        stream.take(&noise);
        stream.take(&wrapped(&bytes));
        prop_assert_eq!(stream.take(&wrapped(&bytes)).pop(), Some(Ok(meant)));
    }
}
