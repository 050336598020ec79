//! Every message has an example file; each is read into its type and written back without a difference. The screens and
//! the command line are tested against the same files.

use std::collections::BTreeSet;
use std::path::PathBuf;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use swapcall_wire::{
    CallList, CallState, CallView, CardLedger, ClaimRequest, CloseCode, DoneRequest, Fleet,
    Forecasts, History, JoinCreated, LimitsDocument, LimitsView, LiveMessage, NewJoin, NewToken,
    PackView, PeopleList, PoolCardList, PoolPackList, PostCopies, Problem, ProblemCode, PutCard,
    PutPack, Redeem, Report, ReportAnswer, ReportBatch, Role, Rundown, Session, Shows, SignIn,
    Source, TallySignals, TallyTaken, TokenCreated, TokenList, UndoRequest, UnitProfile, UnitView,
};

fn folder() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/examples"))
}

fn text(name: &str) -> String {
    std::fs::read_to_string(folder().join(format!("{name}.json")))
        .unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// Reads an example and writes it back.
fn check<T: DeserializeOwned + Serialize>(name: &str) -> T {
    let read: T =
        serde_json::from_str(&text(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
    let expected: Value = serde_json::from_str(&text(name)).expect("JSON");
    assert_eq!(
        serde_json::to_value(&read).expect("a message is JSON"),
        expected,
        "{name} does not come back as it was"
    );
    read
}

/// Every example and the type it is of.
fn check_all() -> Vec<&'static str> {
    macro_rules! examples {
        ($($name:literal: $kind:ty),* $(,)?) => {{
            $(check::<$kind>($name);)*
            vec![$($name),*]
        }};
    }
    examples! {
        "call": CallView, "call_ended": CallView, "call_undone": CallView, "call_list": CallList, "card_ledger": CardLedger, "claim": ClaimRequest, "done": DoneRequest,
        "fleet": Fleet, "forecasts": Forecasts, "history": History, "join_created": JoinCreated, "limits": LimitsDocument,
        "limits_view": LimitsView, "new_join": NewJoin, "redeem": Redeem, "sign_in_join": SignIn,
        "live_aged": LiveMessage, "live_bye": LiveMessage, "live_call": LiveMessage, "live_caught_up": LiveMessage, "live_kit": LiveMessage,
        "live_heartbeat": LiveMessage, "live_hello": LiveMessage, "live_unit": LiveMessage, "new_token": NewToken,
        "pack": PackView, "people_list": PeopleList, "pool_card_list": PoolCardList, "pool_pack_list": PoolPackList, "post_copies": PostCopies,
        "put_card": PutCard, "put_pack": PutPack,
        "problem": Problem, "problem_already_claimed": Problem, "problem_busy": Problem, "problem_cannot_undo": Problem,
        "problem_request_timeout": Problem, "problem_too_many_requests": Problem, "report": Report,
        "report_answer": ReportAnswer, "report_batch": ReportBatch, "report_typed": Report, "rundown": Rundown,
        "session": Session, "shows": Shows, "sign_in": SignIn, "token_created": TokenCreated, "token_list": TokenList,
        "tally_signals": TallySignals, "tally_taken": TallyTaken,
        "undo": UndoRequest, "unit": UnitView,
        "unit_profile": UnitProfile,
    }
}

#[test]
fn every_example_comes_back_as_it_was() {
    let checked: BTreeSet<String> = check_all().into_iter().map(str::to_owned).collect();
    let there: BTreeSet<String> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| {
            entry
                .unwrap()
                .path()
                .file_stem()
                .unwrap()
                .to_str()
                .unwrap()
                .to_owned()
        })
        .collect();
    assert_eq!(
        checked, there,
        "every example file is checked, and every message has one"
    );
}

#[test]
fn a_report_needs_only_unit_and_time_to_be_read() {
    let report: Report =
        serde_json::from_str(r#"{"unit":"BOW2","at":"2026-06-13T09:14:05Z"}"#).unwrap();
    assert_eq!(
        (report.source, report.id, report.mode),
        (Source::Cart, None, None)
    );
}

#[test]
fn misspelt_input_is_refused_and_unknown_output_is_not() {
    let misspelt = text("report").replacen("\"battery\"", "\"batery\"", 1);
    let error = serde_json::from_str::<Report>(&misspelt)
        .unwrap_err()
        .to_string();
    assert!(error.contains("unknown field `batery`"), "{error}");
    let newer_hub = text("unit").replacen('{', "{\"something_new\": 1,", 1);
    serde_json::from_str::<UnitView>(&newer_hub)
        .expect("an older client must go on with a newer hub");
}

#[test]
fn times_without_an_offset_are_refused() {
    for time in [
        "2026-06-13T09:14:05",
        "2026-06-13",
        "09:14",
        "yesterday",
        "1781342045",
    ] {
        let report = format!(r#"{{"unit":"BOW2","at":"{time}"}}"#);
        serde_json::from_str::<Report>(&report).expect_err(time);
    }
    let report: Report =
        serde_json::from_str(r#"{"unit":"BOW2","at":"2026-06-13T11:14:05+02:00"}"#).unwrap();
    assert_eq!(
        serde_json::to_value(&report).unwrap()["at"],
        "2026-06-13T09:14:05Z",
        "written in UTC with Z"
    );
}

#[test]
fn every_problem_code_has_a_name_a_status_and_its_way_back() {
    let names: BTreeSet<_> = ProblemCode::ALL.iter().map(|code| code.name()).collect();
    assert_eq!(names.len(), ProblemCode::ALL.len(), "no name twice");
    for code in ProblemCode::ALL {
        assert!((400..600).contains(&code.status()), "{code:?} is an error");
        assert!(!code.title().is_empty());
        let problem = Problem::new(code, "what happened and what to do");
        assert_eq!(problem.code(), Some(code));
        assert_eq!(
            serde_json::to_value(code).unwrap(),
            code.name(),
            "one spelling everywhere"
        );
    }
    let unknown = Problem {
        kind: "about:blank".to_owned(),
        ..Problem::new(ProblemCode::Internal, "x")
    };
    assert_eq!(unknown.code(), None);
}

#[test]
fn a_field_problem_points_at_the_member() {
    let problem: Problem = check("problem");
    assert_eq!(
        problem,
        Problem::field("/battery/percent", "must be 0 to 100, not 130")
    );
}

#[test]
fn roles_are_ordered_by_what_they_may_do() {
    assert!(Role::Cart < Role::Runner && Role::Runner < Role::Lead && Role::Lead < Role::Owner);
    assert!(serde_json::from_str::<Role>("\"king\"").is_err());
}

#[test]
fn close_codes_are_distinct_and_their_reasons_fit_a_frame() {
    use CloseCode::{NoPong, Restart, SignedOut, TooLarge, TooSlow, Unexpected};
    let codes = [Restart, TooLarge, TooSlow, NoPong, SignedOut, Unexpected];
    let numbers: BTreeSet<_> = codes.iter().map(|code| code.code()).collect();
    assert_eq!(numbers.len(), codes.len());
    // RFC 6455, section 5.5: a control frame carries 125 bytes, two of them the code.
    assert!(codes.iter().all(|code| code.reason().len() <= 123));
}

#[test]
fn the_life_of_a_call_is_spelt_as_in_the_documents() {
    let spelt = |state: CallState| serde_json::to_value(state).unwrap();
    assert_eq!(spelt(CallState::Open), "open");
    assert_eq!(spelt(CallState::Claimed), "claimed");
    assert_eq!(spelt(CallState::Done), "done");
    assert_eq!(spelt(CallState::Withdrawn), "withdrawn");
    assert_eq!(spelt(CallState::Missed), "missed");
}

#[test]
fn a_window_is_for_the_whole_fleet_unless_it_says_for_whom_and_no_misspelling_makes_it_so() {
    let read = |rest: &str| {
        serde_json::from_str::<Rundown>(&format!(
            r#"{{"windows":[{{"start":"2026-06-13T09:00:00Z","length_s":90,"kind":"held"{rest}}}]}}"#
        ))
    };
    let window = read("").unwrap().windows.remove(0);
    assert!(window.units.is_empty() && window.groups.is_empty() && window.spread_s.is_none());
    for wrong in [r#","unit":["BOW2"]"#, r#","kind":"held""#, r#","length":1"#] {
        read(wrong).expect_err(wrong);
    }
    serde_json::from_str::<Rundown>("{}").expect_err("an empty body must not clear the rundown");
}
