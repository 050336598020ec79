//! The hub's time, worked out from two clocks: a wall clock, which people and time servers set, and a steady one, which
//! only counts. Pure: the clocks are read in `clock.rs`.
//!
//! Every deadline of the hub (silence, lapses, reminders, the ends of tokens) hangs on this time, so it must pass evenly.
//! It begins at the wall clock, never before the newest record of the journal, and then follows the steady clock. Where
//! the two differ it leans towards the wall clock by a hundredth at most: a second is made up in less than two minutes, an
//! hour in four days. So a wall clock that jumps while the hub runs changes no deadline, and one that is set right
//! again leaves no standstill behind. A restart believes the wall clock at once.

use swapcall_crew::{Millis, Span};

/// Hub time leans towards the wall clock by one part in this many.
const LEAN: i64 = 100;
/// A difference from the wall clock that is worth a warning: the machine's clock was set.
const WORTH_SAYING: Span = Span::seconds(10);
/// The difference has gone when it is less than this.
const GONE: Span = Span::seconds(1);

/// The hub's time. Never goes back, and passes at 0.99 to 1.01 of the steady clock's pace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct HubTime {
    /// Hub time in nanoseconds since 1970, so that leaning adds up over short steps.
    nanos: i64,
    /// The steady clock at the last step, in nanoseconds.
    steady: i64,
}

impl HubTime {
    /// Begins at the wall clock, in nanoseconds since 1970. `steady` counts nanoseconds from anywhere.
    pub(crate) fn starting(wall: i64, steady: i64) -> Self {
        let nanos = wall;
        Self { nanos, steady }
    }

    /// Takes both clocks and gives the hub's time. A steady clock that went back counts as one that stood.
    pub(crate) fn step(&mut self, wall: i64, steady: i64) -> Millis {
        let passed = steady.saturating_sub(self.steady).max(0);
        self.steady = self.steady.max(steady);
        let even = self.nanos.saturating_add(passed);
        let most = passed / LEAN;
        let lean = wall.saturating_sub(even).clamp(-most, most);
        self.nanos = even.saturating_add(lean);
        self.now()
    }

    /// The time is not before `earliest`: what is stored was stamped in the past.
    pub(crate) fn not_before(&mut self, earliest: Millis) {
        self.nanos = self.nanos.max(in_nanos(earliest));
    }

    /// The time at the last step.
    pub(crate) fn now(&self) -> Millis {
        Millis(self.nanos.div_euclid(1_000_000))
    }
}

fn in_nanos(at: Millis) -> i64 {
    at.0.saturating_mul(1_000_000)
}

/// What is worth saying about the difference from the wall clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum News {
    /// The wall clock was set, by about as much.
    Apart(Span),
    /// The two agree again.
    Together,
}

/// Says a difference once, and again only when it has become another one.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Watch {
    said: Option<Span>,
}

impl Watch {
    /// Looks at hub time minus wall clock.
    pub(crate) fn look(&mut self, offset: Span) -> Option<News> {
        match self.said {
            None if offset.abs() >= WORTH_SAYING => {
                self.said = Some(offset);
                Some(News::Apart(offset))
            }
            Some(_) if offset.abs() < GONE => {
                self.said = None;
                Some(News::Together)
            }
            // Leaning only makes a difference smaller; one that grew, or changed its side, comes from another jump.
            Some(said) => {
                let grew = offset.abs() >= said.abs().and(WORTH_SAYING);
                let turned = (offset < Span::ZERO) != (said < Span::ZERO);
                let another = grew || (turned && offset.abs() >= WORTH_SAYING);
                another.then(|| {
                    self.said = Some(offset);
                    News::Apart(offset)
                })
            }
            None => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const SECOND: i64 = 1_000_000_000;
    const NOON: Millis = Millis(1_781_352_000_000);

    /// Lets both clocks pass by `seconds`, in steps of a tenth, with the wall clock `ahead` of where it began.
    fn pass(time: &mut HubTime, from_s: i64, seconds: i64, ahead: Span) {
        for tenth in 1..=seconds * 10 {
            let steady = from_s * SECOND + tenth * SECOND / 10;
            let wall = NOON.plus(Span(steady / 1_000_000)).plus(ahead);
            time.step(in_nanos(wall), steady);
        }
    }

    #[test]
    fn clocks_that_agree_are_followed_to_the_millisecond() {
        let mut time = HubTime::starting(in_nanos(NOON), 0);
        pass(&mut time, 0, 60, Span::ZERO);
        assert_eq!(time.now(), NOON.plus(Span::seconds(60)));
    }

    #[test]
    fn a_jump_changes_a_deadline_by_a_hundredth_at_most() {
        for jump in [3_600, 86_400, -3_600, -86_400] {
            let mut time = HubTime::starting(in_nanos(NOON), 0);
            pass(&mut time, 0, 600, Span::seconds(jump));
            let error = time.now().since(NOON.plus(Span::seconds(600)));
            assert_eq!(error, Span::seconds(6 * jump.signum()), "{jump} s");
        }
    }

    #[test]
    fn a_jump_that_is_taken_back_leaves_no_standstill() {
        let mut time = HubTime::starting(in_nanos(NOON), 0);
        pass(&mut time, 0, 300, Span::seconds(86_400));
        let before = time.now();
        pass(&mut time, 300, 10, Span::ZERO);
        assert!(time.now().since(before) >= Span(9_900), "it went on");
        pass(&mut time, 310, 320, Span::ZERO);
        assert_eq!(
            time.now(),
            NOON.plus(Span::seconds(630)),
            "and it agrees again"
        );
    }

    #[test]
    fn a_start_is_never_before_what_is_stored() {
        let mut time = HubTime::starting(in_nanos(NOON), 0);
        let stored = NOON.plus(Span::seconds(86_400));
        time.not_before(stored);
        assert_eq!(time.now(), stored);
        pass(&mut time, 0, 100, Span::ZERO);
        assert_eq!(
            time.now(),
            stored.plus(Span::seconds(99)),
            "it goes on, a hundredth slower"
        );
        time.not_before(NOON);
        assert_eq!(time.now(), stored.plus(Span::seconds(99)));
    }

    #[test]
    fn a_difference_is_said_once_and_its_end_once() {
        let mut watch = Watch::default();
        assert_eq!(watch.look(Span::seconds(9)), None);
        let hour = Span::seconds(3_600);
        assert_eq!(watch.look(hour), Some(News::Apart(hour)));
        assert_eq!(watch.look(Span::seconds(3_599)), None);
        let day = Span::seconds(86_400);
        assert_eq!(watch.look(day), Some(News::Apart(day)), "another jump");
        let back = Span::seconds(-20);
        assert_eq!(
            watch.look(back),
            Some(News::Apart(back)),
            "and one over the aim"
        );
        assert_eq!(watch.look(Span::seconds(-2)), None);
        assert_eq!(watch.look(Span(-900)), Some(News::Together));
        assert_eq!(watch.look(Span::ZERO), None);
    }

    /// Steps of up to a minute; the wall clock shows anything between 1970 and 2100 at each.
    fn any_story() -> impl Strategy<Value = Vec<(i64, i64)>> {
        prop::collection::vec((0..60 * SECOND, 0..4_102_444_800_000_i64), 1..200)
    }

    proptest! {
        /// Whatever the wall clock shows, time passes forwards and at 0.99 to 1.01 of the steady pace.
        #[test]
        fn monotonic_and_of_bounded_pace(story in any_story()) {
            let mut time = HubTime::starting(in_nanos(NOON), 0);
            let mut steady = 0;
            for (passed, wall) in story {
                let before = time;
                steady += passed;
                time.step(in_nanos(Millis(wall)), steady);
                let went = time.nanos - before.nanos;
                prop_assert!(went >= passed - passed / 100 && went <= passed + passed / 100);
            }
        }

        /// However far apart they are, it comes no farther from a wall clock that runs evenly, and in the end to it.
        #[test]
        fn it_converges(apart_ms in -10_000_i64..10_000, steps in prop::collection::vec(1..5 * SECOND, 500..600)) {
            let mut time = HubTime::starting(in_nanos(NOON.plus(Span(apart_ms))), 0);
            let mut steady = 0;
            let mut distance = apart_ms.abs() + 1;
            for passed in steps {
                steady += passed;
                let wall = NOON.plus(Span(steady / 1_000_000));
                time.step(in_nanos(wall), steady);
                let now = time.now().since(wall).abs().0;
                prop_assert!(now <= distance + 1, "{now} after {distance} ms");
                distance = now;
            }
            // 10 s need 1,000 s; the steps take that long or the rest is what is left of them.
            let left = (apart_ms.abs() - steady / 1_000_000 / LEAN).max(0);
            prop_assert!(distance <= left + 2, "{distance} ms left, not {left}");
        }

        /// A steady clock that goes back, as none should, stops time and no more.
        #[test]
        fn a_steady_clock_that_goes_back_stops_it(back in 1..60 * SECOND) {
            let mut time = HubTime::starting(in_nanos(NOON), 60 * SECOND);
            let before = time.now();
            prop_assert_eq!(time.step(in_nanos(NOON), 60 * SECOND - back), before);
        }
    }
}
