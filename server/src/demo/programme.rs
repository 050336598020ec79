//! The race programme: when boats pass, and who rolls.

/// Length of the course in metres: the usual distance of a rowing regatta.
pub(crate) const COURSE_M: f64 = 2000.0;
/// Between two starts.
const HEAT_EVERY_S: f64 = 240.0;
/// Pace of the boats in metres per second; 2,000 m in 6 min 40 s (common practice).
const PACE: f64 = 5.0;
/// From the first boat to the last.
const FIELD_S: f64 = 20.0;
/// Racing between two breaks: 20 heats.
const RACING_S: f64 = 20.0 * HEAT_EVERY_S;
/// The lunch break.
const BREAK_S: f64 = 1200.0;
/// How far into the racing the demo begins.
const BEGINS_S: f64 = 5.0 * HEAT_EVERY_S;

/// One camera's part in the programme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Part {
    /// Where it stands, in metres from the start.
    pub(crate) at_m: f64,
    /// How long before the first boat it rolls, in seconds.
    pub(crate) before_s: f64,
    /// How long after the last boat it goes on, in seconds.
    pub(crate) after_s: f64,
}

impl Part {
    /// Whether the camera rolls `t_s` seconds after the demo began.
    pub(crate) fn rolls(&self, t_s: f64) -> bool {
        let day_s = t_s + BEGINS_S;
        let reached = self.at_m / PACE;
        let first = day_s - reached - FIELD_S - self.after_s;
        let last = day_s - reached + self.before_s;
        // Every start from `first` to `last` has boats here now.
        let next = (first / HEAT_EVERY_S).ceil() * HEAT_EVERY_S;
        next <= last && is_racing(next)
    }
}

impl Part {
    /// When the camera rolls, as seconds from the demo's beginning, for every heat that starts before `until_s`.
    pub(crate) fn passes(&self, until_s: f64) -> Vec<(f64, f64)> {
        let reached = self.at_m / PACE;
        heats(until_s)
            .map(|heat| {
                let first = heat + reached;
                (first - self.before_s, first + FIELD_S + self.after_s)
            })
            .collect()
    }
}

/// The starts of the heats before `until_s`, as seconds from the demo's beginning.
fn heats(until_s: f64) -> impl Iterator<Item = f64> {
    let count = (until_s / HEAT_EVERY_S).ceil() as i32;
    (0..count)
        .map(|number| f64::from(number) * HEAT_EVERY_S)
        .filter(|start| is_racing(start + BEGINS_S))
}

/// When no camera of `parts` rolls because of lunch, as seconds from the demo's beginning, for every lunch that begins
/// before `until_s`.
pub(crate) fn breaks(parts: &[Part], until_s: f64) -> Vec<(f64, f64)> {
    let day = RACING_S + BREAK_S;
    // From the last heat's start to its last camera, and from the first camera to the next heat's start.
    let ends = |part: &Part| part.at_m / PACE + FIELD_S + part.after_s - HEAT_EVERY_S;
    let begins = |part: &Part| part.before_s - part.at_m / PACE;
    let (after, before) = (
        parts.iter().map(ends).fold(0.0, f64::max),
        parts.iter().map(begins).fold(0.0, f64::max),
    );
    let count = (until_s / day).ceil() as i32;
    (0..count)
        .map(|number| f64::from(number) * day + RACING_S - BEGINS_S)
        .filter(|lunch| *lunch < until_s)
        .map(|lunch| (lunch + after, lunch + BREAK_S - before))
        .collect()
}

/// Whether a heat starts at `day_s`; the programme repeats after every break.
fn is_racing(day_s: f64) -> bool {
    day_s.rem_euclid(RACING_S + BREAK_S) < RACING_S
}

/// Whether `t_s` seconds after the demo began is lunch.
pub(crate) fn is_lunch(t_s: f64) -> bool {
    !is_racing(t_s + BEGINS_S)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FINISH: Part = Part {
        at_m: COURSE_M,
        before_s: 60.0,
        after_s: 40.0,
    };

    fn rolled(part: Part, from_s: i32, to_s: i32) -> i32 {
        let rolls = |t: &i32| part.rolls(f64::from(*t));
        i32::try_from((from_s..to_s).filter(rolls).count()).unwrap()
    }

    #[test]
    fn rolls_around_every_passing() {
        // 60 + 20 + 40 seconds of every 240; ten heats.
        assert!((rolled(FINISH, 0, 2400) - 1200).abs() <= 10);
        // The heat that starts as the demo begins is here after 2,000 m / 5 m/s = 400 s.
        assert!(!FINISH.rolls(339.0));
        assert!(FINISH.rolls(341.0));
        assert!(FINISH.rolls(459.0));
        assert!(!FINISH.rolls(461.0));
    }

    #[test]
    fn the_passes_are_when_the_camera_rolls() {
        let passes = FINISH.passes(20_000.0);
        // The heats before the demo began are on their way still.
        for second in 400..20_000 {
            let t = f64::from(second) + 0.5;
            let passing = passes.iter().any(|(from, to)| (*from..*to).contains(&t));
            assert_eq!(FINISH.rolls(t), passing, "at {t}");
        }
    }

    #[test]
    fn nobody_rolls_in_a_break_and_somebody_right_before_and_after() {
        let start = Part {
            at_m: 0.0,
            before_s: 75.0,
            after_s: 30.0,
        };
        let parts = [start, FINISH];
        let any = |t: f64| parts.iter().any(|part| part.rolls(t));
        let breaks = breaks(&parts, 20_000.0);
        assert_eq!(breaks.len(), 3);
        for (from, to) in breaks {
            assert!(to - from > 600.0);
            assert!(any(from - 1.0) && any(to + 1.0));
            assert!((from.ceil() as i32 + 1..to.floor() as i32).all(|t| !any(f64::from(t))));
        }
    }

    #[test]
    fn nobody_rolls_at_lunch_once_the_last_boats_are_in() {
        let lunch = (0..20_000).find(|t| is_lunch(f64::from(*t))).unwrap();
        let back = (lunch..20_000).find(|t| !is_lunch(f64::from(*t))).unwrap();
        assert_eq!(back - lunch, 1200);
        // The last heat starts 240 s before lunch.
        let in_by = lunch - 240 + 400 + 60 + 1;
        assert_eq!(rolled(FINISH, in_by, back), 0);
        assert!(rolled(FINISH, back, back + 1200) > 300);
    }
}
