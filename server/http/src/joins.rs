//! Join codes: a lead invites somebody, who comes in with a short code instead of a token that has to be copied.

use std::net::IpAddr;

use axum::Json;
use axum::extract::State;
use axum::http::{Extensions, HeaderMap, StatusCode};
use swapcall_crew::{Answer, Command, Join, Millis, Pass, Refusal, Span, Token};
use swapcall_desk::DeskError;
use swapcall_wire::{JoinCreated, NewJoin, Problem, ProblemCode, Redeem, TokenCreated};
use uuid::Uuid;

use crate::auth::{Invite, SignedIn, TokenText, our_page, unauthorized};
use crate::body::JsonBody;
use crate::guard::{Why, address_of};
use crate::joincode::JoinCode;
use crate::limits::{JOIN_MINUTES, JOIN_MINUTES_MAX};
use crate::problem::{Failure, too_many};
use crate::{App, door, link, tokens, view};

/// Invite somebody with a code.
///
/// The code works once, for ten minutes where nothing is said, and ends with the token or session it was made with. It is
/// for less than its maker may do: a lead invites carts and runners, an owner leads as well. The hub keeps a hash. The
/// QR code in the answer holds the link at the address by which this request came, so ask by one that the guest reaches
/// too.
#[utoipa::path(
    post, path = "/v1/joins", tag = "tokens",
    request_body = NewJoin,
    responses(
        (status = 201, description = "The code, shown this once", body = JoinCreated),
        (status = 429, description = "Too many requests; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was made", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn post_join(
    State(app): State<App>,
    who: SignedIn<Invite>,
    headers: HeaderMap,
    JsonBody(new): JsonBody<NewJoin>,
) -> Result<(StatusCode, Json<JoinCreated>), Failure> {
    let role = tokens::role(new.role);
    if role >= who.actor.role {
        return Err(Failure::new(
            ProblemCode::Forbidden,
            "A code is for less than its maker may do. Invite a cart or a runner, or ask the owner for a token.",
        ));
    }
    let minutes = new.minutes.unwrap_or(JOIN_MINUTES);
    if !(1..=JOIN_MINUTES_MAX).contains(&minutes) {
        let wrong = format!("must be 1 to {JOIN_MINUTES_MAX} minutes, not {minutes}");
        return Err(Problem::field("/minutes", wrong).into());
    }
    let code = JoinCode::new();
    let link = link::join_link(&code.reveal(), &app.encryption);
    // Before anything is made: a request without a usable Host leaves no code behind.
    let address = link::address_asked(&headers, app.encryption.keys().is_some())?;
    let qr_svg = link::qr_svg(&format!("{address}{link}"))?;
    let join = Join {
        id: Uuid::new_v4(),
        name: door::person(&new.name, "/name")?,
        role,
        units: tokens::units(new.role, &new.units)?,
        hash: code.hash(),
        maker: who.actor.token,
        expires: app.desk.now().plus(Span::seconds(i64::from(minutes) * 60)),
    };
    let expires_at = view::moment(join.expires);
    app.desk.submit(Command::MakeJoin(Box::new(join))).await?;
    let created = JoinCreated {
        code: code.reveal(),
        link,
        qr_svg,
        name: new.name,
        role: new.role,
        expires_at,
    };
    Ok((StatusCode::CREATED, Json(created)))
}

/// Trade a join code for a token of one's own.
///
/// For carts and command lines; a browser sends the code to `POST /v1/session`. Of several that bring the same code one
/// gets the token. Wrong codes are counted for their address and in all: then the answer is 429.
#[utoipa::path(
    post, path = "/v1/joins/redeem", tag = "tokens",
    request_body = Redeem, security(()),
    responses(
        (status = 201, description = "The token, shown this once", body = TokenCreated),
        (status = 429, description = "Too many wrong codes; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "The code does not work", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn redeem(
    State(app): State<App>,
    headers: HeaderMap,
    extensions: Extensions,
    JsonBody(redeem): JsonBody<Redeem>,
) -> Result<(StatusCode, Json<TokenCreated>), Failure> {
    our_page(&headers, &app)?;
    let text = TokenText::new();
    let address = address_of(&extensions);
    let token = use_code(&app, address, &redeem.code, pass(&text, None)).await?;
    let created = TokenCreated {
        token: text.reveal(),
        view: view::token(&token),
    };
    Ok((StatusCode::CREATED, Json(created)))
}

/// What a new token is called and checked by.
pub(crate) fn pass(text: &TokenText, expires: Option<Millis>) -> Pass {
    Pass {
        id: text.id(),
        hash: text.hash(),
        expires,
    }
}

/// Trades a code for the token it promises. An address that failed too often is not listened to, however good its code.
pub(crate) async fn use_code(
    app: &App,
    address: IpAddr,
    text: &str,
    pass: Pass,
) -> Result<Token, Failure> {
    crate::serving(app)?;
    let now_s = app.desk.clock().steady_s();
    let allowed = app.guard.try_code(address, now_s);
    allowed.map_err(|wait| too_many(app, wait))?;
    let Some(code) = JoinCode::parse(text) else {
        app.metrics.refused(Why::WrongCode);
        return Err(unauthorized(
            "This is no join code: it has ten letters, such as BCDFG-HJKLM. Type it again.",
        ));
    };
    let hash = code.hash();
    let answer = app.desk.submit(Command::UseJoin { hash, pass }).await;
    if let Err(DeskError::Refused(Refusal::UnknownJoin)) = answer {
        app.metrics.refused(Why::WrongCode);
    } else {
        app.guard.right_code(address);
    }
    match answer? {
        Answer::Joined(token) => Ok(*token),
        _ => Err(Failure::new(
            ProblemCode::Internal,
            "The desk answered something else. Ask for a new code.",
        )),
    }
}
