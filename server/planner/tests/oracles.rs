//! Every sum against the table of check values (tests/data/vectors.json; each row names its own source), by id.

#![allow(
    clippy::unwrap_used,
    reason = "a missing file or row must fail the test, in helpers as well"
)]

use serde_json::Value;
use swapcall_planner::family::Family;
use swapcall_planner::media::{self, BitRate};
use swapcall_planner::power::{self, TransportBand};
use swapcall_planner::queueing::{Crew, Repair};
use swapcall_planner::rota::{Rota, Starts};
use swapcall_planner::rotation::Rotation;
use swapcall_planner::speed::{CLASSES, Series, SpeedClass};

/// The rows whose id begins with `prefix`; how many there must be is said, so that a lost row is noticed.
fn rows(prefix: &str, count: usize) -> Vec<Value> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/data/vectors.json");
    let table: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let all = table["vectors"].as_array().unwrap();
    let rows: Vec<Value> = all
        .iter()
        .filter(|r| r["id"].as_str().unwrap().starts_with(prefix))
        .cloned()
        .collect();
    assert_eq!(rows.len(), count, "rows {prefix}");
    rows
}

fn number(row: &Value, part: &str, name: &str) -> f64 {
    row[part][name]
        .as_f64()
        .unwrap_or_else(|| panic!("{}: no number {part}.{name}", row["id"]))
}

fn whole(row: &Value, part: &str, name: &str) -> u64 {
    row[part][name]
        .as_u64()
        .unwrap_or_else(|| panic!("{}: no whole number {part}.{name}", row["id"]))
}

fn rate(row: &Value) -> BitRate {
    BitRate::from_mbps(number(row, "input", "mbit_per_s")).unwrap()
}

/// Within the row's own tolerance, which is absolute.
fn check(row: &Value, ours: f64, name: &str) {
    let (wanted, tolerance) = (
        number(row, "expected", name),
        row["tolerance"].as_f64().unwrap(),
    );
    assert!(
        (ours - wanted).abs() <= tolerance,
        "{}: {ours} is not {wanted}",
        row["id"]
    );
}

#[test]
fn m_rate() {
    for row in rows("M-RATE-", 3) {
        let seconds = whole(&row, "input", "seconds");
        assert_eq!(
            rate(&row).bytes_in(seconds),
            Ok(whole(&row, "expected", "bytes")),
            "{}",
            row["id"]
        );
    }
}

#[test]
fn m_left() {
    for row in rows("M-LEFT-", 5) {
        let (size, fill) = (
            whole(&row, "input", "capacity_bytes"),
            number(&row, "input", "fill_percent"),
        );
        check(
            &row,
            rate(&row).seconds_left(size, fill).unwrap(),
            "seconds",
        );
    }
}

#[test]
fn m_fillrate() {
    for row in rows("M-FILLRATE-", 1) {
        let size = whole(&row, "input", "capacity_bytes");
        check(
            &row,
            rate(&row).percent_per_minute(size).unwrap(),
            "percent_per_minute",
        );
    }
}

#[test]
fn m_gib() {
    for row in rows("M-GIB-", 6) {
        let bytes = whole(&row, "input", "bytes");
        if row["expected"]["GiB"].is_number() {
            check(&row, media::gibibytes(bytes), "GiB");
        } else {
            check(&row, media::tebibytes(bytes), "TiB");
        }
    }
}

#[test]
fn m_fat_and_m_exfat() {
    let rows_fat = rows("M-FAT-", 3);
    assert_eq!(
        media::FAT32_LARGEST_FILE,
        whole(&rows_fat[0], "expected", "bytes")
    );
    check(
        &rows_fat[1],
        rate(&rows_fat[1]).seconds_to_fat32_limit(),
        "seconds",
    );
    let segments = media::fat32_segments(whole(&rows_fat[2], "input", "bytes"));
    assert_eq!(segments, whole(&rows_fat[2], "expected", "segments"));
    let exfat = &rows("M-EXFAT-", 1)[0];
    assert_eq!(
        exfat["expected"]["bytes"].as_str(),
        Some(media::EXFAT_LARGEST_FILE.to_string().as_str())
    );
}

/// Every class of both tables, and none that they do not have.
#[test]
fn m_speed_and_m_vpg() {
    let mut known = 0;
    for row in [&rows("M-SPEED", 1)[0], &rows("M-VPG", 1)[0]] {
        for (label, speed) in row["expected"].as_object().unwrap() {
            let class = SpeedClass::from_label(label).unwrap_or_else(|| panic!("no class {label}"));
            assert_eq!(
                u64::from(class.mb_per_s),
                speed.as_u64().unwrap(),
                "{label}"
            );
            known += 1;
        }
    }
    assert_eq!(known, CLASSES.len());
}

#[test]
fn m_vclass() {
    for row in rows("M-VCLASS-", 10) {
        let label = SpeedClass::smallest(Series::Video, rate(&row)).map(|class| class.label);
        assert_eq!(label, row["expected"]["class"].as_str(), "{}", row["id"]);
    }
}

#[test]
fn m_family() {
    for row in rows("M-FAMILY-", 7) {
        let family = Family::of_label_gb(whole(&row, "input", "gb")).unwrap();
        assert_eq!(
            Some(family.label()),
            row["expected"]["family"].as_str(),
            "{}",
            row["id"]
        );
    }
}

fn band_name(band: TransportBand) -> &'static str {
    match band {
        TransportBand::Allowed => "allowed",
        TransportBand::OperatorApproval => "operator-approval",
        TransportBand::ForbiddenPassenger => "forbidden-passenger",
    }
}

#[test]
fn p_wh_and_p_band() {
    for row in rows("P-WH-", 11) {
        let energy =
            power::watt_hours(number(&row, "input", "volt"), number(&row, "input", "mah")).unwrap();
        check(&row, energy, "wh");
        let band = band_name(TransportBand::of(energy).unwrap());
        assert_eq!(
            Some(band),
            row["expected"]["band"].as_str(),
            "{}",
            row["id"]
        );
    }
    for row in rows("P-BAND-", 4) {
        let band = band_name(TransportBand::of(number(&row, "input", "wh")).unwrap());
        assert_eq!(
            Some(band),
            row["expected"]["band"].as_str(),
            "{}",
            row["id"]
        );
    }
}

#[test]
fn p_run() {
    for row in rows("P-RUN-", 3) {
        let [energy, load, usable] =
            ["wh", "watt", "usable"].map(|name| number(&row, "input", name));
        check(
            &row,
            power::runtime_min(energy, load, usable).unwrap(),
            "minutes",
        );
    }
}

#[test]
fn q_cyc() {
    for row in rows("Q-CYC-", 7) {
        let minutes = |name| u32::try_from(whole(&row, "input", name)).unwrap() * 60;
        let rotation = Rotation {
            units: u32::try_from(whole(&row, "input", "users")).unwrap(),
            run_s: minutes("run_min"),
            charge_s: minutes("charge_min"),
            handling_s: minutes("handling_min"),
        };
        let (packs, bays) = (
            whole(&row, "expected", "min_packs"),
            whole(&row, "expected", "min_chargers"),
        );
        let least = rotation.lower_bound().unwrap();
        assert_eq!((least.packs, least.bays), (packs, bays), "{}", row["id"]);
        assert_eq!(rotation.may_last(packs, bays), Ok(true));
        assert_eq!(rotation.may_last(packs - 1, bays), Ok(false));
        assert_eq!(rotation.may_last(packs, bays - 1), Ok(false));
    }
}

#[test]
fn q_fs() {
    for row in rows("Q-FS-", 5) {
        let count = |name: &str| u32::try_from(whole(&row, "input", name)).unwrap();
        let standing = Repair {
            packs: count("N"),
            bays: count("c"),
            run_min: number(&row, "input", "mean_run_min"),
            charge_min: number(&row, "input", "mean_charge_min"),
        }
        .standing()
        .unwrap();
        for (name, ours) in [
            ("p0", standing.all_up),
            ("L", standing.down),
            ("Lq", standing.waiting),
            ("throughput", standing.per_min),
            ("server_util", standing.use_of_bays),
            ("W", standing.down_min),
            ("Wq", standing.waiting_min),
            ("mean_up", f64::from(count("N")) - standing.down),
            ("p_all_down", standing.all_down),
        ] {
            check(&row, ours, name);
        }
    }
}

#[test]
fn q_ec() {
    for row in rows("Q-EC-", 5) {
        let crew = Crew {
            servers: u32::try_from(whole(&row, "input", "servers")).unwrap(),
            per_hour: number(&row, "input", "calls_per_hour"),
            handle_s: number(&row, "input", "handle_s"),
        };
        let waiting = crew.waiting().unwrap();
        let within = crew.served_within(number(&row, "input", "t_s")).unwrap();
        for (name, ours) in [
            ("erlangs", waiting.erlangs),
            ("occupancy", waiting.occupancy),
            ("p_wait", waiting.waits),
            ("service_level", within),
            ("asa_s", waiting.mean_wait_s),
        ] {
            check(&row, ours, name);
        }
    }
    let crew = Crew {
        servers: 3,
        per_hour: 120.0,
        handle_s: 90.0,
    };
    assert!(
        crew.waiting()
            .unwrap_err()
            .to_string()
            .contains("without end")
    );
}

/// The same rows, played through: at the bound it lasts when the starts are staggered, and with one less of either it does
/// not.
#[test]
fn q_cyc_played() {
    for row in rows("Q-CYC-", 7) {
        let minutes = |name: &str| number(&row, "input", name) * 60.0;
        let least = |name: &str| u32::try_from(whole(&row, "expected", name)).unwrap();
        let lasts = |packs: u32, bays: u32| {
            let rota = Rota {
                runs_s: vec![
                    minutes("run_min");
                    usize::try_from(whole(&row, "input", "users")).unwrap()
                ],
                packs,
                bays,
                charge_s: minutes("charge_min"),
                handling_s: minutes("handling_min"),
                spread: 0.0,
                starts: Starts::Staggered,
                show_s: 2_000.0 * 3_600.0,
                seed: 0,
            };
            rota.play().unwrap().dark_s == 0.0
        };
        let (packs, bays) = (least("min_packs"), least("min_chargers"));
        let fewer = |packs: u32, bays: u32| packs > 0 && bays > 0 && lasts(packs, bays);
        for (name, ours) in [
            ("staggered_sim_feasible", lasts(packs, bays)),
            ("feasible_one_pack_fewer", fewer(packs - 1, bays)),
            ("feasible_one_charger_fewer", fewer(packs, bays - 1)),
        ] {
            assert_eq!(
                Some(ours),
                row["expected"][name].as_bool(),
                "{} {name}",
                row["id"]
            );
        }
    }
}
