//! `send` and `status`: what waits on disk, and whether the hub answers.

use std::path::PathBuf;
use std::time::Duration;

use jiff::Timestamp;
use serde::Serialize;
use swapcall_wire::{Fleet, Problem};

use super::Desk;
use crate::backoff::LONGEST_HINT;
use crate::clock;
use crate::exit::Exit;
use crate::offload::kept::Kept;
use crate::outbox::{Delivery, Halt, Outbox};
use crate::show;
use crate::spool::{Bounds, SpoolError, Standing};
use crate::trouble::{Trouble, problem_text};

/// How long another process that is sending is waited for.
const SENDER_PATIENCE: Duration = Duration::from_secs(2);

#[derive(Debug, Serialize)]
struct Sent {
    accepted: u64,
    duplicate: u64,
    refused: u64,
    left: u64,
    /// Results of copied cards.
    copies_told: u64,
    copies_left: u64,
}

/// Sends what waits. A hub that takes some and asks to wait, because it counts what one token sends, is waited for; one
/// that takes nothing is left for later.
fn drain(outbox: &Outbox) -> Result<Delivery, SpoolError> {
    let mut delivery = outbox.drain(SENDER_PATIENCE)?;
    let mut moved = delivery.moved();
    while let (
        true,
        Some(Halt::OutOfReach {
            hint: Some(hint), ..
        }),
    ) = (moved, &delivery.halt)
    {
        std::thread::sleep((*hint).min(LONGEST_HINT));
        let later = outbox.drain(SENDER_PATIENCE)?;
        moved = later.moved();
        delivery.then(later);
    }
    Ok(delivery)
}

/// Runs `send`.
pub fn send(desk: &mut Desk) -> Result<Exit, Trouble> {
    let outbox = desk.outbox();
    let delivery = drain(&outbox)?;
    for refused in &delivery.refusals {
        let text = problem_text(&refused.problem);
        desk.console.remark(&format!(
            "refused: {}: {text}",
            show::report(&refused.report)
        ));
    }
    let kept = Kept::new(&desk.settings.spool);
    let copies = kept.send(&desk.hub)?;
    for (card, problem) in &copies.refused {
        let text = problem_text(problem);
        desk.console
            .remark(&format!("refused: the result of card {card}: {text}"));
    }
    let Delivery {
        accepted,
        duplicate,
        refused,
        halt,
        ..
    } = delivery;
    let sent = Sent {
        accepted,
        duplicate,
        refused,
        left: outbox.spool().standing()?.waiting,
        copies_told: copies.told,
        copies_left: kept.waiting()?.len() as u64,
    };
    desk.console.answer(&sent, |sent| {
        let reports = format!(
            "{} accepted, {} known already, {} refused, {} left",
            sent.accepted, sent.duplicate, sent.refused, sent.left
        );
        match (sent.copies_told, sent.copies_left) {
            (0, 0) => reports,
            (told, left) => format!("{reports}\nresults of copied cards: {told} told, {left} left"),
        }
    })?;
    match halt {
        None if refused > 0 || !copies.refused.is_empty() => Ok(Exit::Refused),
        None => copies.halt.map_or(Ok(Exit::Ok), |halt| Err(halt.into())),
        Some(Halt::OutOfReach { reason, .. }) => Err(Trouble::OutOfReach(reason)),
        Some(Halt::Doubted(doubt)) => Err(Trouble::Doubted(doubt)),
        Some(Halt::NotAllowed(problem)) => Err(Trouble::NotAllowed(problem)),
        Some(Halt::OtherSender) => Err(Trouble::Spooled(
            "another swapcall is sending from this spool and takes them along".to_owned(),
        )),
    }
}

#[derive(Debug, Serialize)]
struct Status {
    spool: PathBuf,
    #[serde(flatten)]
    standing: Standing,
    /// Cards whose copies the hub does not know of yet.
    copies_waiting: Vec<String>,
    hub: String,
    answers: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    units: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    calls: Option<usize>,
    /// Our clock minus the hub's.
    #[serde(skip_serializing_if = "Option::is_none")]
    clock_offset_s: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<Problem>,
}

/// Runs `status`.
pub fn status(desk: &mut Desk) -> Result<Exit, Trouble> {
    let outbox = desk.outbox();
    let waiting = Kept::new(&desk.settings.spool).waiting()?;
    let fleet: Result<Fleet, Trouble> = desk.hub.get("/v1/fleet").map_err(Trouble::from);
    let mut status = Status {
        spool: outbox.spool().folder().to_path_buf(),
        standing: outbox.spool().standing()?,
        copies_waiting: waiting.into_iter().map(|(_, kept)| kept.card).collect(),
        hub: desk.hub.address().to_owned(),
        answers: !matches!(fleet, Err(Trouble::OutOfReach(_) | Trouble::Doubted(_))),
        units: None,
        calls: None,
        clock_offset_s: None,
        reason: None,
        problem: None,
    };
    let exit = match fleet {
        Ok(fleet) => {
            (status.units, status.calls) = (Some(fleet.units.len()), Some(fleet.calls.len()));
            let offset = clock::now().duration_since(fleet.now).as_secs_f64();
            status.clock_offset_s = Some((offset * 10.0).round() / 10.0);
            Exit::Ok
        }
        Err(trouble) => {
            status.reason = Some(trouble.to_string());
            status.problem = trouble.problem().cloned();
            trouble.exit()
        }
    };
    desk.console
        .answer(&status, |status| status_words(status, clock::now()))?;
    Ok(exit)
}

/// How much of the spool is taken.
fn share(bytes: u64) -> String {
    let total = Bounds::default().total as f64;
    let percent = show::percent(bytes as f64 / total * 100.0);
    let taken = match bytes {
        0..1_000_000 => format!("{:.1} kB", bytes as f64 / 1e3),
        _ => format!("{:.1} MB", bytes as f64 / 1e6),
    };
    format!("{taken} of {:.1} MB, {percent}", total / 1e6)
}

fn status_words(status: &Status, now: Timestamp) -> String {
    let Standing {
        waiting,
        bytes,
        oldest,
        dropped,
        thinned,
        refused,
    } = &status.standing;
    let folder = status.spool.display();
    let mut lines = vec![match waiting {
        0 => format!("spool  {folder}: empty, nothing waits"),
        1 => format!("spool  {folder}: 1 report waits ({})", share(*bytes)),
        many => format!("spool  {folder}: {many} reports wait ({})", share(*bytes)),
    }];
    lines.extend(oldest.map(|at| {
        let age = show::span(show::seconds_between(at, now));
        format!("       the oldest was observed {age} ago, at {at}")
    }));
    if *waiting > 0 && status.reason.is_none() {
        lines
            .push("       they go with the next report or watch, or now: swapcall send".to_owned());
    }
    if *thinned > 0 {
        lines.push(format!(
            "       {thinned} old ones that repeated their neighbours were taken out because it was full"
        ));
    }
    if *dropped > 0 {
        lines.push(format!(
            "       {dropped} were dropped because the spool was full, or they were a month old"
        ));
    }
    if *refused > 0 {
        lines.push(format!(
            "       {refused} were refused by the hub: see refused.jsonl there"
        ));
    }
    if !status.copies_waiting.is_empty() {
        lines.push(format!(
            "       the hub does not know yet what became of the copies of {}; now: swapcall send",
            status.copies_waiting.join(", ")
        ));
    }
    lines.push(match (&status.reason, status.units, status.calls) {
        (None, Some(units), Some(calls)) => format!(
            "hub    {} answers: {units} units, {calls} calls; our clock is {} s off",
            status.hub,
            status.clock_offset_s.unwrap_or_default()
        ),
        (reason, ..) => format!(
            "hub    {}: {}",
            status.hub,
            reason.as_deref().unwrap_or_default()
        ),
    });
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::moment;

    fn words(standing: Standing) -> String {
        words_with(standing, Some("no".to_owned()))
    }

    fn words_with(standing: Standing, reason: Option<String>) -> String {
        let status = Status {
            spool: "/spool".into(),
            standing,
            copies_waiting: vec!["C12".to_owned()],
            hub: "http://hub:1".to_owned(),
            answers: false,
            units: None,
            calls: None,
            clock_offset_s: None,
            reason,
            problem: None,
        };
        status_words(&status, moment(7200))
    }

    #[test]
    fn the_spools_state_is_said_in_numbers_that_mean_something() {
        let empty = words(Standing::default());
        assert!(
            empty.starts_with("spool  /spool: empty, nothing waits\n"),
            "{empty}"
        );
        assert!(
            empty.contains("copies of C12; now: swapcall send\nhub "),
            "{empty}"
        );
        let standing = Standing {
            waiting: 2000,
            bytes: 33_554_432,
            oldest: Some(moment(0)),
            dropped: 3,
            thinned: 40,
            refused: 1,
        };
        let full = words(standing);
        for part in [
            "2000 reports wait (33.6 MB of 66.1 MB, 50.8 %)",
            "observed 2 h 0 min ago",
            "40 old ones",
            "3 were dropped",
            "1 were refused",
        ] {
            assert!(full.contains(part), "{part} in {full}");
        }
        let one = Standing {
            waiting: 1,
            ..Standing::default()
        };
        assert!(words(one.clone()).contains("1 report waits (0.0 kB of"));
        assert!(words_with(one, None).contains("or now: swapcall send"));
    }
}
