//! What finished discharges taught, in words: behind a unit's forecast, and of a pack.

use jiff::Timestamp;
use swapcall_wire::{GaugeCurve, GaugeFamily, PackView, UnitView};

use crate::show;

/// One unit, and in a line of its own what its battery forecast rests on.
pub fn unit(view: &UnitView, now: Timestamp) -> String {
    let line = show::unit(view, now);
    match &view.run_out.battery_basis {
        Some(basis) => format!("{line}\n  {}", basis.sentence),
        None => line,
    }
}

/// A pack: a line about it, and a short table for each kind of gauge.
pub fn pack(view: &PackView) -> String {
    let times = |count: u64| {
        if count == 1 {
            "once".to_owned()
        } else {
            format!("{count} times")
        }
    };
    let unit = view
        .last_unit
        .as_ref()
        .map(|unit| format!(", last on {unit}"))
        .unwrap_or_default();
    let head = format!(
        "{}  used {}, run to its end {}{unit}",
        view.pack,
        times(view.discharges),
        times(view.emptied)
    );
    if view.gauges.is_empty() {
        return format!("{head}\nits end was never seen, so nothing is known of it");
    }
    let tables = view.gauges.iter().map(gauge);
    std::iter::once(head)
        .chain(tables)
        .collect::<Vec<_>>()
        .join("\n")
}

fn gauge(curve: &GaugeCurve) -> String {
    let name = match curve.gauge {
        GaugeFamily::Counting => "gauge that counts charge",
        GaugeFamily::Voltage => "gauge that looks at the voltage",
    };
    let end = curve
        .end_pct
        .map(|end| format!(", dies near {} (± {})", show::percent(end.mean), end.sd))
        .unwrap_or_default();
    let lasts = match curve.weakness_pct {
        weak if weak >= 1.0 => format!(", drains {weak:.0} % faster than usual"),
        strong if strong <= -1.0 => format!(", drains {:.0} % slower than usual", -strong),
        _ => String::new(),
    };
    let points = curve
        .points
        .iter()
        .filter(|point| point.percent % 10.0 == 0.0);
    let rows = points.map(|point| {
        format!(
            "  {:>5} {:<9}  {:>5.1} % left ± {:.1}",
            show::percent(point.percent),
            show::mode(point.mode),
            point.left_pct,
            point.sd_pct
        )
    });
    std::iter::once(format!("{name}{end}{lasts}"))
        .chain(rows)
        .collect::<Vec<_>>()
        .join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> PackView {
        serde_json::from_str(include_str!("../../server/wire/examples/pack.json")).unwrap()
    }

    #[test]
    fn a_pack_is_a_line_and_a_short_table() {
        let text = pack(&example());
        let lines: Vec<_> = text.lines().collect();
        assert_eq!(
            lines,
            [
                "P07  used 4 times, run to its end 3 times, last on BOW2",
                "gauge that counts charge, dies near 8.1 % (± 1.4), drains 3 % faster than usual",
                "    0 % recording    0.0 % left ± 1.4",
                "   50 % recording   40.2 % left ± 1.4",
                "  100 % recording   92.7 % left ± 1.4",
            ]
        );
    }

    #[test]
    fn a_pack_that_was_only_taken_off_says_so() {
        let mut view = example();
        view.gauges.clear();
        (view.discharges, view.emptied, view.last_unit) = (1, 0, None);
        assert_eq!(
            pack(&view),
            "P07  used once, run to its end 0 times\nits end was never seen, so nothing is known of it"
        );
    }

    #[test]
    fn a_unit_says_what_its_forecast_rests_on() {
        let view: UnitView =
            serde_json::from_str(include_str!("../../server/wire/examples/unit.json")).unwrap();
        let text = unit(&view, view.as_of);
        assert!(
            text.lines()
                .nth(1)
                .is_some_and(|line| line.contains("dies near 8 %")),
            "{text}"
        );
        let plain = crate::test_kit::unit_view("BOW2", 63.0, 14);
        assert_eq!(unit(&plain, plain.as_of).lines().count(), 1);
    }
}
