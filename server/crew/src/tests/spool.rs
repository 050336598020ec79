//! A cart that was without the hub sends what it kept: old states raise nothing, and nothing counts twice.

use super::*;

/// What a cart saw in an hour: a pack nearly emptied, swapped, and the next one down to 70 %.
fn an_hour(from: Millis) -> Vec<Seen> {
    (0..3_600_u32)
        .map(|second| {
            let minutes = f64::from(second) / 60.0;
            let (level, pack) = if minutes < 25.0 {
                (24.0 - minutes * 0.87, "P1")
            } else {
                (99.0 - (minutes - 25.0) * 0.83, "P2")
            };
            let seen = Seen::of("BOW2")
                .recording()
                .battery(level.round())
                .pack(pack);
            seen.at(from.plus_seconds(f64::from(second)))
                .id(u128::from(second) + 1)
        })
        .collect()
}

/// Sends in batches of 500, a second and a tick apart.
fn send_in_batches(stage: &mut Stage, reports: &[Seen]) {
    for batch in reports.chunks(500) {
        stage.pass(0.6);
        let now = stage.now;
        let batch: Vec<Seen> = batch.iter().map(|seen| seen.clone().sent(now)).collect();
        let (outcomes, _) = stage.send(batch);
        assert!(
            outcomes
                .iter()
                .all(|one| matches!(one, ReportOutcome::Accepted(_)))
        );
        stage.pass(0.4);
        stage.tick();
    }
}

fn fresh(stage: &mut Stage) -> Vec<Entry> {
    stage.pass(1.0);
    stage.report(Seen::of("BOW2").recording().battery(70.0).pack("P2"))
}

/// Without the filters, whose beliefs depend on how readings were cut into batches in no way, but on each of them.
fn shown(stage: &Stage) -> (Option<Mode>, Option<f64>, Option<Millis>, bool) {
    let status = stage
        .fleet
        .status(&callsign("BOW2"), stage.now)
        .expect("known");
    let battery = status.battery.map(|(battery, _)| battery.percent.value());
    (status.mode, battery, status.observed, status.dark)
}

#[test]
fn a_cart_that_was_away_from_a_hub_that_just_started() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(25.0).pack("P1"));
    let from = stage.now.plus(Span::seconds(1));
    stage.pass(3_602.0);
    stage.granted(Command::Start);
    send_in_batches(&mut stage, &an_hour(from));
    fresh(&mut stage);
    stage.tick();
    assert_eq!(call_events(&stage.log).count(), 0);
    stage.assert_is_fold();
}

#[test]
fn a_slow_network_does_not_make_a_spooling_cart_silent() {
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(25.0).pack("P1"));
    let from = stage.now.plus(Span::seconds(1));
    stage.pass(3_602.0);
    stage.granted(Command::Start);
    // 60 reports every four seconds: four minutes, far beyond the patience for a cart that reports every second.
    for batch in an_hour(from).chunks(60) {
        stage.idle(4);
        let now = stage.now;
        stage.send(batch.iter().map(|seen| seen.clone().sent(now)).collect());
    }
    fresh(&mut stage);
    assert_eq!(
        call_events(&stage.log).count(),
        0,
        "{:?}",
        stage.reasons("BOW2")
    );
}

#[test]
fn a_cart_that_was_away_from_a_running_hub_is_silent_once_and_heard_once() {
    let mut stage = Stage::with(&["BOW2"]);
    for _ in 0..30 {
        stage.report(Seen::of("BOW2").recording().battery(75.0));
        stage.idle(1);
    }
    let from = stage.now.plus(Span::seconds(1));
    // A tick every ten seconds is enough for an hour in which nobody is heard.
    for _ in 0..360 {
        stage.pass(10.0);
        stage.tick();
    }
    let reports: Vec<Seen> = an_hour(from)
        .into_iter()
        .map(|seen| seen.battery(70.0))
        .collect();
    send_in_batches(&mut stage, &reports);
    fresh(&mut stage);
    stage.tick();
    let silences = stage
        .log
        .iter()
        .filter(|entry| matches!(entry.record, Record::UnitSilent { .. }));
    assert_eq!(
        silences.count(),
        1,
        "old values break no silence, so it cannot fall anew"
    );
    let reasons = stage.reasons("BOW2");
    assert!(stage.call("BOW2").is_none(), "{reasons:?}");
    let opened = count(&reasons, Reason::Opened);
    let missed = count(&reasons, Reason::WentDark);
    // After half an hour the pack is empty on paper: one call for the silence, one for the presumed darkness.
    assert!(opened == 1 + missed && missed <= 1, "{reasons:?}");
}

#[test]
fn a_unit_switched_off_when_last_heard_may_spool_without_a_call() {
    let mut stage = Stage::with(&["BOW2"]);
    for level in [62.0, 61.0, 60.0] {
        stage.report(Seen::of("BOW2").recording().battery(level));
        stage.idle(30);
    }
    stage.report(Seen::of("BOW2").mode(Mode::Off).battery(60.0));
    let from = stage.now.plus(Span::seconds(1));
    for _ in 0..360 {
        stage.pass(10.0);
        stage.tick();
    }
    assert_eq!(call_events(&stage.log).count(), 0, "off is no trouble");
    send_in_batches(&mut stage, &an_hour(from));
    fresh(&mut stage);
    stage.tick();
    assert_eq!(
        call_events(&stage.log).count(),
        0,
        "{:?}",
        stage.reasons("BOW2")
    );
}

#[test]
fn where_a_spool_ends_is_news_even_if_nothing_fresh_follows() {
    let mut stage = Stage::with(&["BOW2"]);
    let from = stage.now;
    stage.pass(1_300.0);
    // The first twenty minutes only: down to 7 %, and then the cart is cut off again.
    send_in_batches(&mut stage, &an_hour(from)[..1_200]);
    assert!(stage.call("BOW2").is_none());
    stage.idle(15);
    assert!(
        stage.call("BOW2").is_some(),
        "{:?}",
        stage.fleet.status(&callsign("BOW2"), stage.now)
    );
}

#[test]
fn a_short_spool_of_a_cart_with_long_intervals_waits_for_its_end() {
    // Three intervals are a minute and a half; the reading is older than that on arrival, and 15 s later it is news.
    let mut stage = Stage::with(&["BOW2"]);
    stage.report(Seen::of("BOW2").recording().battery(12.0).typed());
    assert!(stage.call("BOW2").is_some(), "typed just now");
    let mut stage = Stage::with(&["BOW2"]);
    let at = stage.now;
    stage.pass(95.0);
    let now = stage.now;
    stage.send(vec![
        Seen::of("BOW2")
            .recording()
            .battery(12.0)
            .at(at)
            .sent(now)
            .id(1),
    ]);
    assert!(stage.call("BOW2").is_none());
    stage.idle(14);
    assert!(stage.call("BOW2").is_none());
    stage.idle(1);
    assert!(stage.call("BOW2").is_some());
}

#[test]
fn batches_give_what_single_reports_give() {
    let build = |in_batches: bool| {
        let mut stage = Stage::with(&["BOW2"]);
        let from = stage.now;
        stage.pass(3_601.0);
        let reports = an_hour(from);
        if in_batches {
            send_in_batches(&mut stage, &reports);
        } else {
            for seen in &reports {
                let now = stage.now;
                stage.send(vec![seen.clone().sent(now)]);
            }
            stage.pass(8.0);
        }
        stage
    };
    let (one, other) = (build(true), build(false));
    assert_eq!(shown(&one), shown(&other));
    let look = |stage: &Stage| {
        let status = stage
            .fleet
            .status(&callsign("BOW2"), stage.now)
            .expect("known");
        status.outlook
    };
    assert_eq!(
        look(&one),
        look(&other),
        "the forecast is the same to the bit"
    );
}

#[test]
fn a_batch_sent_again_is_counted_once_under_the_same_numbers() {
    let mut stage = Stage::with(&["BOW2"]);
    let batch: Vec<Seen> = an_hour(stage.now).into_iter().take(1_000).collect();
    stage.pass(1_000.0);
    let (first, _) = stage.send(batch.clone());
    let before = stage.fleet.clone();
    stage.pass(7.0);
    let (second, entries) = stage.send(batch.clone());
    assert_eq!(entries, []);
    assert_eq!(stage.fleet, before, "nothing moved");
    let again: Vec<ReportOutcome> = first
        .iter()
        .map(|outcome| match outcome {
            ReportOutcome::Accepted(seq) => ReportOutcome::Duplicate(*seq),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(second, again);
    // Twice in one request is known as well.
    let (third, _) = stage.send(vec![batch[0].clone().id(9_000), batch[0].clone().id(9_000)]);
    let [ReportOutcome::Accepted(seq), ReportOutcome::Duplicate(same)] = third[..] else {
        panic!("{third:?}");
    };
    assert_eq!(seq, same);
}

#[test]
fn out_of_order_inside_a_batch_ends_where_order_ends() {
    let reports = an_hour(DAWN);
    let mut mixed = reports[..600].to_vec();
    // A fixed shuffle: 7 has no factor in common with 600.
    for index in 0..600 {
        mixed[index * 7 % 600] = reports[index].clone();
    }
    let run = |batch: Vec<Seen>| {
        let mut stage = Stage::with(&["BOW2"]);
        stage.pass(600.0);
        let (outcomes, _) = stage.send(batch);
        assert!(
            outcomes
                .iter()
                .all(|one| matches!(one, ReportOutcome::Accepted(_)))
        );
        shown(&stage)
    };
    assert_eq!(run(mixed), run(reports[..600].to_vec()));
}
