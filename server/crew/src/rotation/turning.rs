//! What a unit will want of the pool in the hours to come: its present pack's end, and what a full one runs it.

use swapcall_forecast::{HORIZON_S, Mode, Quantiles};
use swapcall_planner::ahead::{Spread, Turning};

use crate::assess::expected_run_outs;
use crate::{Millis, Rundown, Span, Unit};

/// A unit as the rotation of packs sees it, and whether its drain is what is usual for cameras: neither its reports nor its
/// profile say better. `None` where nothing was told of its battery.
pub(super) fn turning(unit: &Unit, rundown: &Rundown, now: Millis) -> Option<(Turning, bool)> {
    let (present, _) = expected_run_outs(unit, &rundown.ahead(unit, now).plan, now);
    let present = present?;
    let filter = &unit.battery_filter;
    // The next pack comes when this one ends; a battery that has no end today has no next one either.
    let swapped_s = Some(present.p50).filter(|left_s| *left_s < HORIZON_S);
    let swapped = now.plus(Span::from_seconds(swapped_s.unwrap_or(0.0).max(1.0)));
    let fresh = filter.fresh_run_out(swapped.seconds(), &rundown.ahead(unit, swapped).plan);
    let standby = unit.mode == Some(Mode::Standby);
    let turning = Turning {
        present: spread(&present),
        fresh: spread(&fresh),
        external: unit
            .battery
            .as_ref()
            .is_some_and(|(level, _)| level.external),
        standby: standby.then(|| filter.standby_share()),
    };
    Some((turning, filter.drain_is_guessed()))
}

fn spread(quantiles: &Quantiles) -> Spread {
    Spread {
        p10: quantiles.p10,
        p50: quantiles.p50,
        p90: quantiles.p90,
    }
}
