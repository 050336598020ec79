//! The rundown: its route, the door in and the view out.

use axum::Json;
use axum::extract::State;
use swapcall_crew as crew;
use swapcall_crew::{Command, Label, RundownError, Span, WindowEnd, WindowError};
use swapcall_wire as wire;
use swapcall_wire::Problem;

use crate::App;
use crate::auth::{Arrange, Read, SignedIn};
use crate::body::{JsonBytes, parse};
use crate::door;
use crate::problem::Failure;
use crate::view::moment;

/// The rundown.
#[utoipa::path(
    get, path = "/v1/rundown", tag = "rundown",
    responses(
        (status = 200, description = "The windows as set", body = wire::Rundown),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_rundown(
    State(app): State<App>,
    _: SignedIn<Read>,
) -> Result<Json<wire::Rundown>, Failure> {
    Ok(Json(current(&app)))
}

/// Replace the rundown.
///
/// The whole list; an empty one clears it. Every unit's view changes with it. With the `revision` that was read it is
/// taken only if nobody changed the rundown since; without one it is safe to repeat.
#[utoipa::path(
    put, path = "/v1/rundown", tag = "rundown",
    request_body = wire::Rundown,
    responses(
        (status = 200, description = "The windows as set", body = wire::Rundown),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = 409, description = "Somebody else changed the rundown since it was read: nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Nothing was changed", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn put_rundown(
    State(app): State<App>,
    _: SignedIn<Arrange>,
    JsonBytes(bytes): JsonBytes,
) -> Result<Json<wire::Rundown>, Failure> {
    app.desk.submit(parse_rundown(&bytes)?).await?;
    Ok(Json(current(&app)))
}

/// Takes the body of `PUT /v1/rundown` apart: all that the route does before it asks the desk.
pub fn parse_rundown(bytes: &[u8]) -> Result<Command, Problem> {
    let given: wire::Rundown = parse(bytes, "")?;
    Ok(Command::SetRundown {
        rundown: checked(&given)?,
        seen: given.revision,
    })
}

/// The rundown as it is now.
fn current(app: &App) -> wire::Rundown {
    let published = app.desk.published();
    view(published.rundown(), published.rundown_revision())
}

/// A rundown, checked.
fn checked(given: &wire::Rundown) -> Result<crew::Rundown, Problem> {
    // What is too long is refused before each name in it is looked at.
    if given.windows.len() > crew::WINDOWS_MAX {
        let error = RundownError::TooManyWindows(given.windows.len());
        return Err(Problem::field("/windows", error.to_string()));
    }
    let windows = given
        .windows
        .iter()
        .enumerate()
        .map(|(index, given)| window(given, &format!("/windows/{index}")))
        .collect::<Result<_, _>>()?;
    crew::Rundown::new(windows).map_err(|error| match error {
        RundownError::TooManyWindows(_) | RundownError::TooManyNames(_) => {
            Problem::field("/windows", error.to_string())
        }
        RundownError::Window(index, wrong) => {
            let member = match wrong {
                WindowError::EndNotAfterStart | WindowError::EndTooLate => "end",
                WindowError::Length => "length_s",
                WindowError::Spread => "spread_s",
            };
            Problem::field(format!("/windows/{index}/{member}"), wrong.to_string())
        }
    })
}

fn window(given: &wire::Window, base: &str) -> Result<crew::Window, Problem> {
    let wrong = |name: &str, detail: &str| Problem::field(format!("{base}/{name}"), detail);
    let end = match (given.end, given.length_s) {
        (Some(end), None) => WindowEnd::At(door::millis(end)),
        (None, Some(length)) => WindowEnd::After(Span::from_seconds(length)),
        (None, None) => return Err(wrong("end", "is missing; give end or length_s")),
        (Some(_), Some(_)) => {
            return Err(wrong("length_s", "stands beside end; give one of the two"));
        }
    };
    let title = given
        .title
        .as_ref()
        .map(|text| Label::new(text))
        .transpose()
        .map_err(|error| wrong("title", &error.to_string()))?;
    let named = |list: &str, index: usize| format!("{base}/{list}/{index}");
    Ok(crew::Window {
        title,
        start: door::millis(given.start),
        end,
        spread: Span::from_seconds(given.spread_s.unwrap_or(0.0)),
        kind: match given.kind {
            wire::WindowKind::Rolling => crew::WindowKind::Rolling,
            wire::WindowKind::Held => crew::WindowKind::Held,
            wire::WindowKind::Break => crew::WindowKind::Break,
        },
        units: (given.units.iter().enumerate())
            .map(|(index, unit)| door::callsign(unit, &named("units", index)))
            .collect::<Result<_, _>>()?,
        groups: (given.groups.iter().enumerate())
            .map(|(index, group)| door::group(group, &named("groups", index)))
            .collect::<Result<_, _>>()?,
    })
}

fn view(rundown: &crew::Rundown, revision: u64) -> wire::Rundown {
    wire::Rundown {
        revision: Some(revision),
        windows: rundown.windows().iter().map(window_view).collect(),
    }
}

fn window_view(window: &crew::Window) -> wire::Window {
    let (end, length_s) = match window.end {
        WindowEnd::At(end) => (Some(moment(end)), None),
        WindowEnd::After(length) => (None, Some(length.as_seconds())),
    };
    wire::Window {
        title: window.title.as_ref().map(ToString::to_string),
        start: moment(window.start),
        end,
        length_s,
        spread_s: (window.spread > Span::ZERO).then(|| window.spread.as_seconds()),
        kind: kind(window.kind),
        units: window.units.iter().map(ToString::to_string).collect(),
        groups: window.groups.iter().map(ToString::to_string).collect(),
    }
}

fn kind(kind: crew::WindowKind) -> wire::WindowKind {
    match kind {
        crew::WindowKind::Rolling => wire::WindowKind::Rolling,
        crew::WindowKind::Held => wire::WindowKind::Held,
        crew::WindowKind::Break => wire::WindowKind::Break,
    }
}

/// The window in force on the wire.
pub(crate) fn in_force(window: &crew::InForce) -> wire::WindowView {
    wire::WindowView {
        kind: kind(window.kind),
        title: window.title.as_ref().map(ToString::to_string),
        until: moment(window.until),
    }
}

/// The next window on the wire.
pub(crate) fn to_come(window: &crew::InForce) -> wire::NextWindowView {
    wire::NextWindowView {
        kind: kind(window.kind),
        title: window.title.as_ref().map(ToString::to_string),
        start: moment(window.from),
        until: moment(window.until),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> wire::Rundown {
        let text = include_str!("../../wire/examples/rundown.json");
        serde_json::from_str(text).expect("the example is a rundown")
    }

    #[test]
    fn what_was_set_comes_back_as_it_was_said() {
        let given = example();
        let rundown = checked(&given).expect("the example is sound");
        let revision = given
            .revision
            .expect("the example is of a certain revision");
        assert_eq!(view(&rundown, revision), given);
    }

    #[test]
    fn the_wrong_member_of_the_wrong_window_is_named() {
        type Spoil = fn(&mut wire::Window);
        let cases: [(Spoil, &str); 12] = [
            (|w| w.end = Some(w.start), "/windows/0/end"),
            (|w| w.end = Some(wire::Moment::MIN), "/windows/0/end"),
            (|w| w.end = Some(wire::Moment::MAX), "/windows/0/end"),
            (|w| w.end = None, "/windows/0/end"),
            (|w| w.length_s = Some(60.0), "/windows/0/length_s"),
            (
                |w| (w.end, w.length_s) = (None, Some(0.0)),
                "/windows/0/length_s",
            ),
            (
                |w| (w.end, w.length_s) = (None, Some(86_400.1)),
                "/windows/0/length_s",
            ),
            (|w| w.spread_s = Some(-1.0), "/windows/0/spread_s"),
            (|w| w.spread_s = Some(14_401.0), "/windows/0/spread_s"),
            (|w| w.title = Some(String::new()), "/windows/0/title"),
            (
                |w| w.units = vec!["BOW2".into(), "a b".into()],
                "/windows/0/units/1",
            ),
            (|w| w.groups = vec!["x".repeat(33)], "/windows/0/groups/0"),
        ];
        for (spoil, pointer) in cases {
            let mut given = example();
            spoil(&mut given.windows[0]);
            let problem = checked(&given).expect_err(pointer);
            assert_eq!(problem.errors[0].pointer, pointer, "{problem:?}");
        }
    }

    #[test]
    fn the_bounds_themselves_are_taken() {
        let mut given = example();
        given.windows.truncate(1);
        let window = &mut given.windows[0];
        (window.end, window.length_s) = (None, Some(86_400.0));
        window.spread_s = Some(14_400.0);
        window.groups = vec!["x".repeat(32)];
        checked(&given).expect("each is at its bound");
        let most = crew::WINDOWS_MAX;
        given.windows = vec![given.windows[0].clone(); most];
        checked(&given).expect("so many are taken");
        given.windows.push(given.windows[0].clone());
        let problem = checked(&given).expect_err("one too many");
        assert_eq!(problem.errors[0].pointer, "/windows");
    }
}
