//! The time zone of the show. "By 14:32" means the clock on the wall of the boathouse, wherever a phone believes to be.

use jiff::tz::TimeZone;

/// Whether this machine knows a time zone of this IANA name.
pub(crate) fn is_known(name: &str) -> bool {
    TimeZone::get(name).is_ok_and(|zone| !zone.is_unknown())
}

/// This machine's time zone, where somebody told it one. UTC is what a machine is delivered with; nobody's show is known
/// to be there, and a crew must not read UTC for the time of day because of it.
pub(crate) fn of_this_machine() -> Option<String> {
    told(&TimeZone::system())
}

fn told(zone: &TimeZone) -> Option<String> {
    const UNTOLD: [&str; 7] = [
        "UTC",
        "UCT",
        "Universal",
        "Zulu",
        "Etc/UTC",
        "Etc/UCT",
        "Etc/Universal",
    ];
    let name = zone.iana_name()?;
    (!zone.is_unknown() && !UNTOLD.contains(&name)).then(|| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_are_the_names_of_the_time_zone_database() {
        for name in ["Europe/Berlin", "America/New_York", "Africa/Abidjan", "UTC"] {
            assert!(is_known(name), "{name}");
        }
        for name in [
            "",
            "Berlin",
            "Europe/Berln",
            "CET-1CEST",
            "+01:00",
            "../../etc/passwd",
            "Etc/Unknown",
        ] {
            assert!(!is_known(name), "{name}");
        }
    }

    #[test]
    fn a_machine_that_was_told_no_zone_says_none() {
        let berlin = TimeZone::get("Europe/Berlin").unwrap();
        assert_eq!(told(&berlin).as_deref(), Some("Europe/Berlin"));
        for untold in [
            TimeZone::UTC,
            TimeZone::get("Etc/UTC").unwrap(),
            TimeZone::unknown(),
        ] {
            assert_eq!(told(&untold), None, "{untold:?}");
        }
        let fixed = TimeZone::fixed(jiff::tz::offset(2));
        assert_eq!(
            told(&fixed),
            None,
            "an offset without a name has no daylight saving time"
        );
    }
}
