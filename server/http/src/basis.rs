//! What a battery's run-out rests on: the facts as numbers, and the same in one plain sentence.

use swapcall_crew::{Belief, Doubt, Facts, Mode, Source, UnitStatus};
use swapcall_wire as wire;

/// What the sentence says beside the facts.
#[derive(Clone, Copy, Debug)]
struct Setting {
    /// What the camera does, as far as known.
    mode: Option<Mode>,
    /// On external power now.
    external: bool,
    /// The gauge looks at the voltage: where it stands when the pack dies is not one number.
    voltage: bool,
    /// The rundown says something of the unit already.
    planned: bool,
}

/// A tenth of a percent is finer than anything that is known of a battery, and keeps the message short.
pub(crate) fn estimate(belief: Belief) -> wire::Estimate {
    wire::Estimate {
        mean: rounded(belief.mean, 10.0),
        sd: rounded(belief.sd, 10.0),
    }
}

/// Rounded to one part in `parts`.
pub(crate) fn rounded(value: f64, parts: f64) -> f64 {
    // A sum with zero makes a plain zero of a negative one.
    (value * parts).round() / parts + 0.0
}

/// The facts behind a unit's battery run-out; absent without a battery reading.
pub(crate) fn basis(status: &UnitStatus) -> Option<wire::BatteryBasis> {
    let facts = status.facts.as_ref()?;
    let setting = Setting {
        mode: status.mode,
        external: status
            .battery
            .as_ref()
            .is_some_and(|(level, _)| level.external),
        voltage: status.profile.voltage_gauge,
        planned: status.window.is_some() || status.next_window.is_some(),
    };
    Some(wire::BatteryBasis {
        drain_pct_per_h: estimate(facts.drain_pct_per_h),
        recording_pct_per_h: estimate(facts.recording_pct_per_h),
        charge_pct: estimate(facts.charge_pct),
        end_pct: estimate(facts.end_pct),
        curve: match facts.source {
            Source::General => wire::CurveSource::General,
            Source::Fleet => wire::CurveSource::Fleet,
            Source::Pack => wire::CurveSource::Pack,
        },
        discharges: facts.discharges,
        recording_share: rounded(facts.recording_share, 100.0),
        external_share: rounded(facts.external_share, 100.0),
        doubt: match facts.doubt {
            Doubt::End => wire::Doubt::End,
            Doubt::Charge => wire::Doubt::Charge,
            Doubt::Drain => wire::Doubt::Drain,
            Doubt::Habit => wire::Doubt::Habit,
        },
        sentence: sentence(facts, setting),
    })
}

/// The facts in words.
fn sentence(facts: &Facts, setting: Setting) -> String {
    format!(
        "{}; {}. {}.",
        draining(facts, setting),
        taught(facts, setting),
        doubted(facts, setting)
    )
}

/// How fast it drains, and how much of the time it records.
fn draining(facts: &Facts, setting: Setting) -> String {
    let recording = facts.recording_pct_per_h.mean;
    let drains = match setting.mode {
        _ if setting.external => {
            format!("On external power, without it {recording:.0} %/h recording")
        }
        Some(Mode::Recording) | None => format!("Drains {recording:.0} %/h recording"),
        Some(Mode::Standby | Mode::Off) => format!(
            "Drains {:.0} %/h now, {recording:.0} %/h recording",
            facts.drain_pct_per_h.mean
        ),
    };
    let share = facts.recording_share * 100.0;
    format!("{drains}, records {share:.0} % of the time")
}

/// Whose discharges taught where the pack dies.
fn taught(facts: &Facts, setting: Setting) -> String {
    let (end, spread) = (facts.end_pct.mean, facts.end_pct.sd);
    let curve = match facts.discharges {
        0 | 1 => "curve of 1 discharge".to_owned(),
        many => format!("curve of {many} discharges"),
    };
    match (facts.source, setting.voltage) {
        (Source::General, false) => format!(
            "this pack was never run to its end here, so where it dies is a guess ({end:.0} % ± {spread:.0})"
        ),
        (Source::General, true) => {
            "this pack was never run to its end here, so what its gauge means is a guess".to_owned()
        }
        (Source::Fleet, false) => {
            format!("{curve} of other packs here, which die near {end:.0} %")
        }
        (Source::Fleet, true) => format!("{curve} of other packs here"),
        (Source::Pack, false) => format!("{curve} of this pack, which dies near {end:.0} %"),
        (Source::Pack, true) => format!("{curve} of this pack"),
    }
}

/// What most of the width comes from, and what would narrow it.
fn doubted(facts: &Facts, setting: Setting) -> &'static str {
    match facts.doubt {
        Doubt::End if facts.source == Source::General && !setting.voltage => {
            "That is the largest doubt: one run to its end would narrow it"
        }
        Doubt::End => "Where it dies is the largest doubt: one run to its end would narrow it",
        Doubt::Charge => "How much is left is the largest doubt: a finer gauge would narrow it",
        Doubt::Drain => {
            "How fast it drains is the largest doubt: some minutes of recording will narrow it"
        }
        Doubt::Habit if setting.planned => "What it will do is the largest doubt",
        Doubt::Habit => "What it will do is the largest doubt: a rundown would narrow it",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn belief(mean: f64, sd: f64) -> Belief {
        Belief { mean, sd }
    }

    fn facts(source: Source, discharges: u32, doubt: Doubt) -> Facts {
        Facts {
            drain_pct_per_h: belief(19.6, 1.0),
            recording_pct_per_h: belief(53.9, 2.0),
            charge_pct: belief(62.8, 0.6),
            end_pct: if source == Source::General {
                belief(5.2, 6.8)
            } else {
                belief(8.1, 1.4)
            },
            source,
            discharges,
            recording_share: 0.618,
            external_share: 0.0,
            doubt,
        }
    }

    const PLAIN: Setting = Setting {
        mode: Some(Mode::Recording),
        external: false,
        voltage: false,
        planned: false,
    };

    #[test]
    fn a_learned_pack_in_words() {
        assert_eq!(
            sentence(&facts(Source::Pack, 3, Doubt::Habit), PLAIN),
            "Drains 54 %/h recording, records 62 % of the time; curve of 3 discharges of this pack, which dies near \
             8 %. What it will do is the largest doubt: a rundown would narrow it."
        );
        let planned = Setting {
            planned: true,
            ..PLAIN
        };
        let said = sentence(&facts(Source::Pack, 1, Doubt::Habit), planned);
        assert!(said.contains("curve of 1 discharge of this pack"), "{said}");
        assert!(
            said.ends_with("What it will do is the largest doubt."),
            "{said}"
        );
    }

    #[test]
    fn an_unknown_pack_is_said_to_be_a_guess() {
        let standby = Setting {
            mode: Some(Mode::Standby),
            ..PLAIN
        };
        assert_eq!(
            sentence(&facts(Source::General, 0, Doubt::End), standby),
            "Drains 20 %/h now, 54 %/h recording, records 62 % of the time; this pack was never run to its end here, so \
             where it dies is a guess (5 % ± 7). That is the largest doubt: one run to its end would narrow it."
        );
    }

    #[test]
    fn a_voltage_gauge_has_no_one_end_and_external_power_comes_first() {
        let setting = Setting {
            voltage: true,
            external: true,
            ..PLAIN
        };
        for (source, discharges, expected) in [
            (Source::General, 0, "so what its gauge means is a guess."),
            (
                Source::Fleet,
                2,
                "; curve of 2 discharges of other packs here.",
            ),
            (Source::Pack, 1, "; curve of 1 discharge of this pack."),
        ] {
            let said = sentence(&facts(source, discharges, Doubt::Charge), setting);
            assert!(
                said.starts_with("On external power, without it 54 %/h"),
                "{said}"
            );
            assert!(said.contains(expected), "{said}");
            assert!(!said.contains("dies near"), "{said}");
        }
    }

    #[test]
    fn every_doubt_has_its_own_words() {
        let said = [Doubt::End, Doubt::Charge, Doubt::Drain, Doubt::Habit]
            .map(|doubt| doubted(&facts(Source::Fleet, 2, doubt), PLAIN));
        let distinct: std::collections::BTreeSet<_> = said.into_iter().collect();
        assert_eq!(distinct.len(), 4);
    }

    #[test]
    fn figures_are_rounded_to_a_tenth_and_never_minus_zero() {
        let given = estimate(belief(62.849, 0.0501));
        assert_eq!((given.mean, given.sd), (62.8, 0.1));
        assert!(estimate(belief(-0.01, 0.0)).mean.is_sign_positive());
    }
}
