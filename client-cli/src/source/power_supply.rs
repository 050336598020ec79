//! The battery of the machine the cart runs on, by Linux's `power_supply` class.
//!
//! Units by the kernel's `Documentation/ABI/testing/sysfs-class-power`: µV, µA, µWh, µAh, tenths of a degree Celsius.

use std::fs;
use std::path::{Path, PathBuf};

use swapcall_wire::BatteryReport;

use super::{Finding, Source};
use crate::words;

/// Reads every supply below a folder, usually `/sys/class/power_supply`.
#[derive(Debug)]
pub struct PowerSupply {
    folder: PathBuf,
}

impl PowerSupply {
    /// Reads from this folder, or from this one supply.
    pub fn new(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: folder.into(),
        }
    }

    fn supplies(&self) -> Result<Vec<PathBuf>, String> {
        if self.folder.join("type").is_file() {
            return Ok(vec![self.folder.clone()]);
        }
        let entries = fs::read_dir(&self.folder)
            .map_err(|error| format!("cannot read {}: {error}", self.folder.display()))?;
        let mut paths: Vec<PathBuf> = entries
            .filter_map(|entry| Some(entry.ok()?.path()))
            .collect();
        paths.sort();
        Ok(paths)
    }
}

impl Source for PowerSupply {
    fn name(&self) -> String {
        format!("power supply {}", self.folder.display())
    }

    fn read(&mut self) -> Result<Finding, String> {
        let supplies: Vec<Supply> = self
            .supplies()?
            .iter()
            .map(|path| Supply::read(path))
            .collect();
        let batteries: Vec<&Supply> = supplies
            .iter()
            .filter(|supply| supply.is_battery())
            .collect();
        let percent = percent(&batteries)
            .ok_or_else(|| format!("no battery with a charge is in {}", self.folder.display()))?;
        let first = batteries.iter().find(|battery| battery.percent().is_some());
        let battery = BatteryReport {
            percent: percent.0,
            step: Some(percent.1),
            external: supplies.iter().any(Supply::gives_power),
            pack: None,
            celsius: first.and_then(|battery| battery.celsius()),
            volts: first.and_then(|battery| battery.volts()),
        };
        Ok(Finding {
            battery: Some(battery),
            ..Finding::default()
        })
    }
}

/// The attributes of one supply that matter here, raw.
#[derive(Debug, Default)]
struct Supply {
    kind: String,
    scope: String,
    status: String,
    present: Option<i64>,
    online: Option<i64>,
    capacity: Option<i64>,
    energy: Option<(i64, i64)>,
    charge: Option<(i64, i64)>,
    voltage_now: Option<i64>,
    temp: Option<i64>,
}

impl Supply {
    /// Reads what is there; an attribute that is missing or unreadable is none, as drivers differ.
    fn read(path: &Path) -> Self {
        let text = |name: &str| {
            fs::read_to_string(path.join(name))
                .unwrap_or_default()
                .trim()
                .to_owned()
        };
        let number = |name: &str| text(name).parse::<i64>().ok();
        let pair =
            |now: &str, full: &str| Some((number(now)?, number(full).filter(|full| *full > 0)?));
        Self {
            kind: text("type"),
            scope: text("scope"),
            status: text("status"),
            present: number("present"),
            online: number("online"),
            capacity: number("capacity"),
            energy: pair("energy_now", "energy_full"),
            charge: pair("charge_now", "charge_full"),
            voltage_now: number("voltage_now"),
            temp: number("temp"),
        }
    }

    /// A battery of this machine: not one of a mouse (`scope` Device), not an empty bay.
    fn is_battery(&self) -> bool {
        matches!(self.kind.as_str(), "Battery" | "UPS")
            && self.scope != "Device"
            && self.present != Some(0)
    }

    /// Mains or USB with power on it, or a battery that is being charged.
    fn gives_power(&self) -> bool {
        if self.is_battery() {
            self.status == "Charging"
        } else {
            self.online == Some(1) && self.kind != "Battery"
        }
    }

    /// Percent and resolution: what the gauge shows, else the ratio of the counters.
    fn percent(&self) -> Option<(f64, f64)> {
        if let Some(capacity) = self
            .capacity
            .filter(|capacity| (0..=100).contains(capacity))
        {
            return Some((capacity as f64, 1.0));
        }
        let (now, full) = self.energy.or(self.charge)?;
        let percent = (now as f64 / full as f64 * 100.0).clamp(0.0, 100.0);
        Some(((percent * 10.0).round() / 10.0, 0.1))
    }

    fn volts(&self) -> Option<f64> {
        words::volts(self.voltage_now? as f64 / 1e6).ok()
    }

    fn celsius(&self) -> Option<f64> {
        words::celsius(self.temp? as f64 / 10.0).ok()
    }
}

/// All batteries together: by energy (or by charge) where all count it, else their mean.
fn percent(batteries: &[&Supply]) -> Option<(f64, f64)> {
    let known: Vec<(f64, f64)> = batteries
        .iter()
        .filter_map(|battery| battery.percent())
        .collect();
    if known.len() <= 1 {
        return known.first().copied();
    }
    for counter in [
        |supply: &Supply| supply.energy,
        |supply: &Supply| supply.charge,
    ] {
        let counts: Option<Vec<(i64, i64)>> =
            batteries.iter().map(|battery| counter(battery)).collect();
        if let Some(counts) = counts {
            let (now, full) = counts.iter().fold((0.0, 0.0), |sum, (now, full)| {
                (sum.0 + *now as f64, sum.1 + *full as f64)
            });
            let percent: f64 = now / full * 100.0;
            return Some(((percent.clamp(0.0, 100.0) * 10.0).round() / 10.0, 0.1));
        }
    }
    let sum: f64 = known.iter().map(|(percent, _)| percent).sum();
    Some(((sum / known.len() as f64 * 10.0).round() / 10.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use tempfile::TempDir;

    fn tree(supplies: &[(&str, &[(&str, &str)])]) -> TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (name, attributes) in supplies {
            let path = folder.path().join(name);
            fs::create_dir(&path).unwrap();
            for (attribute, value) in *attributes {
                fs::write(path.join(attribute), format!("{value}\n")).unwrap();
            }
        }
        folder
    }

    fn battery(folder: &TempDir) -> Result<BatteryReport, String> {
        PowerSupply::new(folder.path())
            .read()
            .map(|finding| finding.battery.unwrap())
    }

    /// Rows R-SYSFS-* of the shared vectors; source: Linux Documentation/ABI/testing/sysfs-class-power.
    #[test]
    fn attributes_have_the_units_of_the_kernels_own_document() {
        let text = include_str!("../../../tests/data/vectors.json");
        let all: serde_json::Value = serde_json::from_str(text).unwrap();
        let rows = all["vectors"].as_array().unwrap().iter();
        let rows = rows.filter(|row| row["id"].as_str().unwrap().starts_with("R-SYSFS-"));
        let mut seen = Vec::new();
        for row in rows {
            let Some(attribute) = row["input"]["attribute"].as_str() else {
                continue;
            };
            let raw = row["input"]["raw"].as_i64().unwrap();
            let expected = row["expected"]["value"].as_f64().unwrap();
            let raw_text = raw.to_string();
            // Twice the value as full: half of it is 50 %.
            let full = (raw * 2).to_string();
            let mut attributes = vec![("type", "Battery"), (attribute, raw_text.as_str())];
            match attribute {
                "energy_now" => attributes.push(("energy_full", &full)),
                "charge_now" => attributes.push(("charge_full", &full)),
                "capacity" => {}
                _ => attributes.push(("capacity", "57")),
            }
            let read = battery(&tree(&[("BAT0", &attributes)])).unwrap();
            let value = match attribute {
                "voltage_now" => read.volts,
                "temp" => read.celsius,
                "capacity" => Some(read.percent),
                "energy_now" | "charge_now" => {
                    assert_eq!(Some(read.percent), Some(50.0));
                    continue;
                }
                // Current and time to empty are no part of a report.
                _ => continue,
            };
            let difference = (value.unwrap() - expected).abs();
            assert!(
                difference <= row["tolerance"].as_f64().unwrap(),
                "{attribute}: {value:?} for {expected}"
            );
            seen.push(attribute.to_owned());
        }
        seen.sort();
        assert_eq!(seen, ["capacity", "temp", "voltage_now"]);
    }

    /// Row R-SYSFS-ENUM: the words that `status` and `type` may hold, and what each means for external power.
    #[test]
    fn status_and_type_words_of_the_kernel_decide_about_external_power() {
        for (status, external) in [
            ("Unknown", false),
            ("Charging", true),
            ("Discharging", false),
            ("Not charging", false),
            ("Full", false),
        ] {
            let folder = tree(&[(
                "BAT0",
                &[("type", "Battery"), ("capacity", "80"), ("status", status)],
            )]);
            assert_eq!(battery(&folder).unwrap().external, external, "{status}");
        }
        for kind in ["Mains", "USB", "Wireless"] {
            for (online, external) in [("0", false), ("1", true)] {
                let folder = tree(&[
                    ("AC", &[("type", kind), ("online", online)]),
                    (
                        "BAT0",
                        &[
                            ("type", "Battery"),
                            ("capacity", "80"),
                            ("status", "Discharging"),
                        ],
                    ),
                ]);
                assert_eq!(
                    battery(&folder).unwrap().external,
                    external,
                    "{kind} {online}"
                );
            }
        }
    }

    #[test]
    fn two_batteries_are_weighed_by_what_they_hold() {
        let folder = tree(&[
            (
                "BAT0",
                &[
                    ("type", "Battery"),
                    ("capacity", "100"),
                    ("energy_now", "30000000"),
                    ("energy_full", "30000000"),
                ],
            ),
            (
                "BAT1",
                &[
                    ("type", "Battery"),
                    ("capacity", "0"),
                    ("energy_now", "0"),
                    ("energy_full", "90000000"),
                ],
            ),
        ]);
        assert_eq!(battery(&folder).map(|read| read.percent), Ok(25.0));
        let without = tree(&[
            ("BAT0", &[("type", "Battery"), ("capacity", "100")]),
            ("BAT1", &[("type", "Battery"), ("capacity", "50")]),
        ]);
        assert_eq!(battery(&without).map(|read| read.percent), Ok(75.0));
    }

    #[test]
    fn a_mouse_an_empty_bay_and_nonsense_are_no_battery() {
        let none: [&[(&str, &str)]; 4] = [
            &[("type", "Battery"), ("scope", "Device"), ("capacity", "55")],
            &[("type", "Battery"), ("present", "0"), ("capacity", "55")],
            &[("type", "Battery"), ("capacity", "255")],
            &[
                ("type", "Battery"),
                ("energy_now", "1"),
                ("energy_full", "0"),
            ],
        ];
        for attributes in none {
            assert!(
                battery(&tree(&[("X", attributes)])).is_err(),
                "{attributes:?}"
            );
        }
        assert!(
            PowerSupply::new("/nowhere/at/all")
                .read()
                .unwrap_err()
                .contains("/nowhere")
        );
    }

    #[test]
    fn a_driver_out_of_range_loses_that_value_only() {
        let folder = tree(&[(
            "BAT0",
            &[("type", "Battery"), ("capacity", "57"), ("temp", "99999")],
        )]);
        let read = battery(&folder).unwrap();
        assert_eq!((read.percent, read.celsius), (57.0, None));
        let single = PowerSupply::new(folder.path().join("BAT0")).read().unwrap();
        assert_eq!(single.battery.map(|read| read.percent), Some(57.0));
    }
}
