//! The hours to come of the kit: what is known of units, packs and bays, put together for [`swapcall_planner::ahead`], with
//! a sentence for each thing that had to be taken for lack of knowledge.

mod supply;
mod turning;

use swapcall_planner::KitError;
use swapcall_planner::ahead::{Ahead, Outlook, RULE};

use crate::{Callsign, Label, LimitsDocument, Millis, Pack, Pool, Rundown, Span, Unit};

/// What is played, in a sentence.
pub const ROTATION_RULE: &str = RULE;
/// The least and the most hours that can be looked ahead.
pub const ROTATION_HOURS: (f64, f64) = (0.5, 24.0);
/// Looks of at most so many hours have a point every five minutes; longer ones every ten.
const FINE_HOURS: f64 = 4.0;
/// The same question has the same answer.
const SEED: u64 = 0x5157_4150;
/// No handling or early change is longer than this, in seconds, whatever the limits say.
const HANDLING_MAX_S: f64 = 3_600.0;
/// So many names stand in a sentence; more are counted.
const NAMES: usize = 4;

/// What the look ahead looks at.
#[derive(Clone, Copy)]
pub struct Kit<'a> {
    /// Every unit.
    pub units: &'a [&'a Unit],
    /// What is planned for them.
    pub rundown: &'a Rundown,
    /// How long walking and changing take.
    pub limits: &'a LimitsDocument,
    /// The packs.
    pub pool: &'a Pool,
    /// What finished discharges taught of a pack.
    pub learned: &'a dyn Fn(&Label) -> Option<&'a Pack>,
}

/// The hours to come.
#[derive(Clone, Debug, PartialEq)]
pub struct RotationAhead {
    /// What comes of the plays.
    pub outlook: Outlook,
    /// The units that take part, in the order in which `outlook` counts them.
    pub units: Vec<Callsign>,
    /// Between two points.
    pub step: Span,
    /// What was taken for lack of knowledge.
    pub assumed: Vec<String>,
}

impl Kit<'_> {
    /// Looks so many hours ahead from `now`. `bays` is how many there are, where somebody says it.
    pub fn ahead(
        &self,
        hours: f64,
        bays: Option<u32>,
        now: Millis,
    ) -> Result<RotationAhead, KitError> {
        let supply = supply::supply(self.pool, self.learned, now);
        let mut taken = Taken::default();
        let mut callsigns = Vec::new();
        let mut units = Vec::new();
        for unit in self.units {
            if let Some((turning, guessed)) = turning::turning(unit, self.rundown, now) {
                taken.external(unit, turning.external);
                taken.guessed(unit, guessed && !turning.external);
                callsigns.push(unit.callsign().clone());
                units.push(turning);
            } else {
                taken.untold.push(unit.callsign().clone());
            }
        }
        if self.pool.packs().next().is_none() {
            taken.say("The kit lists no packs, so none is taken to be ready: register them.");
        }
        if supply.unsaid > 0 {
            taken.say("A ready pack of which nobody said how full it is is taken to be full.");
        }
        let bays = bays.unwrap_or_else(|| taken.bays(units.len(), supply::bays_known(self.pool)));
        let (charge, charge_words) = supply::whole_charge(self.pool);
        taken.say(&charge_words);
        let times = self.limits.in_force(None, None);
        let seconds = |span: Span| span.as_seconds().clamp(0.0, HANDLING_MAX_S);
        let step = Span::seconds(if hours <= FINE_HOURS { 300 } else { 600 });
        let ahead = Ahead {
            units,
            ready: supply.ready,
            in_bays: supply.in_bays,
            spent: supply.spent,
            bays,
            charge,
            handling_s: seconds(times.swap.and(times.walk)),
            early_s: seconds(times.swap.and(times.margin)),
            horizon_s: hours * 3_600.0,
            step_s: step.as_seconds(),
            seed: SEED,
        };
        Ok(RotationAhead {
            outlook: ahead.look()?,
            units: callsigns,
            step,
            assumed: taken.in_words(),
        })
    }
}

/// What was taken for lack of knowledge.
#[derive(Default)]
struct Taken {
    external: Vec<Callsign>,
    guessed: Vec<Callsign>,
    untold: Vec<Callsign>,
    sentences: Vec<String>,
}

impl Taken {
    fn say(&mut self, sentence: &str) {
        self.sentences.push(sentence.to_owned());
    }

    fn external(&mut self, unit: &Unit, is: bool) {
        self.external.extend(is.then(|| unit.callsign().clone()));
    }

    fn guessed(&mut self, unit: &Unit, is: bool) {
        self.guessed.extend(is.then(|| unit.callsign().clone()));
    }

    /// How many bays there are, where nobody says: one for two units, and those that are known if they are more.
    fn bays(&mut self, units: usize, known: usize) -> u32 {
        let taken = known.max(units.div_ceil(2)).max(1);
        self.say(&format!(
            "{taken} {} taken to be there: {known} {} known by the packs in them.",
            if taken == 1 { "bay is" } else { "bays are" },
            if known == 1 { "is" } else { "are" },
        ));
        u32::try_from(taken).unwrap_or(u32::MAX)
    }

    fn in_words(mut self) -> Vec<String> {
        let about = |units: &[Callsign], words: &str| {
            (!units.is_empty()).then(|| format!("{words} {}.", names(units)))
        };
        let mut sentences = Vec::new();
        sentences.extend(about(
            &self.untold,
            "Left out, for nothing was told of their battery:",
        ));
        sentences.extend(about(
            &self.guessed,
            "Drain taken to be as usual for cameras, until it is learned, of",
        ));
        sentences.extend(about(&self.external, "Outside power taken to go on for"));
        sentences.append(&mut self.sentences);
        sentences
    }
}

/// Names in a sentence, not too many.
fn names(units: &[Callsign]) -> String {
    let shown: Vec<&str> = units.iter().take(NAMES).map(Callsign::as_str).collect();
    match units.len().saturating_sub(NAMES) {
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}
