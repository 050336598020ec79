//! `kill -9` while old records are being thinned and volumes come and go: the hub starts each time, with the last state it
//! acknowledged, nothing but readings is missing, and what is left checks out.

use std::thread::sleep;
use std::time::Duration;

use swapcall_crew::Record;
use swapcall_journal::{Journal, SledJournal, SledOptions};
use swapcall_tests::api::battery_report;
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::Site;
use uuid::Uuid;

/// A volume for each thousand records, old after 86 s of a clock that runs two hundred times as fast as life.
const ARGUMENTS: [&str; 8] = [
    "--volume-records",
    "1000",
    "--snapshot-records",
    "700",
    "--keep-days",
    "0.001",
    "--clock-rate",
    "200",
];

fn random_pause() -> Duration {
    Duration::from_millis(u64::from(Uuid::new_v4().as_bytes()[0]) * 2_500 / 255)
}

#[test]
fn killed_while_it_thins_the_hub_goes_on_with_all_that_counts() {
    let cycles: u32 = by_form(5, 60);
    let site = Site::new();
    let (mut acknowledged, mut settings) = (0, 0);
    for cycle in 0..cycles {
        let hub = site.start_with_arguments(&ARGUMENTS);
        if cycle == 0 {
            hub.api.put_unit("BOW2");
        }
        let fleet = hub.api.fleet();
        assert!(
            fleet.seq >= acknowledged,
            "cycle {cycle}: {acknowledged} was acknowledged, the hub is at {}",
            fleet.seq
        );
        let last = f64::from(90 - cycle % 60);
        for _ in 0..3 {
            let level = |_| battery_report("BOW2", last);
            hub.api.report((0..600).map(level).collect());
        }
        settings += 1;
        hub.api.put(
            "/v1/limits",
            &serde_json::json!({"fleet": {"fetch_s": 60 + cycle}}),
        );
        let fleet = hub.api.fleet();
        acknowledged = fleet.seq;
        let battery = fleet.units[0].battery.as_ref().expect("it reported");
        assert!((battery.percent - last).abs() < 1e-9);
        sleep(random_pause());
        hub.kill();
    }
    assert!(site.start_with_arguments(&ARGUMENTS).stop().success());
    let opened = SledJournal::open(&site.data(), &SledOptions::new(Uuid::nil())).expect("it opens");
    let verified = opened.journal.verify().expect("what is left checks out");
    assert!(verified.thinned_out > 0, "{verified:?}");
    let left = opened
        .journal
        .reader()
        .entries(0, usize::MAX)
        .expect("readable");
    let kept = left
        .iter()
        .filter(|entry| matches!(entry.record, Record::LimitsSet(_)));
    assert_eq!(kept.count(), settings, "no setting is ever thinned");
    figure(
        "kill -9 while thinning",
        &format!(
            "{cycles} kills, {} records of which {} were thinned out, {} volumes, 0 settings lost",
            verified.last_seq, verified.thinned_out, verified.volumes
        ),
    );
}
