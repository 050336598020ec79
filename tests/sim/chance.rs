//! Chance from a seed: `SplitMix64` (Steele, Lea and Flood 2014), the same on every machine.

/// A stream of chance.
pub struct Chance(u64);

impl Chance {
    /// Starts a stream.
    pub fn from_seed(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from 0 to `below` − 1.
    pub fn below(&mut self, below: u64) -> u64 {
        self.bits() % below.max(1)
    }

    /// True `percent` times in a hundred.
    pub fn percent(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }

    /// One of `items`.
    pub fn one_of<'a, T>(&mut self, items: &'a [T]) -> &'a T {
        &items[usize::try_from(self.below(items.len() as u64)).expect("fits")]
    }
}
