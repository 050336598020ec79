//! Chance that repeats: the same seed gives the same regatta.

/// A small generator of pseudo-random numbers: `SplitMix64` (Steele, Lea and Flood 2014). Good enough for a show,
/// never for secrets.
#[derive(Clone, Debug)]
pub(crate) struct Chance(u64);

impl Chance {
    /// A generator for one stream of one seed: each unit and runner has its own, so that adding one changes no other.
    pub(crate) fn new(seed: u64, stream: u64) -> Self {
        let mut parent = Self(seed);
        let base = parent.next();
        Self(base ^ stream.wrapping_mul(0xd134_2543_de82_ef95))
    }

    /// The next 64 bits.
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from 0 to 1, 1 excluded.
    pub(crate) fn share(&mut self) -> f64 {
        // 53 bits: as many as an f64 holds.
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number from `low` to `high`.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// True in `share` of all cases.
    pub(crate) fn happens(&mut self, share: f64) -> bool {
        self.share() < share
    }

    /// Ten bytes, as a `UUIDv7` wants them.
    pub(crate) fn ten_bytes(&mut self) -> [u8; 10] {
        let (a, b) = (self.next().to_le_bytes(), self.next().to_le_bytes());
        let mut bytes = [0; 10];
        bytes[..8].copy_from_slice(&a);
        bytes[8..].copy_from_slice(&b[..2]);
        bytes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first outputs for seed 1234567, as published with the Java and C versions of `SplitMix64` (Rosetta Code,
    /// "Pseudo-random numbers/Splitmix64").
    #[test]
    fn gives_the_published_numbers() {
        let mut chance = Chance(1_234_567);
        assert_eq!(chance.next(), 6_457_827_717_110_365_317);
        assert_eq!(chance.next(), 3_203_168_211_198_807_973);
        assert_eq!(chance.next(), 9_817_491_932_198_370_423);
    }

    #[test]
    fn repeats_with_the_seed_and_differs_between_streams() {
        let numbers = |seed, stream| {
            let mut chance = Chance::new(seed, stream);
            [chance.next(), chance.next(), chance.next()]
        };
        assert_eq!(numbers(7, 3), numbers(7, 3));
        assert_ne!(numbers(7, 3), numbers(7, 4));
        assert_ne!(numbers(7, 3), numbers(8, 3));
    }

    #[test]
    fn shares_are_spread_evenly() {
        let mut chance = Chance::new(1, 1);
        let mean = (0..10_000).map(|_| chance.between(2.0, 4.0)).sum::<f64>() / 10_000.0;
        // The standard error is 0.006; five of them.
        assert!((mean - 3.0).abs() < 0.03, "{mean}");
    }
}
