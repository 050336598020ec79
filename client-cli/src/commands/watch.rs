//! `watch`: look, report, and go on, whatever the hub and the sources do.
//!
//! One loop waits for six things: the stop signal, the end of a sending, the moment to try again, the moment to tell the
//! service manager that the loop goes round, what a person typed, and the moment to look. Looking never waits for the
//! network: while a sending is under way, or the hub is out of reach, what is seen
//! goes to the spool. A report that is in the air is in no file; when the next one is seen and it still is, it goes to the
//! spool before that one. So a crash costs the newest report at most, and none overtakes another.

use std::future::Future;
use std::pin::Pin;
use std::time::Duration;

use serde::Serialize;
use swapcall_wire::{Report, Source};
use tokio::task::{JoinHandle, spawn_blocking};
use tokio::time::{MissedTickBehavior, Sleep, interval, sleep, timeout};

use super::talk::Reading;
use super::typing::Typing;
use super::watch_setup::{Fixed, LONGEST_LOOK, sources};
use super::{Desk, block_on};
use crate::args::WatchArgs;
use crate::backoff::{Backoff, chance};
use crate::clock;
use crate::console::{Console, Weight};
use crate::exit::Exit;
use crate::outbox::{Delivery, Halt, Outbox, Posted};
use crate::service::Service;
use crate::show;
use crate::source::Round;
use crate::spool::{Cost, SpoolError};
use crate::stop;
use crate::trouble::{Trouble, problem_text};

/// How long another process that is sending is waited for; the spool takes the report otherwise.
const SENDER_PATIENCE: Duration = Duration::from_millis(200);
/// When to look again whether the other process has finished.
const OTHER_SENDER: Duration = Duration::from_secs(2);
/// How long a sending under way may take when we are asked to stop.
const LAST_SENDING: Duration = Duration::from_secs(3);

/// One line of output: what was seen, or what became of what was sent.
#[derive(Debug, Serialize)]
#[serde(tag = "event", rename_all = "snake_case")]
enum Event<'a> {
    Seen {
        report: &'a Report,
    },
    Sent {
        accepted: u64,
        duplicate: u64,
        refused: u64,
    },
    Said {
        text: &'a str,
    },
}

/// Runs the subcommand until it is stopped.
pub fn run(args: &WatchArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let patience = args.every.min(LONGEST_LOOK);
    let sources = if args.typed && args.sources.none_named() {
        Vec::new()
    } else {
        sources(&args.sources, &args.unit, patience).map_err(Trouble::Usage)?
    };
    let outbox = desk.outbox();
    let fixed = Fixed::from_args(args);
    let every = args.every;
    block_on(async {
        let round = Round::new(sources, patience);
        let mut watcher = Watcher {
            fixed,
            outbox,
            console: &mut desk.console,
            service: &desk.service,
            started: false,
            round,
            typing: args.typed.then(|| Typing::start(&args.unit)),
            sending: Sending::default(),
        };
        watcher.go_on(every, stop::listen()?).await
    })?;
    Ok(Exit::Ok)
}

type Sent = Result<Posted, SpoolError>;

/// How a sending ended.
struct Ended {
    /// `None` where it broke down by a fault of ours.
    sent: Option<Sent>,
    /// The report that was under way and is in no file.
    in_air: Option<Report>,
}

/// A sending, with the report that is in no file yet.
type UnderWay = (JoinHandle<Sent>, Option<Report>);

/// Where the sending stands.
#[derive(Default)]
struct Sending {
    under_way: Option<UnderWay>,
    /// When to try again.
    again: Option<Pin<Box<Sleep>>>,
    backoff: Backoff,
    /// What was said last about the hub, so that it is said once per change.
    said: Option<String>,
    /// The refusal that was said last.
    refusal: Option<String>,
}

struct Watcher<'a> {
    fixed: Fixed,
    outbox: Outbox,
    console: &'a mut Console,
    service: &'a Service,
    /// Whether the first look was taken.
    started: bool,
    round: Round,
    typing: Option<Typing>,
    sending: Sending,
}

impl Watcher<'_> {
    async fn go_on(
        &mut self,
        every: Duration,
        stop: impl Future<Output = ()>,
    ) -> Result<(), Trouble> {
        tokio::pin!(stop);
        let mut ticks = interval(every);
        // After a stall one look, not a burst of looks at the same moment.
        ticks.set_missed_tick_behavior(MissedTickBehavior::Skip);
        let mut pulse = self.service.pulse();
        // What an earlier run left goes first, so that it stays in order.
        if !self.outbox.spool().is_empty().unwrap_or(true) {
            self.start_drain();
        }
        let person_ended = loop {
            tokio::select! {
                biased;
                () = &mut stop => break false,
                end = ended(&mut self.sending.under_way) => self.over(end).await?,
                () = due(&mut self.sending.again) => self.start_drain(),
                // Before the looks, which may follow each other without a gap.
                () = pulse.beat() => self.service.alive(),
                typed = next_typed(&mut self.typing) => match typed {
                    Some(reading) => self.take_typed(reading).await?,
                    None => break true,
                },
                _ = ticks.tick() => {
                    let (finding, news) = tokio::select! {
                        biased;
                        () = &mut stop => break false,
                        asked = self.round.ask() => asked,
                    };
                    self.say_all(&news)?;
                    if finding.is_empty() {
                        self.looked("nothing was found to report");
                    } else {
                        let report = self.fixed.report(finding, clock::now());
                        self.looked(&show::report(&report));
                        self.take(report).await?;
                    }
                }
            }
        };
        self.part(person_ended).await
    }

    /// Takes what a person typed, and asks the next question.
    async fn take_typed(&mut self, (at, draft): Reading) -> Result<(), Trouble> {
        match self.fixed.typed(draft, at) {
            Ok(report) => self.take(report).await,
            Err(wrong) => self.say(&wrong),
        }
    }

    /// Nothing more is looked at. What was typed is taken along; a person who ended the input waits for it to be sent.
    async fn part(&mut self, person_ended: bool) -> Result<(), Trouble> {
        let rest = self.typing.take().map(|mut typing| {
            // The question stands there without an answer.
            Typing::interrupt();
            typing.rest()
        });
        for (at, draft) in rest.into_iter().flatten() {
            self.take_typed((at, draft)).await?;
        }
        self.service.stopping();
        self.finish().await?;
        if person_ended {
            let since = clock::Stopwatch::start();
            while self.sending.under_way.is_some() && since.elapsed() < LAST_SENDING {
                self.finish().await?;
            }
            let waiting = self.outbox.spool().standing()?.waiting;
            if waiting > 0 {
                self.say(&format!(
                    "{waiting} reports wait on disk; swapcall send sends them"
                ))?;
            }
        }
        Ok(())
    }

    /// Tells the service manager what was seen, and what stands in the way of it.
    fn looked(&mut self, seen: &str) {
        if !std::mem::replace(&mut self.started, true) {
            self.service.ready();
        }
        let way = self.sending.said.as_deref();
        self.service
            .status(&format!("{seen}; {}", way.unwrap_or("the hub takes it")));
    }

    /// Sends a report at once where the way is free; otherwise it goes to the spool.
    async fn take(&mut self, report: Report) -> Result<(), Trouble> {
        // A person who is being asked does not want to read every look of the sources in between.
        if self.typing.is_none() || report.source == Source::Typed || self.console.json() {
            self.console
                .routine(&Event::Seen { report: &report }, |_| {
                    format!("{}  {}", show::exact_time(report.at), show::report(&report))
                })?;
            self.ask_again();
        }
        if self.sending.under_way.is_none() && self.sending.again.is_none() {
            let (outbox, copy) = (self.outbox.clone(), report.clone());
            let task = spawn_blocking(move || outbox.post_now(&copy, SENDER_PATIENCE));
            self.sending.under_way = Some((task, Some(report)));
            return Ok(());
        }
        // Should it arrive after all, it is sent twice, and the hub knows its id.
        if let Some(earlier) = self.sending.under_way.as_mut().and_then(|way| way.1.take()) {
            self.spool(earlier).await?;
        }
        self.spool(report).await
    }

    async fn spool(&mut self, report: Report) -> Result<(), Trouble> {
        let spool = self.outbox.spool().clone();
        let appended = spawn_blocking(move || spool.append(&report)).await;
        match appended {
            Ok(Ok(cost)) => self.say_cost(cost),
            Ok(Err(error)) => self.say_about_way(format!("a report is lost: {error}")),
            Err(_) => self.say("a report could not be kept"),
        }
    }

    /// What room for the newest report cost the oldest ones, where it cost any.
    fn say_cost(&mut self, Cost { dropped, thinned }: Cost) -> Result<(), Trouble> {
        if thinned > 0 {
            self.say(&format!(
                "the spool is full: {thinned} old reports that repeated their neighbours were taken out"
            ))?;
        }
        if dropped > 0 {
            self.say(&format!(
                "its {dropped} oldest reports were dropped: the spool was full, or they were a month old"
            ))?;
        }
        Ok(())
    }

    fn start_drain(&mut self) {
        self.sending.again = None;
        if self.sending.under_way.is_none() {
            let outbox = self.outbox.clone();
            let drain = move || {
                let delivery = outbox.drain(SENDER_PATIENCE)?;
                let dealt_with = true;
                Ok(Posted {
                    delivery,
                    dealt_with,
                })
            };
            self.sending.under_way = Some((spawn_blocking(drain), None));
        }
    }

    /// A sending has ended: its report is kept where that did not deal with it.
    async fn over(&mut self, Ended { sent, in_air }: Ended) -> Result<(), Trouble> {
        let posted = match sent {
            Some(Ok(posted)) => posted,
            // The spool failed, not the hub: no waiting, so that the next report is tried past it at once.
            Some(Err(error)) => {
                return match in_air {
                    Some(report) => self.spool(report).await,
                    None => self.say_about_way(error.to_string()),
                };
            }
            None => return self.broke_down(in_air).await,
        };
        if let Some(report) = in_air.filter(|_| !posted.dealt_with) {
            self.spool(report).await?;
        }
        self.after(&posted.delivery)
    }

    /// Notes how a sending ended and when the next one is due.
    fn after(&mut self, delivery: &Delivery) -> Result<(), Trouble> {
        self.say_refusals(delivery)?;
        let Delivery {
            accepted,
            duplicate,
            refused,
            ..
        } = *delivery;
        if delivery.moved() {
            self.sending.backoff.succeeded();
            if self.console.json() {
                self.console.answer(
                    &Event::Sent {
                        accepted,
                        duplicate,
                        refused,
                    },
                    |_| String::new(),
                )?;
            }
        }
        if let Some(trouble) = &delivery.spool_trouble {
            return self.say_about_way(format!("nothing can be kept for later: {trouble}"));
        }
        match delivery.halt.clone() {
            None => self.all_sent(delivery),
            Some(halt) => self.halted(halt),
        }
    }

    /// The way is free. Something may have been spooled while the last report was on it.
    fn all_sent(&mut self, delivery: &Delivery) -> Result<(), Trouble> {
        if !self.outbox.spool().is_empty().unwrap_or(true) {
            self.start_drain();
        }
        // Where others waited first, nothing was tried yet.
        if !delivery.moved() || self.sending.said.take().is_none() {
            return Ok(());
        }
        match delivery.accepted {
            0 | 1 => self.tell("the hub answers again"),
            many => self.tell(&format!(
                "the hub answers again; {many} reports that waited were sent"
            )),
        }
    }

    /// The way is closed: says why, once, and sets the moment to try again.
    fn halted(&mut self, halt: Halt) -> Result<(), Trouble> {
        match halt {
            Halt::OtherSender => {
                self.retry(OTHER_SENDER);
                Ok(())
            }
            Halt::OutOfReach { reason, hint } => {
                let wait = self.wait_after(hint);
                self.retry(wait);
                self.say_about_way(format!(
                    "hub out of reach: {reason}; reports go to the spool"
                ))
            }
            Halt::Doubted(doubt) => {
                let wait = self.sending.backoff.signed_out(chance());
                self.retry(wait);
                self.say_about_way(format!("{doubt}\nReports stay in the spool."))
            }
            Halt::NotAllowed(problem) => {
                let wait = self.sending.backoff.signed_out(chance());
                self.retry(wait);
                let text = problem_text(&problem);
                self.say_about_way(format!(
                    "{text} Reports stay in the spool; give a working token."
                ))
            }
        }
    }

    /// A fault of ours in a sending: its report goes to the spool, and sending starts anew later.
    async fn broke_down(&mut self, report: Option<Report>) -> Result<(), Trouble> {
        let wait = self.wait_after(None);
        self.retry(wait);
        self.say_about_way("sending broke down; it is tried again".to_owned())?;
        match report {
            Some(report) => self.spool(report).await,
            None => Ok(()),
        }
    }

    fn wait_after(&mut self, hint: Option<Duration>) -> Duration {
        self.sending.backoff.failed(hint, chance())
    }

    fn retry(&mut self, wait: Duration) {
        self.sending.again = Some(Box::pin(sleep(wait)));
    }

    /// Says something about the way to the hub unless it was the last thing said about it.
    fn say_about_way(&mut self, text: String) -> Result<(), Trouble> {
        if self.sending.said.as_ref() == Some(&text) {
            return Ok(());
        }
        self.say(&text)?;
        self.sending.said = Some(text);
        Ok(())
    }

    /// A cart that is refused every five seconds says so once per reason.
    fn say_refusals(&mut self, delivery: &Delivery) -> Result<(), Trouble> {
        for refused in &delivery.refusals {
            let text = problem_text(&refused.problem);
            if self.sending.refusal.as_ref() != Some(&text) {
                let file = self.outbox.spool().refused_file();
                self.say(&format!(
                    "a report was refused: {text}\n  kept in {}",
                    file.display()
                ))?;
                self.sending.refusal = Some(text);
            }
        }
        if delivery.refused == 0 && delivery.accepted > 0 {
            self.sending.refusal = None;
        }
        if delivery.unreadable > 0 {
            self.say(&format!(
                "{} damaged lines of the spool were left out",
                delivery.unreadable
            ))?;
        }
        Ok(())
    }

    fn say_all(&mut self, sentences: &[String]) -> Result<(), Trouble> {
        sentences.iter().try_for_each(|text| self.say(text))
    }

    fn say(&mut self, text: &str) -> Result<(), Trouble> {
        self.weighed(Weight::Warning, text)
    }

    /// Says that something is well again.
    fn tell(&mut self, text: &str) -> Result<(), Trouble> {
        self.weighed(Weight::Info, text)
    }

    fn weighed(&mut self, weight: Weight, text: &str) -> Result<(), Trouble> {
        if self.console.json() {
            return self
                .console
                .answer(&Event::Said { text }, |_| String::new());
        }
        if self.typing.is_some() {
            Typing::interrupt();
        }
        self.console.say(weight, text);
        self.ask_again();
        Ok(())
    }

    /// Shows a person the question again that something else has pushed aside.
    fn ask_again(&self) {
        if let Some(typing) = &self.typing {
            typing.ask();
        }
    }

    /// Lets a sending end, for a moment; a report that is in no file by then goes to the spool, and the hub
    /// recognises it by its id should it have it already.
    async fn finish(&mut self) -> Result<(), Trouble> {
        let Some((task, in_air)) = self.sending.under_way.take() else {
            return Ok(());
        };
        match (timeout(LAST_SENDING, task).await, in_air) {
            (Ok(Ok(sent)), in_air) => {
                let sent = Some(sent);
                self.over(Ended { sent, in_air }).await
            }
            (_, Some(report)) => self.spool(report).await,
            (_, None) => Ok(()),
        }
    }
}

/// The end of a sending, where one is under way; otherwise never.
async fn ended(under_way: &mut Option<UnderWay>) -> Ended {
    let Some((task, _)) = under_way else {
        return std::future::pending().await;
    };
    let sent = task.await.ok();
    let in_air = under_way.take().and_then(|(_, report)| report);
    Ended { sent, in_air }
}

/// What a person types next, where one is asked; otherwise never.
async fn next_typed(typing: &mut Option<Typing>) -> Option<Reading> {
    match typing {
        Some(typing) => typing.next().await,
        None => std::future::pending().await,
    }
}

/// The moment to try again, where there is one; otherwise never.
async fn due(again: &mut Option<Pin<Box<Sleep>>>) {
    match again {
        Some(sleep) => sleep.as_mut().await,
        None => std::future::pending().await,
    }
}
