//! Cutting the power at points of a recorded run.

use std::collections::BTreeSet;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, sync_channel};

use crate::judge::{Case, Verdict, judge};
use crate::mixed_run::Told;
use crate::oplog::{Change, Step};
use crate::rebuild::Model;
use crate::sectors::Unsynced;
use crate::truth::Truth;

/// A run that was recorded.
pub(crate) struct Run {
    /// The disk before it.
    pub(crate) begin: Model,
    /// How many answers had been given before it.
    pub(crate) answered: usize,
    pub(crate) steps: Vec<Step>,
    pub(crate) told: Vec<Told>,
    pub(crate) truth: Truth,
}

impl Run {
    /// A run that began with an empty disk.
    pub(crate) fn new(steps: Vec<Step>, told: Vec<Told>, truth: Truth) -> Self {
        Self {
            begin: Model::default(),
            answered: 0,
            steps,
            told,
            truth,
        }
    }

    /// The changes of the disk, in order.
    pub(crate) fn changes(&self) -> impl Iterator<Item = &Change> {
        changes(&self.steps)
    }

    /// Cuts the power before each change that `chosen` picks by its number, and at the end, and hands what is left to
    /// `take`, each disk once. What an answer rests on stands before its mark, so the moment right before the next
    /// change asks for the most. Gives back how many points were cut.
    pub(crate) fn each_case(
        &self,
        chosen: impl FnMut(usize) -> Vec<Unsynced>,
        take: impl FnMut(Case),
    ) -> usize {
        let begin = (self.begin.clone(), self.answered);
        each_case(begin, &self.steps, chosen, take)
    }

    /// Cuts the power likewise, and judges what is left.
    pub(crate) fn cut(&self, chosen: impl FnMut(usize) -> Vec<Unsynced>) -> Verdict {
        let (sender, cases) = sync_channel::<Case>(4);
        let cases = Mutex::new(cases);
        let total = Mutex::new(Verdict::default());
        let work = || {
            while let Some(case) = next(&cases) {
                let verdict = judge(&case, &self.told, &self.truth);
                *total.lock().expect("no judge panicked") += verdict;
            }
        };
        let mut cuts = 0;
        std::thread::scope(|scope| {
            for _ in 0..2 {
                scope.spawn(work);
            }
            cuts = self.each_case(chosen, |case| {
                sender.send(case).expect("the judges take every case");
            });
            drop(sender);
        });
        let mut total = total.into_inner().expect("no judge panicked");
        total.cuts = cuts;
        total
    }
}

/// Cuts the power of any recorded run in that way: it began with this disk, when so many answers had been given.
pub(crate) fn each_case(
    (mut model, mut told): (Model, usize),
    steps: &[Step],
    mut chosen: impl FnMut(usize) -> Vec<Unsynced>,
    mut take: impl FnMut(Case),
) -> usize {
    let (mut number, mut cuts) = (0, 0);
    let mut seen = BTreeSet::new();
    let end = Step::Disk(Change::FolderSynced(String::new()));
    for step in steps.iter().chain([&end]) {
        let change = match step {
            Step::Mark(answers) => {
                told = usize::try_from(*answers).expect("small");
                continue;
            }
            Step::Started => continue,
            Step::Disk(change) => change,
        };
        let wanted = chosen(number);
        cuts += usize::from(!wanted.is_empty());
        for unsynced in wanted {
            let state = model.after(unsynced);
            // The same disk with the same answers given was looked at before.
            if seen.insert((state.print(), told)) {
                let name = format!("before change {number} ({unsynced:?}; {told} answers)");
                take(Case { name, state, told });
            }
        }
        model.apply(change);
        number += 1;
    }
    cuts
}

fn next(cases: &Mutex<Receiver<Case>>) -> Option<Case> {
    cases.lock().expect("no judge panicked").recv().ok()
}

/// The changes of the disk that a log tells, in order.
pub(crate) fn changes(steps: &[Step]) -> impl Iterator<Item = &Change> {
    steps.iter().filter_map(|step| match step {
        Step::Disk(change) => Some(change),
        _ => None,
    })
}

/// Each way to lose what was not synced, with `mixes` seeds of its own for a cut.
pub(crate) fn every_way(cut: usize, mixes: usize) -> Vec<Unsynced> {
    let seeds = (0..mixes).map(|mix| Unsynced::Mixed((cut * mixes + mix) as u64));
    [
        Unsynced::Lost,
        Unsynced::Kept,
        Unsynced::OnlyNames,
        Unsynced::OnlyData,
    ]
    .into_iter()
    .chain(seeds)
    .collect()
}
