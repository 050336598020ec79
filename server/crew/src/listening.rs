//! Silence: the unit's, and the hub's own.

use crate::{Callsign, Fleet, Millis, Span};

/// Silence that is noted later than this after its instant was not seen by a hub that ticks.
const AWAY: Span = Span::seconds(15 * 60);

/// Whether a unit has just become silent: three intervals since the newest value, and as long since the hub started.
pub(crate) fn falls_silent(fleet: &Fleet, callsign: &Callsign, now: Millis) -> bool {
    let Some(unit) = fleet.units.get(callsign) else {
        return false;
    };
    let Some((observed, received)) = unit.observed.zip(unit.received) else {
        return false;
    };
    // While a spool comes in the unit is heard, however old its values are.
    let heard = if unit.catching_up { received } else { observed };
    !unit.silent && now.since(heard.max(fleet.started)) > unit.patience()
}

/// Whether the hub itself did not look: its machine slept, or its clock jumped forward. Otherwise silence is noted
/// within moments of its instant. Nobody could be heard meanwhile, so it counts as a start.
pub(crate) fn was_away(fleet: &Fleet, now: Millis) -> bool {
    fleet.units.values().any(|unit| {
        unit.received
            .filter(|_| !unit.silent)
            .is_some_and(|received| {
                now.since(received.max(fleet.started)) > unit.patience().and(AWAY)
            })
    })
}
