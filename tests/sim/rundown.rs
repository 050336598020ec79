//! Rundowns of a lead who changes the running order while the show goes on.

use swapcall_crew::{Callsign, Millis, Rundown, Span, Window, WindowEnd, WindowKind};

use crate::chance::Chance;

/// A few windows around `now`, each for everybody or for one of `units`.
pub fn running_order(chance: &mut Chance, units: &[Callsign], now: Millis) -> Rundown {
    let kinds = [WindowKind::Rolling, WindowKind::Held, WindowKind::Break];
    let windows = (0..chance.below(5)).map(|_| {
        let own = chance.percent(50).then(|| chance.one_of(units).clone());
        let to_start_s = chance.below(7200).cast_signed() - 3600;
        let length_s = chance.below(7200).cast_signed() + 60;
        Window {
            title: None,
            start: now.plus(Span::seconds(to_start_s)),
            end: WindowEnd::After(Span::seconds(length_s)),
            spread: Span::seconds(60),
            kind: *chance.one_of(&kinds),
            units: own.into_iter().collect(),
            groups: [].into(),
        }
    });
    let windows = windows.collect();
    Rundown::new(windows).expect("the windows are sound")
}
