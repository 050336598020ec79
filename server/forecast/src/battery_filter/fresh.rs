//! What the unit will do with its next pack, and what it spends on waiting.

use super::BatteryFilter;
use crate::battery::{BatteryReading, Mode};
use crate::planned::Planned;
use crate::quantiles::{Future, Quantiles};

/// A drain that is less well known than this share of itself was not learned here, nor said by a profile: before any
/// reading the spread is 27 %, by a profile 20 %.
const GUESSED: f64 = 0.22;

impl BatteryFilter {
    /// Seconds that a full pack would run the unit from `at_s` on, which lies after the last reading: its drains and its
    /// habit as they are known, with nothing from outside but what is its habit or planned. The pack is as strong as most;
    /// where it dies is taken from the present one.
    pub fn fresh_run_out(&self, at_s: f64, planned: &[Planned]) -> Quantiles {
        let mut swapped = self.clone();
        swapped.power(at_s, false);
        swapped.joint.scale_drains((-self.weakness()).exp(), 0.0);
        swapped.new_pack(at_s);
        swapped.observe(&BatteryReading {
            at_s,
            mode: self.mode,
            percent: 100.0,
            step: 1.0,
            external: false,
            typed: false,
            celsius: None,
        });
        swapped.run_out_planned(at_s, Future::AsExpected, planned)
    }

    /// Share of the unit's energy that goes into standby, 0 to 1, by its habit.
    pub fn standby_share(&self) -> f64 {
        let joint = self.settled();
        let of = |mode: Mode| self.duty.share(mode) * joint.belief(mode as usize + 1).mean.max(0.0);
        let all: f64 = [Mode::Off, Mode::Standby, Mode::Recording]
            .map(of)
            .iter()
            .sum();
        if all > 0.0 {
            of(Mode::Standby) / all
        } else {
            0.0
        }
    }

    /// Whether the drain while recording is what is usual for cameras, for want of anything better.
    pub fn drain_is_guessed(&self) -> bool {
        let drain = self.drain_pct_per_h(Mode::Recording);
        drain.sd > GUESSED * drain.mean
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{BatteryPrior, Quantiles};

    const HOUR_S: f64 = 3_600.0;

    /// A camera that loses 40 % an hour, seen for an hour while it records.
    fn recording() -> BatteryFilter {
        let mut filter = BatteryFilter::new(&BatteryPrior::default());
        for minute in 0..=60 {
            filter.observe(&BatteryReading {
                at_s: f64::from(minute) * 60.0,
                mode: Mode::Recording,
                percent: 90.0 - f64::from(minute) * 40.0 / 60.0,
                step: 1.0,
                external: false,
                typed: false,
                celsius: None,
            });
        }
        filter
    }

    #[test]
    fn a_full_pack_runs_by_what_was_learned_and_asking_changes_nothing() {
        let filter = recording();
        let before = filter.clone();
        let fresh = filter.fresh_run_out(2.0 * HOUR_S, &[]);
        assert_eq!(filter, before);
        assert!(fresh.p10 < fresh.p50 && fresh.p50 < fresh.p90, "{fresh:?}");
        // 100 % at 40 %/h less what is left when it dies, and more for pauses that will come.
        assert!((2.0..3.5).contains(&(fresh.p50 / HOUR_S)), "{fresh:?}");
        let present: Quantiles = filter.run_out(HOUR_S, Future::AsExpected);
        assert!(fresh.p50 > 1.5 * present.p50);
        assert!(!filter.drain_is_guessed());
    }

    #[test]
    fn outside_power_now_does_not_feed_the_next_pack_and_an_unknown_camera_is_a_guess() {
        let filter = BatteryFilter::new(&BatteryPrior::default());
        assert!(filter.drain_is_guessed());
        let profile = BatteryPrior::from_profile(Some(98.0), Some(40.0), None, false);
        assert!(!BatteryFilter::new(&profile).drain_is_guessed());
        let mut fed = recording();
        fed.power(HOUR_S + 10.0, true);
        let [fed, alone] =
            [&fed, &recording()].map(|unit| unit.fresh_run_out(HOUR_S + 60.0, &[]).p50);
        assert!(
            (fed / alone - 1.0).abs() < 0.1,
            "{fed} s, without outside power {alone} s"
        );
    }

    #[test]
    fn what_goes_into_standby_follows_the_habit() {
        let mostly_waiting = {
            let mut filter = recording();
            filter.mode(HOUR_S + 1.0, Mode::Standby);
            filter.mode(7.0 * HOUR_S, Mode::Standby);
            filter.standby_share()
        };
        let recording = recording().standby_share();
        assert!((0.0..0.15).contains(&recording), "{recording}");
        assert!(
            mostly_waiting > 2.0 * recording && mostly_waiting < 1.0,
            "{mostly_waiting}"
        );
    }
}
