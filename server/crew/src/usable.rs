//! How much of each pack can be used: its discharges against those of packs of its kind on the same units.

use std::collections::BTreeMap;

use swapcall_forecast::{Compared, Fade, Runs, Usable};

use crate::pool::{UNSAID, kind_of};
use crate::{Callsign, Label, Pack, Pool};

/// Every pack's discharges, by unit and kind, ready to be compared. Made for one answer.
#[derive(Debug)]
pub struct Strengths<'a> {
    packs: BTreeMap<&'a Label, (u32, &'a Pack)>,
    ran: BTreeMap<(&'a Callsign, u32), Vec<(&'a Label, Runs)>>,
}

impl<'a> Strengths<'a> {
    /// From what was learned of packs; the pool says of which kind each is.
    pub fn new(packs: impl Iterator<Item = (&'a Label, &'a Pack)>, pool: &Pool) -> Self {
        let mut all = Self {
            packs: BTreeMap::new(),
            ran: BTreeMap::new(),
        };
        for (label, pack) in packs {
            let kind = kind_of(pool.pack(label).and_then(|known| known.nominal_wh));
            all.packs.insert(label, (kind, pack));
            // Packs of which nobody said what they hold may be of any size: they are not compared.
            if kind == UNSAID {
                continue;
            }
            for (unit, runs) in pack.runs() {
                all.ran
                    .entry((unit, kind))
                    .or_default()
                    .push((label, *runs));
            }
        }
        all
    }

    /// How much of a pack can be used; `None` where nothing can be compared.
    pub fn usable(&self, label: &Label) -> Option<Usable> {
        let (kind, pack) = self.packs.get(label)?;
        let units = pack.runs().map(|(unit, own)| {
            let ran = self.ran.get(&(unit, *kind)).map_or(&[][..], Vec::as_slice);
            Compared {
                own: *own,
                others: ran
                    .iter()
                    .filter(|(other, _)| *other != label)
                    .map(|(_, runs)| *runs)
                    .collect(),
            }
        });
        Usable::of(&units.collect::<Vec<_>>())
    }

    /// How a pack fades; `None` before there are discharges enough.
    pub fn fade(&self, label: &Label) -> Option<Fade> {
        let (_, pack) = self.packs.get(label)?;
        Fade::of(pack.runs().map(|(_, runs)| runs))
    }
}
