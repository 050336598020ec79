//! Small helpers that the unit tests of this crate share.

use std::io::{self, Write};
use std::sync::{Arc, Mutex};

use jiff::Timestamp;
use swapcall_wire::{
    BatteryReport, BatteryView, Bring, CallState, CallView, Cause, Freshness, LiveMessage, Mode,
    Report, Resumption, RunOutView, Source, Spread, UnitProfile, UnitView,
};
use uuid::Uuid;

use crate::clock::observation_id;

/// A buffer that can be read while somebody else holds its writing end.
#[derive(Clone, Default)]
pub(crate) struct Buffer(Arc<Mutex<Vec<u8>>>);

impl Buffer {
    /// What was written so far.
    pub(crate) fn text(&self) -> String {
        String::from_utf8(self.0.lock().unwrap().clone()).unwrap()
    }
}

impl Write for Buffer {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.lock().unwrap().write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// A moment, seconds after a fixed start.
pub(crate) fn moment(second: i64) -> Timestamp {
    Timestamp::from_second(1_781_340_000 + second).unwrap()
}

/// A report of unit BOW2 with this battery percent, observed that many seconds after the start.
pub(crate) fn report(second: i64, percent: f64) -> Report {
    let at = moment(second);
    Report {
        id: Some(observation_id(at)),
        unit: "BOW2".to_owned(),
        at,
        sent_at: None,
        mode: Some(Mode::Recording),
        battery: Some(BatteryReport {
            percent,
            step: None,
            external: false,
            pack: None,
            celsius: None,
            volts: None,
        }),
        cards: None,
        source: Source::Cart,
    }
}

/// A unit as a hub shows it, with this battery and a run-out after that many minutes.
pub(crate) fn unit_view(name: &str, percent: f64, minutes: i64) -> UnitView {
    let at = |minutes: i64| Some(moment(minutes * 60));
    let spread = Spread {
        p10: at(minutes - 3),
        p50: at(minutes),
        p90: at(minutes + 5),
    };
    UnitView {
        unit: name.to_owned(),
        profile: UnitProfile::default(),
        changed_seq: 1,
        as_of: moment(0),
        freshness: Freshness::Fresh,
        late_after: Some(moment(10)),
        silent_after: Some(moment(30)),
        dark: false,
        mode: Some(Mode::Recording),
        observed_at: Some(moment(-2)),
        received_at: Some(moment(-2)),
        typed: false,
        clock_offset_s: None,
        battery: Some(BatteryView {
            percent,
            step: 1.0,
            external: false,
            pack: None,
            celsius: None,
            volts: None,
            at: moment(-2),
        }),
        cards: None,
        run_out: RunOutView {
            earliest: Some(spread),
            cause: Some(Cause::Battery),
            ..RunOutView::default()
        },
        call: None,
        tally: None,
        window: None,
        next_window: None,
    }
}

/// A unit's change.
pub(crate) fn unit_message(seq: u64, name: &str, percent: f64) -> LiveMessage {
    let mut unit = unit_view(name, percent, 14);
    unit.changed_seq = seq;
    unit.as_of = moment(seq.cast_signed());
    LiveMessage::Unit {
        seq,
        unit: Box::new(unit),
    }
}

/// The first message of a connection.
pub(crate) fn hello(epoch: Uuid, seq: u64, start: Resumption) -> LiveMessage {
    LiveMessage::Hello {
        protocol: 1,
        epoch,
        seq,
        start,
        now: moment(0),
        heartbeat_s: 5.0,
        clock_rate: 1.0,
        time_zone: None,
    }
}

/// A call of unit BOW2.
pub(crate) fn call_view(number: u64, revision: u32, state: CallState) -> CallView {
    CallView {
        id: Uuid::from_u128(number.into()),
        number,
        unit: "BOW2".to_owned(),
        position: Some("bow".to_owned()),
        state,
        revision,
        changed_seq: u64::from(revision),
        reason: "opened".to_owned(),
        causes: vec![Cause::Battery],
        bring: vec![Bring::Pack],
        pack: None,
        card: None,
        why: "battery 18 %, recording, about 14 min left: 11–19".to_owned(),
        said_at: None,
        opened_at: moment(0),
        by: moment(600 + number.cast_signed()),
        leave_by: moment(400),
        run_out: None,
        claimed_by: (state == CallState::Claimed).then(|| "Robin".to_owned()),
        claimed_at: None,
        lapses_at: None,
        note: None,
        reopened: 0,
        reminders: 0,
        ended_at: None,
    }
}
