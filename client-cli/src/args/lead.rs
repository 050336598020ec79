//! Flags of the subcommands for runners and leads.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use swapcall_wire::{Display, GaugeKind, Role, UnitProfile};

use crate::joinlink::JoinText;

/// Flags of `board`.
#[derive(Debug, Args)]
pub struct BoardArgs {
    /// One line per change, for logs and screen readers
    #[arg(long)]
    pub plain: bool,
}

/// Flags of `calls`.
#[derive(Debug, Args)]
pub struct CallsArgs {
    /// Ended calls as well
    #[arg(long)]
    pub all: bool,
}

/// Flags of `claim`.
#[derive(Debug, Args)]
pub struct ClaimArgs {
    /// Number or UUID of the call
    pub call: String,
    /// Claim in another's name (leads and owners)
    #[arg(long = "as", value_name = "NAME")]
    pub who: Option<String>,
    /// A word for the others
    #[arg(long)]
    pub note: Option<String>,
}

/// Flags of `release`.
#[derive(Debug, Args)]
pub struct ReleaseArgs {
    /// Number or UUID of the call
    pub call: String,
}

/// Flags of `done`.
#[derive(Debug, Args)]
pub struct DoneArgs {
    /// Number or UUID of the call
    pub call: String,
    /// A word for the others
    #[arg(long)]
    pub note: Option<String>,
}

/// Flags of `undo`.
#[derive(Debug, Args)]
pub struct UndoArgs {
    /// Number or UUID of the call
    pub call: String,
}

/// Flags of `invite`.
#[derive(Debug, Args)]
pub struct InviteArgs {
    /// Whose it will be; shown on claims
    pub name: String,
    /// What the guest may do: less than you may
    #[arg(long, value_parser = role)]
    pub role: Role,
    /// For a cart: the units it may report for; every unit when left out
    #[arg(long = "unit", value_name = "UNIT")]
    pub units: Vec<String>,
    /// How long the code works
    #[arg(long, value_name = "MINUTES", default_value_t = 10, value_parser = clap::value_parser!(u32).range(1..=60))]
    pub minutes: u32,
}

fn role(text: &str) -> Result<Role, String> {
    match text {
        "cart" => Ok(Role::Cart),
        "runner" => Ok(Role::Runner),
        "lead" => Ok(Role::Lead),
        _ => Err("must be cart, runner or lead".to_owned()),
    }
}

/// Flags of `join`.
#[derive(Debug, Args)]
pub struct JoinArgs {
    /// The code, in any case, with or without its hyphen; or the lead's whole link, between quotes
    #[arg(value_name = "CODE|LINK")]
    pub code: JoinText,
}

/// Flags of `history`.
#[derive(Debug, Args)]
pub struct HistoryArgs {
    /// Callsign
    pub unit: String,
    /// Start: a time (RFC 3339), or how long ago (2h)
    #[arg(long)]
    pub from: Option<String>,
    /// End: a time (RFC 3339), or how long ago
    #[arg(long)]
    pub to: Option<String>,
    /// Seconds per point; every reading when left out
    #[arg(long)]
    pub step: Option<u32>,
}

/// Flags of `forecasts`.
#[derive(Debug, Args)]
pub struct ForecastsArgs {
    /// Callsign
    pub unit: String,
    /// Start: a time (RFC 3339), or how long ago (2h)
    #[arg(long)]
    pub from: Option<String>,
    /// End: a time (RFC 3339), or how long ago
    #[arg(long)]
    pub to: Option<String>,
}

/// Flags of `rotation`.
#[derive(Debug, Args)]
pub struct RotationArgs {
    /// How far to look, 0.5 to 24
    #[arg(long, value_name = "N")]
    pub hours: Option<f64>,
    /// Charger bays that are there; those that are known, when left out
    #[arg(long, value_name = "N")]
    pub bays: Option<u32>,
}

/// How a gauge works, as typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Gauge {
    /// Counts charge
    Coulomb,
    /// Looks the percent up from the voltage
    Voltage,
}

/// Flags of `put-unit`.
#[derive(Debug, Args)]
pub struct PutUnitArgs {
    /// Callsign
    pub unit: String,
    /// Where it stands
    #[arg(long)]
    pub position: Option<String>,
    /// Coverage group
    #[arg(long)]
    pub group: Option<String>,
    /// Seconds to walk from base
    #[arg(long)]
    pub walk_s: Option<u32>,
    /// How the gauge works
    #[arg(long, value_enum)]
    pub gauge: Option<Gauge>,
    /// The gauge's resolution in percent
    #[arg(long)]
    pub gauge_step: Option<f64>,
    /// Energy of the usual pack in watt-hours
    #[arg(long)]
    pub pack_wh: Option<f64>,
    /// Power drawn while recording in watts
    #[arg(long)]
    pub recording_w: Option<f64>,
    /// Power drawn in standby in watts
    #[arg(long)]
    pub standby_w: Option<f64>,
    /// Usual bit rate in Mb/s
    #[arg(long)]
    pub bit_rate: Option<f64>,
    /// Seconds between reports
    #[arg(long)]
    pub interval_s: Option<u32>,
    /// Display that carries its tally, as the vision mixer counts: INDEX, or SCREEN:INDEX
    #[arg(long, value_name = "[SCREEN:]INDEX", value_parser = display)]
    pub display: Option<Display>,
    /// Forget what is not named here
    #[arg(long)]
    pub replace: bool,
}

impl PutUnitArgs {
    /// The profile: what is named here on top of what was there.
    pub fn over(&self, before: UnitProfile) -> UnitProfile {
        let gauge = self.gauge.map(|gauge| match gauge {
            Gauge::Coulomb => GaugeKind::Coulomb,
            Gauge::Voltage => GaugeKind::Voltage,
        });
        UnitProfile {
            position: self.position.clone().or(before.position),
            group: self.group.clone().or(before.group),
            walk_s: self.walk_s.or(before.walk_s),
            gauge: gauge.unwrap_or(before.gauge),
            gauge_step: self.gauge_step.or(before.gauge_step),
            pack_wh: self.pack_wh.or(before.pack_wh),
            recording_w: self.recording_w.or(before.recording_w),
            standby_w: self.standby_w.or(before.standby_w),
            bit_rate_mbps: self.bit_rate.or(before.bit_rate_mbps),
            interval_s: self.interval_s.or(before.interval_s),
            display: self.display.or(before.display),
        }
    }
}

/// A display of the tally protocol: `13`, or `2:13` on screen 2.
fn display(text: &str) -> Result<Display, String> {
    let (screen, index) = text.split_once(':').unwrap_or(("0", text));
    let number = |part: &str| {
        part.parse::<u16>()
            .ok()
            .filter(|number| *number < u16::MAX)
            .ok_or_else(|| format!("{part:?} is no number from 0 to 65534"))
    };
    Ok(Display {
        screen: number(screen)?,
        index: number(index)?,
    })
}

/// Flags of `limits`.
#[derive(Debug, Args)]
pub struct LimitsArgs {
    /// What to do with them; shows them when left out
    #[command(subcommand)]
    pub task: Option<LimitsDo>,
}

/// What to do with the limits.
#[derive(Debug, Subcommand)]
pub enum LimitsDo {
    /// Replace what was set by what a file says
    #[command(
        after_help = "Example:\n  echo '{\"fleet\":{\"margin_s\":240}}' > limits.json && swapcall limits set limits.json"
    )]
    Set {
        /// JSON file, or - for standard input
        file: PathBuf,
    },
}

/// Flags of `rundown`.
#[derive(Debug, Args)]
pub struct RundownArgs {
    /// What to do with it
    #[command(subcommand)]
    pub task: RundownDo,
}

/// What to do with the rundown.
#[derive(Debug, Subcommand)]
pub enum RundownDo {
    /// Show the windows, in order of their start
    #[command(after_help = "Example:\n  swapcall rundown show --json > rundown.json")]
    Show,
    /// Replace the rundown by what a file says
    #[command(
        after_help = "Example:\n  echo '{\"windows\":[{\"kind\":\"held\",\"start\":\"2026-06-13T09:40:00Z\",\
        \"length_s\":480}]}' > rundown.json && swapcall rundown set rundown.json\n\nA window has a kind (rolling, held, \
        break), a start, an end or a length_s, and may have a title, a spread_s (one standard deviation of the end), \
        units and groups; without units and groups it is for the whole fleet. {\"windows\":[]} clears the rundown.\n\n\
        A file that `rundown show --json` wrote names the revision that was read: it is refused when somebody else \
        changed the rundown since. A file without a revision replaces whatever there is."
    )]
    Set {
        /// JSON file, or - for standard input
        file: PathBuf,
        /// Replace the rundown even if somebody else changed it since the file was read
        #[arg(long)]
        force: bool,
    },
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[test]
    fn what_is_not_named_stays_as_it_was() {
        let line = [
            "swapcall", "put-unit", "BOW2", "--walk-s", "90", "--gauge", "voltage",
        ];
        let crate::args::Task::PutUnit(args) = crate::args::Args::parse_from(line).task else {
            panic!()
        };
        let before = UnitProfile {
            position: Some("bow".into()),
            walk_s: Some(10),
            ..UnitProfile::default()
        };
        let after = args.over(before);
        assert_eq!(
            (after.position.as_deref(), after.walk_s),
            (Some("bow"), Some(90))
        );
        assert_eq!(after.gauge, GaugeKind::Voltage);
    }
}
