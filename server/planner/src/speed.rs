//! Sustained write classes printed on cards, and whether a card is fast enough for a bit rate.
//!
//! Figures: minimum sustained sequential write in decimal MB/s; SD Association speed classes (C, U, V, and E for
//! SD Express), the CFA's video performance guarantee (VPG).

use crate::media::BitRate;

/// A series of classes on a card's label.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Series {
    /// Speed Class (C2 to C10).
    Speed,
    /// UHS Speed Class (U1, U3).
    Uhs,
    /// Video Speed Class (V6 to V90).
    Video,
    /// SD Express Speed Class (E150 to E600).
    Express,
    /// Video Performance Guarantee (VPG20 to VPG800).
    Vpg,
}

/// One class: what is printed on the card and what it promises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpeedClass {
    /// As printed, for instance `V30`.
    pub label: &'static str,
    /// The series it belongs to.
    pub series: Series,
    /// Least sustained write, decimal megabytes per second.
    pub mb_per_s: u32,
}

const fn class(label: &'static str, series: Series, mb_per_s: u32) -> SpeedClass {
    SpeedClass {
        label,
        series,
        mb_per_s,
    }
}

/// All classes, each series from slow to fast.
pub const CLASSES: [SpeedClass; 21] = [
    class("C2", Series::Speed, 2),
    class("C4", Series::Speed, 4),
    class("C6", Series::Speed, 6),
    class("C10", Series::Speed, 10),
    class("U1", Series::Uhs, 10),
    class("U3", Series::Uhs, 30),
    class("V6", Series::Video, 6),
    class("V10", Series::Video, 10),
    class("V30", Series::Video, 30),
    class("V60", Series::Video, 60),
    class("V90", Series::Video, 90),
    class("E150", Series::Express, 150),
    class("E300", Series::Express, 300),
    class("E450", Series::Express, 450),
    class("E600", Series::Express, 600),
    class("VPG20", Series::Vpg, 20),
    class("VPG65", Series::Vpg, 65),
    class("VPG130", Series::Vpg, 130),
    class("VPG200", Series::Vpg, 200),
    class("VPG400", Series::Vpg, 400),
    class("VPG800", Series::Vpg, 800),
];

/// How a card's class stands to a bit rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fitness {
    /// More than 1.2 times the bit rate.
    Enough,
    /// At least the bit rate, but no more than 1.2 times: allowed by the number, and not advised.
    Tight,
    /// Less than the bit rate: recordings will stop.
    TooSlow,
}

impl SpeedClass {
    /// The class with this label; upper or lower case, spaces around do not matter.
    pub fn from_label(label: &str) -> Option<Self> {
        CLASSES
            .into_iter()
            .find(|class| class.label.eq_ignore_ascii_case(label.trim()))
    }

    /// The slowest class of a series whose promise covers the bit rate, without headroom; `None` where none does.
    pub fn smallest(series: Series, rate: BitRate) -> Option<Self> {
        CLASSES
            .into_iter()
            .find(|class| class.series == series && class.fitness(rate) != Fitness::TooSlow)
    }

    /// The slowest class of a series with a headroom of more than 1.2 (common practice; no source); `None` where none has
    /// it.
    pub fn recommended(series: Series, rate: BitRate) -> Option<Self> {
        CLASSES
            .into_iter()
            .find(|class| class.series == series && class.fitness(rate) == Fitness::Enough)
    }

    /// Whether this class is fast enough. Integers throughout: `MB/s · 8 · 10⁶ · 5 > bits/s · 6` is the factor 1.2.
    pub fn fitness(self, rate: BitRate) -> Fitness {
        let promised = u128::from(self.mb_per_s) * 8_000_000;
        let needed = u128::from(rate.bits_per_s());
        if promised * 5 > needed * 6 {
            Fitness::Enough
        } else if promised >= needed {
            Fitness::Tight
        } else {
            Fitness::TooSlow
        }
    }

    /// The same in a sentence for the crew.
    pub fn in_words(self, rate: BitRate) -> String {
        let (label, promised, needed) = (self.label, self.mb_per_s, rate.mbps() / 8.0);
        match self.fitness(rate) {
            Fitness::Enough => format!(
                "{label} sustains {promised} MB/s; {needed:.1} MB/s are needed: fast enough."
            ),
            Fitness::Tight => format!(
                "{label} sustains {promised} MB/s; {needed:.1} MB/s are needed: just enough, with no more than a fifth to spare."
            ),
            Fitness::TooSlow => {
                format!(
                    "{label} sustains {promised} MB/s; {needed:.1} MB/s are needed: too slow, recording may stop."
                )
            }
        }
    }
}
