//! Join codes: made, used once, over in time, gone with their maker.

use super::*;
use crate::{JOINS_MAX, Join, Pass, SESSIONS_MAX, Token, TokenHash};

const MAKER: u128 = 1;

fn token(id: u128, role: Role, parent: Option<u128>) -> Token {
    Token {
        id: Uuid::from_u128(id),
        name: person("Mia"),
        role,
        units: Vec::new(),
        hash: TokenHash([7; 32]),
        created: DAWN,
        expires: None,
        parent: parent.map(Uuid::from_u128),
    }
}

fn with_maker() -> Stage {
    let mut stage = Stage::with(&["BOW2"]);
    for made in [token(90, Role::Owner, None), token(MAKER, Role::Lead, None)] {
        let added = stage.execute(Command::AddToken(Box::new(made)));
        assert!(added.answer.is_ok());
    }
    stage
}

/// A code whose hash is the byte `id` again and again; good for ten minutes.
fn join(id: u8, now: Millis) -> Join {
    Join {
        id: Uuid::from_u128(u128::from(id)),
        name: person("Ana"),
        role: Role::Cart,
        units: vec![callsign("BOW2")],
        hash: TokenHash([id; 32]),
        maker: Uuid::from_u128(MAKER),
        expires: now.plus(Span::seconds(600)),
    }
}

fn make(stage: &mut Stage, join: Join) -> Result<Answer, Refusal> {
    stage.execute(Command::MakeJoin(Box::new(join))).answer
}

fn bring(stage: &mut Stage, code: u8, token: u128, expires: Option<Millis>) -> Execution {
    let pass = Pass {
        id: Uuid::from_u128(token),
        hash: TokenHash([9; 32]),
        expires,
    };
    let hash = TokenHash([code; 32]);
    stage.execute(Command::UseJoin { hash, pass })
}

#[test]
fn a_code_gives_one_token_as_it_was_promised() {
    let mut stage = with_maker();
    let now = stage.now;
    assert_eq!(make(&mut stage, join(5, now)), Ok(Answer::Done));
    assert_eq!(
        bring(&mut stage, 6, 50, None).answer,
        Err(Refusal::UnknownJoin)
    );
    let Ok(Answer::Joined(token)) = bring(&mut stage, 5, 50, None).answer else {
        panic!("the code was good");
    };
    assert_eq!(
        (token.id, token.parent, token.expires),
        (Uuid::from_u128(50), None, None)
    );
    assert_eq!(
        (token.role, &token.units),
        (Role::Cart, &vec![callsign("BOW2")])
    );
    assert_eq!(stage.fleet.token(token.id), Some(token.as_ref()));
    let again = bring(&mut stage, 5, 51, None);
    assert_eq!(
        (again.answer, again.entries),
        (Err(Refusal::UnknownJoin), vec![]),
        "used once"
    );
    stage.assert_is_fold();
}

#[test]
fn a_browser_gets_a_session_that_can_be_signed_out_and_ends() {
    let mut stage = with_maker();
    let now = stage.now;
    assert!(make(&mut stage, join(5, now)).is_ok());
    let ends = now.plus(Span::seconds(3600));
    let Ok(Answer::Joined(token)) = bring(&mut stage, 5, 50, Some(ends)).answer else {
        panic!("the code was good");
    };
    assert_eq!(
        (token.parent, token.expires),
        (Some(Uuid::from_u128(5)), Some(ends))
    );
    let id = Uuid::from_u128(MAKER);
    assert!(stage.execute(Command::RevokeToken { id }).answer.is_ok());
    assert!(stage.fleet.token(token.id).is_some(), "who is in stays in");
    stage.now = ends;
    stage.tick();
    assert_eq!(stage.fleet.token(token.id), None);
    stage.assert_is_fold();
}

#[test]
fn a_code_ends_at_its_instant_even_before_the_tick_and_then_is_forgotten_by_a_record() {
    let mut stage = with_maker();
    let now = stage.now;
    assert!(make(&mut stage, join(5, now)).is_ok());
    assert!(make(&mut stage, join(6, now)).is_ok());
    stage.now = now.plus(Span(599_999));
    assert!(
        bring(&mut stage, 5, 50, None).answer.is_ok(),
        "the last moment counts"
    );
    stage.now = now.plus(Span(600_000));
    assert_eq!(
        bring(&mut stage, 6, 51, None).answer,
        Err(Refusal::UnknownJoin)
    );
    assert_eq!(stage.fleet.joins().count(), 1);
    let over = stage.tick();
    assert!(
        over.iter()
            .any(|entry| matches!(entry.record, Record::JoinExpired { .. })),
        "{over:?}"
    );
    assert_eq!(stage.fleet.joins().count(), 0);
    stage.assert_is_fold();
}

#[test]
fn a_code_ends_with_its_makers_token_or_with_the_session_it_was_made_in() {
    let mut stage = with_maker();
    let now = stage.now;
    let session = token(2, Role::Lead, Some(MAKER));
    assert!(
        stage
            .execute(Command::AddToken(Box::new(session)))
            .answer
            .is_ok()
    );
    let mut in_session = join(6, now);
    in_session.maker = Uuid::from_u128(2);
    assert!(make(&mut stage, join(5, now)).is_ok() && make(&mut stage, in_session).is_ok());
    let id = Uuid::from_u128(MAKER);
    assert!(stage.execute(Command::RevokeToken { id }).answer.is_ok());
    assert_eq!(stage.fleet.joins().count(), 0);
    for code in [5, 6] {
        assert_eq!(
            bring(&mut stage, code, 50, None).answer,
            Err(Refusal::UnknownJoin)
        );
    }
    assert_eq!(
        make(&mut stage, join(7, now)),
        Err(Refusal::UnknownToken),
        "nor can it make one"
    );
    stage.assert_is_fold();
}

#[test]
fn so_many_codes_are_open_and_no_more_and_one_used_makes_room() {
    let mut stage = with_maker();
    let now = stage.now;
    for code in 0..JOINS_MAX as u8 {
        assert_eq!(make(&mut stage, join(code, now)), Ok(Answer::Done));
    }
    let refused = make(&mut stage, join(200, now));
    assert!(
        matches!(refused, Err(Refusal::LimitReached(_))),
        "{refused:?}"
    );
    assert!(bring(&mut stage, 3, 50, None).answer.is_ok());
    assert!(make(&mut stage, join(200, now)).is_ok());
    let mut stranger = join(201, now);
    stranger.units = vec![callsign("NOBODY")];
    let unknown = Refusal::UnknownUnit(callsign("NOBODY"));
    assert_eq!(make(&mut stage, stranger), Err(unknown));
}

#[test]
fn one_token_has_so_many_sessions_and_no_more() {
    let mut stage = with_maker();
    let mut add = |id: u128, parent| {
        let session = Box::new(token(id, Role::Lead, Some(parent)));
        stage.execute(Command::AddToken(session)).answer
    };
    for id in 0..SESSIONS_MAX as u128 {
        assert!(add(1000 + id, MAKER).is_ok());
    }
    assert!(matches!(add(2000, MAKER), Err(Refusal::LimitReached(_))));
    assert!(add(2001, 90).is_ok(), "another token is not in the way");
}
