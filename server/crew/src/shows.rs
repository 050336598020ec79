//! Shows: named time windows over the history, such as a rehearsal or a race day. Of those that are kept whole no reading
//! is ever thinned out.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::{Label, Millis, Span};

/// The most shows: two a day for a year.
pub const SHOWS_MAX: usize = 750;
/// The longest show; what seems longer is most often a wrong date.
const LONGEST: Span = Span::seconds(14 * 24 * 3600);

/// One show.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Show {
    /// What it is called; no two have the same name.
    pub name: Label,
    /// When it begins.
    pub from: Millis,
    /// When it ends: at most 14 days after.
    pub to: Millis,
    /// Whether every reading of it is kept for good.
    pub kept_whole: bool,
}

/// Why shows were refused.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ShowsError {
    /// Too many.
    #[error("has {0} shows; the most are {SHOWS_MAX}")]
    TooMany(usize),
    /// A show ends before it begins, or much later.
    #[error("must be after the start, by at most 14 days")]
    End(usize),
    /// Two shows of one name.
    #[error("is the name of another show as well; choose a different one")]
    SameName(usize),
}

/// Every show, checked, in the order they were given.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shows(Vec<Show>);

impl Shows {
    /// Checks them.
    pub fn new(shows: Vec<Show>) -> Result<Self, ShowsError> {
        if shows.len() > SHOWS_MAX {
            return Err(ShowsError::TooMany(shows.len()));
        }
        for (index, show) in shows.iter().enumerate() {
            let length = show.to.since(show.from);
            if length <= Span(0) || length > LONGEST {
                return Err(ShowsError::End(index));
            }
            if shows[..index].iter().any(|other| other.name == show.name) {
                return Err(ShowsError::SameName(index));
            }
        }
        Ok(Self(shows))
    }

    /// Each of them.
    pub fn each(&self) -> &[Show] {
        &self.0
    }

    /// The times within which every reading stays.
    pub fn kept_whole(&self) -> Vec<(Millis, Millis)> {
        let kept = self.0.iter().filter(|show| show.kept_whole);
        kept.map(|show| (show.from, show.to)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn show(name: &str, from: i64, to: i64) -> Show {
        Show {
            name: Label::new(name).unwrap(),
            from: Millis(from),
            to: Millis(to),
            kept_whole: name.starts_with("Race"),
        }
    }

    #[test]
    fn shows_are_checked() {
        let day = 86_400_000;
        assert_eq!(
            Shows::new(vec![show("Rehearsal", 0, 1), show("Race", 5, 5)]),
            Err(ShowsError::End(1))
        );
        assert_eq!(
            Shows::new(vec![show("Race", 0, 14 * day + 1)]),
            Err(ShowsError::End(0))
        );
        assert_eq!(
            Shows::new(vec![show("Race", 0, 14 * day), show("Race", 1, 2)]),
            Err(ShowsError::SameName(1))
        );
        let many = (0..=SHOWS_MAX).map(|n| show(&format!("S{n}"), 0, 1));
        assert_eq!(
            Shows::new(many.collect()),
            Err(ShowsError::TooMany(SHOWS_MAX + 1))
        );
    }

    #[test]
    fn only_what_is_to_be_kept_whole_is() {
        let shows = Shows::new(vec![show("Rehearsal", 0, 10), show("Race 1", 20, 30)]).unwrap();
        assert_eq!(shows.kept_whole(), [(Millis(20), Millis(30))]);
        assert_eq!(shows.each().len(), 2);
    }
}
