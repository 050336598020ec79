//! The kit sum: what a lead asks before a show, and the answer. The same shape is the command line's TOML file.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{LabelText, SlotMode};

/// A card family, by the capacity on the label.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum KitFamily {
    /// Up to 2 GB.
    Sd,
    /// Above 2 GB up to 32 GB.
    Sdhc,
    /// Above 32 GB up to 2 TB.
    Sdxc,
    /// Above 2 TB up to 128 TB.
    Sduc,
}

/// Body of `POST /v1/kit`: a show, and what there is for it. Nothing of it is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KitQuestion {
    /// How long the show lasts, 0.1 to 336 hours.
    #[schema(minimum = 0.1, maximum = 336)]
    pub hours: f64,
    /// How cold it is at the cameras, -20 to 55 °C; without it as at 25 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = -20, maximum = 55)]
    pub celsius: Option<f64>,
    /// How far running and charging times vary, each from so much less to so much more, 0 to 50 %; 0 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 50)]
    pub spread_percent: Option<f64>,
    /// Minutes from a unit to the chargers and readers, 0 to 600; 5 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 600)]
    pub handling_min: Option<f64>,
    /// The units, by kinds: 1 to 20, at most 1,000 units together.
    #[schema(min_items = 1, max_items = 20)]
    pub units: Vec<KitUnits>,
    /// The packs, all charged at the beginning.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub packs: Option<KitPacks>,
    /// The charger bays; none when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bays: Option<KitBays>,
    /// The cards, all blank at the beginning.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cards: Option<KitCards>,
    /// The card readers; none when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub readers: Option<KitReaders>,
}

/// Some units of one kind. Packs: either how long one runs them, or their power; without both they need none. Cards: the
/// bit rate; without it they fill none.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KitUnits {
    /// What the crew calls them.
    #[schema(value_type = LabelText)]
    pub name: String,
    /// How many, 1 to 1,000.
    #[schema(minimum = 1, maximum = 1000)]
    pub count: u32,
    /// How long a pack runs one, in minutes, at about 25 °C: 1 to 10,000.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 10000)]
    pub pack_min: Option<f64>,
    /// Power while it records, 0.1 to 2,000 W.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 2000)]
    pub recording_w: Option<f64>,
    /// Power in standby, 0.1 to 2,000 W; as while it records when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 2000)]
    pub standby_w: Option<f64>,
    /// Share of the show that they record, 0 to 100 %; 100 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 100)]
    pub recording_percent: Option<f64>,
    /// Bit rate of a recording, 0.1 to 100,000 Mb/s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0.1, maximum = 100_000)]
    pub bit_rate_mbps: Option<f64>,
    /// How the slots work together; `relay` when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slot_mode: Option<SlotMode>,
    /// The largest family that the slots take; any when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slot_family: Option<KitFamily>,
}

/// The packs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KitPacks {
    /// How many, 0 to 10,000.
    #[schema(minimum = 0, maximum = 10_000)]
    pub count: u32,
    /// What one holds by its label, 1 to 5,000 Wh; needed where a unit's power is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 5000)]
    pub nominal_wh: Option<f64>,
    /// What of it can be used, 1 to 100 %; 85 when left out, a rule of thumb. Only where a unit's power is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 100)]
    pub usable_percent: Option<f64>,
}

/// The charger bays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KitBays {
    /// How many, 0 to 10,000.
    #[schema(minimum = 0, maximum = 10_000)]
    pub count: u32,
    /// Minutes from empty to full, 1 to 2,880.
    #[schema(minimum = 1, maximum = 2880)]
    pub charge_min: f64,
}

/// The cards.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KitCards {
    /// How many, 0 to 10,000.
    #[schema(minimum = 0, maximum = 10_000)]
    pub count: u32,
    /// What one holds by its label, in decimal gigabytes, 1 to 128,000.
    #[schema(minimum = 1, maximum = 128_000)]
    pub capacity_gb: u64,
    /// The sustained class on its label, such as `V60` or `VPG400`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<LabelText>)]
    pub speed_class: Option<String>,
    /// Its family, where it has one; a capacity beyond it is refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub family: Option<KitFamily>,
}

/// The card readers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KitReaders {
    /// How many copy at the same time, 0 to 10,000.
    #[schema(minimum = 0, maximum = 10_000)]
    pub count: u32,
    /// How fast one copies and reads back, all told, 0.1 to 100,000 MB/s.
    #[schema(minimum = 0.1, maximum = 100_000)]
    pub mb_per_s: f64,
}

/// The answer to `POST /v1/kit`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitAnswer {
    /// Whether no unit waits for a pack or a card, and no card is too slow.
    pub lasts: bool,
    /// How long the show lasts, in hours.
    pub hours: f64,
    /// What fails first, where something does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first: Option<KitFirst>,
    /// Packs and bays; none where no unit needs packs, or where nothing was said of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power: Option<KitRound>,
    /// Cards and readers; none where no unit fills cards, or where nothing was said of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub media: Option<KitRound>,
    /// Each kind of units, in the order in which they were given.
    pub units: Vec<KitUnitsView>,
    /// What was left out and is taken for granted.
    pub assumed: Vec<KitAssumed>,
    /// What to mind.
    pub cautions: Vec<KitCaution>,
}

/// What is short first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum KitFailure {
    /// No pack is ready.
    Packs,
    /// No card is blank.
    Cards,
    /// The cards are too slow for the bit rate.
    Speed,
}

/// What fails first, and when.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitFirst {
    /// What is short.
    pub what: KitFailure,
    /// The kind of units that waits first.
    pub unit: String,
    /// Minutes after the beginning; of the shows that do not last, half are earlier and half are later.
    pub at_min: f64,
    /// The same in the worst show that was played.
    pub earliest_min: f64,
}

/// Packs or cards, and bays or readers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct KitNeeds {
    /// Packs or cards.
    pub pieces: u64,
    /// Bays or readers.
    pub places: u64,
}

/// Which rule decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum KitRule {
    /// A closed form: it lasts for ever, however the starts lie.
    Endless,
    /// A closed form: there are as many as the show uses up.
    Once,
    /// The show was played through, swap by swap.
    Played,
}

/// How packs or cards go round.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitRound {
    /// Whether it lasts; where times vary, whether at least 95 shows in 100 do.
    pub lasts: bool,
    /// Which rule decides.
    pub rule: KitRule,
    /// The rule in a sentence, with its figures.
    pub rule_text: String,
    /// Pieces and places that there are.
    pub given: KitNeeds,
    /// Pieces more than the show asks for; below zero how many are short.
    pub spare: i64,
    /// How much shorter a pack may run, or a card last, in percent, and it still lasts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_percent: Option<u32>,
    /// The share of shows that last, 0 to 1.
    pub chance: f64,
    /// Between this and the next that share lies with 95 % confidence.
    pub chance_low: f64,
    /// See there.
    pub chance_high: f64,
    /// Shows that were played.
    pub plays: u32,
    /// What fails first, where something does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first: Option<KitFirst>,
    /// A bound: with fewer it runs dry in the long run; as many are enough only where starts are spread out well.
    pub bound: KitNeeds,
    /// With these it lasts for ever, however the starts lie.
    pub endless: KitNeeds,
    /// Pieces that the show uses up where none comes back.
    pub once: u64,
    /// What would mend it, the smallest first; none where it lasts.
    pub cures: Vec<KitNeeds>,
    /// Whether everything that could mend it was tried.
    pub all_tried: bool,
}

/// How a card's class stands to a bit rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum KitFitness {
    /// More than 1.2 times what is needed.
    Enough,
    /// What is needed, and no more than 1.2 times that: allowed by the number, not advised.
    Tight,
    /// Less than what is needed: recordings stop.
    TooSlow,
}

/// A sustained class on a card's label.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct KitClass {
    /// As printed.
    pub label: String,
    /// Least sustained write, in decimal MB/s.
    pub mb_per_s: u32,
    /// How that stands to the bit rate.
    pub fitness: KitFitness,
}

/// How long a card of a size lasts while recording.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitSize {
    /// What it holds, in decimal gigabytes.
    pub capacity_gb: u64,
    /// Minutes by arithmetic.
    pub minutes: f64,
    /// Nine tenths of it: a rule of thumb for planning.
    pub planned_min: f64,
}

/// What a bit rate asks of cards.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitMedia {
    /// The bit rate, in Mb/s.
    pub bit_rate_mbps: f64,
    /// The same in MB/s, which is what a class must sustain.
    pub mb_per_s: f64,
    /// Decimal gigabytes that one unit records in the show, on each of its copies.
    pub show_gb: f64,
    /// Cards that one unit fills in the show where none comes back, all copies counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub show_cards: Option<u64>,
    /// How long cards last: of the kit's size, and of three usual ones.
    pub sizes: Vec<KitSize>,
    /// The class of the kit's cards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub class: Option<KitClass>,
    /// The slowest video speed class and the slowest VPG class that are fast enough by the number.
    pub allowed: Vec<KitClass>,
    /// The same with headroom of more than 1.2, a rule of thumb.
    pub advised: Vec<KitClass>,
}

/// One kind of units.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitUnitsView {
    /// What the crew calls them.
    pub name: String,
    /// How many.
    pub count: u32,
    /// How long a pack runs one, in minutes, with standby and cold reckoned in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pack_min: Option<f64>,
    /// How long a card lasts in one, in minutes, with the time it does not record reckoned in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub card_min: Option<f64>,
    /// What its bit rate asks of cards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub media: Option<KitMedia>,
}

/// What was left out, and the value that is taken for it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitAssumed {
    /// JSON Pointer to the member.
    pub pointer: String,
    /// The value.
    pub value: f64,
    /// Whether that is a rule of thumb of the trade rather than what "left out" plainly means.
    pub rule_of_thumb: bool,
}

/// A caution: its stable name, and a line in English.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct KitCaution {
    /// Which.
    pub code: KitCautionCode,
    /// The same in a line.
    pub text: String,
}

/// What to mind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum KitCautionCode {
    /// Nothing was said of packs, and units need some.
    PacksNotSaid,
    /// Nothing was said of cards, and units fill some.
    CardsNotSaid,
    /// It lasts for this show, and is not endless.
    NotEndless,
    /// A unit with one card stops while it is changed.
    SingleStops,
    /// There are fewer cards than the slots hold at the beginning.
    SlotsNotFilled,
    /// Cards are fast enough by the number, without headroom.
    NoHeadroom,
    /// The figures for the cold are one maker's.
    ColdIsExample,
    /// No charging below 0 °C.
    NoChargingInFrost,
    /// Packs above 100 Wh: the airline must agree.
    AirlineMustAgree,
    /// Packs above 160 Wh: not with a passenger.
    NotWithPassenger,
    /// Swollen or dropped packs stay out of use, terminals stay covered.
    DamagedPacks,
    /// Local codes, the maker's instructions and licensed practice come first.
    CodesComeFirst,
}
