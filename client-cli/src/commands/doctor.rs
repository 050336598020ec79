//! `doctor`: everything that a cart needs, tried one by one, with what to do where it fails.

use jiff::Timestamp;
use serde::Serialize;
use swapcall_wire::{Fleet, Report, Role, Session, Source as ReportSource};

use super::watch_setup::{LONGEST_LOOK, sources};
use super::{Desk, block_on};
use crate::args::SourceArgs;
use crate::clock;
use crate::exit::Exit;
use crate::show;
use crate::source::{Finding, Round, Source, space_of};
use crate::spool::{Bounds, Spool, Standing};
use crate::trouble::Trouble;

/// A clock that is off by this much is worth setting, though the hub corrects it, seconds. The screens warn from there on.
const CLOCK_OFF_S: f64 = 10.0;

/// How one thing stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
enum State {
    Ok,
    Look,
    No,
}

impl State {
    fn word(self) -> &'static str {
        match self {
            Self::Ok => "ok  ",
            Self::Look => "look",
            Self::No => "NO  ",
        }
    }
}

/// One thing that was tried.
#[derive(Debug, Serialize)]
struct Check {
    name: String,
    state: State,
    said: String,
    #[serde(skip)]
    exit: Exit,
}

impl Check {
    fn new(name: &str, state: State, said: impl Into<String>) -> Self {
        Self {
            name: name.to_owned(),
            state,
            said: said.into(),
            exit: Exit::Ok,
        }
    }

    fn failed(name: &str, trouble: &Trouble) -> Self {
        Self {
            exit: trouble.exit(),
            ..Self::new(name, State::No, trouble.to_string())
        }
    }
}

/// Runs the subcommand. The exit code is that of the first thing that failed.
pub fn run(args: &SourceArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let mut checks = vec![configuration(desk)];
    let fleet = desk.hub.get::<Fleet>("/v1/fleet").map_err(Trouble::from);
    checks.extend(hub_and_token(desk, &fleet));
    checks.extend(fleet.ok().map(|fleet| clock_check(clock::now(), fleet.now)));
    checks.push(spool(desk.outbox().spool(), desk.settings.bounds));
    checks.extend(tried(args)?);
    let mut exits = checks.iter().map(|check| check.exit);
    let exit = exits.find(|exit| *exit != Exit::Ok);
    desk.console.answer(&checks, |checks| lines(checks))?;
    Ok(exit.unwrap_or(Exit::Ok))
}

fn configuration(desk: &Desk) -> Check {
    let file = match &desk.config {
        Some(path) if path.exists() => format!("from {}", path.display()),
        Some(path) => format!("there is no {}", path.display()),
        None => "no place for a configuration file".to_owned(),
    };
    let hub = desk.hub.address();
    if desk.settings.token.is_none() {
        let said =
            format!("hub {hub}, no token ({file}). Come in with: swapcall join CODE --hub {hub}");
        return Check::new("configuration", State::Look, said);
    }
    Check::new(
        "configuration",
        State::Ok,
        format!("hub {hub}, a token ({file})"),
    )
}

/// Whether the hub answers, and what our token is to it.
fn hub_and_token(desk: &Desk, fleet: &Result<Fleet, Trouble>) -> Vec<Check> {
    let answers = match fleet {
        Ok(fleet) => {
            let said = format!(
                "{} answers: {} units",
                desk.hub.address(),
                fleet.units.len()
            );
            Check::new("hub", State::Ok, said)
        }
        Err(Trouble::NotAllowed(_)) => {
            Check::new("hub", State::Ok, format!("{} answers", desk.hub.address()))
        }
        Err(trouble) => return vec![Check::failed("hub", trouble)],
    };
    let session = desk
        .hub
        .get::<Session>("/v1/session")
        .map_err(Trouble::from);
    let token = match session {
        Ok(Session { name, role }) => {
            Check::new("token", State::Ok, format!("{name}: {}", may(role)))
        }
        Err(trouble) => Check::failed("token", &trouble),
    };
    vec![answers, token]
}

fn may(role: Role) -> &'static str {
    match role {
        Role::Cart => "a cart, reports for its units",
        Role::Runner => "a runner, takes calls and types readings",
        Role::Lead => "a lead, may do all of the show",
        Role::Owner => "the owner, may do everything",
    }
}

fn clock_check(ours: Timestamp, hubs: Timestamp) -> Check {
    let off_s = ours.duration_since(hubs).as_secs_f64();
    let way = if off_s < 0.0 { "behind" } else { "ahead of" };
    let said = format!("{:.1} s {way} the hub's", off_s.abs());
    if off_s.abs() < CLOCK_OFF_S {
        return Check::new("clock", State::Ok, said);
    }
    let said =
        format!("{said}. The hub corrects what we report; set this computer's clock all the same");
    Check::new("clock", State::Look, said)
}

/// Whether reports can wait, and whether some do.
fn spool(spool: &Spool, bounds: Bounds) -> Check {
    // The one that sends locks the folder: to take its place for a moment shows that it can be written.
    let standing = spool
        .sender(std::time::Duration::ZERO)
        .and_then(|_| spool.standing());
    let standing = match standing {
        Ok(standing) => standing,
        Err(error) => return Check::failed("spool", &Trouble::from(error)),
    };
    let Standing {
        waiting,
        dropped,
        refused,
        ..
    } = standing;
    let folder = spool.folder().display();
    let room = space_of(spool.folder()).map_or(u64::MAX, |space| space.available);
    let mut worries = Vec::new();
    // With less the disk is full before the spool is.
    if room < bounds.total {
        worries.push(format!("only {} MB are free there", room / 1_000_000));
    }
    if dropped > 0 {
        worries.push(format!("{dropped} were dropped so far"));
    }
    if refused > 0 {
        worries.push(format!(
            "{refused} were refused by the hub: see refused.jsonl there"
        ));
    }
    let state = if worries.is_empty() {
        State::Ok
    } else {
        State::Look
    };
    let parts = std::iter::once(format!("{folder}: {waiting} reports wait")).chain(worries);
    Check::new("spool", state, parts.collect::<Vec<_>>().join("; "))
}

/// Asks each source that is named once.
fn tried(args: &SourceArgs) -> Result<Vec<Check>, Trouble> {
    if args.none_named() {
        let said = "none named, none tried";
        return Ok(vec![Check::new("sources", State::Ok, said)]);
    }
    // What a program calls its unit does not matter here: nothing is reported.
    let named = sources(args, "", LONGEST_LOOK).map_err(Trouble::Usage)?;
    named.into_iter().map(ask).collect()
}

fn ask(source: Box<dyn Source>) -> Result<Check, Trouble> {
    let name = source.name();
    let mut round = Round::new(vec![source], LONGEST_LOOK);
    // Each begins with the source's name.
    let (finding, news) = block_on(async { Ok(round.ask().await) })?;
    if round.in_trouble() {
        return Ok(Check::failed("source", &Trouble::Local(news.join("\n"))));
    }
    let (state, said) = if finding.is_empty() {
        (State::Look, format!("{name} answers, and says nothing"))
    } else if news.is_empty() {
        (State::Ok, found(name, finding))
    } else {
        (State::Look, found(name, finding))
    };
    let asides = round.asides();
    let beside = (!asides.is_empty()).then(|| format!("not sent: {}", asides.join(", ")));
    let lines = std::iter::once(said).chain(news).chain(beside);
    Ok(Check::new(
        "source",
        state,
        lines.collect::<Vec<_>>().join("\n"),
    ))
}

/// The source's name and what it found.
fn found(name: String, finding: Finding) -> String {
    show::report(&Report {
        id: None,
        unit: name,
        at: clock::now(),
        sent_at: None,
        mode: finding.mode,
        battery: finding.battery,
        cards: finding.cards,
        source: ReportSource::Cart,
    })
}

fn lines(checks: &[Check]) -> String {
    let width = checks
        .iter()
        .map(|check| check.name.chars().count())
        .max()
        .unwrap_or(0);
    let line = |check: &Check| {
        let Check {
            name, state, said, ..
        } = check;
        // What goes on stands below where it began.
        let said = said.replace('\n', &format!("\n      {:width$}  ", ""));
        format!("{}  {name:width$}  {said}", state.word())
    };
    checks.iter().map(line).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::moment;

    #[test]
    fn a_clock_is_off_in_both_directions_from_ten_seconds_on() {
        let state = |ours: i64| {
            let check = clock_check(moment(ours), moment(1000));
            (check.state, check.said)
        };
        assert_eq!(
            state(1009),
            (State::Ok, "9.0 s ahead of the hub's".to_owned())
        );
        assert_eq!(state(1010).0, State::Look);
        let (state, said) = state(100);
        assert_eq!(state, State::Look);
        assert!(
            said.starts_with("900.0 s behind the hub's. The hub corrects"),
            "{said}"
        );
    }

    #[test]
    fn lines_stand_in_columns_and_go_on_below_themselves() {
        let checks = [
            Check::new("hub", State::Ok, "answers"),
            Check::new("mount A", State::No, "gone\nput it in"),
        ];
        assert_eq!(
            lines(&checks),
            "ok    hub      answers\nNO    mount A  gone\n               put it in"
        );
    }
}
