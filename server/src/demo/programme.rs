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
