//! Shows: their route, the door in and the view out.

use axum::Json;
use axum::extract::State;
use swapcall_crew as crew;
use swapcall_crew::{Command, Label, ShowsError};
use swapcall_wire as wire;
use swapcall_wire::Problem;

use crate::App;
use crate::auth::{Arrange, Read, SignedIn};
use crate::body::JsonBody;
use crate::door;
use crate::problem::Failure;
use crate::view::moment;

/// The shows.
#[utoipa::path(
    get, path = "/v1/shows", tag = "shows",
    responses(
        (status = 200, description = "The shows as set", body = wire::Shows),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_shows(
    State(app): State<App>,
    _: SignedIn<Read>,
) -> Result<Json<wire::Shows>, Failure> {
    let shows = app.desk.published().shows().clone();
    Ok(Json(view(&shows)))
}

/// Replace the shows.
///
/// The whole list; an empty one clears it. Safe to repeat.
#[utoipa::path(
    put, path = "/v1/shows", tag = "shows",
    request_body = wire::Shows,
    responses(
        (status = 200, description = "The shows as set", body = wire::Shows),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn put_shows(
    State(app): State<App>,
    _: SignedIn<Arrange>,
    JsonBody(given): JsonBody<wire::Shows>,
) -> Result<Json<wire::Shows>, Failure> {
    let shows = checked(&given)?;
    app.desk.submit(Command::SetShows(shows)).await?;
    let shows = app.desk.published().shows().clone();
    Ok(Json(view(&shows)))
}

fn checked(given: &wire::Shows) -> Result<crew::Shows, Problem> {
    // What is too long is refused before each name in it is looked at.
    if given.shows.len() > crew::SHOWS_MAX {
        let error = ShowsError::TooMany(given.shows.len());
        return Err(Problem::field("/shows", error.to_string()));
    }
    let show = |(index, given): (usize, &wire::Show)| {
        let name = Label::new(&given.name)
            .map_err(|error| Problem::field(format!("/shows/{index}/name"), error.to_string()))?;
        Ok(crew::Show {
            name,
            from: door::millis(given.start),
            to: door::millis(given.end),
            kept_whole: given.kept_whole,
        })
    };
    let shows: Vec<crew::Show> = given
        .shows
        .iter()
        .enumerate()
        .map(show)
        .collect::<Result<_, Problem>>()?;
    crew::Shows::new(shows).map_err(|error| {
        let pointer = match error {
            ShowsError::TooMany(_) => "/shows".to_owned(),
            ShowsError::End(index) => format!("/shows/{index}/end"),
            ShowsError::SameName(index) => format!("/shows/{index}/name"),
        };
        Problem::field(pointer, error.to_string())
    })
}

fn view(shows: &crew::Shows) -> wire::Shows {
    let show = |show: &crew::Show| wire::Show {
        name: show.name.to_string(),
        start: moment(show.from),
        end: moment(show.to),
        kept_whole: show.kept_whole,
    };
    wire::Shows {
        shows: shows.each().iter().map(show).collect(),
    }
}
