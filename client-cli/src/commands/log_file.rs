//! Recorded logs: a CSV with a head line, or JSON lines in report form. Pure but for the ids, which are random.

use jiff::{SignedDuration, Timestamp};
use swapcall_wire::{BatteryReport, Mode, Report, Source};

/// What a row of a log says, seconds after the log's beginning.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Seconds since the beginning, not negative, not falling.
    pub seconds: f64,
    /// What was seen; `at` and `id` are set when it is posted.
    pub report: Report,
}

/// How to read a CSV.
#[derive(Clone, Debug)]
pub struct Reading<'a> {
    /// Callsign to report for.
    pub unit: &'a str,
    /// The gauge's column.
    pub gauge: &'a str,
    /// Label of the pack.
    pub pack: Option<&'a str>,
    /// The gauge's resolution, where it is not the one its column's name says.
    pub step: Option<f64>,
}

/// The resolution that a column's name implies: the digits at its end; `human` is rounded to five.
fn implied_step(gauge: &str) -> Option<f64> {
    if gauge == "human" {
        return Some(5.0);
    }
    let digits = gauge.trim_start_matches(|c: char| !c.is_ascii_digit());
    digits
        .parse()
        .ok()
        .filter(|step: &f64| (0.01..=50.0).contains(step))
}

/// Reads a CSV: plain cells without quotes, a head line with `t_s`, `mode`, `ext` (where there) and the gauge.
pub fn csv(text: &str, how: &Reading<'_>) -> Result<Vec<Row>, String> {
    let mut lines = text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty());
    let head: Vec<&str> = lines
        .next()
        .ok_or("the log is empty")?
        .1
        .split(',')
        .map(str::trim)
        .collect();
    let column = |name: &str| head.iter().position(|cell| *cell == name);
    let needed = |name: &str| {
        column(name)
            .ok_or_else(|| format!("the log has no column {name}; it has {}", head.join(", ")))
    };
    let (time, gauge) = (needed("t_s")?, needed(how.gauge)?);
    let (mode, external) = (column("mode"), column("ext"));
    let mut rows = Vec::new();
    let (mut last_mode, mut last_seconds) = (None, 0.0);
    for (index, line) in lines {
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        let wrong = |what: &str| format!("line {}: {what}", index + 1);
        if cells.len() != head.len() {
            return Err(wrong("another number of cells than the head line"));
        }
        let seconds: f64 = cells[time].parse().map_err(|_| wrong("t_s is no number"))?;
        if !seconds.is_finite() || seconds < last_seconds || seconds > 1e9 {
            return Err(wrong("t_s goes backwards or is no time"));
        }
        last_seconds = seconds;
        let mode = mode
            .map(|at| crate::words::mode(cells[at]))
            .transpose()
            .map_err(|what| wrong(&what))?;
        let percent = (!cells[gauge].is_empty())
            .then(|| crate::words::percent(cells[gauge]))
            .transpose();
        let percent = percent.map_err(|what| wrong(&what))?;
        // No reading: nobody looked at the gauge. The camera's mode is seen all the same.
        if percent.is_none() && (mode.is_none() || mode == last_mode) {
            continue;
        }
        last_mode = mode;
        let external = external.is_some_and(|at| cells[at] == "1");
        rows.push(Row {
            seconds,
            report: how.report(percent, mode, external),
        });
    }
    Ok(rows)
}

impl Reading<'_> {
    fn report(&self, percent: Option<f64>, mode: Option<Mode>, external: bool) -> Report {
        let battery = percent.map(|percent| BatteryReport {
            percent,
            step: self.step.or_else(|| implied_step(self.gauge)),
            external,
            pack: self.pack.map(str::to_owned),
            celsius: None,
            volts: None,
        });
        let typed = self.gauge == "human" && battery.is_some();
        Report {
            id: None,
            unit: self.unit.to_owned(),
            at: Timestamp::UNIX_EPOCH,
            sent_at: None,
            mode,
            battery,
            cards: None,
            source: if typed { Source::Typed } else { Source::Cart },
        }
    }
}

/// Reads JSON lines in report form, oldest first; `unit` replaces theirs.
pub fn json_lines(text: &str, unit: Option<&str>) -> Result<Vec<Row>, String> {
    let mut rows: Vec<Row> = Vec::new();
    let mut start = None;
    for (index, line) in text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
    {
        let wrong = |what: String| format!("line {}: {what}", index + 1);
        let mut report: Report =
            serde_json::from_str(line).map_err(|error| wrong(error.to_string()))?;
        let seconds = report
            .at
            .duration_since(*start.get_or_insert(report.at))
            .as_secs_f64();
        if rows.last().is_some_and(|last| seconds < last.seconds) || seconds < 0.0 {
            return Err(wrong(
                "its time lies before the line above; sort the log first".to_owned(),
            ));
        }
        if let Some(unit) = unit {
            unit.clone_into(&mut report.unit);
        }
        rows.push(Row { seconds, report });
    }
    Ok(rows)
}

/// This many seconds after a moment; the moment itself where that would leave the calendar.
pub fn later(start: Timestamp, seconds: f64) -> Timestamp {
    SignedDuration::try_from_secs_f64(seconds)
        .ok()
        .and_then(|span| start.checked_add(span).ok())
        .unwrap_or(start)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "t_s,mode,ext,v_pack,i_a,temp_c,cc1,cc5,cc25,v1,v5,v25,human";

    fn read(gauge: &str, lines: &[&str]) -> Result<Vec<Row>, String> {
        let text = format!("{HEAD}\n{}\n", lines.join("\n"));
        csv(
            &text,
            &Reading {
                unit: "BOW2",
                gauge,
                pack: Some("P07"),
                step: None,
            },
        )
    }

    #[test]
    fn cells_become_reports_and_the_columns_name_the_resolution() {
        let lines = [
            "0,rec,0,8.1,1.7,26,100,100,75,91,90,100,",
            "30,standby,1,,,,99,100,75,,,,95",
        ];
        for (gauge, step) in [("cc1", 1.0), ("cc5", 5.0), ("cc25", 25.0)] {
            let rows = read(gauge, &lines).unwrap();
            let battery = rows[0].report.battery.as_ref().unwrap();
            assert_eq!(
                (rows.len(), battery.step, battery.external),
                (2, Some(step), false)
            );
            assert_eq!(battery.pack.as_deref(), Some("P07"));
        }
        let human = read("human", &lines).unwrap();
        assert_eq!(
            (human[0].report.mode, &human[0].report.battery),
            (Some(Mode::Recording), &None)
        );
        assert_eq!(
            (human[1].report.source, human[1].seconds),
            (Source::Typed, 30.0)
        );
        let battery = human[1].report.battery.as_ref().unwrap();
        assert_eq!(
            (battery.percent, battery.step, battery.external),
            (95.0, Some(5.0), true)
        );
    }

    #[test]
    fn an_empty_cell_is_no_reading_and_only_a_change_of_mode_is_worth_a_report() {
        let lines = [
            "0,rec,0,,,,50,,,,,,",
            "30,rec,0,,,,,,,,,,",
            "60,off,0,,,,,,,,,,",
            "90,off,0,,,,,,,,,,",
        ];
        let rows = read("cc1", &lines).unwrap();
        let seen: Vec<_> = rows
            .iter()
            .map(|row| (row.seconds, row.report.battery.is_some()))
            .collect();
        assert_eq!(seen, [(0.0, true), (60.0, false)]);
    }

    #[test]
    fn broken_logs_name_the_line() {
        let cases: [(&str, &[&str], &str); 5] = [
            ("nope", &[], "no column nope"),
            ("cc1", &["0,rec,0"], "line 2: another number"),
            ("cc1", &["0,rec,0,,,,130,,,,,,"], "line 2: 130"),
            (
                "cc1",
                &["9,rec,0,,,,50,,,,,,", "8,rec,0,,,,50,,,,,,"],
                "line 3: t_s",
            ),
            ("cc1", &["0,running,0,,,,50,,,,,,"], "line 2: “running”"),
        ];
        for (gauge, lines, expected) in cases {
            let error = read(gauge, lines).unwrap_err();
            assert!(error.contains(expected), "{error}");
        }
    }

    #[test]
    fn json_lines_keep_their_spacing() {
        let line = |second| serde_json::to_string(&crate::test_kit::report(second, 50.0)).unwrap();
        let rows = json_lines(&format!("{}\n\n{}\n", line(0), line(45)), Some("STERN")).unwrap();
        assert_eq!(
            (rows[1].seconds, rows[1].report.unit.as_str()),
            (45.0, "STERN")
        );
        assert!(
            json_lines(&format!("{}\n{}\n", line(45), line(0)), None)
                .unwrap_err()
                .contains("line 2")
        );
    }
}
