//! What the forecast is to reach, and the page of tables on which it is judged.

use std::fmt::Write as _;

/// Where a figure should lie, ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Bound {
    AtMost(f64),
    AtLeast(f64),
    Within(f64, f64),
}

impl Bound {
    fn met(self, value: f64) -> bool {
        match self {
            Self::AtMost(most) => value <= most,
            Self::AtLeast(least) => value >= least,
            Self::Within(least, most) => (least..=most).contains(&value),
        }
    }

    fn text(self) -> String {
        match self {
            Self::AtMost(most) => format!("≤ {most:.2}"),
            Self::AtLeast(least) => format!("≥ {least:.2}"),
            Self::Within(least, most) => format!("{least:.2}–{most:.2}"),
        }
    }
}

/// Targets over the simulated discharges, mean over traces.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Overall {
    pub(crate) med: Bound,
    pub(crate) p90: Bound,
    pub(crate) al: Bound,
    pub(crate) cov: Bound,
    /// Coverage in the worst scenario.
    pub(crate) worst_cov: Option<Bound>,
    pub(crate) late: Bound,
    pub(crate) early: Bound,
}

/// The overall targets of a gauge; `None` where a gauge is shown without any.
pub(crate) fn overall(gauge: &str) -> Option<Overall> {
    use Bound::{AtLeast, AtMost, Within};
    let counting = Overall {
        med: AtMost(0.19),
        p90: AtMost(0.43),
        al: AtLeast(0.57),
        cov: Within(0.75, 0.88),
        worst_cov: Some(AtLeast(0.65)),
        late: AtMost(0.02),
        early: AtMost(0.26),
    };
    match gauge {
        "cc1" | "cc5" | "human" => Some(counting),
        "cc25" => Some(Overall {
            med: AtMost(0.21),
            p90: AtMost(0.45),
            al: AtLeast(0.54),
            late: AtMost(0.05),
            ..counting
        }),
        "v5" | "v25" => Some(Overall {
            med: AtMost(0.26),
            p90: AtMost(0.60),
            al: AtLeast(0.43),
            cov: Within(0.72, 0.88),
            worst_cov: None,
            late: AtMost(0.07),
            early: AtMost(0.33),
        }),
        _ => None,
    }
}

/// Whether the gauge counts charge or comes from a person who reads one that does: those have the further targets.
pub(crate) fn counts_charge(gauge: &str) -> bool {
    ["cc1", "cc5", "cc25", "human"].contains(&gauge)
}

/// A page in Markdown that counts which targets were met.
#[derive(Default)]
pub(crate) struct Page {
    text: String,
    met: usize,
    judged: usize,
}

impl Page {
    /// A heading with a sentence or two below.
    pub(crate) fn section(&mut self, title: &str, explained: &str) {
        let _ = write!(self.text, "\n### {title}\n\n{explained}\n");
    }

    /// A table: its head and its rows.
    pub(crate) fn table(&mut self, head: &[String], rows: &[Vec<String>]) {
        let line = |cells: &[String]| format!("| {} |\n", cells.join(" | "));
        self.text.push('\n');
        self.text.push_str(&line(head));
        let _ = writeln!(self.text, "|{}", "---|".repeat(head.len()));
        for row in rows {
            self.text.push_str(&line(row));
        }
    }

    /// A figure, and whether it is where it should be. A figure that is none is not judged.
    pub(crate) fn judge(&mut self, value: f64, bound: Option<Bound>) -> String {
        let Some(bound) = bound.filter(|_| !value.is_nan()) else {
            return figure(value, 3);
        };
        let met = bound.met(value);
        self.judged += 1;
        self.met += usize::from(met);
        let verdict = if met { "met" } else { "**not met**" };
        format!("{value:.3} ({}) {verdict}", bound.text())
    }

    /// The page with the count of its targets.
    pub(crate) fn finish(self) -> String {
        let Self { text, met, judged } = self;
        format!("{}\n{met} of {judged} targets met.\n", text.trim_start())
    }
}

/// A figure with so many decimals; a dash where there is none.
pub(crate) fn figure(value: f64, decimals: usize) -> String {
    if value.is_nan() {
        "–".to_owned()
    } else {
        format!("{value:.decimals$}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_count_as_met_and_what_is_missing_is_not_judged() {
        let mut page = Page::default();
        let within = Some(Bound::Within(0.75, 0.88));
        assert_eq!(page.judge(0.75, within), "0.750 (0.75–0.88) met");
        assert_eq!(page.judge(0.881, within), "0.881 (0.75–0.88) **not met**");
        assert_eq!(
            page.judge(0.1904, Some(Bound::AtMost(0.19))),
            "0.190 (≤ 0.19) **not met**"
        );
        assert_eq!(
            page.judge(0.9, Some(Bound::AtLeast(0.57))),
            "0.900 (≥ 0.57) met"
        );
        assert_eq!(page.judge(f64::NAN, within), "–");
        assert_eq!(page.judge(0.5, None), "0.500");
        assert!(page.finish().ends_with("2 of 4 targets met.\n"));
    }

    #[test]
    fn every_gauge_but_the_finest_voltage_has_targets() {
        for gauge in crate::traces::GAUGES {
            assert_eq!(overall(gauge.name).is_none(), gauge.name == "v1");
        }
    }
}
