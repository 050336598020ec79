//! Card families by the capacity on the label (SD Association capacity standard), and what a slot refuses.

use crate::error::KitError;

/// A card family; each reads the ones before it, none the ones after.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// Up to 2 GB.
    Sd,
    /// Above 2 GB up to 32 GB.
    Sdhc,
    /// Above 32 GB up to 2 TB.
    Sdxc,
    /// Above 2 TB up to 128 TB.
    Sduc,
}

impl Family {
    /// The family of a card by its label in decimal gigabytes. By the label, not by raw bytes: the sector limits of
    /// the standard are not decimal.
    pub fn of_label_gb(gigabytes: u64) -> Result<Self, KitError> {
        match gigabytes {
            0 => Err(KitError::Size(0)),
            1..=2 => Ok(Self::Sd),
            3..=32 => Ok(Self::Sdhc),
            33..=2_000 => Ok(Self::Sdxc),
            2_001..=128_000 => Ok(Self::Sduc),
            more => Err(KitError::NoFamily(more)),
        }
    }

    /// As printed on the card.
    pub fn label(self) -> &'static str {
        match self {
            Self::Sd => "SD",
            Self::Sdhc => "SDHC",
            Self::Sdxc => "SDXC",
            Self::Sduc => "SDUC",
        }
    }

    /// The most that a card of this family holds, in decimal gigabytes by its label.
    pub fn most_gb(self) -> u64 {
        match self {
            Self::Sd => 2,
            Self::Sdhc => 32,
            Self::Sdxc => 2_000,
            Self::Sduc => 128_000,
        }
    }

    /// Refuses a card that is said to hold more than its family can.
    pub fn check_label_gb(self, capacity_gb: u64) -> Result<(), KitError> {
        let most_gb = self.most_gb();
        if capacity_gb <= most_gb {
            Ok(())
        } else {
            Err(KitError::BeyondFamily {
                capacity_gb,
                family: self.label(),
                most_gb,
            })
        }
    }

    /// Whether a slot made for this family takes a card of that family.
    pub fn takes(self, card: Self) -> bool {
        card <= self
    }

    /// Why a slot made for this family refuses a card, in words; `None` where it takes it.
    pub fn refusal(self, card: Self) -> Option<String> {
        let (slot, card_label) = (self.label(), card.label());
        (!self.takes(card))
            .then(|| format!("The slot takes cards up to {slot}; this is an {card_label} card."))
    }
}
