//! Tokens and sessions: who may do what, and what ends with what.

use super::*;
use crate::{Action, Token, TokenHash};

fn token(id: u128, role: Role, parent: Option<u128>) -> Token {
    Token {
        id: Uuid::from_u128(id),
        name: person("Somebody"),
        role,
        units: Vec::new(),
        hash: TokenHash([7; 32]),
        created: DAWN,
        expires: None,
        parent: parent.map(Uuid::from_u128),
    }
}

fn add(stage: &mut Stage, token: Token) -> Result<Answer, Refusal> {
    stage.execute(Command::AddToken(Box::new(token))).answer
}

fn revoke(stage: &mut Stage, id: u128) -> Result<Answer, Refusal> {
    let id = Uuid::from_u128(id);
    stage.execute(Command::RevokeToken { id }).answer
}

#[test]
fn each_role_includes_the_ones_before_it() {
    use Action::{Arrange, Invite, People, Read, Report, Serve, ServeForOthers, Tokens};
    let actions = [
        Report,
        Read,
        Serve,
        ServeForOthers,
        Arrange,
        Invite,
        People,
        Tokens,
    ];
    let may = |role: Role| actions.into_iter().take_while(|one| role.may(*one)).count();
    assert_eq!(
        [Role::Cart, Role::Runner, Role::Lead, Role::Owner].map(may),
        [2, 3, 7, 8]
    );
    let all = |role: Role| actions.into_iter().filter(|one| role.may(*one)).count();
    assert_eq!([Role::Cart, Role::Runner, Role::Lead].map(all), [2, 3, 7]);
}

#[test]
fn a_lead_looks_after_those_below_and_an_owner_after_everybody() {
    let all = [Role::Cart, Role::Runner, Role::Lead, Role::Owner];
    let of = |role: Role| all.map(|other| role.looks_after(other));
    assert_eq!(of(Role::Cart), [false; 4]);
    assert_eq!(of(Role::Runner), [false; 4]);
    assert_eq!(of(Role::Lead), [true, true, false, false]);
    assert_eq!(of(Role::Owner), [true; 4]);
}

#[test]
fn the_last_owner_stays_and_sessions_go_with_their_token() {
    let mut stage = Stage::with(&[]);
    assert!(add(&mut stage, token(1, Role::Owner, None)).is_ok());
    assert!(add(&mut stage, token(2, Role::Owner, Some(1))).is_ok());
    assert_eq!(
        revoke(&mut stage, 1),
        Err(Refusal::LastOwner),
        "a session is no owner"
    );
    assert!(add(&mut stage, token(3, Role::Owner, None)).is_ok());
    assert!(revoke(&mut stage, 1).is_ok());
    assert_eq!(stage.fleet.tokens().count(), 1, "its session went with it");
    assert_eq!(revoke(&mut stage, 1), Err(Refusal::UnknownToken));
    assert_eq!(revoke(&mut stage, 3), Err(Refusal::LastOwner));
    stage.assert_is_fold();
}

#[test]
fn a_token_ends_at_its_instant_by_a_record() {
    let mut stage = Stage::with(&[]);
    let mut session = token(1, Role::Runner, None);
    session.expires = Some(DAWN.plus(Span::seconds(60)));
    assert!(add(&mut stage, session).is_ok());
    stage.now = DAWN.plus(Span(59_999));
    assert_eq!(stage.tick(), []);
    stage.now = DAWN.plus(Span(60_000));
    let ended = stage.tick();
    assert!(matches!(
        ended[..],
        [Entry {
            record: Record::TokenRevoked { .. },
            ..
        }]
    ));
    assert_eq!(stage.fleet.tokens().count(), 0);
}

#[test]
fn a_cart_reports_for_its_own_units_only() {
    let mut stage = Stage::with(&["BOW2", "STERN"]);
    let mut own = token(1, Role::Cart, None);
    own.units = vec![callsign("BOW2")];
    let actor = Actor::from(&own);
    assert!(add(&mut stage, own).is_ok());
    let now = stage.now;
    let reports = ["STERN", "BOW2", "NOBODY"]
        .iter()
        .zip(1..)
        .map(|(unit, id)| Seen::of(unit).battery(50.0).at(now).sent(now).id(id).0)
        .collect();
    let answer = stage.execute(Command::Reports { actor, reports }).answer;
    let Ok(Answer::Reports(outcomes)) = answer else {
        panic!("one outcome each");
    };
    assert_eq!(
        outcomes[0],
        ReportOutcome::Refused(Refusal::ForeignUnit(callsign("STERN")))
    );
    assert!(
        matches!(outcomes[1], ReportOutcome::Accepted(_)),
        "nothing else is lost"
    );
    assert_eq!(
        outcomes[2],
        ReportOutcome::Refused(Refusal::UnknownUnit(callsign("NOBODY")))
    );
    let mut foreign = token(2, Role::Cart, None);
    foreign.units = vec![callsign("NOBODY")];
    assert_eq!(
        add(&mut stage, foreign),
        Err(Refusal::UnknownUnit(callsign("NOBODY")))
    );
}
