//! The call policy as a table: what is said about a unit without a call, with an open one, and with a claimed one.
//!
//! The lead is the built-in one: fetch 60 s, walk 120 s, swap 60 s, margin 180 s: 420 s. A call is withdrawn beyond
//! 720 s. The calls of the table say "by 200 s from now" and were raised 100 s ago, unless a row says otherwise.

use super::*;
use crate::assess::Assessment;
use crate::policy::{Verdict, judge};
use crate::status::SpreadAt;
use crate::unit::{Dark, Unit};
use crate::{Causes, Claim, Need, Quantiles};

const NOW: Millis = Millis(DAWN.0 + 3_600_000);
const BATTERY: Causes = Causes {
    battery: true,
    cards: false,
    silent: false,
};
const CARDS: Causes = Causes {
    battery: false,
    cards: true,
    silent: false,
};
const SILENT: Causes = Causes {
    battery: false,
    cards: false,
    silent: true,
};

/// What a row changes about the plain scene.
struct Scene {
    unit: Unit,
    battery: Option<Quantiles>,
    cards: Option<Quantiles>,
    call: Call,
}

fn quantiles(p10: f64) -> Quantiles {
    Quantiles::new(p10, p10 * 1.3 + 60.0, p10 * 1.6 + 120.0)
}

fn ago(seconds: i64) -> Millis {
    NOW.minus(Span::seconds(seconds))
}

fn ahead(seconds: i64) -> Millis {
    NOW.plus(Span::seconds(seconds))
}

/// A unit heard just now, far from any end, and a battery call that was raised 100 s ago.
fn plain() -> Scene {
    let mut unit = Unit::new(callsign("BOW2"), Profile::default());
    unit.mode = Some(Mode::Recording);
    unit.observed = Some(NOW);
    unit.received = Some(NOW);
    let need = Need {
        causes: BATTERY,
        why: String::new(),
        by: ahead(200),
        leave_by: ahead(80),
        run_out: Some(SpreadAt::from_now(&quantiles(300.0), NOW)),
    };
    let opening = CallEvent::Opened {
        number: 1,
        need,
        reopened: 0,
        remind_at: ahead(60),
    };
    let call = Call::open(Uuid::from_u128(1), callsign("BOW2"), 1, ago(100), &opening);
    Scene {
        unit,
        battery: Some(quantiles(7_200.0)),
        cards: None,
        call: call.expect("an opening"),
    }
}

/// A verdict in one word.
fn word(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::Unchanged => "unchanged",
        Verdict::Open(_) => "opened",
        Verdict::Revise(reason, _) | Verdict::End(_, reason) => reason.name(),
        Verdict::Remind => "reminded",
        Verdict::Lapse => "lapsed",
    }
}

/// The verdicts without a call, with an open call and with a claimed one.
fn verdicts(scene: &Scene) -> [Verdict; 3] {
    let assessment = Assessment {
        unit: &scene.unit,
        now: NOW,
        times: LimitsDocument::default().in_force(None, None),
        battery: scene.battery,
        cards: scene.cards,
    };
    let mut claimed = scene.call.clone();
    claimed.state = CallState::Claimed;
    claimed.claim.get_or_insert(Claim {
        who: person("Ada"),
        at: ago(50),
        lapses_at: ahead(120),
    });
    let mut open = scene.call.clone();
    open.claim = None;
    [None, Some(&open), Some(&claimed)].map(|call| judge(&assessment, call, DAWN))
}

fn expect(row: &str, change: impl FnOnce(&mut Scene), expected: [&str; 3]) {
    let mut scene = plain();
    change(&mut scene);
    let said = verdicts(&scene).map(|verdict| word(&verdict));
    assert_eq!(said, expected, "{row}: (no call, open, claimed)");
}

/// A reason that must be the same whether somebody has the call or not.
fn both(quiet: &'static str, called: &'static str) -> [&'static str; 3] {
    [quiet, called, called]
}

#[test]
fn a_cause_that_appears_or_goes() {
    let press = |seconds| move |scene: &mut Scene| scene.battery = Some(quantiles(seconds));
    expect("far away", |_| {}, both("unchanged", "cause_gone"));
    expect("appears", press(261.0), both("opened", "unchanged"));
    expect("at the threshold", press(420.0), both("opened", "eased"));
    expect("just outside", press(420.1), both("unchanged", "eased"));
    expect(
        "at the second threshold",
        press(720.0),
        both("unchanged", "eased"),
    );
    expect("beyond it", press(720.1), both("unchanged", "cause_gone"));
}

#[test]
fn worse_and_eased_are_measured_against_what_was_said() {
    let press = |seconds| move |scene: &mut Scene| scene.battery = Some(quantiles(seconds));
    // Said: be there 200 s from now, that is an end in 260 s. A quarter of what is left, or a minute.
    expect(
        "a minute earlier",
        press(200.0),
        both("opened", "unchanged"),
    );
    expect("more than a minute", press(199.0), both("opened", "worse"));
    expect("120 s later", press(380.0), both("opened", "unchanged"));
    expect("more than that", press(381.0), both("opened", "eased"));
    let overdue = |scene: &mut Scene| {
        scene.battery = Some(quantiles(30.0));
        scene.call.need.by = ago(600);
    };
    expect(
        "overdue slides with the clock",
        overdue,
        both("opened", "unchanged"),
    );
}

#[test]
fn another_cause_joins_and_one_of_two_goes() {
    let cards_too = |scene: &mut Scene| {
        scene.battery = Some(quantiles(261.0));
        scene.cards = Some(quantiles(300.0));
    };
    expect("cards join", cards_too, both("opened", "joined"));
    let one_goes = |scene: &mut Scene| {
        scene.call.need.causes = BATTERY.or(CARDS);
        scene.cards = Some(quantiles(300.0));
    };
    expect(
        "battery goes, cards hold",
        one_goes,
        both("opened", "eased"),
    );
    let along = |scene: &mut Scene| {
        scene.call.need.causes = BATTERY.or(CARDS);
        scene.battery = Some(quantiles(261.0));
        scene.cards = Some(quantiles(1_100.0));
    };
    expect("what came along stays", along, both("opened", "unchanged"));
}

#[test]
fn a_swap_that_was_seen() {
    let swapped = |scene: &mut Scene| scene.unit.pack_swapped = Some(ago(1));
    expect("fresh pack", swapped, both("unchanged", "swap_seen"));
    let flat = |scene: &mut Scene| {
        scene.unit.pack_swapped = Some(ago(1));
        scene.battery = Some(quantiles(261.0));
    };
    expect("a flat one", flat, both("opened", "unchanged"));
    let before = |scene: &mut Scene| scene.unit.pack_swapped = Some(ago(101));
    expect("before the call", before, both("unchanged", "cause_gone"));
    let one_of_two = |scene: &mut Scene| {
        scene.call.need.causes = BATTERY.or(CARDS);
        scene.cards = Some(quantiles(300.0));
        scene.unit.pack_swapped = Some(ago(1));
    };
    expect("one of two", one_of_two, both("opened", "eased"));
    let at_once = |scene: &mut Scene| {
        scene.call.opened = ago(2);
        scene.unit.pack_swapped = Some(ago(1));
    };
    expect(
        "no minimum time for a swap",
        at_once,
        both("unchanged", "swap_seen"),
    );
}

#[test]
fn darkness() {
    let dark = |since: Millis| {
        move |scene: &mut Scene| {
            scene.battery = Some(quantiles(0.0));
            let causes = BATTERY;
            scene.unit.dark = Some(Dark { since, causes });
        }
    };
    expect(
        "dark after the call",
        dark(ago(1)),
        both("opened", "went_dark"),
    );
    // The call is about the darkness itself; it says "by now", which is earlier than "by 200 s from now".
    expect(
        "dark before the call",
        dark(ago(101)),
        both("opened", "worse"),
    );
    let presumed = |scene: &mut Scene| {
        scene.battery = Some(Quantiles::new(0.0, 0.5, 600.0));
        scene.unit.silent = true;
    };
    expect("presumed dark", presumed, both("opened", "went_dark"));
    let known = |scene: &mut Scene| {
        presumed(scene);
        scene.call.need.causes = BATTERY.or(SILENT);
        scene.call.need.by = ago(100);
        scene.call.need.run_out =
            Some(SpreadAt::from_now(&Quantiles::new(0.0, 0.0, 9.0), ago(100)));
    };
    expect("empty before the call", known, both("opened", "unchanged"));
}

#[test]
fn silence() {
    let silent = |mode: Mode| {
        move |scene: &mut Scene| {
            scene.unit.silent = true;
            scene.unit.mode = Some(mode);
        }
    };
    // The battery is far away: silence takes its place in the call, which is then about something new.
    expect("silent", silent(Mode::Recording), both("opened", "joined"));
    expect(
        "silent and off",
        silent(Mode::Off),
        both("unchanged", "unchanged"),
    );
    let heard = |scene: &mut Scene| scene.call.need.causes = SILENT;
    expect("heard again", heard, both("unchanged", "cause_gone"));
}

#[test]
fn a_call_stays_open_for_a_minute_at_least() {
    let raised = |at: Millis| move |scene: &mut Scene| scene.call.opened = at;
    let short = ago(60).plus(Span(1));
    expect(
        "59.999 s old",
        raised(short),
        both("unchanged", "unchanged"),
    );
    expect("60 s old", raised(ago(60)), both("unchanged", "cause_gone"));
}

#[test]
fn a_claim_quiets_reminders_only_and_lapses_at_its_instant() {
    let held = |scene: &mut Scene| scene.battery = Some(quantiles(261.0));
    let remind = |at: Millis| {
        move |scene: &mut Scene| {
            held(scene);
            scene.call.remind_at = at;
        }
    };
    expect(
        "not yet",
        remind(NOW.plus(Span(1))),
        ["opened", "unchanged", "unchanged"],
    );
    expect("due", remind(NOW), ["opened", "reminded", "unchanged"]);
    expect(
        "long due",
        remind(ago(900)),
        ["opened", "reminded", "unchanged"],
    );
    let lapse = |at: Millis| {
        move |scene: &mut Scene| {
            held(scene);
            scene.call.claim = Some(Claim {
                who: person("Ada"),
                at: ago(90),
                lapses_at: at,
            });
        }
    };
    expect(
        "1 ms before",
        lapse(NOW.plus(Span(1))),
        both("opened", "unchanged"),
    );
    expect("at it", lapse(NOW), ["opened", "unchanged", "lapsed"]);
}

#[test]
fn every_way_to_close_closes_a_claimed_call_as_it_closes_an_open_one() {
    // Ask 4: who silences a call must not miss its end.
    type Change = fn(&mut Scene);
    let ways: [(Change, CallState); 4] = [
        (|_| {}, CallState::Withdrawn),
        (|scene| scene.unit.pack_swapped = Some(NOW), CallState::Done),
        (
            |scene| {
                let (since, causes) = (NOW, BATTERY);
                scene.unit.dark = Some(Dark { since, causes });
            },
            CallState::Missed,
        ),
        (
            |scene| {
                scene.unit.silent = true;
                scene.battery = Some(Quantiles::new(0.0, 0.0, 0.0));
            },
            CallState::Missed,
        ),
    ];
    for (change, expected) in ways {
        let mut scene = plain();
        // A claim that is overdue and a reminder that is due must not stand in the way either.
        scene.call.remind_at = ago(10);
        change(&mut scene);
        let [_, open, claimed] = verdicts(&scene);
        assert!(
            matches!(open, Verdict::End(state, _) if state == expected),
            "{open:?}"
        );
        assert_eq!(open, claimed);
    }
}

#[test]
fn quiet_after_done_holds_until_its_instant() {
    let quiet = |until: Millis| {
        move |scene: &mut Scene| {
            scene.battery = Some(quantiles(261.0));
            scene.unit.quiet_until = Some(until);
        }
    };
    expect(
        "still quiet",
        quiet(NOW.plus(Span(1))),
        both("unchanged", "unchanged"),
    );
    expect("over", quiet(NOW), both("opened", "unchanged"));
}

#[test]
fn an_opening_brings_along_what_would_be_called_for_soon() {
    let mut scene = plain();
    scene.battery = Some(quantiles(261.0));
    scene.cards = Some(quantiles(840.0));
    let [Verdict::Open(need), ..] = verdicts(&scene) else {
        panic!("it opens");
    };
    assert_eq!(need.causes, BATTERY.or(CARDS), "one walk, not two");
    scene.cards = Some(quantiles(840.1));
    let [Verdict::Open(need), ..] = verdicts(&scene) else {
        panic!("it opens");
    };
    assert_eq!(need.causes, BATTERY);
}
