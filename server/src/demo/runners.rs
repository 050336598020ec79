//! The runners: four people who hear calls, claim them, fetch, walk and swap; and who are sometimes late.

use std::time::Duration;

use swapcall_wire::{Bring, CallList, CallState, CallView, ClaimRequest, DoneRequest};
use uuid::Uuid;

use super::carts::{SharedWorld, now};
use super::chance::Chance;
use super::pace::Pace;
use super::world::Named;
use crate::remote::{Answered, Remote};

/// Invented first names.
const NAMES: [&str; 4] = ["Ilva", "Torin", "Maresa", "Jorik"];
/// How often a runner looks at the phone, in real time.
const LOOKS_EVERY: Duration = Duration::from_millis(400);
/// Seconds of walking between two looks at the phone.
const STRETCH_S: f64 = 30.0;
/// Share of calls that a runner hears only after minutes.
const LATE: f64 = 0.12;
/// Share of claims that are forgotten over a sandwich.
const FORGOTTEN: f64 = 0.08;

/// The name of the `index`th runner; after the fourth they come again with a number.
pub(crate) fn name(index: usize) -> String {
    let (round, first) = (index / NAMES.len(), NAMES[index % NAMES.len()]);
    if round == 0 {
        first.to_owned()
    } else {
        format!("{first} {}", round + 1)
    }
}

/// How a call stands for the runner who is on the way.
enum Standing {
    /// It is still this runner's.
    Mine(Box<CallView>),
    /// It ended, or somebody else has it.
    Gone,
    /// The hub did not answer.
    Unknown,
}

/// One runner.
pub(crate) struct Runner {
    /// First name.
    pub(crate) name: String,
    /// The hub, with the runner's own token.
    pub(crate) remote: Remote,
    /// Chance of this runner's own.
    pub(crate) chance: Chance,
}

impl Runner {
    /// Answers calls until the demo ends.
    pub(crate) fn run(mut self, world: &SharedWorld, pace: &Pace) {
        let mut forgotten = None;
        while pace.wait_real(LOOKS_EVERY) {
            let Some(heard) = self.first_open(forgotten) else {
                continue;
            };
            let delay = if self.chance.happens(LATE) {
                self.chance.between(150.0, 400.0)
            } else {
                self.chance.between(5.0, 45.0)
            };
            if !pace.wait(delay) {
                return;
            }
            let Some(call) = self.claim(heard.id) else {
                continue;
            };
            if self.chance.happens(FORGOTTEN) {
                forgotten = Some(call.id);
                pace.wait(self.chance.between(300.0, 900.0));
            } else {
                self.answer(call, world, pace);
            }
        }
    }

    fn calls(&self) -> Option<Vec<CallView>> {
        match self.remote.get::<CallList>("/v1/calls") {
            Ok(Answered::Fine(list)) => Some(list.calls),
            Ok(Answered::Problem(_)) | Err(_) => None,
        }
    }

    /// The most pressing call that nobody has.
    fn first_open(&self, forgotten: Option<Uuid>) -> Option<CallView> {
        let mut calls = self.calls()?.into_iter();
        calls.find(|call| call.state == CallState::Open && Some(call.id) != forgotten)
    }

    fn claim(&self, call: Uuid) -> Option<CallView> {
        let path = format!("/v1/calls/{call}/claim");
        match self.remote.post(&path, &ClaimRequest::default()) {
            Ok(Answered::Fine(call)) => Some(call),
            // Somebody was quicker, or it has ended.
            Ok(Answered::Problem(_)) | Err(_) => None,
        }
    }

    /// Fetches, walks, swaps, and walks back.
    fn answer(&mut self, mut call: CallView, world: &SharedWorld, pace: &Pace) {
        if !pace.wait(self.chance.between(25.0, 70.0)) {
            return;
        }
        // A last look at the phone before leaving: another cause may have joined.
        match self.standing(&call) {
            Standing::Mine(latest) => call = *latest,
            Standing::Gone => return,
            Standing::Unknown => {}
        }
        let unit = {
            let world = now(world, pace);
            world
                .find(&call.unit)
                .map(|index| (index, world.units()[index].position.walk_s()))
        };
        // A unit that somebody else registered is not on the course.
        let Some((index, walk_s)) = unit else {
            return;
        };
        let walk_s = walk_s * self.chance.between(0.9, 1.15);
        let walked_s = self.walk(&mut call, walk_s, pace);
        if walked_s >= walk_s && pace.wait(self.chance.between(30.0, 75.0)) {
            now(world, pace).serve(index, &call.bring, &Named::by(&call));
            if call.bring == [Bring::Look] {
                self.say_done(call.id);
            }
        }
        pace.wait(walked_s);
    }

    /// Walks to the unit; turns round when the call is gone. Returns the seconds walked.
    fn walk(&self, call: &mut CallView, walk_s: f64, pace: &Pace) -> f64 {
        let bring = call.bring.clone();
        let left_at = pace.passed_s();
        let mut walked_s = 0.0;
        while walked_s < walk_s {
            if !pace.wait((walk_s - walked_s).min(STRETCH_S)) {
                break;
            }
            walked_s = pace.passed_s() - left_at;
            match self.standing(call) {
                Standing::Mine(latest) => *call = *latest,
                Standing::Gone => break,
                Standing::Unknown => {}
            }
        }
        // What is in the bag does not change on the way.
        call.bring = bring;
        walked_s
    }

    /// How the call stands. A claim that lapsed on a long way is renewed; so is one for a unit that went dark
    /// meanwhile, for then it is called again.
    fn standing(&self, call: &CallView) -> Standing {
        let Some(calls) = self.calls() else {
            return Standing::Unknown;
        };
        let Some(latest) = calls.into_iter().find(|other| other.unit == call.unit) else {
            return Standing::Gone;
        };
        if latest.state == CallState::Open {
            let claimed = self.claim(latest.id);
            return claimed.map_or(Standing::Gone, |call| Standing::Mine(Box::new(call)));
        }
        if latest.claimed_by.as_deref() == Some(self.name.as_str()) {
            Standing::Mine(Box::new(latest))
        } else {
            Standing::Gone
        }
    }

    fn say_done(&self, call: Uuid) {
        let path = format!("/v1/calls/{call}/done");
        let word = DoneRequest {
            note: Some("cart is up again".to_owned()),
        };
        // It may have ended by itself: then there is nothing to say.
        let _ = self.remote.post::<_, CallView>(&path, &word);
    }
}
