use proptest::prelude::*;
use serde_json::Value;

use super::*;

/// Values published with the standards, or with the reference programs; each with its source in the file.
const VECTORS: &str = include_str!("../../../tests/data/vectors.json");

/// The buffer of xxHash's own sanity check.
fn buffer(length: usize) -> Vec<u8> {
    let mut generator: u64 = 2_654_435_761;
    let mut next = || {
        let byte = (generator >> 56) as u8;
        generator = generator.wrapping_mul(11_400_714_785_074_694_797);
        byte
    };
    (0..length).map(|_| next()).collect()
}

/// What a vector hashes, where it is one of the forms used for the hashes taken here.
fn input(input: &Value) -> Option<Vec<u8>> {
    if let Some(text) = input["ascii"].as_str() {
        return Some(text.as_bytes().to_vec());
    }
    if let Some(text) = input["content_ascii"].as_str() {
        return Some(text.as_bytes().to_vec());
    }
    if let Some(letter) = input["repeat"].as_str() {
        return Some(
            letter
                .repeat(input["count"].as_u64()? as usize)
                .into_bytes(),
        );
    }
    (input["buffer"] == "M-XXBUF" && input["seed"] == "0")
        .then(|| buffer(input["length"].as_u64().unwrap() as usize))
}

/// Each hash that a vector names: algorithm and text.
fn expected(vector: &Value) -> Vec<(Algorithm, String)> {
    let id = vector["id"].as_str().unwrap();
    let by_id = [
        ("M-MD5-", Algorithm::Md5),
        ("M-SHA1-", Algorithm::Sha1),
        ("M-SHA256-", Algorithm::Sha256),
        ("M-XXH64-", Algorithm::Xxh64),
        ("M-XXH3-", Algorithm::Xxh3),
        ("M-XXH128-", Algorithm::Xxh128),
    ];
    let expected = &vector["expected"];
    let of = |name: &str| expected[name].as_str().map(str::to_owned);
    let named = by_id.iter().find(|(start, _)| id.starts_with(start));
    if let Some((_, algorithm)) = named {
        return of("hex")
            .map(|text| (*algorithm, text))
            .into_iter()
            .collect();
    }
    let members = [
        ("xxh64", Algorithm::Xxh64),
        ("xxh3_64", Algorithm::Xxh3),
        ("xxh128", Algorithm::Xxh128),
        ("c4", Algorithm::C4),
    ];
    members
        .into_iter()
        .filter_map(|(name, algorithm)| Some((algorithm, of(name)?)))
        .collect()
}

#[test]
fn every_published_value_is_met() {
    let vectors: Value = serde_json::from_str(VECTORS).unwrap();
    let mut met = std::collections::BTreeMap::new();
    for vector in vectors["vectors"].as_array().unwrap() {
        let id = vector["id"].as_str().unwrap();
        let Some(bytes) = input(&vector["input"]).filter(|_| vector["area"] == "media") else {
            continue;
        };
        for (algorithm, text) in expected(vector) {
            assert_eq!(algorithm.of(&bytes).text(), text, "{id}");
            *met.entry(algorithm).or_insert(0) += 1;
        }
    }
    // The list is there, and none of the hashes goes without.
    let least = Algorithm::ALL.map(|one| met.get(&one).copied().unwrap_or(0));
    assert!(least.iter().all(|count| *count >= 3), "{met:?}");
}

#[test]
fn the_names_are_those_of_the_manifest_and_sha_256_has_none_there() {
    for one in Algorithm::ALL {
        assert_eq!(
            Algorithm::in_manifest(one.name()),
            (one != Algorithm::Sha256).then_some(one)
        );
    }
    assert_eq!(
        Algorithm::chosen([Algorithm::Sha256]),
        [Algorithm::Xxh64, Algorithm::Sha256]
    );
    assert_eq!(
        Algorithm::chosen([Algorithm::Xxh64, Algorithm::C4, Algorithm::C4]),
        [Algorithm::C4, Algorithm::Xxh64]
    );
    assert_eq!(Algorithm::chosen([]), [Algorithm::Xxh64]);
}

proptest! {
    #[test]
    fn a_hash_does_not_depend_on_how_the_bytes_come(
        bytes in proptest::collection::vec(any::<u8>(), 0..5000),
        cuts in proptest::collection::vec(0_usize..5000, 0..6),
        which in 0_usize..7,
    ) {
        let algorithm = Algorithm::ALL[which];
        let mut cuts: Vec<usize> = cuts.into_iter().filter(|cut| *cut <= bytes.len()).collect();
        cuts.sort_unstable();
        let mut hash = Hash::new(algorithm);
        let mut from = 0;
        for cut in cuts.into_iter().chain([bytes.len()]) {
            hash.update(&bytes[from..cut]);
            from = cut;
        }
        prop_assert_eq!(hash.finish(), algorithm.of(&bytes));
    }
}
