//! One round over all sources: each on its own thread, so that one which hangs does not hold up the others.

use std::collections::BTreeMap;
use std::pin::Pin;
use std::time::Duration;

use tokio::task::{JoinHandle, spawn_blocking};
use tokio::time::{Sleep, sleep};

use super::{Finding, Source};

type Pending = JoinHandle<(Box<dyn Source>, Result<Finding, String>)>;

/// Where one source is: at rest, or being asked since an earlier round.
enum Seat {
    Rest(Box<dyn Source>),
    Asked(Pending),
    /// Its thread died: a fault of ours, said once, never asked again.
    Gone,
}

/// All sources of a unit, and what each said last.
pub struct Round {
    seats: Vec<(String, Seat)>,
    troubles: BTreeMap<String, String>,
    remarks: BTreeMap<String, Vec<String>>,
    patience: Duration,
}

impl Round {
    /// Asks these sources, later ones on top of earlier ones; `patience` is how long a round waits for them together.
    pub fn new(sources: Vec<Box<dyn Source>>, patience: Duration) -> Self {
        let seats = sources
            .into_iter()
            .map(|source| (source.name(), Seat::Rest(source)))
            .collect();
        Self {
            seats,
            troubles: BTreeMap::new(),
            remarks: BTreeMap::new(),
            patience,
        }
    }

    /// Asks everybody. Gives what was found, and a sentence for each source whose trouble began, changed or ended, and for
    /// each new remark.
    pub async fn ask(&mut self) -> (Finding, Vec<String>) {
        for (_, seat) in &mut self.seats {
            *seat = match std::mem::replace(seat, Seat::Gone) {
                Seat::Rest(mut source) => Seat::Asked(spawn_blocking(move || {
                    let found = source.read();
                    (source, found)
                })),
                other => other,
            };
        }
        let mut finding = Finding::default();
        let mut news = Vec::new();
        // They are all asked at the same time, so the round's patience is shared, not given to each in turn.
        let deadline = sleep(self.patience);
        tokio::pin!(deadline);
        for (name, seat) in &mut self.seats {
            let answer = settle(seat, deadline.as_mut()).await;
            match answer {
                Ok(found) => {
                    finding.merge(found);
                    if self.troubles.remove(name).is_some() {
                        news.push(format!("{name}: works again"));
                    }
                    let now = seat.at_rest().map_or_else(Vec::new, Source::remarks);
                    let before = self.remarks.insert(name.clone(), now.clone());
                    let before = before.unwrap_or_default();
                    let new = now.into_iter().filter(|remark| !before.contains(remark));
                    news.extend(new.map(|remark| format!("{name}: {remark}")));
                }
                Err(trouble) => {
                    if self.troubles.get(name) != Some(&trouble) {
                        news.push(format!("{name}: {trouble}"));
                        self.troubles.insert(name.clone(), trouble);
                    }
                }
            }
        }
        (finding, news)
    }

    /// Whether any source failed when it was asked last.
    pub fn in_trouble(&self) -> bool {
        !self.troubles.is_empty()
    }

    /// What the sources read that a report has no place for.
    pub fn asides(&self) -> Vec<String> {
        let resting = self.seats.iter().filter_map(|(_, seat)| seat.at_rest());
        resting.flat_map(Source::asides).collect()
    }
}

impl Seat {
    fn at_rest(&self) -> Option<&dyn Source> {
        match self {
            Self::Rest(source) => Some(source.as_ref()),
            _ => None,
        }
    }
}

async fn settle(seat: &mut Seat, deadline: Pin<&mut Sleep>) -> Result<Finding, String> {
    let Seat::Asked(pending) = seat else {
        return Err("has stopped for good; start the command again".to_owned());
    };
    // Biased: an answer that is there counts even when the deadline has passed meanwhile.
    let answer = tokio::select! {
        biased;
        answer = pending => answer,
        () = deadline => return Err("does not answer".to_owned()),
    };
    if let Ok((source, found)) = answer {
        *seat = Seat::Rest(source);
        return found;
    }
    *seat = Seat::Gone;
    Err("broke down; start the command again".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::{Receiver, sync_channel};
    use swapcall_wire::Mode;

    /// Says what it is handed; hangs while it is handed nothing.
    struct Told(&'static str, Receiver<Result<Finding, String>>);

    impl Source for Told {
        fn name(&self) -> String {
            self.0.to_owned()
        }

        fn read(&mut self) -> Result<Finding, String> {
            self.1.recv().unwrap()
        }
    }

    fn mode(mode: Mode) -> Finding {
        Finding {
            mode: Some(mode),
            ..Finding::default()
        }
    }

    #[tokio::test]
    async fn a_trouble_is_said_once_per_change_and_the_others_go_on() {
        let (tell_a, a) = sync_channel(9);
        let (tell_b, b) = sync_channel(9);
        let mut round = Round::new(
            vec![Box::new(Told("a", a)), Box::new(Told("b", b))],
            Duration::from_millis(200),
        );
        let failed = |text: &str| Err(text.to_owned());
        for answer in [
            failed("off"),
            failed("off"),
            failed("gone"),
            Ok(mode(Mode::Standby)),
        ] {
            tell_a.send(answer).unwrap();
        }
        let mut news = Vec::new();
        for _ in 0..4 {
            tell_b.send(Ok(mode(Mode::Recording))).unwrap();
            let (finding, said) = round.ask().await;
            assert_eq!(
                finding.mode,
                Some(Mode::Recording),
                "the later source is on top"
            );
            news.push(said);
        }
        assert_eq!(
            news,
            [
                vec!["a: off".to_owned()],
                vec![],
                vec!["a: gone".to_owned()],
                vec!["a: works again".to_owned()]
            ]
        );
    }

    /// Finds a mode, and has a remark each time but the third.
    struct Remarking(u32);

    impl Source for Remarking {
        fn name(&self) -> String {
            "r".to_owned()
        }

        fn read(&mut self) -> Result<Finding, String> {
            self.0 += 1;
            Ok(mode(Mode::Off))
        }

        fn remarks(&self) -> Vec<String> {
            if self.0 == 3 {
                return Vec::new();
            }
            vec!["no volts".to_owned()]
        }
    }

    #[tokio::test]
    async fn a_remark_is_said_once_and_again_after_it_was_well() {
        let mut round = Round::new(vec![Box::new(Remarking(0))], Duration::from_secs(5));
        let mut said = Vec::new();
        for _ in 0..4 {
            said.push(round.ask().await.1.len());
        }
        assert_eq!(said, [1, 0, 0, 1]);
        assert!(!round.in_trouble());
    }

    #[tokio::test]
    async fn a_hanging_source_does_not_hold_up_the_others_and_comes_back() {
        let (tell_a, a) = sync_channel(9);
        let (tell_b, b) = sync_channel(9);
        let mut round = Round::new(
            vec![Box::new(Told("a", a)), Box::new(Told("b", b))],
            Duration::from_millis(50),
        );
        tell_b.send(Ok(mode(Mode::Off))).unwrap();
        let (finding, news) = round.ask().await;
        assert_eq!(
            (finding.mode, news),
            (Some(Mode::Off), vec!["a: does not answer".to_owned()])
        );
        tell_b.send(Ok(mode(Mode::Off))).unwrap();
        tell_a.send(Ok(mode(Mode::Standby))).unwrap();
        let (_, news) = round.ask().await;
        assert_eq!(news, ["a: works again"]);
    }
}
