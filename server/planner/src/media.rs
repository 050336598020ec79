//! Card sums. Bit rates and capacities are decimal: 1 Mb/s is 10⁶ bits per second, 1 GB is 10⁹ bytes, as cameras and
//! cards state them (SI prefixes, IEC 80000-13).

use crate::error::KitError;

/// Largest file on a FAT32 card, in bytes: the directory entry counts the size in 32 bits (Microsoft FAT
/// specification, `DIR_FileSize`).
pub const FAT32_LARGEST_FILE: u64 = u32::MAX as u64;
/// Largest file that exFAT's 64-bit length field can name, in bytes (Microsoft exFAT specification, `DataLength`; the
/// volume ends long before).
pub const EXFAT_LARGEST_FILE: u64 = u64::MAX;

/// Bits per second of a recording, kept as a whole number so that bytes and cards come out exactly.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BitRate {
    bits_per_s: u64,
}

impl BitRate {
    /// From decimal megabits per second, rounded to the bit.
    pub fn from_mbps(mbps: f64) -> Result<Self, KitError> {
        let bits = (mbps * 1e6).round();
        if bits >= 1.0 && mbps <= 1e6 {
            Ok(Self {
                bits_per_s: bits as u64,
            })
        } else {
            Err(KitError::BitRate(mbps))
        }
    }

    /// Bits per second.
    pub fn bits_per_s(self) -> u64 {
        self.bits_per_s
    }

    /// Decimal megabits per second.
    pub fn mbps(self) -> f64 {
        self.bits_per_s as f64 / 1e6
    }

    /// Bytes that `seconds` of recording need, rounded up to the byte.
    pub fn bytes_in(self, seconds: u64) -> Result<u64, KitError> {
        let bits = u128::from(self.bits_per_s) * u128::from(seconds);
        u64::try_from(bits.div_ceil(8)).map_err(|_| KitError::TooLarge)
    }

    /// Seconds of recording that fit into `free_bytes`.
    pub fn seconds_in(self, free_bytes: u64) -> f64 {
        (u128::from(free_bytes) * 8) as f64 / self.bits_per_s as f64
    }

    /// Seconds of recording left on a card of which `fill_percent` is in use.
    pub fn seconds_left(self, capacity_bytes: u64, fill_percent: f64) -> Result<f64, KitError> {
        if capacity_bytes == 0 {
            return Err(KitError::Size(0));
        }
        if !(0.0..=100.0).contains(&fill_percent) {
            return Err(KitError::Fill(fill_percent));
        }
        Ok(capacity_bytes as f64 * (100.0 - fill_percent) / 100.0 * 8.0 / self.bits_per_s as f64)
    }

    /// Percent of a card that a minute of recording fills.
    pub fn percent_per_minute(self, capacity_bytes: u64) -> Result<f64, KitError> {
        if capacity_bytes == 0 {
            return Err(KitError::Size(0));
        }
        Ok(self.bits_per_s as f64 * 60.0 / 8.0 / capacity_bytes as f64 * 100.0)
    }

    /// Seconds until a recording reaches the largest file of a FAT32 card and must be split.
    pub fn seconds_to_fat32_limit(self) -> f64 {
        self.seconds_in(FAT32_LARGEST_FILE)
    }

    /// Cards that one unit fills in `recording_s` seconds of recording, `copies` written at once (1, or 2 where the
    /// same footage goes to two slots). Without reuse: a card that comes back copied and checked makes it fewer.
    pub fn cards_for(
        self,
        recording_s: u64,
        card_bytes: u64,
        copies: u32,
    ) -> Result<u64, KitError> {
        if card_bytes == 0 {
            return Err(KitError::Size(0));
        }
        let one = self.bytes_in(recording_s)?.div_ceil(card_bytes);
        one.checked_mul(u64::from(copies)).ok_or(KitError::TooLarge)
    }
}

/// Files that a clip of `bytes` is split into on a FAT32 card; an empty clip is one file.
pub fn fat32_segments(bytes: u64) -> u64 {
    bytes.div_ceil(FAT32_LARGEST_FILE).max(1)
}

/// Bytes in binary gibibytes, as some computers show them (IEC 80000-13: 2³⁰ bytes).
pub fn gibibytes(bytes: u64) -> f64 {
    bytes as f64 / 2.0_f64.powi(30)
}

/// Bytes in binary tebibytes (IEC 80000-13: 2⁴⁰ bytes).
pub fn tebibytes(bytes: u64) -> f64 {
    bytes as f64 / 2.0_f64.powi(40)
}
