//! A battery pack: energy in, energy out, and a gauge that is only nearly right.

/// What a camera draws in watts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Draw {
    /// While recording.
    pub(crate) recording_w: f64,
    /// In standby.
    pub(crate) standby_w: f64,
}

/// A pack in a unit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pack {
    /// The label on it.
    pub(crate) label: String,
    /// What it can give at its temperature, in watt-hours.
    usable_wh: f64,
    /// What is left, in watt-hours.
    left_wh: f64,
    /// What the gauge shows in percent when nothing is left: gauges do not know the end exactly.
    shown_at_end: f64,
}

/// Share of the capacity that a lithium pack gives at `celsius`: all of it at 20 °C and above, one percent less per
/// degree below, never less than half. Common practice; makers' sheets lie on both sides of it.
pub(crate) fn cold_share(celsius: f64) -> f64 {
    (1.0 - 0.01 * (20.0 - celsius).max(0.0)).max(0.5)
}

impl Pack {
    /// A pack of `nominal_wh` at `celsius`, `charged` from 0 to 1, whose gauge shows `shown_at_end` percent at its end.
    pub(crate) fn new(
        label: String,
        nominal_wh: f64,
        celsius: f64,
        charged: f64,
        shown_at_end: f64,
    ) -> Self {
        let usable_wh = nominal_wh * cold_share(celsius);
        Self {
            label,
            usable_wh,
            left_wh: usable_wh * charged.clamp(0.0, 1.0),
            shown_at_end,
        }
    }

    /// Takes `watts` for `seconds`. Returns the watt-hours that it could give.
    pub(crate) fn take(&mut self, watts: f64, seconds: f64) -> f64 {
        let wanted = watts * seconds / 3600.0;
        let given = wanted.min(self.left_wh);
        self.left_wh -= given;
        given
    }

    /// Whether nothing is left. Below a milliwatt-hour no camera runs.
    pub(crate) fn is_empty(&self) -> bool {
        self.left_wh < 0.001
    }

    /// What the gauge shows in percent with a resolution of `step`: rounded down, as gauges do.
    pub(crate) fn shown(&self, step: f64) -> f64 {
        let share = self.left_wh / self.usable_wh;
        let exact = self.shown_at_end + (100.0 - self.shown_at_end) * share;
        // A full pack must not lose a step to rounding.
        ((exact + 1e-9) / step).floor() * step
    }

    /// Watt-hours left.
    #[cfg(test)]
    pub(crate) fn left_wh(&self) -> f64 {
        self.left_wh
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pack(celsius: f64) -> Pack {
        Pack::new("P01".to_owned(), 98.0, celsius, 1.0, 6.0)
    }

    #[track_caller]
    fn assert_close(value: f64, expected: f64) {
        assert!(
            (value - expected).abs() < 1e-9,
            "{value} instead of {expected}"
        );
    }

    /// Runtime = energy / power, the sum on every maker's sheet: 98 Wh at 49 W last two hours.
    #[test]
    fn lasts_as_long_as_energy_over_power_says() {
        let mut pack = pack(20.0);
        let mut seconds = 0;
        while !pack.is_empty() {
            pack.take(49.0, 1.0);
            seconds += 1;
        }
        assert!((7199..=7201).contains(&seconds), "{seconds} s");
    }

    #[test]
    fn what_is_given_and_what_is_left_add_up() {
        let mut pack = pack(2.0);
        let full = pack.left_wh();
        let mut given = 0.0;
        for second in 0..20_000 {
            given += pack.take(if second % 2 == 0 { 45.0 } else { 20.0 }, 1.0);
            assert!((given + pack.left_wh() - full).abs() < 1e-6);
        }
        assert!(pack.is_empty());
        assert_close(pack.take(45.0, 60.0), 0.0);
    }

    #[test]
    fn cold_takes_capacity() {
        assert!((pack(2.0).left_wh() - 98.0 * 0.82).abs() < 1e-9);
        assert!((pack(30.0).left_wh() - 98.0).abs() < 1e-9);
    }

    #[test]
    fn the_gauge_starts_full_keeps_its_steps_and_is_wrong_at_the_end() {
        let mut pack = pack(20.0);
        assert_close(pack.shown(25.0), 100.0);
        pack.take(98.0, 1800.0);
        // Half the energy: 6 + 94 / 2 = 53.
        assert_close(pack.shown(1.0), 53.0);
        assert_close(pack.shown(25.0), 50.0);
        pack.take(98.0, 3600.0);
        assert_close(pack.shown(1.0), 6.0);
        assert_close(pack.shown(25.0), 0.0);
    }
}
