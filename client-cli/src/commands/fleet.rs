//! `fleet`, `unit`, `pack`, `history`, `forecasts`, `put-unit`.

use jiff::{SignedDuration, Timestamp};
use swapcall_wire::{Fleet, Forecasts, History, ProblemCode, UnitProfile, UnitView};

use super::Desk;
use crate::args::{ForecastsArgs, HistoryArgs, PutUnitArgs};
use crate::clock;
use crate::exit::Exit;
use crate::hub::{HubError, path_segment};
use crate::trouble::Trouble;
use crate::{learned, show, trail};

/// Runs `fleet`.
pub fn fleet(desk: &mut Desk) -> Result<Exit, Trouble> {
    let fleet: Fleet = desk.hub.get("/v1/fleet")?;
    desk.console.answer(&fleet, |fleet| {
        let calls = fleet.calls.iter().map(show::call);
        let units = fleet.units.iter().map(|unit| show::unit(unit, fleet.now));
        let lines: Vec<String> = calls.chain(units).collect();
        if lines.is_empty() {
            "no units yet: they appear with their first report".to_owned()
        } else {
            lines.join("\n")
        }
    })?;
    Ok(Exit::Ok)
}

/// Runs `unit`.
pub fn unit(unit: &str, desk: &mut Desk) -> Result<Exit, Trouble> {
    let view: UnitView = desk.hub.get(&unit_path(unit))?;
    desk.console
        .answer(&view, |view| learned::unit(view, view.as_of))?;
    Ok(Exit::Ok)
}

/// Runs `history`.
pub fn history(args: &HistoryArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let mut query = window(args.from.as_ref(), args.to.as_ref())?;
    query.extend(args.step.map(|step| format!("step={step}")));
    let path = format!("{}/history?{}", unit_path(&args.unit), query.join("&"));
    let history: History = desk.hub.get(path.trim_end_matches('?'))?;
    desk.console.answer(&history, show::history)?;
    Ok(Exit::Ok)
}

/// Runs `forecasts`.
pub fn forecasts(args: &ForecastsArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let query = window(args.from.as_ref(), args.to.as_ref())?;
    let path = format!("{}/forecasts?{}", unit_path(&args.unit), query.join("&"));
    let told: Forecasts = desk.hub.get(path.trim_end_matches('?'))?;
    desk.console.answer(&told, trail::forecasts)?;
    Ok(Exit::Ok)
}

/// A window of the past as typed, as parts of a query.
fn window(from: Option<&String>, to: Option<&String>) -> Result<Vec<String>, Trouble> {
    let now = clock::now();
    let mut query = Vec::new();
    for (name, text) in [("from", from), ("to", to)] {
        if let Some(text) = text {
            let moment = moment_or_ago(text, now).map_err(Trouble::Usage)?;
            query.push(format!("{name}={moment}"));
        }
    }
    Ok(query)
}

/// Runs `put-unit`.
pub fn put_unit(args: &PutUnitArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let path = unit_path(&args.unit);
    let before = if args.replace {
        UnitProfile::default()
    } else {
        known_profile(&path, desk)?
    };
    let view: UnitView = desk.hub.put(&path, &args.over(before))?;
    desk.console.answer(&view, |view| {
        let profile = serde_json::to_string(&view.profile).unwrap_or_default();
        format!("{}: {profile}", view.unit)
    })?;
    Ok(Exit::Ok)
}

/// What the hub knows of the unit; nothing, where it does not know the unit.
fn known_profile(path: &str, desk: &Desk) -> Result<UnitProfile, Trouble> {
    match desk.hub.get::<UnitView>(path) {
        Ok(view) => Ok(view.profile),
        Err(HubError::Problem(problem)) if problem.code() == Some(ProblemCode::UnknownUnit) => {
            Ok(UnitProfile::default())
        }
        Err(error) => Err(error.into()),
    }
}

fn unit_path(unit: &str) -> String {
    format!("/v1/units/{}", path_segment(unit))
}

/// A moment as RFC 3339, or as a duration before `now`.
fn moment_or_ago(text: &str, now: Timestamp) -> Result<Timestamp, String> {
    if let Ok(moment) = text.parse::<Timestamp>() {
        return Ok(moment);
    }
    let wrong = || {
        format!(
            "“{text}” is neither a time such as 2026-06-13T09:00:00Z nor how long ago, such as 2h"
        )
    };
    let ago: SignedDuration = text.parse().map_err(|_| wrong())?;
    now.checked_sub(ago.abs()).map_err(|_| wrong())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::moment;

    #[test]
    fn moments_are_absolute_or_ago() {
        let now = moment(7200);
        assert_eq!(moment_or_ago("2h", now), Ok(moment(0)));
        assert_eq!(
            moment_or_ago("2026-06-13T09:00:00Z", now),
            Ok("2026-06-13T09:00:00Z".parse().unwrap())
        );
        assert!(
            moment_or_ago("yesterday", now)
                .unwrap_err()
                .contains("such as 2h")
        );
        assert!(moment_or_ago("999999999999h", now).is_err());
    }
}
