//! The hashes a copy is proved with, and their text as manifests and checking programs write it.

use std::hash::Hasher as _;

use clap::ValueEnum;
use md5::{Digest as _, Md5};
use sha1::Sha1;
use sha2::{Sha256, Sha512};
use twox_hash::{XxHash3_64, XxHash3_128, XxHash64};

/// Digits of a C4 ID (SMPTE ST 2114): base 58, in the order of ASCII.
const C4_DIGITS: &[u8; 58] = b"123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz";
/// Digits behind `c4`: a SHA-512 digest never needs more.
const C4_LENGTH: usize = 88;

/// One way to hash. In the order in which a manifest lists them (its schema wants it so); SHA-256 has no place in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, ValueEnum)]
pub enum Algorithm {
    /// C4 ID (SMPTE ST 2114), made of SHA-512
    C4,
    /// MD5 (RFC 1321)
    Md5,
    /// SHA-1 (FIPS 180-4)
    Sha1,
    /// XXH3 with 128 bits
    Xxh128,
    /// XXH3 with 64 bits
    Xxh3,
    /// XXH64
    Xxh64,
    /// SHA-256 (FIPS 180-4); not part of ASC MHL, so XXH64 is taken as well
    Sha256,
}

impl Algorithm {
    /// Every one, in the manifest's order.
    pub const ALL: [Self; 7] = [
        Self::C4,
        Self::Md5,
        Self::Sha1,
        Self::Xxh128,
        Self::Xxh3,
        Self::Xxh64,
        Self::Sha256,
    ];

    /// Its name, on the command line and in a manifest.
    pub const fn name(self) -> &'static str {
        match self {
            Self::C4 => "c4",
            Self::Md5 => "md5",
            Self::Sha1 => "sha1",
            Self::Xxh128 => "xxh128",
            Self::Xxh3 => "xxh3",
            Self::Xxh64 => "xxh64",
            Self::Sha256 => "sha256",
        }
    }

    /// The one with this name in a manifest.
    pub fn in_manifest(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|one| one.has_place_in_manifest() && one.name() == name)
    }

    /// Whether a manifest can hold it.
    pub const fn has_place_in_manifest(self) -> bool {
        !matches!(self, Self::Sha256)
    }

    /// What is hashed with when these were asked for: each once, in the manifest's order, and at least one that a manifest
    /// can hold.
    pub fn chosen(asked: impl IntoIterator<Item = Self>) -> Vec<Self> {
        let mut chosen: Vec<Self> = asked.into_iter().collect();
        if !chosen.iter().any(|one| one.has_place_in_manifest()) {
            chosen.push(Self::Xxh64);
        }
        chosen.sort_unstable();
        chosen.dedup();
        chosen
    }

    /// The hash of these bytes.
    pub fn of(self, bytes: &[u8]) -> Digest {
        let mut hash = Hash::new(self);
        hash.update(bytes);
        hash.finish()
    }
}

/// A finished hash.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Digest {
    algorithm: Algorithm,
    bytes: Vec<u8>,
}

impl Digest {
    /// How it was made.
    pub fn algorithm(&self) -> Algorithm {
        self.algorithm
    }

    /// Its bytes, the most significant first; of a C4 ID, those of the SHA-512 behind it.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Its text: lower-case hex with all its zeros, or the C4 ID.
    pub fn text(&self) -> String {
        match self.algorithm {
            Algorithm::C4 => c4(&self.bytes),
            _ => hex(&self.bytes),
        }
    }
}

fn hex(bytes: &[u8]) -> String {
    let digit = |nibble: u8| char::from_digit(nibble.into(), 16).unwrap_or('0');
    bytes
        .iter()
        .flat_map(|byte| [digit(byte >> 4), digit(byte & 15)])
        .collect()
}

/// The C4 ID of a SHA-512 digest: its number in base 58, filled up with the digit that stands for nought.
fn c4(digest: &[u8]) -> String {
    let mut number = digest.to_vec();
    let mut digits = Vec::with_capacity(C4_LENGTH);
    for _ in 0..C4_LENGTH {
        let mut rest = 0_usize;
        for byte in &mut number {
            let value = rest * 256 + usize::from(*byte);
            *byte = (value / 58) as u8;
            rest = value % 58;
        }
        digits.push(char::from(C4_DIGITS[rest]));
    }
    "c4".chars().chain(digits.into_iter().rev()).collect()
}

/// A hash in the making.
pub struct Hash(State);

/// The large ones are boxed: a hash is made for each file and moved.
enum State {
    C4(Box<Sha512>),
    Md5(Box<Md5>),
    Sha1(Box<Sha1>),
    Sha256(Box<Sha256>),
    Xxh128(Box<XxHash3_128>),
    Xxh3(Box<XxHash3_64>),
    Xxh64(Box<XxHash64>),
}

impl Hash {
    /// Begins with nothing. The xxHash family has the seed 0, as everywhere in manifests.
    pub fn new(algorithm: Algorithm) -> Self {
        Self(match algorithm {
            Algorithm::C4 => State::C4(Box::default()),
            Algorithm::Md5 => State::Md5(Box::default()),
            Algorithm::Sha1 => State::Sha1(Box::default()),
            Algorithm::Sha256 => State::Sha256(Box::default()),
            Algorithm::Xxh128 => State::Xxh128(Box::new(XxHash3_128::new())),
            Algorithm::Xxh3 => State::Xxh3(Box::new(XxHash3_64::new())),
            Algorithm::Xxh64 => State::Xxh64(Box::new(XxHash64::with_seed(0))),
        })
    }

    /// Takes these bytes behind those before.
    pub fn update(&mut self, bytes: &[u8]) {
        match &mut self.0 {
            State::C4(hash) => hash.update(bytes),
            State::Md5(hash) => hash.update(bytes),
            State::Sha1(hash) => hash.update(bytes),
            State::Sha256(hash) => hash.update(bytes),
            State::Xxh128(hash) => hash.write(bytes),
            State::Xxh3(hash) => hash.write(bytes),
            State::Xxh64(hash) => hash.write(bytes),
        }
    }

    /// The hash of everything taken.
    pub fn finish(self) -> Digest {
        let (algorithm, bytes) = match self.0 {
            State::C4(hash) => (Algorithm::C4, hash.finalize().to_vec()),
            State::Md5(hash) => (Algorithm::Md5, hash.finalize().to_vec()),
            State::Sha1(hash) => (Algorithm::Sha1, hash.finalize().to_vec()),
            State::Sha256(hash) => (Algorithm::Sha256, hash.finalize().to_vec()),
            State::Xxh128(hash) => (Algorithm::Xxh128, hash.finish_128().to_be_bytes().to_vec()),
            State::Xxh3(hash) => (Algorithm::Xxh3, hash.finish().to_be_bytes().to_vec()),
            State::Xxh64(hash) => (Algorithm::Xxh64, hash.finish().to_be_bytes().to_vec()),
        };
        Digest { algorithm, bytes }
    }
}

#[cfg(test)]
#[path = "algorithm_test.rs"]
mod tests;
