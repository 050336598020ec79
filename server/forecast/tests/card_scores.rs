//! The card filter on thrown camera days (see `card_days`): how near, how calibrated, how often too late. Per kind.
//!
//! What is asserted per kind is a band around the promise "eight true ends in ten inside P10 to P90", over fixed seeds.
//! The table is printed (`cargo test -p swapcall-forecast --test card_scores -- --nocapture`).

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "seconds of a day as an index"
)]

mod card_days;

use card_days::{Day, Kind, Rate, tell};
use swapcall_forecast::{CardsFilter, Future, Quantiles, SlotMode};

const SEEDS: u64 = 40;
/// The first seed.
const FIRST: u64 = 1;
/// Seconds between two questions.
const ASKED_EVERY_S: f64 = 120.0;

/// A take without a pause, bytes told, one card.
const PLAIN: Kind = Kind {
    name: "constant, stated, one take",
    continuous: true,
    rate: Rate::Constant,
    stated: true,
    slot_mode: SlotMode::Single,
    step: 0.0,
    told_step: 0.0,
    size_known: true,
    flush_s: [0.0, 0.0],
    second_size: [1.0, 1.0],
    second_rate: [1.0, 1.0],
    swaps: false,
    gaps: false,
    scene_s: 180.0,
    turns_at: 0.0,
};
/// Takes and pauses, the rate varies and is not stated.
const TAKES: Kind = Kind {
    name: "variable, takes",
    continuous: false,
    rate: Rate::Variable,
    stated: false,
    ..PLAIN
};

/// Kinds told in bytes.
fn in_bytes() -> Vec<Kind> {
    vec![
        PLAIN,
        Kind {
            name: "constant, stated, takes",
            continuous: false,
            ..PLAIN
        },
        Kind {
            name: "variable, one take",
            continuous: true,
            ..TAKES
        },
        TAKES,
        Kind {
            name: "variable, stated, takes",
            stated: true,
            ..TAKES
        },
        Kind {
            name: "variable, stated, one take",
            stated: true,
            continuous: true,
            ..TAKES
        },
        Kind {
            name: "setting changed untold",
            rate: Rate::Changed,
            ..TAKES
        },
        Kind {
            name: "setting changed and stated",
            rate: Rate::ChangedAndStated,
            stated: true,
            ..TAKES
        },
        Kind {
            name: "relay, second smaller",
            slot_mode: SlotMode::Relay,
            second_size: [0.3, 0.9],
            ..TAKES
        },
        Kind {
            name: "simultaneous, second smaller",
            slot_mode: SlotMode::Simultaneous,
            second_size: [0.3, 0.9],
            ..TAKES
        },
        Kind {
            name: "simultaneous, small copy",
            slot_mode: SlotMode::Simultaneous,
            second_size: [0.2, 0.6],
            second_rate: [0.1, 0.6],
            ..TAKES
        },
        Kind {
            name: "grows after stop",
            flush_s: [5.0, 60.0],
            ..TAKES
        },
    ]
}

/// Kinds told in percent, and days on which something goes wrong.
fn in_percent() -> Vec<Kind> {
    let percent = |name, step, told_step, size_known| Kind {
        name,
        step,
        told_step,
        size_known,
        ..TAKES
    };
    vec![
        percent("1 % steps, size known", 1.0, 1.0, true),
        percent("5 % steps, size unknown", 5.0, 5.0, false),
        percent("10 % steps told as 1", 10.0, 1.0, false),
        Kind {
            continuous: true,
            ..percent("10 % steps told as 1, one take", 10.0, 1.0, false)
        },
        Kind {
            slot_mode: SlotMode::Relay,
            second_size: [0.4, 2.0],
            ..percent("relay, 5 %, sizes unknown", 5.0, 5.0, false)
        },
        Kind {
            slot_mode: SlotMode::Simultaneous,
            ..percent("simultaneous, 10 %", 10.0, 10.0, false)
        },
        Kind {
            name: "swapped in the take",
            swaps: true,
            ..TAKES
        },
        Kind {
            name: "relay, swapped in the take",
            swaps: true,
            slot_mode: SlotMode::Relay,
            ..TAKES
        },
        Kind {
            name: "scenes of 40 seconds",
            scene_s: 40.0,
            continuous: true,
            ..TAKES
        },
        Kind {
            name: "scenes of 15 minutes",
            scene_s: 900.0,
            continuous: true,
            ..TAKES
        },
        Kind {
            name: "gaps and out of order",
            gaps: true,
            ..TAKES
        },
    ]
}

/// Counts over the days of one kind, for one of the two answers.
#[derive(Default)]
struct Score {
    errors: Vec<f64>,
    inside: usize,
    below: usize,
    within_fifth: usize,
    judged: usize,
    days: usize,
    late: usize,
    buckets: [[usize; 4]; 4],
    early: usize,
    width: Vec<f64>,
}

impl Score {
    fn add(&mut self, q: &Quantiles, rest_s: f64, judged: bool) {
        let error = (q.p50 - rest_s).abs() / rest_s;
        self.errors.push(error);
        self.width.push((q.p90 - q.p10) / rest_s);
        self.inside += usize::from((q.p10 - 1.0..=q.p90 + 1.0).contains(&rest_s));
        self.below += usize::from(rest_s < q.p10 - 1.0);
        let b = if rest_s < 120.0 {
            0
        } else if rest_s < 400.0 {
            1
        } else if rest_s < 1500.0 {
            2
        } else {
            3
        };
        let k = &mut self.buckets[b];
        k[0] += 1;
        k[1] += usize::from(rest_s < q.p10 - 1.0);
        k[2] += usize::from(rest_s > q.p90 + 1.0);
        k[3] += usize::from(rest_s < q.p50);
        if judged {
            self.judged += 1;
            self.within_fifth += usize::from(error <= 0.2);
        }
    }

    fn coverage(&self) -> f64 {
        self.inside as f64 / self.errors.len().max(1) as f64
    }

    fn median_error(&mut self) -> f64 {
        median(&mut self.errors)
    }

    fn line(&mut self) -> String {
        let count = self.errors.len().max(1) as f64;
        format!(
            "{:5.3} {:5.2} {:5.2} {:5.2} {:5.2} {:3}/{:<3} {:3}",
            median(&mut self.errors),
            self.within_fifth as f64 / self.judged.max(1) as f64,
            self.inside as f64 / count,
            self.below as f64 / count,
            median(&mut self.width),
            self.late,
            self.days,
            self.early
        )
    }
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

/// Runs one day through a fresh filter and asks both questions every two minutes.
fn run(kind: &Kind, seed: u64, scores: &mut [Score; 2]) {
    let day = Day::throw(kind, seed);
    let mut filter = CardsFilter::new(None);
    let mut next = 0;
    // When the call "P10 under ten minutes" was last not given while the end was near, and first given.
    let (mut called_late, mut called_early) = ([false; 2], [false; 2]);
    let mut now_s = 300.0;
    while now_s < day.end_s - 30.0 {
        while next < day.events.len() && day.arrives_s(next) <= now_s {
            tell(&mut filter, &day.events[next]);
            next += 1;
        }
        let rests = [day.rest_s(now_s), day.rest_recording_s(now_s)];
        let mut step_s = ASKED_EVERY_S;
        for (place, future) in [Future::AsExpected, Future::IfRecording]
            .into_iter()
            .enumerate()
        {
            let Some(rest_s) = rests[place].filter(|rest| *rest > 0.0) else {
                continue;
            };
            // Nobody can know of a setting that will be changed: such days count from the change on.
            if matches!(kind.rate, Rate::Changed | Rate::ChangedAndStated) && now_s < day.changed_s
            {
                continue;
            }
            let share = now_s / (now_s + rest_s);
            let q = filter.run_out(now_s, future);
            scores[place].add(&q, rest_s, (0.3..=0.9).contains(&share));
            called_late[place] |= rest_s <= 300.0 && q.p10 >= 600.0;
            called_early[place] |= rest_s > 2_400.0 && q.p10 < 600.0;
            step_s = if rest_s < 400.0 { 20.0 } else { step_s };
        }
        now_s += step_s;
    }
    for place in 0..2 {
        scores[place].days += 1;
        scores[place].late += usize::from(called_late[place]);
        scores[place].early += usize::from(called_early[place]);
    }
}

fn score(kind: &Kind) -> [Score; 2] {
    let mut scores = [Score::default(), Score::default()];
    for seed in 0..SEEDS {
        run(kind, FIRST + seed, &mut scores);
    }
    scores
}

fn print_row(kind: &Kind, expected: &mut Score, recording: &mut Score) {
    println!(
        "{:32} {} | {}",
        kind.name,
        expected.line(),
        recording.line()
    );
}

/// Eight true ends in ten inside P10 to P90, over forty days of a kind. Days are few and the questions of one day go
/// together, so the band is wide: a spread wrong by a third leaves it. A constant rate is known far better than that.
#[test]
fn eight_in_ten_inside_for_every_kind() {
    println!(
        "kind: as expected (error, within a fifth, inside, earlier, width, late, early) | if recording goes on"
    );
    for kind in in_bytes().into_iter().chain(in_percent()) {
        let [mut expected, mut recording] = score(&kind);
        print_row(&kind, &mut expected, &mut recording);
        let (covered, on) = (expected.coverage(), recording.coverage());
        assert!(covered >= 0.66, "{}: as expected {covered}", kind.name);
        assert!(on >= 0.68, "{}: recording goes on {on}", kind.name);
        if kind.rate == Rate::Constant {
            assert!(
                recording.median_error() < 0.002 && median(&mut recording.width) < 0.04,
                "{}",
                kind.name
            );
        } else {
            assert!(covered <= 0.98, "{}: as expected {covered}", kind.name);
            assert!(on <= 0.95, "{}: recording goes on {on}", kind.name);
            let most = if kind.step > 0.0 { 0.2 } else { 0.1 };
            assert!(
                recording.median_error() <= most,
                "{}: {}",
                kind.name,
                recording.median_error()
            );
        }
        assert_eq!(
            expected.late + recording.late,
            0,
            "{}: called too late",
            kind.name
        );
    }
}

/// A display that shows whole steps only lags by half a step on average, and nothing tells so before a card is full. The
/// filter takes displays to round; the answer then holds the truth less often, and one call in forty may be
/// too late (seen on other seeds).
#[test]
fn whole_steps_only_cost_calibration() {
    let kind = Kind {
        name: "5 %, whole steps only",
        step: 5.0,
        told_step: 5.0,
        turns_at: -0.5,
        ..TAKES
    };
    let [mut expected, mut recording] = score(&kind);
    print_row(&kind, &mut expected, &mut recording);
    assert!(expected.coverage() >= 0.7 && recording.coverage() >= 0.45);
    assert!(expected.late + recording.late <= 1);
}
