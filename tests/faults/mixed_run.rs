//! A run of the hub with a bit of everything, and what it was told is safe.

use std::sync::Mutex;

use serde_json::json;
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::caller::status_anew;
use swapcall_tests::hub::RunningHub;
use swapcall_wire::{CallState, ReportStatus, Role};
use uuid::Uuid;

use crate::preload::Disk;

pub(crate) const UNITS: [&str; 4] = ["BOW2", "STERN", "JETTY", "FINISH"];

/// One answer of the hub: from then on, this must be safe.
#[derive(Clone, Debug)]
pub(crate) enum Told {
    /// The owner's token, as it stands in its file.
    Owner(String),
    /// Reports with their places in the journal.
    Reports(Vec<(Uuid, u64)>),
    /// Something was done, and after it the hub showed the state as of this record.
    Shown(u64),
}

impl Told {
    /// The highest record that was acknowledged by it.
    pub(crate) fn seq(&self) -> u64 {
        match self {
            Self::Owner(_) => 0,
            Self::Reports(reports) => reports.iter().map(|(_, seq)| *seq).max().unwrap_or(0),
            Self::Shown(seq) => *seq,
        }
    }

    /// The owner's token, if that was told.
    pub(crate) fn owner(&self) -> Option<&str> {
        match self {
            Self::Owner(text) => Some(text),
            _ => None,
        }
    }

    /// The reports, if that was told.
    pub(crate) fn reports(&self) -> &[(Uuid, u64)] {
        match self {
            Self::Reports(reports) => reports,
            _ => &[],
        }
    }
}

/// Notes each answer, and marks the log right after it came.
pub(crate) struct Notes<'a> {
    disk: &'a Disk,
    told: Mutex<Vec<Told>>,
}

impl<'a> Notes<'a> {
    /// Nothing was answered yet.
    pub(crate) fn of(disk: &'a Disk) -> Self {
        let told = Mutex::default();
        Self { disk, told }
    }

    /// Everything that was answered, in order.
    pub(crate) fn told(self) -> Vec<Told> {
        self.told.into_inner().expect("nobody panicked")
    }

    /// Notes that the hub told its owner's token, which stands in a file.
    pub(crate) fn owner(&self, api: &Api) {
        self.note(Told::Owner(format!("{}\n", api.token())));
    }

    fn note(&self, told: Told) {
        let mut all = self.told.lock().expect("nobody panics with this lock");
        all.push(told);
        self.disk.mark(all.len() as u64);
    }

    /// Notes the state that the hub shows now: what was answered before is in it.
    pub(crate) fn shown(&self, api: &Api) {
        self.note(Told::Shown(api.fleet().seq));
    }

    /// Reports a row of levels at once, each of which must be accepted.
    pub(crate) fn report(&self, api: &Api, unit: &str, levels: &[f64]) {
        let reports: Vec<_> = levels
            .iter()
            .map(|level| battery_report(unit, *level))
            .collect();
        let ids: Vec<Uuid> = reports.iter().filter_map(|report| report.id).collect();
        let answer = api.report(reports);
        let known = ids.into_iter().zip(&answer.results).map(|(id, result)| {
            assert_eq!(result.status, ReportStatus::Accepted, "{result:?}");
            (id, result.seq.expect("accepted has a place"))
        });
        self.note(Told::Reports(known.collect()));
    }
}

/// Runs a hub on `disk`, through two clean restarts and a `kill -9`, and ends cleanly.
pub(crate) fn record(disk: &Disk, rounds: u32) -> Vec<Told> {
    let notes = Notes::of(disk);
    let (hub, api) = start(disk);
    notes.owner(&api);
    for unit in UNITS {
        api.put_unit(unit);
        notes.shown(&api);
    }
    for round in 0..rounds {
        play(&notes, &api, round);
    }
    assert!(hub.stop().success());
    for restart in 1..3 {
        let (hub, api) = start(disk);
        for round in 0..rounds {
            play(&notes, &api, restart * rounds + round);
        }
        if restart == 1 {
            assert!(hub.stop().success());
        } else {
            together(&notes, &api);
            disk.kill(hub);
        }
    }
    let (hub, api) = start(disk);
    play(&notes, &api, 3 * rounds);
    assert!(hub.stop().success());
    notes.told()
}

/// A hub, and a client that waits when it is told to: one token sends all of it, faster than it may on a fast machine.
fn start(disk: &Disk) -> (RunningHub, Api) {
    let hub = disk.start();
    let api = hub.api.patient();
    (hub, api)
}

/// A few minutes of a show, in a moment: batteries run down, runners go, the lead changes things.
fn play(notes: &Notes<'_>, api: &Api, round: u32) {
    let runner = api.new_token(&format!("runner {round}"), Role::Runner, &[]);
    let ana = api.with_token(Some(&runner.token));
    notes.shown(api);
    for (number, unit) in (0_u32..).zip(UNITS) {
        let level = f64::from(80 - number * 10);
        let levels: Vec<f64> = (0..=number * 6)
            .map(|step| level - f64::from(step))
            .collect();
        notes.report(api, unit, &levels);
    }
    notes.report(api, UNITS[round as usize % UNITS.len()], &[4.0]);
    for call in api
        .calls()
        .iter()
        .filter(|call| call.state == CallState::Open)
    {
        let claim = ana.send("POST", &format!("/v1/calls/{}/claim", call.id), None);
        assert_eq!(claim.status, 200, "{}", claim.body);
        notes.shown(api);
        let done = ana.send("POST", &format!("/v1/calls/{}/done", call.id), None);
        assert_eq!(done.status, 200, "{}", done.body);
        notes.shown(api);
        if round % 2 == 1 {
            let undone = ana.send("POST", &format!("/v1/calls/{}/undo", call.id), None);
            assert_eq!(undone.status, 200, "{}", undone.body);
            notes.shown(api);
        }
    }
    let limits = json!({"fleet": {"margin_s": 60 + round}});
    assert_eq!(api.put("/v1/limits", &limits).status, 200);
    let start = swapcall_tests::wait::wall();
    let end = start + jiff::SignedDuration::from_mins(10);
    let held =
        json!({"windows": [{"kind": "held", "start": start.to_string(), "end": end.to_string()}]});
    assert_eq!(api.put("/v1/rundown", &held).status, 200);
    let revoked = api.send("DELETE", &format!("/v1/tokens/{}", runner.view.id), None);
    assert!(revoked.status < 300, "{}", revoked.body);
    notes.shown(api);
    assert_eq!(
        status_anew(&ana, "/v1/fleet"),
        401,
        "a revoked token is refused"
    );
}

/// Several carts at once, so that commits hold more than one request.
fn together(notes: &Notes<'_>, api: &Api) {
    std::thread::scope(|scope| {
        for unit in UNITS {
            scope.spawn(move || {
                for step in 0..8 {
                    notes.report(api, unit, &[f64::from(60 - step)]);
                }
            });
        }
    });
}
