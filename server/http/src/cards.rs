//! The cards of the kit: their routes, the door in and the view out.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use swapcall_crew as crew;
use swapcall_crew::{
    CardCopied, CardPut, CardRisk, CardStep, Command, Label, Millis, Percent, PersonName, Pool,
    PoolCard, RiskKind,
};
use swapcall_wire as wire;
use swapcall_wire::{
    CardCopyView, CardLedger, CardRiskKind, CardRiskView, CardStepView, LabelText, LiveMessage,
    PoolCardList, PoolCardView, PostCopies, Problem, ProblemCode, PutCard,
};

use crate::App;
use crate::auth::{Read, Serve, SignedIn};
use crate::body::{JsonBody, parse};
use crate::door::{self, CAPACITY_MAX};
use crate::pool::{asked_for, gone, label};
use crate::problem::Failure;
use crate::view::moment;

/// Places that one offload copies to.
const PLACES_MAX: usize = 16;
/// Up to here every whole number is the same in every reader's arithmetic (RFC 8259, section 6).
const EXACT_MAX: u64 = (1 << 53) - 1;

/// The cards of the kit.
#[utoipa::path(
    get, path = "/v1/cards", tag = "kit",
    responses(
        (status = 200, description = "Every card, by label", body = PoolCardList),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_cards(State(app): State<App>, _: SignedIn<Read>) -> Json<PoolCardList> {
    let asked_for = asked_for(&app, |bringing| bringing.card.as_ref());
    let pool = Arc::clone(app.desk.published().pool());
    Json(PoolCardList {
        now: moment(app.desk.now()),
        cards: pool
            .cards()
            .map(|(label, card)| card_view(&pool, label, card, &asked_for))
            .collect(),
    })
}

/// One card, with its way so far.
#[utoipa::path(
    get, path = "/v1/cards/{card}", tag = "kit",
    params(("card" = inline(LabelText), Path, description = "Label of the card")),
    responses(
        (status = 200, description = "The card as it is now, and where it was before", body = CardLedger),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "No such card, or not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_card(
    State(app): State<App>,
    _: SignedIn<Read>,
    Path(card): Path<String>,
) -> Result<Json<CardLedger>, Failure> {
    let card = label(&card, "/card")?;
    let asked_for = asked_for(&app, |bringing| bringing.card.as_ref());
    let pool = Arc::clone(app.desk.published().pool());
    let Some(known) = pool.card(&card) else {
        let detail = format!("No card {card} is known. Register it with PUT /v1/cards/{card}.");
        return Err(Failure::new(ProblemCode::UnknownCard, detail));
    };
    Ok(Json(CardLedger {
        now: moment(app.desk.now()),
        card: card_view(&pool, &card, known, &asked_for),
        past: known.past.iter().map(step_view).collect(),
    }))
}

/// Register a card, or say where it is and what is on it.
///
/// Reports that name their cards move cards by themselves; everything else is said here. A card that may hold the only
/// copy of something becomes blank only with `despite_footage`.
#[utoipa::path(
    put, path = "/v1/cards/{card}", tag = "kit", request_body = PutCard,
    params(("card" = inline(LabelText), Path, description = "Label of the card")),
    responses(
        (status = 200, description = "The card as it is now", body = PoolCardView),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn put_card(
    State(app): State<App>,
    who: SignedIn<Serve>,
    Path(card): Path<String>,
    JsonBody(given): JsonBody<PutCard>,
) -> Result<Json<PoolCardView>, Failure> {
    let card = label(&card, "/card")?;
    let put = checked_card(&given, who.actor.name.clone())?;
    app.desk
        .submit(Command::PutCard {
            card: card.clone(),
            put,
        })
        .await?;
    view_of(&app, &card)
}

/// Tell what became of an offload of a card.
///
/// The card is safe when as many copies as are wanted (`GET /v1/limits`) are verified, at different places, and nothing
/// was recorded on it since reading began. A card that was not known is registered. The same `id` again changes nothing.
#[utoipa::path(
    post, path = "/v1/cards/{card}/copies", tag = "kit", request_body = PostCopies,
    params(("card" = inline(LabelText), Path, description = "Label of the card")),
    responses(
        (status = 200, description = "The card as it is now", body = PoolCardView),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_copies(
    State(app): State<App>,
    who: SignedIn<Serve>,
    Path(card): Path<String>,
    JsonBody(given): JsonBody<PostCopies>,
) -> Result<Json<PoolCardView>, Failure> {
    let card = label(&card, "/card")?;
    let copied = checked_copies(given, app.desk.now(), who.actor.name.clone())?;
    app.desk
        .submit(Command::CopyCard {
            card: card.clone(),
            copied: Box::new(copied),
        })
        .await?;
    view_of(&app, &card)
}

/// Takes the body of `POST /v1/cards/{card}/copies` apart: all that the route does before it asks the desk.
pub fn parse_copies(bytes: &[u8], now: Millis, who: PersonName) -> Result<CardCopied, Problem> {
    checked_copies(parse(bytes, "")?, now, who)
}

/// Takes the body of `PUT /v1/cards/{card}` apart: all that the route does before it asks the desk.
pub fn parse_card(bytes: &[u8], who: PersonName) -> Result<CardPut, Problem> {
    checked_card(&parse(bytes, "")?, who)
}

fn view_of(app: &App, card: &Label) -> Result<Json<PoolCardView>, Failure> {
    let asked_for = asked_for(app, |bringing| bringing.card.as_ref());
    let pool = Arc::clone(app.desk.published().pool());
    pool.card(card).map_or_else(
        || Err(gone(card)),
        |known| Ok(Json(card_view(&pool, card, known, &asked_for))),
    )
}

fn checked_copies(given: PostCopies, now: Millis, who: PersonName) -> Result<CardCopied, Problem> {
    if !(1..=PLACES_MAX).contains(&given.places.len()) {
        return Err(Problem::field(
            "/places",
            format!("must be 1 to {PLACES_MAX}"),
        ));
    }
    for (pointer, number) in [("/files", given.files), ("/bytes", given.bytes)] {
        if number > EXACT_MAX {
            return Err(Problem::field(
                pointer,
                format!("must be at most {EXACT_MAX}"),
            ));
        }
    }
    let mut places: Vec<(Label, bool)> = Vec::with_capacity(given.places.len());
    for (index, copy) in given.places.iter().enumerate() {
        let pointer = format!("/places/{index}/place");
        let place = label(&copy.place, &pointer)?;
        if places.iter().any(|(other, _)| *other == place) {
            return Err(Problem::field(
                &pointer,
                "must be another place than before",
            ));
        }
        places.push((place, copy.verified));
    }
    Ok(CardCopied {
        id: given.id,
        // A clock that is ahead must not make a copy newer than what is recorded after it.
        at: door::millis(given.at).min(now),
        files: given.files,
        bytes: given.bytes,
        algorithm: label(&given.algorithm, "/algorithm")?,
        places,
        trouble: door::remark(given.trouble, "/trouble")?,
        who: Some(who),
    })
}

fn checked_card(given: &PutCard, who: PersonName) -> Result<CardPut, Problem> {
    let fits = |bytes: &u64| (1..=CAPACITY_MAX).contains(bytes);
    if given
        .capacity_bytes
        .as_ref()
        .is_some_and(|bytes| !fits(bytes))
    {
        return Err(Problem::field(
            "/capacity_bytes",
            format!("must be 1 to {CAPACITY_MAX}"),
        ));
    }
    let state = match (given.state, &given.unit, &given.slot) {
        (Some(wire::CardState::InSlot), Some(unit), Some(slot)) => Some(crew::CardState::InSlot {
            unit: door::callsign(unit, "/unit")?,
            slot: door::slot_name(slot, "/slot")?,
        }),
        (Some(wire::CardState::InSlot), None, _) => {
            return Err(Problem::field("/unit", "must say which unit"));
        }
        (Some(wire::CardState::InSlot), ..) => {
            return Err(Problem::field("/slot", "must say which slot"));
        }
        (_, Some(_), _) => {
            return Err(Problem::field(
                "/unit",
                "goes with the state in_slot, and with no other",
            ));
        }
        (_, _, Some(_)) => {
            return Err(Problem::field(
                "/slot",
                "goes with the state in_slot, and with no other",
            ));
        }
        (Some(wire::CardState::Blank), ..) => Some(crew::CardState::Blank),
        (Some(wire::CardState::HoldingFootage), ..) => Some(crew::CardState::HoldingFootage),
        (Some(wire::CardState::Copying), ..) => Some(crew::CardState::Copying),
        (Some(wire::CardState::Safe), ..) => Some(crew::CardState::Safe),
        (Some(wire::CardState::OutOfService), ..) => Some(crew::CardState::OutOfService),
        (None, ..) => None,
    };
    Ok(CardPut {
        capacity_bytes: given.capacity_bytes,
        state,
        who: Some(who),
        despite: given.despite_footage,
    })
}

fn state_view(state: &crew::CardState) -> (wire::CardState, Option<String>, Option<String>) {
    match state {
        crew::CardState::InSlot { unit, slot } => (
            wire::CardState::InSlot,
            Some(unit.to_string()),
            Some(slot.to_string()),
        ),
        crew::CardState::Blank => (wire::CardState::Blank, None, None),
        crew::CardState::HoldingFootage => (wire::CardState::HoldingFootage, None, None),
        crew::CardState::Copying => (wire::CardState::Copying, None, None),
        crew::CardState::Safe => (wire::CardState::Safe, None, None),
        crew::CardState::OutOfService => (wire::CardState::OutOfService, None, None),
    }
}

fn step_view(step: &CardStep) -> CardStepView {
    let (state, unit, slot) = state_view(&step.state);
    CardStepView {
        at: moment(step.at),
        state,
        unit,
        slot,
        used_percent: step.used.map(Percent::value),
        verified_copies: count(step.verified_copies),
        risk: step.risk.as_ref().map(risk_kind),
        who: step.who.as_ref().map(ToString::to_string),
    }
}

fn risk_kind(kind: &RiskKind) -> CardRiskKind {
    match kind {
        RiskKind::FootageInSlot => CardRiskKind::FootageInSlot,
        RiskKind::FillDropped => CardRiskKind::FillDropped,
        RiskKind::TwoUnits { .. } => CardRiskKind::TwoUnits,
    }
}

fn card_view(
    pool: &Pool,
    label: &Label,
    card: &PoolCard,
    asked_for: &BTreeMap<Label, u64>,
) -> PoolCardView {
    let (state, unit, slot) = state_view(&card.state);
    let twin = card.twin.as_ref().and_then(|twin| pool.card(twin));
    PoolCardView {
        card: label.to_string(),
        capacity_bytes: card.capacity_bytes,
        state,
        unit,
        slot,
        since: moment(card.since),
        used_percent: card.used.map(Percent::value),
        who: card.who.as_ref().map(ToString::to_string),
        call: asked_for.get(label).copied(),
        copies: card.offloads.iter().flat_map(copies).collect(),
        verified_copies: count(card.verified_copies()),
        copies_wanted: count(pool.copies_wanted()),
        twin: card.twin.as_ref().map(ToString::to_string),
        twin_verified_copies: twin.map(|twin| count(twin.verified_copies())),
        risk: card
            .risk
            .as_ref()
            .map(|risk| risk_view(pool, label, card, risk)),
    }
}

fn copies(copied: &CardCopied) -> impl Iterator<Item = CardCopyView> {
    copied.places.iter().map(|(place, verified)| CardCopyView {
        at: moment(copied.at),
        place: place.to_string(),
        verified: *verified,
        algorithm: copied.algorithm.to_string(),
        files: copied.files,
        bytes: copied.bytes,
        who: copied.who.as_ref().map(ToString::to_string),
    })
}

fn risk_view(pool: &Pool, label: &Label, card: &PoolCard, risk: &CardRisk) -> CardRiskView {
    let other = match &risk.kind {
        RiskKind::TwoUnits { unit, slot } => Some((unit.to_string(), slot.to_string())),
        RiskKind::FootageInSlot | RiskKind::FillDropped => None,
    };
    let (other_unit, other_slot) = other.unzip();
    CardRiskView {
        card: label.to_string(),
        kind: risk_kind(&risk.kind),
        since: moment(risk.since),
        unit: risk.unit.to_string(),
        slot: risk.slot.to_string(),
        other_unit,
        other_slot,
        used_percent: risk.used.map(Percent::value),
        verified_copies: count(card.verified_copies()),
        copies_wanted: count(pool.copies_wanted()),
    }
}

/// What the live socket says of the kit.
pub(crate) fn live_kit(pool: &Pool) -> LiveMessage {
    let risks = pool.at_risk();
    LiveMessage::Kit {
        revision: pool.revision(),
        risks: risks
            .map(|(label, card, risk)| risk_view(pool, label, card, risk))
            .collect(),
    }
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
