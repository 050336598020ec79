//! From errors to problem details (RFC 9457): one mapping, status and code from one table in `swapcall-wire`.

use axum::Json;
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use swapcall_crew::{PIECES_MAX, PoolRefusal, Refusal, Stands, UNDO_WITHIN};
use swapcall_desk::{DeskError, Phase};
use swapcall_wire::{Problem, ProblemCode};

use crate::App;
use crate::guard::{Wait, Why};
use crate::limits::{REPORTS, REQUESTS, SOCKETS_PER_TOKEN};

/// Seconds a client waits before it tries a busy hub again.
const TRY_AGAIN_S: u32 = 1;

/// An error answer. Can only be an error: its status comes from the problem's code.
#[derive(Debug)]
pub(crate) struct Failure(Box<Problem>);

impl Failure {
    pub(crate) fn new(code: ProblemCode, detail: impl Into<String>) -> Self {
        Problem::new(code, detail).into()
    }
}

impl Failure {
    /// The same problem, said about one report of a request.
    pub(crate) fn of_one(self, detail: &str) -> Problem {
        Problem {
            detail: detail.to_owned(),
            ..*self.0
        }
    }
}

impl From<Problem> for Failure {
    fn from(problem: Problem) -> Self {
        Self(Box::new(problem))
    }
}

impl From<Refusal> for Failure {
    fn from(refusal: Refusal) -> Self {
        refused(&refusal).into()
    }
}

impl From<DeskError> for Failure {
    fn from(error: DeskError) -> Self {
        match error {
            DeskError::Refused(refusal) => refusal.into(),
            DeskError::Busy => waiting(
                ProblemCode::Busy,
                "Too much waits to be written. Nothing of this request was stored; send it again.",
            ),
            DeskError::NotServing(phase) => not_serving(&phase),
        }
    }
}

/// Somebody asks too often; counted by its reason.
pub(crate) fn too_many(app: &App, wait: Wait) -> Failure {
    app.metrics.refused(wait.why);
    let what = match wait.why {
        Why::Requests => format!(
            "This token sends more than {} requests a second.",
            REQUESTS.per_s
        ),
        Why::Reports => format!(
            "This token sends more than {} reports a second.",
            REPORTS.per_s
        ),
        Why::Sockets => format!(
            "{SOCKETS_PER_TOKEN} live sockets are open with this token. Close some screens, or use another token."
        ),
        Why::Codes => "Too many wrong join codes were tried. Sign in with a token, or wait.".to_owned(),
        Why::Address | Why::WrongToken | Why::WrongCode => {
            "Too many wrong tokens or codes came from this address. Look for a mistake in yours; tokens that work are \
             taken all the while."
                .to_owned()
        }
    };
    let mut problem = Problem::new(
        ProblemCode::TooManyRequests,
        format!(
            "{what} Nothing was stored; try again after {} s.",
            wait.seconds
        ),
    );
    problem.retry_after_s = Some(wait.seconds);
    problem.into()
}

/// There is no room for what is asked, for the moment.
pub(crate) fn waiting(code: ProblemCode, detail: impl Into<String>) -> Failure {
    let mut problem = Problem::new(code, detail);
    problem.retry_after_s = Some(TRY_AGAIN_S);
    problem.into()
}

/// The hub takes no commands in this phase.
pub(crate) fn not_serving(phase: &Phase) -> Failure {
    let code = match phase {
        Phase::Failed(fault) if fault.full => ProblemCode::StorageFull,
        _ => ProblemCode::NotReady,
    };
    waiting(code, why_not(phase))
}

/// The same for whoever asks whether the hub is ready.
pub(crate) fn not_ready(phase: &Phase) -> Failure {
    waiting(ProblemCode::NotReady, why_not(phase))
}

fn why_not(phase: &Phase) -> String {
    match phase {
        Phase::Failed(fault) => format!(
            "The hub cannot take this: {}. Nothing of this request was stored; send it again later.",
            fault.why
        ),
        other => format!(
            "The hub is {}. Nothing of this request was stored; send it again.",
            other.name()
        ),
    }
}

/// What to say about a refusal, and what to do next.
pub(crate) fn refused(refusal: &Refusal) -> Problem {
    match refusal {
        Refusal::UnknownUnit(unit) => Problem::new(
            ProblemCode::UnknownUnit,
            format!(
                "There is no unit {unit}. Check the callsign, or register it first: PUT /v1/units/{unit} with {{}}."
            ),
        ),
        Refusal::UnknownCall => Problem::new(
            ProblemCode::UnknownCall,
            "There is no such call, or it ended too long ago. GET /v1/calls lists the open ones.",
        ),
        Refusal::UnknownToken => Problem::new(
            ProblemCode::UnknownToken,
            "There is no such token or sign-in. GET /v1/people lists what there is.",
        ),
        Refusal::UnknownJoin => Problem::new(
            ProblemCode::Unauthorized,
            "This code does not work: it was mistyped, used already, or has come to its end. Ask for a new one.",
        ),
        Refusal::AlreadyClaimed(who) => {
            let mut problem = Problem::new(
                ProblemCode::AlreadyClaimed,
                format!("{who} has this call already."),
            );
            problem.claimed_by = Some(who.to_string());
            problem
        }
        Refusal::CallEnded(why) => Problem::new(
            ProblemCode::CallEnded,
            format!("This call has ended ({why}). There is nothing left to do for it."),
        ),
        Refusal::NotYourClaim(who) => {
            let mut problem = Problem::new(
                ProblemCode::NotYourClaim,
                "Somebody else has this call. They hand it back, or a lead does.",
            );
            problem.claimed_by = who.as_ref().map(ToString::to_string);
            problem
        }
        Refusal::CannotUndo(why) => Problem::new(ProblemCode::CannotUndo, why_it_stands(why)),
        Refusal::ForeignUnit(unit) => Problem::new(
            ProblemCode::Forbidden,
            format!(
                "This token may not report for unit {unit}. Use the token made for it, or ask the owner for one."
            ),
        ),
        Refusal::EmptyReport => Problem::new(
            ProblemCode::EmptyReport,
            "A report needs at least one of battery, cards, mode. Add what you know.",
        ),
        Refusal::ImplausibleTime(why) => Problem::field("/at", why.as_str()),
        Refusal::RundownChanged(now) => Problem::new(
            ProblemCode::RundownChanged,
            format!(
                "Somebody else changed the rundown since it was read: it is at revision {now} now. GET /v1/rundown, look at it, and send your change again with its revision; without a revision it replaces whatever there is."
            ),
        ),
        Refusal::LimitReached(what) => {
            Problem::new(ProblemCode::LimitReached, format!("Limit reached: {what}."))
        }
        Refusal::Pool(why) => not_moved(why),
        Refusal::LastOwner => Problem::new(
            ProblemCode::LastOwner,
            "Without an owner token nobody could make tokens any more. Make another owner token first.",
        ),
    }
}

/// Why a piece of the kit was not moved.
fn not_moved(why: &PoolRefusal) -> Problem {
    match why {
        PoolRefusal::TooMany => Problem::new(
            ProblemCode::LimitReached,
            format!("Limit reached: a hub takes {PIECES_MAX} packs and as many cards."),
        ),
        PoolRefusal::HoldsFootage(card) => Problem::new(
            ProblemCode::CardHoldsFootage,
            format!(
                "Card {card} still holds footage that is not copied and verified. Copy it first; if it may go all the \
                 same, say so with despite_footage."
            ),
        ),
        PoolRefusal::CopiedTooSeldom {
            card,
            verified,
            wanted,
        } => Problem::new(
            ProblemCode::CardHoldsFootage,
            format!(
                "{verified} of the {wanted} copies wanted of card {card} are verified. Copy it again; if it is safe all the                  same, say so with despite_footage."
            ),
        ),
    }
}

/// Why a done stands, and what to do instead.
fn why_it_stands(why: &Stands) -> String {
    match why {
        Stands::NotSaid(reason) => format!(
            "Nobody said that this call is done; it ended by itself ({reason}). There is nothing to take back: while \
             the unit needs somebody, it is called for anew."
        ),
        Stands::TooLate => format!(
            "A done can be taken back for {} s, and until the unit is called for anew; that is over. If nothing was \
             swapped, report what the unit shows: it is called for again when it presses.",
            UNDO_WITHIN.as_seconds()
        ),
        Stands::SaidBy(who) => {
            format!("{who} said that this call is done. They take it back, or a lead does.")
        }
        Stands::Newer(number) => format!(
            "Call {number} is about the same unit and has taken its place. Go on with call {number}."
        ),
    }
}

impl IntoResponse for Failure {
    fn into_response(self) -> Response {
        let problem = self.0;
        let status =
            StatusCode::from_u16(problem.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let retry_after = problem.retry_after_s;
        let challenge = match problem.code() {
            Some(ProblemCode::Unauthorized) => Some("Bearer error=\"invalid_token\""),
            Some(ProblemCode::Forbidden) => Some("Bearer error=\"insufficient_scope\""),
            _ => None,
        };
        let mut response = (status, Json(problem)).into_response();
        let headers = response.headers_mut();
        let mut set = |name: HeaderName, value: HeaderValue| {
            headers.insert(name, value);
        };
        set(
            header::CONTENT_TYPE,
            HeaderValue::from_static("application/problem+json"),
        );
        if let Some(seconds) = retry_after {
            set(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        if let Some(challenge) = challenge {
            // RFC 6750, section 3.
            set(
                header::WWW_AUTHENTICATE,
                HeaderValue::from_static(challenge),
            );
        }
        response
    }
}
