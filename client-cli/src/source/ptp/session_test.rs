//! The session against bytes: right ones, wrong ones, and any.

use std::io;

use proptest::prelude::*;

use super::*;
use crate::source::ptp::gauge::Gauge;
use crate::source::ptp::stores::Stores;

/// A camera that says what it was told to say, whatever it hears.
#[derive(Debug, Default)]
pub(in crate::source::ptp) struct Fake {
    says: io::Cursor<Vec<u8>>,
    /// What it heard.
    pub(in crate::source::ptp) heard: Vec<u8>,
    /// The largest piece of memory that was held out to it.
    largest: usize,
}

impl Fake {
    /// Says these bytes.
    pub(in crate::source::ptp) fn saying(bytes: &[u8]) -> Self {
        Self {
            says: io::Cursor::new(bytes.to_vec()),
            ..Self::default()
        }
    }
}

impl Read for Fake {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.largest = self.largest.max(into.len());
        self.says.read(into)
    }
}

impl Write for Fake {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.heard.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn response(code: u16, transaction: u32) -> Vec<u8> {
    let body = [&code.to_le_bytes()[..], &transaction.to_le_bytes()].concat();
    Packet::bytes(7, &body)
}

fn start(transaction: u32, total: u64) -> Vec<u8> {
    let body = [&transaction.to_le_bytes()[..], &total.to_le_bytes()].concat();
    Packet::bytes(9, &body)
}

fn piece(kind: u32, transaction: u32, data: &[u8]) -> Vec<u8> {
    Packet::bytes(kind, &[&transaction.to_le_bytes()[..], data].concat())
}

/// A whole answer: data in two pieces, and a response.
fn answer(transaction: u32, data: &[u8]) -> Vec<u8> {
    let (one, other) = data.split_at(data.len() / 2);
    [
        start(transaction, data.len() as u64),
        piece(10, transaction, one),
        piece(12, transaction, other),
        response(0x2001, transaction),
    ]
    .concat()
}

fn acknowledged() -> Vec<u8> {
    let mut body = 7_u32.to_le_bytes().to_vec();
    body.extend([0; 16]);
    body.extend(b"R\x001\0\0\0");
    body.extend([0, 0, 1, 0]);
    Packet::bytes(2, &body)
}

/// A camera with every operation that we ask for, and a battery.
fn device_info() -> Vec<u8> {
    let mut dataset = vec![100, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
    for codes in [&[0x1004_u16, 0x1005, 0x1014][..], &[], &[0x5001], &[], &[]] {
        dataset.extend((codes.len() as u32).to_le_bytes());
        dataset.extend(codes.iter().flat_map(|code| code.to_le_bytes()));
    }
    dataset.extend(b"\x02M\0\0\0\x03R\x001\0\0\0\0\0");
    dataset
}

fn storage_info() -> Vec<u8> {
    let mut dataset = vec![4, 0, 3, 0, 0, 0];
    dataset.extend(64_000_000_000_u64.to_le_bytes());
    dataset.extend(16_000_000_000_u64.to_le_bytes());
    dataset.extend([0xff, 0xff, 0xff, 0xff, 0, 0]);
    dataset
}

const BATTERY: [u8; 11] = [0x01, 0x50, 0x02, 0, 0, 0, 63, 1, 0, 100, 1];

/// Everything that a well camera says, from the first packet to the second look.
fn well() -> Vec<u8> {
    [
        acknowledged(),
        response(0x2001, 0),
        answer(1, &device_info()),
        answer(2, &BATTERY),
        answer(3, &[1, 0, 0, 0, 1, 0, 1, 0]),
        answer(4, &storage_info()),
    ]
    .concat()
}

/// The battery's percent and each slot's used bytes.
type Values = (Option<f64>, Vec<Option<u64>>);

/// What a look makes of these bytes, and the camera afterwards.
fn look(bytes: &[u8]) -> (Result<Values, Trouble>, Fake) {
    let (mut session, _) = match Session::introduce(Fake::saying(bytes), Uuid::nil()) {
        Ok(session) => session,
        Err(trouble) => return (Err(trouble), Fake::default()),
    };
    let mut asked = || {
        session.open()?;
        let battery = session.battery()?;
        let stores = session.stores()?.unwrap_or_default();
        let percent = battery.and_then(|it| Gauge::default().battery(&it));
        let cards = Stores::default().look(&stores).0;
        let slots = cards.into_iter().flat_map(|cards| cards.slots);
        Ok((
            percent.map(|battery| battery.percent),
            slots.map(|slot| slot.used_bytes).collect(),
        ))
    };
    let found = asked();
    (found, session.stream)
}

/// The sentence of a look that went wrong.
fn said(bytes: &[u8]) -> String {
    look(bytes).0.unwrap_err().to_string()
}

/// The start of a conversation, up to the battery's answer.
fn before_battery() -> Vec<u8> {
    [
        acknowledged(),
        response(0x2001, 0),
        answer(1, &device_info()),
    ]
    .concat()
}

#[test]
fn a_well_camera_is_read() {
    let (found, fake) = look(&well());
    assert_eq!(found.unwrap(), (Some(63.0), vec![Some(48_000_000_000)]));
    // Who we are, five requests with counted transactions; only the last three have parameters.
    let mut requests = fake.heard.as_slice();
    let mut asked = Vec::new();
    while !requests.is_empty() {
        let packet = Packet::read(&mut requests).unwrap();
        if packet.kind == 6 {
            let mut fields = packet.fields_of(6, "a request").unwrap();
            assert_eq!(fields.u32().unwrap(), 1, "no data to the camera");
            asked.push((fields.u16().unwrap(), fields.u32().unwrap()));
        }
    }
    assert_eq!(
        asked,
        [
            (0x1002, 0),
            (0x1001, 1),
            (0x1014, 2),
            (0x1004, 3),
            (0x1005, 4)
        ]
    );
}

#[test]
fn a_session_that_somebody_left_open_is_closed_and_opened_anew() {
    let bytes = [
        acknowledged(),
        response(0x201E, 0),
        response(0x2001, 1),
        response(0x2001, 0),
        answer(1, &device_info()),
        answer(2, &BATTERY),
        answer(3, &[0, 0, 0, 0]),
    ]
    .concat();
    assert_eq!(look(&bytes).0.unwrap(), (Some(63.0), vec![]));
}

#[test]
fn a_busy_camera_is_asked_again_and_then_told_of() {
    let mut bytes = before_battery();
    bytes.extend(response(0x2019, 2));
    bytes.extend(answer(3, &BATTERY));
    bytes.extend(answer(4, &[0, 0, 0, 0]));
    assert_eq!(look(&bytes).0.unwrap(), (Some(63.0), vec![]));
    let mut bytes = before_battery();
    bytes.extend((2..5).flat_map(|transaction| response(0x2019, transaction)));
    let trouble = look(&bytes).0.unwrap_err();
    assert!(matches!(trouble, Trouble::Busy), "{trouble}");
    assert!(!trouble.ends_connection());
}

#[test]
fn what_the_camera_does_not_have_is_left_out() {
    let mut bytes = before_battery();
    bytes.extend(response(0x200A, 2));
    // A store that was pulled between the list and the question.
    bytes.extend(answer(3, &[1, 0, 0, 0, 1, 0, 1, 0]));
    bytes.extend(response(0x2008, 4));
    assert_eq!(look(&bytes).0.unwrap(), (None, vec![None]));
    let mut bytes = before_battery();
    bytes.extend(response(0x200F, 2));
    assert!(said(&bytes).contains("GetDevicePropDesc (access denied"));
}

#[test]
fn each_kind_of_nonsense_has_its_own_sentence() {
    let cases: [(&str, Vec<u8>); 10] = [
        ("transaction 9 instead of 2", response(0x2001, 9)),
        ("transaction 9 instead of 2", start(9, 11)),
        ("a packet of type 2", acknowledged()),
        ("1099511627776 bytes", start(2, 1 << 40)),
        (
            "instead of 12",
            [start(2, 12), piece(12, 2, &BATTERY)].concat(),
        ),
        (
            "a packet of type 7",
            [start(2, 11), response(0x2001, 2)].concat(),
        ),
        ("ends too early", answer(2, &BATTERY[..10])),
        ("a packet of 4294967295 bytes", vec![0xff; 8]),
        ("Start_Data ends too early", Packet::bytes(9, &[2, 0, 0, 0])),
        (
            "no end of data",
            [
                start(2, u64::MAX),
                piece(10, 2, &vec![0; 40_000]),
                piece(10, 2, &vec![0; 40_000]),
            ]
            .concat(),
        ),
    ];
    for (expected, bytes) in cases {
        let said = said(&[before_battery(), bytes].concat());
        assert!(said.contains(expected), "{expected}: {said}");
        assert!(said.contains("connected to anew"), "{said}");
    }
}

#[test]
fn a_list_of_many_stores_is_asked_for_eight() {
    let mut list = 1000_u32.to_le_bytes().to_vec();
    list.extend((1..=1000_u32).flat_map(|store| ((store << 16) | 1).to_le_bytes()));
    let mut bytes = before_battery();
    bytes.extend(answer(2, &BATTERY));
    bytes.extend(answer(3, &list));
    bytes.extend((4..12).flat_map(|transaction| answer(transaction, &storage_info())));
    assert_eq!(look(&bytes).0.unwrap().1.len(), 8);
}

#[test]
fn a_conversation_that_ends_anywhere_is_a_connection_that_ended() {
    let whole = well();
    for end in 0..whole.len() {
        let trouble = look(&whole[..end]).0.unwrap_err();
        assert!(matches!(trouble, Trouble::Closed), "{end}: {trouble}");
    }
}

/// No more memory is held out than one dataset and its head, whatever lengths are told.
fn bounded(fake: &Fake) -> bool {
    fake.largest <= DATASET_BYTES + 12
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn any_bytes_end_in_an_answer_or_a_sentence(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let (_, fake) = look(&bytes);
        prop_assert!(bounded(&fake));
    }

    /// Right bytes with some of them changed reach further than any bytes.
    #[test]
    fn changed_bytes_end_in_an_answer_or_a_sentence(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..4),
    ) {
        let mut bytes = well();
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        let (_, fake) = look(&bytes);
        prop_assert!(bounded(&fake));
    }

    /// Any datasets in right packets.
    #[test]
    fn any_datasets_end_in_an_answer_or_a_sentence(
        battery in prop::collection::vec(any::<u8>(), 0..40),
        stores in prop::collection::vec(any::<u32>(), 0..12),
        info in prop::collection::vec(any::<u8>(), 0..60),
    ) {
        let described = [&[0x01, 0x50][..], &battery].concat();
        let mut list = (stores.len() as u32).to_le_bytes().to_vec();
        list.extend(stores.iter().flat_map(|store| store.to_le_bytes()));
        let mut bytes = before_battery();
        bytes.extend(answer(2, &described));
        bytes.extend(answer(3, &list));
        bytes.extend((4..12).flat_map(|transaction| answer(transaction, &info)));
        let (found, _) = look(&bytes);
        if let Ok((percent, slots)) = found {
            prop_assert!(percent.is_none_or(|percent| (0.0..=100.0).contains(&percent)));
            prop_assert!(slots.len() <= SLOTS);
        }
    }
}
