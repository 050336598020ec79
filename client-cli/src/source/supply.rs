//! The attributes of one power supply, as Linux shows them in a folder of small files.
//!
//! Names, units and words by the kernel's `Documentation/ABI/testing/sysfs-class-power`: µV, µA, µW, µWh, µAh, tenths of a
//! degree Celsius. Drivers leave out most of them, and answer for one with ENODATA or EIO when they cannot read it now:
//! such an attribute is missing, the others count.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::words;

/// An attribute is at most a page long; what is longer is none.
const ATTRIBUTE_BYTES: u64 = 4096;

/// The attributes of one supply that matter here, raw.
#[derive(Debug, Default)]
pub(super) struct Supply {
    pub(super) kind: String,
    scope: String,
    status: String,
    level: String,
    present: Option<i64>,
    online: Option<i64>,
    capacity: Option<i64>,
    /// What is left in µWh, and what counts as full.
    pub(super) energy: Option<Counter>,
    /// What is left in µAh, and what counts as full.
    pub(super) charge: Option<Counter>,
    voltage: Option<i64>,
    current_now: Option<i64>,
    power_now: Option<i64>,
    temp: Option<i64>,
    cycle_count: Option<i64>,
}

/// A counter with its full value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Counter {
    pub(super) now: i64,
    /// What it held when it was last full; by design where the driver does not know that.
    pub(super) full: i64,
    design: Option<i64>,
}

impl Supply {
    /// Reads what is there.
    pub(super) fn read(path: &Path) -> Self {
        let text = |name: &str| attribute(path, name).unwrap_or_default();
        let number = |name: &str| attribute(path, name)?.parse::<i64>().ok();
        // Zero is what some drivers give for a full value they do not know.
        let positive = |name: String| number(&name).filter(|value| *value > 0);
        let counter = |what: &str| {
            let design = positive(format!("{what}_full_design"));
            Some(Counter {
                now: number(&format!("{what}_now"))?,
                full: positive(format!("{what}_full")).or(design)?,
                design,
            })
        };
        Self {
            kind: text("type"),
            scope: text("scope"),
            status: text("status"),
            level: text("capacity_level"),
            present: number("present"),
            online: number("online"),
            capacity: number("capacity"),
            energy: counter("energy"),
            charge: counter("charge"),
            voltage: number("voltage_now").or_else(|| number("voltage_avg")),
            current_now: number("current_now"),
            power_now: number("power_now"),
            temp: number("temp"),
            cycle_count: number("cycle_count"),
        }
    }

    /// A battery of this machine: not one of a mouse (`scope` Device), not an empty bay.
    pub(super) fn is_battery(&self) -> bool {
        matches!(self.kind.as_str(), "Battery" | "UPS")
            && self.scope != "Device"
            && self.present != Some(0)
    }

    /// Mains or USB with power on it, or a battery that is being charged.
    pub(super) fn gives_power(&self) -> bool {
        if self.is_battery() {
            self.status == "Charging"
        } else {
            self.online == Some(1) && self.kind != "Battery"
        }
    }

    /// Percent and resolution: what the gauge shows, else the ratio of the counters, else the word.
    ///
    /// A charge without a full value has no percent; the voltage beside it would only pretend to know one.
    pub(super) fn percent(&self) -> Option<(f64, f64)> {
        if let Some(capacity) = self
            .capacity
            .filter(|capacity| (0..=100).contains(capacity))
        {
            return Some((capacity as f64, 1.0));
        }
        let Some(Counter { now, full, .. }) = self.energy.or(self.charge) else {
            return level(&self.level);
        };
        let percent = (now as f64 / full as f64 * 100.0).clamp(0.0, 100.0);
        Some(((percent * 10.0).round() / 10.0, 0.1))
    }

    pub(super) fn volts(&self) -> Option<f64> {
        words::volts(self.voltage? as f64 / 1e6).ok()
    }

    pub(super) fn celsius(&self) -> Option<f64> {
        words::celsius(self.temp? as f64 / 10.0).ok()
    }

    /// Power and age, which a report has no place for, in words. The sign of a current depends on the driver and is left out.
    pub(super) fn asides(&self) -> Vec<String> {
        let watts = self.power_now.map(|micro| micro as f64 / 1e6).or_else(|| {
            let amps = self.current_now? as f64 / 1e6;
            Some(amps * self.volts()?)
        });
        let watts = watts.filter(|watts| *watts != 0.0);
        let worn = [self.energy, self.charge].into_iter().flatten().next();
        let kept = worn.and_then(|counter| Some(counter.full as f64 / counter.design? as f64));
        let kept = kept.filter(|kept| (0.01..1.0).contains(kept));
        let cycles = self.cycle_count.filter(|count| *count > 0);
        [
            watts.map(|watts| format!("{:.1} W now", watts.abs())),
            cycles.map(|count| format!("{count} cycles")),
            kept.map(|kept| format!("holds {:.0} % of its design", kept * 100.0)),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}

/// The word for the level as a gauge of bars: the percent is the upper end of what the word can mean, the step how far
/// down it reaches, as the hub reads displays of bars. Drivers say Normal for most of a discharge.
fn level(word: &str) -> Option<(f64, f64)> {
    match word {
        "Full" => Some((100.0, 25.0)),
        "High" => Some((90.0, 25.0)),
        "Normal" => Some((75.0, 50.0)),
        "Low" => Some((25.0, 25.0)),
        "Critical" => Some((10.0, 25.0)),
        _ => None,
    }
}

fn attribute(folder: &Path, name: &str) -> Option<String> {
    let mut text = String::new();
    let file = File::open(folder.join(name)).ok()?;
    file.take(ATTRIBUTE_BYTES + 1)
        .read_to_string(&mut text)
        .ok()?;
    (text.len() as u64 <= ATTRIBUTE_BYTES).then(|| text.trim().to_owned())
}
