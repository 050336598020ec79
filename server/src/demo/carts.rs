//! The carts: each looks at its unit about once per real second and posts what it sees, through the API.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use swapcall_wire::{Report, ReportAnswer, ReportBatch};

use super::pace::Pace;
use super::world::World;
use crate::remote::{Answered, Remote};

/// The world as carts and runners share it.
pub(crate) type SharedWorld = Arc<Mutex<World>>;

/// Reports that a cart keeps while it cannot send; the oldest go first.
const KEPT: usize = 500;

/// The world as it stands now. A thread that failed leaves it whole: every change is complete in itself.
pub(crate) fn now<'a>(world: &'a Mutex<World>, pace: &Pace) -> MutexGuard<'a, World> {
    let mut world = world.lock().unwrap_or_else(PoisonError::into_inner);
    world.advance_to(pace.passed_s());
    world
}

/// One cart.
pub(crate) struct Cart {
    /// Which unit it stands beside.
    pub(crate) index: usize,
    /// The hub, with the cart's own token.
    pub(crate) remote: Remote,
    /// Real time between two looks.
    pub(crate) every: Duration,
}

impl Cart {
    /// Reports until the demo ends. `delay` keeps the carts from all posting at once.
    pub(crate) fn run(&self, world: &Mutex<World>, pace: &Pace, delay: Duration) {
        let mut kept = VecDeque::new();
        let mut goes_on = pace.wait_real(delay);
        while goes_on {
            let linked = {
                let mut world = now(world, pace);
                kept.extend(world.report(self.index, pace.moment()));
                world.is_linked(self.index)
            };
            while kept.len() > KEPT {
                kept.pop_front();
            }
            if linked && !kept.is_empty() {
                self.send(&mut kept, pace);
            }
            goes_on = pace.wait_real(self.every);
        }
    }

    /// Sends everything that is kept, in order. What the hub did not take stays for the next time.
    fn send(&self, kept: &mut VecDeque<Report>, pace: &Pace) {
        let batch = ReportBatch {
            sent_at: Some(pace.moment()),
            reports: kept.iter().cloned().collect(),
        };
        match self.remote.post::<_, ReportAnswer>("/v1/reports", &batch) {
            Ok(Answered::Fine(answer)) => {
                kept.clear();
                for problem in answer.results.iter().filter_map(|one| one.problem.as_ref()) {
                    eprintln!("The hub refused a report: {}", problem.detail);
                }
            }
            Ok(Answered::Problem(problem)) if problem.status != 503 => {
                eprintln!("The hub refused a report: {}", problem.detail);
                kept.clear();
            }
            // Busy, starting, stopping or gone: try again.
            Ok(Answered::Problem(_)) | Err(_) => {}
        }
    }
}
