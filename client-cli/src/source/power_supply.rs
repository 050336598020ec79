//! The battery of the machine the cart runs on, by Linux's `power_supply` class.
//!
//! Supplies come and go: each look reads what is there then.

use std::fs;
use std::path::PathBuf;

use swapcall_wire::BatteryReport;

use super::supply::{Counter, Supply};
use super::{Finding, Source};

/// Reads every supply below a folder, usually `/sys/class/power_supply`.
#[derive(Debug)]
pub struct PowerSupply {
    folder: PathBuf,
    asides: Vec<String>,
}

impl PowerSupply {
    /// Reads from this folder, or from this one supply.
    pub fn new(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: folder.into(),
            asides: Vec::new(),
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
        self.asides.clear();
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
        self.asides = batteries
            .iter()
            .flat_map(|battery| battery.asides())
            .collect();
        Ok(Finding {
            battery: Some(battery),
            ..Finding::default()
        })
    }

    fn asides(&self) -> Vec<String> {
        self.asides.clone()
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
        let counts: Option<Vec<Counter>> =
            batteries.iter().map(|battery| counter(battery)).collect();
        if let Some(counts) = counts {
            let (now, full) = counts.iter().fold((0.0, 0.0), |sum, counter| {
                (sum.0 + counter.now as f64, sum.1 + counter.full as f64)
            });
            let percent: f64 = now / full * 100.0;
            return Some(((percent.clamp(0.0, 100.0) * 10.0).round() / 10.0, 0.1));
        }
    }
    let sum: f64 = known.iter().map(|(percent, _)| percent).sum();
    // No finer than the coarsest of them.
    let step = known.iter().fold(1.0, |step: f64, (_, own)| step.max(*own));
    Some(((sum / known.len() as f64 * 10.0).round() / 10.0, step))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::symlink;
    use std::path::Path;
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

    /// A battery with these attributes: its percent and step, or the sentence.
    fn gauge(attributes: &[(&str, &str)]) -> Result<(f64, Option<f64>), String> {
        let attributes = [&[("type", "Battery")], attributes].concat();
        battery(&tree(&[("BAT0", &attributes)])).map(|read| (read.percent, read.step))
    }

    #[test]
    fn the_finest_gauge_that_is_there_counts_and_a_word_only_without_one() {
        let level = ("capacity_level", "Normal");
        assert_eq!(gauge(&[level, ("capacity", "57")]), Ok((57.0, Some(1.0))));
        let counted = [level, ("energy_now", "500"), ("energy_full", "2000")];
        assert_eq!(gauge(&counted), Ok((25.0, Some(0.1))));
        // Bars, as the hub reads them: the upper end, and how far down the word reaches.
        for (word, expected) in [
            ("Critical", (10.0, Some(25.0))),
            ("Low", (25.0, Some(25.0))),
            ("Normal", (75.0, Some(50.0))),
            ("High", (90.0, Some(25.0))),
            ("Full", (100.0, Some(25.0))),
        ] {
            assert_eq!(gauge(&[("capacity_level", word)]), Ok(expected), "{word}");
        }
        for word in ["Unknown", "", "normal", "Fine"] {
            assert!(gauge(&[("capacity_level", word)]).is_err(), "{word}");
        }
    }

    #[test]
    fn a_charge_without_a_full_value_is_no_percent_and_design_stands_in_for_it() {
        let now = ("charge_now", "1500000");
        let volts = ("voltage_now", "14100000");
        assert!(gauge(&[now, volts]).is_err());
        assert!(gauge(&[now, volts, ("charge_full", "0")]).is_err());
        let design = ("charge_full_design", "3000000");
        let percent = |attributes: &[_]| gauge(attributes).map(|(percent, _)| percent);
        assert_eq!(percent(&[now, design]), Ok(50.0));
        assert_eq!(percent(&[now, ("charge_full", "0"), design]), Ok(50.0));
        let learned = ("charge_full", "2000000");
        assert_eq!(percent(&[now, learned, design]), Ok(75.0));
    }

    #[test]
    fn power_and_age_are_told_beside_the_report() {
        let folder = tree(&[(
            "BAT0",
            &[
                ("type", "Battery"),
                ("energy_now", "30000000"),
                ("energy_full", "40000000"),
                ("energy_full_design", "50000000"),
                ("voltage_now", "14000000"),
                ("current_now", "-2000000"),
                ("cycle_count", "182"),
            ],
        )]);
        let mut source = PowerSupply::new(folder.path());
        source.read().unwrap();
        let told = ["28.0 W now", "182 cycles", "holds 80 % of its design"];
        assert_eq!(source.asides(), told);
        fs::write(folder.path().join("BAT0/power_now"), "11400000").unwrap();
        source.read().unwrap();
        assert_eq!(source.asides()[0], "11.4 W now");
    }

    #[test]
    fn supplies_come_and_go_between_looks() {
        let attributes: &[(&str, &str)] = &[("type", "Battery"), ("capacity", "80")];
        let other: &[(&str, &str)] = &[("type", "Battery"), ("capacity", "40")];
        let folder = tree(&[("BAT0", attributes), ("BAT1", other)]);
        let mut source = PowerSupply::new(folder.path());
        let mut percent = || Ok::<f64, String>(source.read()?.battery.unwrap().percent);
        assert_eq!(percent(), Ok(60.0));
        let aside = tempfile::tempdir().unwrap();
        let (there, away) = (folder.path().join("BAT1"), aside.path().join("BAT1"));
        fs::rename(&there, &away).unwrap();
        assert_eq!(percent(), Ok(80.0));
        fs::rename(&away, &there).unwrap();
        assert_eq!(percent(), Ok(60.0));
        let whole = aside.path().join("whole");
        fs::rename(folder.path(), &whole).unwrap();
        assert!(percent().is_err_and(|error| error.starts_with("cannot read")));
        fs::rename(&whole, folder.path()).unwrap();
        assert_eq!(percent(), Ok(60.0));
    }

    #[test]
    fn an_attribute_that_fails_is_missing_and_the_others_count() {
        let folder = tree(&[(
            "BAT0",
            &[
                ("type", "Battery"),
                ("energy_now", "30"),
                ("energy_full", "40"),
            ],
        )]);
        let place = |name: &str| folder.path().join("BAT0").join(name);
        // A real EIO: the first page of a process is mapped nowhere.
        symlink("/proc/self/mem", place("capacity")).unwrap();
        let eio = fs::read(place("capacity")).unwrap_err();
        assert_eq!(
            eio.raw_os_error(),
            Some(rustix::io::Errno::IO.raw_os_error())
        );
        // EISDIR, no end, nothing behind the link, and bytes that are no text.
        fs::create_dir(place("temp")).unwrap();
        symlink("/dev/zero", place("voltage_now")).unwrap();
        symlink("nowhere", place("status")).unwrap();
        fs::write(place("scope"), [0xff, 0xfe]).unwrap();
        let read = battery(&folder).unwrap();
        assert_eq!((read.percent, read.celsius, read.volts), (75.0, None, None));
    }

    /// The machine's own supplies, where it has any; a server says that it has none.
    #[test]
    fn this_machine_is_read_or_says_that_it_has_no_battery() {
        let folder = Path::new("/sys/class/power_supply");
        let has_battery = fs::read_dir(folder).is_ok_and(|entries| {
            entries.flatten().any(|entry| {
                let text = |name| fs::read_to_string(entry.path().join(name)).unwrap_or_default();
                text("type").trim() == "Battery"
                    && text("scope").trim() != "Device"
                    && text("capacity").trim().parse::<u8>().is_ok()
            })
        });
        let found = PowerSupply::new(folder).read();
        if has_battery {
            let percent = found.unwrap().battery.unwrap().percent;
            assert!((0.0..=100.0).contains(&percent), "{percent}");
        } else {
            println!(
                "not shown here: this machine has no battery in {}",
                folder.display()
            );
            let error = found.unwrap_err();
            assert!(
                error.contains("no battery with a charge") || error.contains("cannot read"),
                "{error}"
            );
        }
    }
}
