//! What a camera does on one path of a bundle: its habit, and over it the rundown.

use crate::battery::Mode;
use crate::draws::{Draw, STRETCHES};
use crate::duty::{Habit, Habits};
use crate::futures::Present;
use crate::habit::Law;
use crate::normal;
use crate::planned::{Doing, Planned};

/// The rundown as one path sees it: hours from the state's moment.
pub(crate) struct Plan<'a> {
    pub(crate) planned: &'a [Planned],
    pub(crate) now_s: f64,
    pub(crate) shift: f64,
}

impl Plan<'_> {
    /// What is planned at an hour from now, and until when that (or its absence) lasts.
    pub(crate) fn at(&self, hour: f64) -> (Option<Doing>, f64) {
        let moment = self.now_s + hour * 3_600.0;
        for one in self.planned {
            let until = one.until_s + self.shift * one.until_sd_s;
            if moment < one.from_s {
                return (None, (one.from_s - self.now_s) / 3_600.0);
            }
            if moment < until {
                return (Some(one.doing), (until - self.now_s) / 3_600.0);
            }
        }
        (None, f64::INFINITY)
    }
}

/// What a camera does on one path, stretch after stretch.
pub(crate) struct Course<'a> {
    pub(crate) habit: &'a Habit,
    pub(crate) draw: &'a Draw,
    pub(crate) mode: Mode,
    pub(crate) external: bool,
    /// Hours from the state's moment until mode and power change.
    pub(crate) mode_until: f64,
    pub(crate) power_until: f64,
    pub(crate) turns: usize,
    pub(crate) switches: usize,
}

impl<'a> Course<'a> {
    pub(crate) fn new(
        state: &Present<'_>,
        habits: &Habits,
        habit: &'a Habit,
        draw: &'a Draw,
    ) -> Self {
        // Until somebody says otherwise the mode is what it was: only its doubt grows, in `unseen_var`.
        let sure = state.age_h;
        let first = |law: &Law, age: f64, z: f64| sure + law.rest_h(age + sure, normal::cdf(z));
        let mode = &habit.modes[state.mode as usize];
        let power = habit.power(state.external);
        Self {
            habit,
            draw,
            mode: state.mode,
            external: state.external,
            mode_until: first(mode, habits.mode_age_h, draw.stretches[0]),
            power_until: power.map_or(f64::INFINITY, |law| {
                first(&law, habits.power_age_h, draw.outside[0])
            }),
            turns: 0,
            switches: 0,
        }
    }

    pub(crate) fn has_draws(&self) -> bool {
        self.turns + self.switches < STRETCHES - 2
    }

    /// What the rundown says; in a pause the camera is taken to stand by.
    pub(crate) fn follow(&mut self, doing: Doing) {
        (self.mode, self.external) = match doing {
            Doing::In(mode) => (mode, false),
            Doing::External(mode) => (mode, true),
            Doing::Pause => (Mode::Standby, false),
        };
    }

    /// A planned stretch is over: what it left goes on as a stretch of its own.
    pub(crate) fn begin_anew(&mut self, hour: f64) {
        self.stay(hour, self.turns + 1);
        self.keep_power(hour, self.switches + 1);
    }

    pub(crate) fn turn(&mut self, hour: f64) {
        if hour >= self.mode_until {
            self.mode = self.habit.next(self.mode, self.draw.choices[self.turns]);
            self.turns += 1;
            self.stay(hour, self.turns);
        }
        if hour >= self.power_until {
            self.external = !self.external;
            self.switches += 1;
            self.keep_power(hour, self.switches);
        }
    }

    fn stay(&mut self, hour: f64, draw: usize) {
        let law = self.habit.modes[self.mode as usize];
        self.mode_until = hour + law.whole_h(self.draw.stretches[draw]);
    }

    fn keep_power(&mut self, hour: f64, draw: usize) {
        let law = self.habit.power(self.external);
        self.power_until =
            hour + law.map_or(f64::INFINITY, |law| law.whole_h(self.draw.outside[draw]));
    }
}
