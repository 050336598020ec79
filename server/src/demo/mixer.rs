//! The vision mixer: cuts from camera to camera among those that roll, and tells the hub through the API.

use std::sync::Mutex;

use swapcall_wire::{TallyLight, TallySignal, TallySignals, TallyTaken};

use super::carts::now;
use super::chance::Chance;
use super::pace::Pace;
use super::world::World;
use crate::remote::{Answered, Remote};

/// Regatta seconds between two cuts: a sports director's usual pace.
const BETWEEN_CUTS_S: (f64, f64) = (8.0, 40.0);

/// The vision mixer and whoever works it.
pub(crate) struct Mixer {
    /// The hub, with a token of its own.
    pub(crate) remote: Remote,
    /// What is cut to next.
    pub(crate) chance: Chance,
}

/// What the buses carry.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Buses {
    program: Option<String>,
    preview: Option<String>,
}

impl Mixer {
    /// Cuts until the demo ends.
    pub(crate) fn run(mut self, world: &Mutex<World>, pace: &Pace) {
        let mut buses = Buses::default();
        loop {
            let rolling = now(world, pace).rolling();
            let next = cut(&buses, &rolling, &mut self.chance);
            let signals = told(&buses, &next);
            buses = next;
            if !signals.is_empty() {
                let body = TallySignals { signals };
                match self.remote.post::<_, TallyTaken>("/v1/tally", &body) {
                    Ok(Answered::Problem(problem)) if problem.status != 503 => {
                        eprintln!("The hub refused a tally: {}", problem.detail);
                    }
                    // Taken; or busy, starting, stopping, gone: the next cut tells it anew.
                    _ => {}
                }
            }
            let (least, most) = BETWEEN_CUTS_S;
            if !pace.wait(self.chance.between(least, most)) {
                return;
            }
        }
    }
}

/// What was next goes on air if it still rolls, and another is chosen to be next.
fn cut(buses: &Buses, rolling: &[String], chance: &mut Chance) -> Buses {
    let still = |unit: &&String| rolling.contains(unit);
    let program = buses
        .preview
        .as_ref()
        .filter(still)
        .or_else(|| rolling.first())
        .cloned();
    let others: Vec<&String> = rolling
        .iter()
        .filter(|unit| Some(*unit) != program.as_ref())
        .collect();
    let chosen = (chance.share() * others.len() as f64) as usize;
    Buses {
        preview: others.get(chosen).copied().cloned(),
        program,
    }
}

/// The lights that this changes; those of `next` come last, so that they count.
fn told(before: &Buses, next: &Buses) -> Vec<TallySignal> {
    let signal = |unit: &Option<String>, light| {
        unit.clone().map(|unit| TallySignal {
            unit: Some(unit),
            display: None,
            light,
        })
    };
    let dark = [&before.program, &before.preview].map(|unit| signal(unit, TallyLight::Clear));
    let lit = [
        signal(&next.preview, TallyLight::Preview),
        signal(&next.program, TallyLight::Program),
    ];
    dark.into_iter().chain(lit).flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn units(names: &[&str]) -> Vec<String> {
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    #[test]
    fn what_was_next_goes_on_air_and_another_is_chosen() {
        let mut chance = Chance::new(1, 1);
        let rolling = units(&["BOW1", "BOW2", "FIN1"]);
        let mut buses = Buses::default();
        for _ in 0..50 {
            let next = cut(&buses, &rolling, &mut chance);
            if buses.preview.is_some() {
                assert_eq!(next.program, buses.preview);
            }
            assert!(next.program.is_some() && next.preview != next.program);
            buses = next;
        }
        let alone = cut(&buses, &units(&["POD"]), &mut chance);
        assert_eq!(
            (alone.program.as_deref(), alone.preview),
            (Some("POD"), None)
        );
        assert_eq!(cut(&buses, &[], &mut chance), Buses::default());
    }

    #[test]
    fn the_new_lights_come_after_those_that_go_out() {
        let before = Buses {
            program: Some("BOW1".to_owned()),
            preview: Some("BOW2".to_owned()),
        };
        let next = Buses {
            program: Some("BOW2".to_owned()),
            preview: Some("BOW1".to_owned()),
        };
        let lights: Vec<_> = told(&before, &next)
            .into_iter()
            .map(|signal| (signal.unit.unwrap_or_default(), signal.light))
            .collect();
        let at = |unit: &str| lights.iter().rev().find(|(name, _)| name == unit);
        assert_eq!(
            at("BOW2").map(|(_, light)| *light),
            Some(TallyLight::Program)
        );
        assert_eq!(
            at("BOW1").map(|(_, light)| *light),
            Some(TallyLight::Preview)
        );
    }
}
