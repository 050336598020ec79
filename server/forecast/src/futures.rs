//! When a battery is empty: a fixed bundle of possible futures, run to their ends.
//!
//! The load above the end level and the drains are jointly normal (`battery_filter`), the end level is a mixture of
//! normals ([`crate::ends`]), and the camera's coming modes are a semi-Markov process with uncertain means
//! ([`crate::duty`]). The time until such a load is used up has no closed form, so it is computed on a bundle of paths ([`crate::draws`]):
//!
//! 1. Each path draws a load and drains from the joint normal (by the Cholesky factor of its covariance), an end level
//!    from the mixture, a mean stretch for each mode from its posterior, and a drift of the power (takes differ).
//! 2. That the camera was alive when last heard of is evidence: the end level is drawn below the path's load, and the
//!    path counts by the chance that it lies there.
//! 3. The path is walked: the present mode lasts a log-normal time, given how long it has lasted, then the next mode
//!    is chosen by the unit's own transitions, and so on, with external power coming and going beside it. Where the
//!    rundown says what happens, that is what happens. The moment the load is used up is the path's answer.
//! 4. The three quantiles are read off the sorted, weighted answers (linear between ranks: Hyndman and Fan 1996, type 5).
//!
//! The draws are the same for every question: points of a low-discrepancy sequence (Richtmyer 1951: multiples of the
//! square roots of primes; Niederreiter 1978, "Quasi-Monte Carlo methods and pseudo-random numbers"), so that there is no
//! chance in it, the same state gives the same answer, and a small step of the state moves the answer by a small step: by
//! what one path of the bundle carries at most, where it comes to another part of the mixture of ends.

use crate::battery::Mode;
use crate::course::{Course, Plan};
use crate::draws::{DRAWS, Draw};
use crate::duty::{Duty, Habits};
use crate::ends::Ends;
use crate::joint::{BIAS, DRAINS, Joint, ON_EXTERNAL};
use crate::planned::Planned;
use crate::quantiles::{HORIZON_S, Quantiles};

/// When the chance to be alive at all is less than this, the pack is taken to be empty.
const LEAST_CHANCE: f64 = 1e-6;

/// What is known at one moment.
pub(crate) struct Present<'a> {
    pub(crate) joint: &'a Joint,
    pub(crate) ends: Ends,
    pub(crate) mode: Mode,
    pub(crate) external: bool,
    /// Hours between the state's moment and now.
    pub(crate) age_h: f64,
    /// How far the drains of the time to come may differ from those so far, as a share, all together.
    pub(crate) drift: f64,
    /// What the load cannot rise above.
    pub(crate) full: f64,
    /// Variance of the load that the unseen time adds.
    pub(crate) unseen_var: f64,
}

/// What the coming hours are taken to be.
pub(crate) enum Coming<'a> {
    /// Recording without a pause, on the pack.
    Recording,
    /// The unit's habit, and over it what the rundown says (hub seconds; `now_s` is the moment of the question).
    Habit {
        duty: &'a Duty,
        plan: &'a [Planned],
        now_s: f64,
    },
}

/// Quantiles of the time from now until the load is used up.
pub(crate) fn run_out(present: &Present<'_>, coming: &Coming<'_>) -> Quantiles {
    let root = present.joint.root();
    let habits = match coming {
        Coming::Recording => None,
        Coming::Habit { duty, .. } => Some(duty.habits(present.mode, present.external)),
    };
    let answer = |draw: &Draw| {
        let (path, weight) = Path::new(present, &root, draw);
        let hours = match (coming, &habits) {
            (Coming::Habit { plan, now_s, .. }, Some(habits)) => {
                let plan = Plan {
                    planned: plan,
                    now_s: *now_s,
                    shift: draw.plan,
                };
                path.walk(present, habits, &plan, draw)
            }
            _ => path.recording(present),
        };
        (hours, weight)
    };
    read_off(DRAWS.iter().map(answer).collect(), present.age_h)
}

/// Weighted hours since the state's moment as quantiles of seconds from now.
fn read_off(mut paths: Vec<(f64, f64)>, age_h: f64) -> Quantiles {
    paths.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let all: f64 = paths.iter().map(|(_, weight)| weight).sum();
    if all < LEAST_CHANCE {
        return Quantiles::new(0.0, 0.0, 0.0);
    }
    let at = |share: f64| {
        let wanted = share * all;
        let (mut below, mut last) = (0.0, paths[0]);
        // Half of a path's weight lies before its answer.
        let mut place = -0.5 * last.1;
        for path in &paths {
            let here = below + 0.5 * path.1;
            if here >= wanted {
                let part = ((wanted - place) / (here - place).max(1e-12)).clamp(0.0, 1.0);
                return seconds(last.0 + part * (path.0 - last.0), age_h);
            }
            (below, place, last) = (below + path.1, here, *path);
        }
        seconds(last.0, age_h)
    };
    Quantiles::new(at(0.1), at(0.5), at(0.9))
}

fn seconds(hour: f64, age_h: f64) -> f64 {
    (hour - age_h).max(0.0) * 3_600.0
}

/// One possible battery: load above its end level, and drains.
struct Path {
    load: f64,
    full: f64,
    drains: [f64; DRAINS],
}

impl Path {
    /// A path's battery, and the chance that it lives.
    fn new(present: &Present<'_>, root: &[[f64; BIAS]; BIAS], draw: &Draw) -> (Self, f64) {
        let mean = &present.joint.mean;
        let at = |i: usize| mean[i] + (0..=i).map(|j| root[i][j] * draw.normals[j]).sum::<f64>();
        let whole = at(0);
        let recording = mean[1 + Mode::Recording as usize];
        let (end, alive) = present.ends.below(whole, recording, draw.end);
        let load = whole - end.min(whole);
        // Unseen time is spread of the load, but no evidence that the camera died.
        let load = (load - present.unseen_var.sqrt() * draw.drift).max(0.0);
        let drift = (present.drift * draw.drift).exp();
        let drain = |k: usize| drift * at(k + 1).max(0.05 * mean[k + 1].max(0.01));
        let own = Self {
            load,
            full: present.full - end,
            drains: [drain(0), drain(1), drain(2), at(1 + ON_EXTERNAL).min(10.0)],
        };
        (own, alive)
    }

    fn recording(&self, present: &Present<'_>) -> f64 {
        let drain = self.drain(present.mode, present.external);
        let unseen = drain * present.age_h;
        if unseen >= self.load {
            return self.load / drain;
        }
        present.age_h + (self.load - unseen) / self.drains[Mode::Recording as usize]
    }

    /// The drain of a mode on the pack or on external power, percent per hour.
    fn drain(&self, mode: Mode, external: bool) -> f64 {
        match (external, mode) {
            (false, _) => self.drains[mode as usize],
            (true, Mode::Recording) => 0.0,
            (true, _) => self.drains[ON_EXTERNAL],
        }
    }

    /// Hours from the state's moment until the load is used up; the horizon if it never is.
    fn walk(mut self, state: &Present<'_>, habits: &Habits, plan: &Plan<'_>, draw: &Draw) -> f64 {
        let habit = habits.habit(&draw.means);
        let horizon = HORIZON_S / 3_600.0 + state.age_h;
        let mut course = Course::new(state, habits, &habit, draw);
        let mut hour = 0.0;
        while hour < horizon && course.has_draws() {
            let (doing, planned_until) = plan.at(hour - state.age_h);
            let planned_until = planned_until + state.age_h;
            let until = match doing {
                Some(doing) => {
                    course.follow(doing);
                    planned_until
                }
                None => planned_until.min(course.mode_until).min(course.power_until),
            };
            let until = until.min(horizon).max(hour + 1e-6);
            let drain = self.drain(course.mode, course.external);
            if drain > 0.0 && self.load <= drain * (until - hour) {
                return hour + self.load / drain;
            }
            self.load = (self.load - drain * (until - hour)).min(self.full);
            hour = until;
            if doing.is_some() {
                course.begin_anew(hour);
            } else {
                course.turn(hour);
            }
        }
        if hour >= horizon {
            return horizon;
        }
        let mean = habit.mean_drain(&self.drains);
        if mean > 0.0 {
            (hour + self.load / mean).min(horizon)
        } else {
            horizon
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::battery::Belief;
    use crate::normal;

    fn sure(mean: f64) -> Belief {
        Belief { mean, sd: 0.0 }
    }

    fn ask(load: Belief, mode: Mode, coming: &Coming<'_>) -> Quantiles {
        let joint = Joint::new(
            load,
            &[sure(0.5), sure(12.0), sure(60.0), sure(0.0)],
            sure(0.0),
        );
        let present = Present {
            joint: &joint,
            ends: Ends::one(sure(0.0)),
            mode,
            external: false,
            age_h: 0.0,
            drift: 0.0,
            full: 100.0,
            unseen_var: 0.0,
        };
        run_out(&present, coming)
    }

    #[test]
    fn a_certain_future_is_a_division() {
        let q = ask(sure(30.0), Mode::Standby, &Coming::Recording);
        assert!(
            (q.p50 - 1_800.0).abs() < 0.1 && q.p90 - q.p10 < 0.1,
            "{q:?}"
        );
    }

    /// The quantiles of a load alone are those of the normal, to the resolution of the bundle.
    #[test]
    fn a_normal_load_gives_normal_quantiles() {
        let q = ask(
            Belief {
                mean: 50.0,
                sd: 4.0,
            },
            Mode::Recording,
            &Coming::Recording,
        );
        for (found, z) in [(q.p10, -1.281_55), (q.p50, 0.0), (q.p90, 1.281_55)] {
            assert!((found / 60.0 - (50.0 + 4.0 * z)).abs() < 0.5, "{q:?}");
        }
    }

    /// The same question answered by throwing dice; the habit is remembered for four hours only, so it is not exact: recording and standby by turns, log-normal stretches of median 240
    /// and 360 s, spread 0.6. The generator is Knuth's MMIX, apart from the bundle's draws.
    #[test]
    fn agrees_with_thrown_dice() {
        let mut state = 7_u64;
        let mut uniform = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            ((state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
        };
        let mut stretch = |recording: bool| {
            let median = if recording { 240.0 } else { 360.0 };
            median * (0.6 * normal::quantile(uniform())).exp() / 3_600.0
        };
        let mut duty = Duty::new();
        for _ in 0..300 {
            for (mode, next) in [
                (Mode::Recording, Mode::Standby),
                (Mode::Standby, Mode::Recording),
            ] {
                duty.pass(mode, false, 3_600.0 * stretch(mode == Mode::Recording));
                duty.turned(mode, next);
            }
        }
        for load in [8.0, 20.0, 45.0] {
            let mut ends: Vec<f64> = (0..4_000)
                .map(|_| {
                    let (mut left, mut hours, mut recording) = (load, 0.0, true);
                    loop {
                        let (hours_on, rate) =
                            (stretch(recording), if recording { 60.0 } else { 12.0 });
                        if rate * hours_on >= left {
                            return (hours + left / rate) * 3_600.0;
                        }
                        (left, hours, recording) =
                            (left - rate * hours_on, hours + hours_on, !recording);
                    }
                })
                .collect();
            ends.sort_by(f64::total_cmp);
            let coming = Coming::Habit {
                duty: &duty,
                plan: &[],
                now_s: 0.0,
            };
            let q = ask(sure(load), Mode::Recording, &coming);
            for (share, ours) in [(0.1, q.p10), (0.5, q.p50), (0.9, q.p90)] {
                let theirs = ends[(share * ends.len() as f64) as usize];
                assert!(
                    (ours - theirs).abs() < 0.17 * theirs,
                    "{load} % {share}: {ours:.0} s, dice {theirs:.0} s"
                );
            }
        }
    }

    #[test]
    fn the_same_question_has_the_same_answer() {
        let coming = Coming::Habit {
            duty: &Duty::new(),
            plan: &[],
            now_s: 0.0,
        };
        let load = Belief {
            mean: 40.0,
            sd: 3.0,
        };
        assert_eq!(
            ask(load, Mode::Standby, &coming),
            ask(load, Mode::Standby, &coming)
        );
    }
}
