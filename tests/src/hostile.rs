//! Hostile input: any bytes at all, through the same code as the product, and what must hold whatever they are.
//!
//! Each function takes bytes as they could come from outside and panics when something is wrong. The fuzz targets in
//! `tests/fuzz` call them with bytes that a machine makes up; `tests/hostile/corpus.rs` calls them with every input that is
//! kept in `tests/fuzz/corpus`, so a machine without the fuzzer still checks those.

use std::io;

use jiff::{SignedDuration, Timestamp};
use ratatui::backend::TestBackend;
use ratatui::{Frame, Terminal};
use swapcall::board::{self, Board, Cursor, Lines, LinkEvent, Sight};
use swapcall::commands::log_file::{self, Reading};
use swapcall::console::Console;
use swapcall::running_order;
use swapcall_crew::{
    Actor, Answer, Callsign, Command, Entry, Execution, Fleet, Label, Millis, PersonName, Profile,
    Role, Stamp,
};
use swapcall_http::{
    GivenReports, parse_card, parse_copies, parse_limits, parse_profile, parse_reports,
    parse_rundown,
};
use swapcall_journal::{BadRecord, RECORD_VERSION, read_record, record_value, sealed};
use swapcall_wire::{
    LiveMessage, Problem, UMD_PACKET_MAX, UmdError, UmdMessage, UmdStream, read_umd_datagram,
};
use uuid::Uuid;

/// The hub's time in these checks: 2026-06-13, in the morning.
const NOW: Millis = Millis(1_781_342_045_000);

/// A check of hostile bytes.
pub type Check = fn(&[u8]);

/// Every check, by the name of its target and of its folder in the corpus.
pub const CHECKS: [(&str, Check); 6] = [
    ("reports", reports),
    ("bodies", bodies),
    ("record", record),
    ("live", live),
    ("log_file", log),
    ("tally", tally),
];

/// A body of `POST /v1/reports`: parsed as the route does, and what passed the door goes on through the fleet to the
/// stored form.
pub fn reports(bytes: &[u8]) {
    let given = match parse_reports(bytes, NOW) {
        Ok(given) => given,
        Err(problem) => return sound_problem(&problem),
    };
    assert!(!given.single || given.reports.len() == 1, "one is one");
    let mut passed = Vec::new();
    let GivenReports { reports, .. } = given;
    for report in reports {
        match report {
            Ok(report) => passed.push(report),
            Err((_, problem)) => sound_problem(&problem),
        }
    }
    let sent = passed.len();
    let mut fleet = fleet();
    let command = Command::Reports {
        actor: somebody(),
        reports: passed,
    };
    let (answer, _) = carried_out(&mut fleet, command);
    assert!(
        matches!(&answer, Some(Answer::Reports(outcomes)) if outcomes.len() == sent),
        "an outcome for each report: {answer:?}"
    );
    for unit in fleet.units() {
        let status = fleet.status(unit.callsign(), fleet.latest());
        assert!(status.is_some(), "every unit can be shown");
    }
}

/// Bodies of routes. The first byte chooses: limits, a word on a card, copies of one, rundown or profile.
pub fn bodies(bytes: &[u8]) {
    let Some((which, body)) = bytes.split_first() else {
        return;
    };
    let command = match which {
        b'l' => parse_limits(body).map(|limits| Command::SetLimits(Box::new(limits))),
        b'c' => parse_card(body, somebody().name).map(|put| Command::PutCard { card: card(), put }),
        b'k' => parse_copies(body, NOW, somebody().name).map(|copied| Command::CopyCard {
            card: card(),
            copied: Box::new(copied),
        }),
        b'r' => parse_rundown(body),
        _ => parse_profile(body).map(|profile| Command::PutUnit {
            unit: callsign("BOW2"),
            profile: Box::new(profile),
        }),
    };
    match command {
        Ok(command) => {
            let mut fleet = fleet();
            carried_out(&mut fleet, command);
            carried_out(&mut fleet, Command::Tick);
        }
        Err(problem) => sound_problem(&problem),
    }
}

/// A stored value, as it lies on the disk, and as the payload of a value whose checksum is right: whatever can be read is
/// written again to a value that reads the same.
pub fn record(bytes: &[u8]) {
    // Raw bytes do not check out but by a miracle, and must be told apart without a panic.
    if let Ok(entry) = read_record(7, bytes) {
        written_again(&entry);
    }
    match read_record(7, &sealed(7, RECORD_VERSION, bytes)) {
        Ok(entry) => written_again(&entry),
        Err(BadRecord::Damaged(why)) => assert!(why.contains("cannot be read"), "{why}"),
        Err(BadRecord::Future(version)) => panic!("version {version} is not newer"),
    }
    let newer = read_record(7, &sealed(7, RECORD_VERSION + 1, bytes));
    assert_eq!(newer, Err(BadRecord::Future(RECORD_VERSION + 1)));
}

/// Messages of a live socket, one to a line: through the cursor, the board, the lines it prints, and its picture.
pub fn live(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let quiet = |json| Console::new(Box::new(io::sink()), Box::new(io::sink()), json);
    let (mut cursor, mut board, mut lines) =
        (Cursor::default(), Board::default(), Lines::default());
    let mut console = quiet(false);
    let mut now = Timestamp::from_second(1_781_342_045).unwrap_or_default();
    for line in text.lines().take(64) {
        now = now
            .saturating_add(SignedDuration::from_millis(700))
            .unwrap_or(now);
        let event = match serde_json::from_str::<LiveMessage>(line) {
            Ok(message) => {
                cursor.note(&message);
                let again = serde_json::to_string(&message).expect("a message is JSON");
                let again: LiveMessage =
                    serde_json::from_str(&again).expect("what was written can be read");
                assert_eq!(again, message, "nothing is lost by writing it down");
                LinkEvent::Message(Box::new(message))
            }
            Err(_) if line.is_empty() => LinkEvent::Lost {
                reason: "cut".to_owned(),
            },
            Err(_) => continue,
        };
        board.apply(&event, now);
        assert!(lines.take(&event, now, &mut console).is_ok());
        assert!(lines.tick(now, &mut console).is_ok());
        sound_board(&board);
    }
    assert!(cursor.path().starts_with("/v1/live"));
    let mut terminal = Terminal::new(TestBackend::new(80, 16)).expect("a picture in memory");
    let selected = board.open_calls().first().map(|call| call.id);
    let sight = Sight {
        selected,
        ..Sight::default()
    };
    let draw = |frame: &mut Frame<'_>| {
        board::draw(frame, &board, &sight, now);
    };
    terminal.draw(draw).expect("a picture in memory");
}

/// A recorded log, as a CSV and as JSON lines; and a rundown file, as the command prints it.
pub fn log(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let how = Reading {
        unit: "BOW2",
        gauge: "cc1",
        pack: None,
        step: None,
    };
    for rows in [
        log_file::csv(&text, &how),
        log_file::json_lines(&text, None),
    ]
    .into_iter()
    .flatten()
    {
        let rising = rows
            .windows(2)
            .all(|pair| pair[0].seconds <= pair[1].seconds);
        assert!(rising, "time does not run back");
        for row in rows {
            assert!(row.seconds >= 0.0, "{} s", row.seconds);
            log_file::later(Timestamp::MAX, row.seconds);
        }
    }
    if let Ok(rundown) = serde_json::from_str(&text) {
        running_order::rundown(&rundown);
    }
}

fn callsign(text: &str) -> Callsign {
    Callsign::new(text).expect("a callsign of ours")
}

fn card() -> Label {
    Label::new("C12").expect("a label of ours")
}

fn somebody() -> Actor {
    Actor {
        token: Uuid::nil(),
        name: PersonName::new("somebody").expect("a name of ours"),
        role: Role::Owner,
        units: Vec::new(),
    }
}

/// A hub that started a minute ago, with one unit.
fn fleet() -> Fleet {
    let mut fleet = Fleet::default();
    let stamp = Stamp {
        now: Millis(NOW.0 - 60_000),
        seed: 1,
    };
    let unit = callsign("BOW2");
    let profile = Box::new(Profile::default());
    fleet.execute(Command::Start, stamp);
    fleet.execute(Command::PutUnit { unit, profile }, stamp);
    fleet
}

/// Carries out a command; checks that what is to be stored can be, reads back the same, and folds to the same fleet.
fn carried_out(fleet: &mut Fleet, command: Command) -> (Option<Answer>, usize) {
    let mut fold = fleet.clone();
    let stamp = Stamp { now: NOW, seed: 2 };
    let Execution { entries, answer } = fleet.execute(command, stamp);
    for entry in &entries {
        let value = record_value(entry).expect("one record is small enough to be stored");
        let read = read_record(entry.seq, &value).expect("what was written can be read");
        assert_eq!(read, *entry, "nothing is lost on the disk");
        fold.apply(&read);
    }
    assert_eq!(fold, *fleet, "the fleet is the fold of what is stored");
    (answer.ok(), entries.len())
}

/// Whatever was read: written, read and written again it is the same. Bytes are compared, because a number on a damaged
/// disk may be none (NaN), which equals nothing, not even itself.
fn written_again(entry: &Entry) {
    let once = record_value(entry).expect("as large as what was read");
    let read = read_record(entry.seq, &once).expect("what was written can be read");
    let twice = record_value(&read).expect("as large as before");
    assert_eq!(once, twice, "{entry:?}");
}

/// An answer to bad input blames the sender and says what to do.
fn sound_problem(problem: &Problem) {
    assert!(problem.code().is_some(), "{problem:?}");
    assert!((400..500).contains(&problem.status), "{problem:?}");
    assert!(!problem.detail.is_empty(), "{problem:?}");
    for error in &problem.errors {
        // RFC 6901, section 3: empty, or begins with a slash.
        let pointer = &error.pointer;
        assert!(
            pointer.is_empty() || pointer.starts_with('/'),
            "{problem:?}"
        );
        assert!(!error.detail.is_empty(), "{problem:?}");
    }
}

/// What a board shows hangs together.
fn sound_board(board: &Board) {
    let units = board.units().count();
    assert_eq!(board.units_by_run_out().len(), units, "each unit once");
    for unit in board.units() {
        assert_eq!(board.unit_named(&unit.unit), Some(unit));
    }
    for call in board.open_calls() {
        assert_eq!(board.call(call.id), Some(call));
    }
}

/// Bytes of the tally port: as a datagram, and as a stream in one piece and in many. What is read is fit to be shown, and
/// how a stream was cut changes nothing.
pub fn tally(bytes: &[u8]) {
    sound_tally(&read_umd_datagram(bytes));
    let whole = UmdStream::default().take(bytes);
    let mut stream = UmdStream::default();
    let cut: Vec<_> = bytes
        .chunks(7)
        .flat_map(|piece| stream.take(piece))
        .collect();
    assert_eq!(whole, cut, "the cuts of a stream mean nothing");
    for read in &whole {
        sound_tally(read);
    }
}

fn sound_tally(read: &Result<Vec<UmdMessage>, UmdError>) {
    match read {
        Ok(messages) => {
            assert!(messages.len() <= UMD_PACKET_MAX / 6, "six bytes at least");
            for message in messages {
                assert!(!message.text.chars().any(char::is_control), "{message:?}");
                assert!(message.text.len() <= UMD_PACKET_MAX * 3, "{message:?}");
            }
        }
        Err(error) => assert!(error.to_string().len() < 100, "{error}"),
    }
}
