//! What the hub has of the day, held against what the carts said that they saw.

use std::collections::{BTreeMap, BTreeSet};

use swapcall::spool::{Bounds, Spool, Standing};
use swapcall_crew::{Reading, Record};
use swapcall_tests::hub::Site;
use swapcall_wire::Report;
use uuid::Uuid;

use super::cart::{Cart, Seen};
use crate::judge::entries_in;

/// The hub takes a cart's clock for right when it is off by no more, so a time may be cut to the hub's own.
const CLOCKS_AGREE_S: f64 = 2.0;

/// What came of it.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    pub(crate) seen: usize,
    pub(crate) stored: usize,
    pub(crate) kills: usize,
    pub(crate) lost: usize,
    pub(crate) doubled: usize,
    /// How often a report came after a later one of the same cart.
    pub(crate) out_of_order: usize,
    /// Of the last reports before a kill, those that did not arrive.
    pub(crate) last_gone: usize,
    /// What carts with little room say that they took out or dropped.
    pub(crate) counted: u64,
    /// What of their reports is not at the hub.
    pub(crate) missing: usize,
    /// The largest of their spools.
    pub(crate) most_bytes: u64,
    complaints: Vec<String>,
}

impl Tally {
    /// # Panics
    ///
    /// When anything is wrong.
    pub(crate) fn assert_good(&self) {
        let worst: Vec<_> = self.complaints.iter().take(12).collect();
        assert!(
            worst.is_empty(),
            "{} complaints: {worst:#?}",
            self.complaints.len()
        );
    }

    fn complain(&mut self, cart: &Cart, what: &str) {
        self.complaints.push(format!("{}: {what}", cart.unit));
    }
}

/// Looks at every cart. `most` are the largest sizes at which spools were seen.
pub(crate) fn check(
    site: &Site,
    carts: &[Cart],
    seen: &[Seen],
    most: &BTreeMap<String, u64>,
) -> Tally {
    let mut of_units: BTreeMap<String, Vec<Reading>> = BTreeMap::new();
    for entry in entries_in(&site.data()) {
        if let Record::Reading(reading) = entry.record {
            of_units
                .entry(reading.unit.to_string())
                .or_default()
                .push(*reading);
        }
    }
    let mut tally = Tally::default();
    for (cart, seen) in carts.iter().zip(seen) {
        let stored = of_units.remove(&cart.unit).unwrap_or_default();
        let watched = most.get(&cart.unit).copied().unwrap_or(0);
        check_size(&mut tally, cart, watched.max(seen.most_bytes));
        check_cart(&mut tally, cart, seen, &stored);
    }
    tally
}

fn check_size(tally: &mut Tally, cart: &Cart, bytes: u64) {
    if bytes > cart.bound() {
        tally.complain(
            cart,
            &format!("its spool took {bytes} bytes, {} at most", cart.bound()),
        );
    }
    if cart.tight {
        tally.most_bytes = tally.most_bytes.max(bytes);
    }
}

fn check_cart(tally: &mut Tally, cart: &Cart, seen: &Seen, stored: &[Reading]) {
    let reports: Vec<&Report> = seen.runs.iter().flat_map(|(reports, _)| reports).collect();
    let id = |report: &Report| report.id.expect("watch gives each its id");
    let killed = seen.runs.iter().filter(|(_, killed)| *killed);
    let last: BTreeSet<Uuid> = killed
        .filter_map(|(reports, _)| reports.last())
        .map(id)
        .collect();
    let places: BTreeMap<Uuid, usize> = reports
        .iter()
        .enumerate()
        .map(|(place, report)| (id(report), place))
        .collect();
    let there: BTreeSet<Uuid> = stored.iter().map(|reading| reading.id).collect();
    tally.seen += reports.len();
    tally.stored += stored.len();
    tally.kills += seen.kills();
    tally.doubled += stored.len() - there.len();
    if stored.len() > there.len() {
        tally.complain(
            cart,
            &format!("{} records more than reports", stored.len() - there.len()),
        );
    }
    tally.last_gone += last.iter().filter(|id| !there.contains(id)).count();
    if seen.said_lost > 0 {
        let times = seen.said_lost;
        tally.complain(
            cart,
            &format!("{times} times it said that a report is lost"),
        );
    }
    let spool = Spool::new(&cart.spool(), Bounds::within(cart.bound()));
    let standing = spool.standing().expect("the spool opens");
    let taken_out = standing.dropped + standing.thinned;
    check_order(tally, cart, stored, (&places, &last), taken_out);
    for reading in stored {
        match places.get(&reading.id) {
            Some(place) => check_one(tally, cart, reports[*place], reading),
            None => tally.complain(cart, &format!("nobody saw {}", reading.id)),
        }
    }
    let missing: Vec<usize> = (0..reports.len())
        .filter(|place| {
            !there.contains(&id(reports[*place])) && !last.contains(&id(reports[*place]))
        })
        .collect();
    check_missing(tally, cart, (&reports, &missing), &standing);
}

/// In the order in which they were seen. A request that hung may still be stored when the cart has long given it up: by
/// then it was killed and began anew behind it, or took a report out of its spool that is on its way in that request.
fn check_order(
    tally: &mut Tally,
    cart: &Cart,
    stored: &[Reading],
    (places, last): (&BTreeMap<Uuid, usize>, &BTreeSet<Uuid>),
    taken_out: u64,
) {
    let sure = stored.iter().filter(|reading| !last.contains(&reading.id));
    let order: Vec<usize> = sure
        .filter_map(|reading| places.get(&reading.id).copied())
        .collect();
    let backwards = order.windows(2).filter(|pair| pair[0] > pair[1]).count();
    tally.out_of_order += backwards;
    if backwards as u64 > taken_out {
        tally.complain(
            cart,
            &format!("{backwards} times a report came after a later one"),
        );
    }
}

/// With its own time, told by the cart's clock, and its own percent.
fn check_one(tally: &mut Tally, cart: &Cart, report: &Report, reading: &Reading) {
    let offset = reading
        .clock_offset
        .map_or(0.0, swapcall_crew::Span::as_seconds);
    let told = reading.observed.0 as f64 / 1_000.0 + offset;
    let apart = told - report.at.as_millisecond() as f64 / 1_000.0;
    let percent = |report: &Report| report.battery.as_ref().map(|battery| battery.percent);
    let stored = reading
        .battery
        .as_ref()
        .map(|battery| battery.percent.value());
    if apart.abs() > CLOCKS_AGREE_S + 0.01 || percent(report) != stored {
        tally.complain(
            cart,
            &format!("{apart} s apart, {stored:?}, not {report:?}"),
        );
    }
}

/// Nothing is missing but what the cart counts, and of that nothing that mattered.
fn check_missing(
    tally: &mut Tally,
    cart: &Cart,
    (reports, missing): (&[&Report], &[usize]),
    standing: &Standing,
) {
    let Standing {
        waiting,
        dropped,
        thinned,
        refused,
        ..
    } = *standing;
    if (waiting, refused) != (0, 0) {
        tally.complain(
            cart,
            &format!("{waiting} reports still wait, {refused} were refused"),
        );
    }
    tally.counted += dropped + thinned;
    tally.missing += missing.len();
    let alike = |one: usize, other: usize| {
        let (one, other) = (reports.get(one), reports.get(other));
        one.zip(other)
            .is_some_and(|(one, other)| state(one) == state(other))
    };
    let mattered = missing.iter().filter(|place| {
        !(**place > 0 && alike(**place - 1, **place) && alike(**place, **place + 1))
    });
    let mattered = mattered.count() as u64;
    let uncounted = (missing.len() as u64).saturating_sub(dropped + thinned);
    if uncounted > 0 || mattered > dropped {
        tally.lost += missing.len();
        tally.complain(
            cart,
            &format!("{} are missing, {mattered} of them not like their neighbours; {thinned} counted as thinned, {dropped} as dropped", missing.len()),
        );
    }
}

/// What a report says beside its figures.
fn state(report: &Report) -> impl PartialEq {
    let battery = report.battery.as_ref();
    (
        report.mode,
        battery.map(|battery| (battery.external, battery.pack.clone())),
    )
}
