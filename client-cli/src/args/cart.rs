//! Flags of the subcommands beside a camera.

use std::path::PathBuf;
use std::time::Duration;

use clap::Args;
use swapcall_wire::{Mode, SlotMode, SlotReport};

use super::duration;
use crate::source::{Entry, entry};
use crate::words;

/// Flags of `report`.
#[derive(Debug, Args)]
pub struct ReportArgs {
    /// Callsign
    pub unit: String,
    /// Values by shape: 63, rec, A=40
    #[arg(allow_negative_numbers = true)]
    pub words: Vec<String>,
    /// What the gauge shows, 0 to 100
    #[arg(short, long, value_parser = words::percent)]
    pub battery: Option<f64>,
    /// The gauge's resolution in percent: 1, 5, 25
    #[arg(long, value_parser = step)]
    pub step: Option<f64>,
    /// Label of the pack
    #[arg(long)]
    pub pack: Option<String>,
    /// On external power
    #[arg(long)]
    pub external: bool,
    /// Pack temperature in degrees Celsius
    #[arg(long, allow_negative_numbers = true)]
    pub celsius: Option<f64>,
    /// Pack voltage
    #[arg(long)]
    pub volts: Option<f64>,
    /// A card: A=40, A=51.2/128GB, A:C12=40; may be repeated
    #[arg(long = "card", value_name = "SLOT=FILL", value_parser = words::card)]
    pub cards: Vec<SlotReport>,
    /// How the slots work together: single, relay, simultaneous
    #[arg(long, value_parser = words::slot_mode)]
    pub slot_mode: Option<SlotMode>,
    /// Bit rate in Mb/s
    #[arg(long, value_name = "MBPS")]
    pub bit_rate: Option<f64>,
    /// What the camera is doing: rec, standby, off
    #[arg(short, long, value_parser = words::mode)]
    pub mode: Option<Mode>,
    /// Say that a program read these values, not a person
    #[arg(long)]
    pub as_cart: bool,
}

/// Where values come from without a person: flags of `watch` and `doctor`.
#[derive(Debug, Args)]
pub struct SourceArgs {
    /// Read this computer's battery
    #[arg(long, value_name = "PATH", num_args = 0..=1, default_missing_value = "/sys/class/power_supply")]
    pub power_supply: Option<PathBuf>,
    /// The folder a card is mounted on, A=/media/card or, with its label, A:C12=/media/card; may be repeated
    #[arg(long = "mount", value_name = "SLOT=FOLDER")]
    pub mounts: Vec<String>,
    /// Every card that is mounted below a folder, as slots A, B …
    #[arg(long, value_name = "FOLDER", conflicts_with = "mounts")]
    pub mounts_under: Option<PathBuf>,
    /// A device that answers with JSON; the report's own form, unless --http-map says where the values stand
    #[arg(long, value_name = "URL")]
    pub http: Option<String>,
    /// Where a value stands in a device's JSON.
    #[arg(
        help = "Where a value stands, by JSON Pointer: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated",
        long = "http-map",
        value_name = "KEY=POINTER",
        requires = "http",
        value_parser = entry
    )]
    pub http_map: Vec<Entry>,
    /// A camera on the network by PTP/IP: its battery and its cards
    #[arg(long, value_name = "HOST[:PORT]")]
    pub ptp: Option<String>,
    /// A shell line that prints a report as JSON; its last object is taken
    #[arg(long, value_name = "LINE")]
    pub command: Option<String>,
}

impl SourceArgs {
    /// Whether there is nothing to look at.
    pub fn none_named(&self) -> bool {
        self.power_supply.is_none()
            && self.mounts.is_empty()
            && self.mounts_under.is_none()
            && self.http.is_none()
            && self.ptp.is_none()
            && self.command.is_none()
    }
}

/// Flags of `watch`.
#[derive(Debug, Args)]
pub struct WatchArgs {
    /// Callsign
    pub unit: String,
    /// How often to look and report
    #[arg(long, value_name = "TIME", default_value = "5s", value_parser = duration)]
    pub every: Duration,
    /// What to look at
    #[command(flatten)]
    pub sources: SourceArgs,
    /// Ask the person at the terminal for the values, again and again
    #[arg(long)]
    pub typed: bool,
    /// What the camera is doing, where it is not seen from the cards: rec, standby, off
    #[arg(short, long, value_parser = words::mode)]
    pub mode: Option<Mode>,
    /// Label of the pack
    #[arg(long)]
    pub pack: Option<String>,
    /// How the slots work together: single, relay, simultaneous
    #[arg(long, value_parser = words::slot_mode)]
    pub slot_mode: Option<SlotMode>,
    /// Bit rate in Mb/s
    #[arg(long, value_name = "MBPS")]
    pub bit_rate: Option<f64>,
}

/// How fast a log is replayed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Speed {
    /// All at once, ending now.
    Max,
    /// So many times as fast as it was, beginning now.
    Times(f64),
}

/// Flags of `replay`.
#[derive(Debug, Args)]
pub struct ReplayArgs {
    /// The log: CSV with a head line, or JSON lines
    pub file: PathBuf,
    /// Callsign to report for; needed for CSV
    #[arg(long)]
    pub unit: Option<String>,
    /// The gauge's column
    #[arg(long, default_value = "cc1")]
    pub gauge: String,
    /// How fast: a factor, or max
    #[arg(long, default_value = "max", value_parser = speed)]
    pub speed: Speed,
    /// Label of the pack
    #[arg(long)]
    pub pack: Option<String>,
    /// The gauge's resolution, where the column's name does not say
    #[arg(long, value_parser = step)]
    pub step: Option<f64>,
}

fn step(text: &str) -> Result<f64, String> {
    let value = text.trim_end_matches('%').parse::<f64>().ok();
    value
        .filter(|value| (0.01..=50.0).contains(value))
        .ok_or_else(|| format!("“{text}” is not a gauge's resolution: give 0.01 to 50"))
}

fn speed(text: &str) -> Result<Speed, String> {
    if text == "max" {
        return Ok(Speed::Max);
    }
    let factor = text.trim_end_matches('x').parse::<f64>().ok();
    factor
        .filter(|factor| (0.001..=1e6).contains(factor))
        .map(Speed::Times)
        .ok_or_else(|| format!("“{text}” is not a speed: give a factor such as 60, or max"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_and_speeds_are_checked() {
        assert_eq!(step("25%"), Ok(25.0));
        assert!(step("0").is_err() && step("nan").is_err() && step("51").is_err());
        assert_eq!(speed("max"), Ok(Speed::Max));
        assert_eq!(speed("60x"), Ok(Speed::Times(60.0)));
        assert!(speed("0").is_err() && speed("inf").is_err() && speed("fast").is_err());
    }
}
