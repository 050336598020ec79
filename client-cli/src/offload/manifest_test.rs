use proptest::prelude::*;

use super::*;
use crate::offload::algorithm::Algorithm;
use crate::offload::reading;
use crate::test_kit::moment;

/// The worked example of ascmitc/mhl (MIT), `scenario_01/travel_01`, in our hand.
fn example() -> Manifest {
    let file = |path: &str, text: &str| FileEntry {
        path: path.to_owned(),
        size: text.len() as u64,
        modified: moment(0),
        hashes: vec![(Algorithm::Xxh64.of(text.as_bytes()), false)],
    };
    Manifest {
        at: moment(0),
        host: "dit.local".to_owned(),
        files: vec![
            file("Clips/A002C006_141024_R2EC.mov", "abcd\n"),
            file("R&D <1>.txt", "def\n"),
        ],
        folders: vec![FolderEntry {
            path: String::new(),
            content: vec![Algorithm::Xxh64.of(b"")],
            structure: vec![Algorithm::Xxh64.of(b"")],
        }],
        ignored: vec!["ascmhl".to_owned()],
    }
}

#[test]
fn a_manifest_reads_as_the_standard_writes_it() {
    let text = String::from_utf8(example().text().unwrap()).unwrap();
    for part in [
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<hashlist version=\"2.0\" xmlns=\"urn:ASC:MHL:v2.0\">",
        "<process>transfer</process>",
        "<path size=\"5\" lastmodificationdate=\"2026-06-13T08:40:00+00:00\">Clips/A002C006_141024_R2EC.mov</path>",
        // M-XX-ZERO: the first digit is a nought.
        "<xxh64 action=\"original\" hashdate=\"2026-06-13T08:40:00+00:00\">0ea03b369a463d9d</xxh64>",
        "R&amp;D &lt;1&gt;.txt",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    let said = reading::manifest(&text).unwrap();
    assert_eq!(said.tool, TOOL);
    assert_eq!(
        said.known["R&D <1>.txt"][&Algorithm::Xxh64],
        "7680e5f98f4a80fd"
    );
}

#[test]
fn names_of_manifests_are_those_of_the_standard() {
    // M-MHL-NAME-1 and -5.
    let at: Timestamp = "2019-01-07T08:02:28Z".parse().unwrap();
    assert_eq!(
        file_name(1, "A002R2EC", at),
        "0001_A002R2EC_2019-01-07_080228Z.mhl"
    );
    let at: Timestamp = "2026-11-25T06:00:00Z".parse().unwrap();
    assert_eq!(
        file_name(10_000, "CARD", at),
        "10000_CARD_2026-11-25_060000Z.mhl"
    );
}

#[test]
fn a_file_that_failed_then_is_not_known_and_strange_texts_are_told() {
    let text = |action: &str| {
        format!(
            "<hashlist version=\"2.0\" xmlns=\"urn:ASC:MHL:v2.0\"><hashes><hash><path>a</path><md5 action=\"{action}\">x</md5></hash></hashes></hashlist>"
        )
    };
    assert_eq!(
        reading::manifest(&text("verified")).unwrap().known["a"].len(),
        1
    );
    assert_eq!(
        reading::manifest(&text("failed")).unwrap().known["a"].len(),
        0
    );
    for strange in [
        "",
        "<a/>",
        "<hashlist/>",
        "<hashlist xmlns=\"urn:ASC:MHL:v2.0\">",
        "\u{0}<<",
        "&x;",
    ] {
        assert!(reading::manifest(strange).is_err(), "{strange}");
        assert!(reading::chain(strange).is_err(), "{strange}");
    }
    let deep = "<a>".repeat(1000) + &"</a>".repeat(1000);
    assert!(reading::manifest(&deep).unwrap_err().contains("deep"));
}

proptest! {
    #[test]
    fn what_is_written_is_read_again(
        names in proptest::collection::vec("[a-zA-Z0-9 &<>\"'ü%#\\]\\[]{1,20}", 1..10),
        numbers in 1_u32..20,
    ) {
        let mut manifest = example();
        manifest.files = names
            .iter()
            .map(|name| FileEntry {
                path: format!("A/{name}"),
                size: 1,
                modified: moment(0),
                hashes: Algorithm::ALL[..6].iter().map(|one| (one.of(name.as_bytes()), true)).collect(),
            })
            .collect();
        let text = String::from_utf8(manifest.text().unwrap()).unwrap();
        let said = reading::manifest(&text).unwrap();
        for name in &names {
            prop_assert!(can_be_listed(name));
            let hashes = &said.known[&format!("A/{name}")];
            for one in &Algorithm::ALL[..6] {
                prop_assert_eq!(&hashes[one], &one.of(name.as_bytes()).text());
            }
        }
        let chain: Vec<Generation> = (1..=numbers)
            .map(|number| Generation { number, file: format!("{number:04}_C12.mhl"), c4: "c4x".to_owned() })
            .collect();
        let text = String::from_utf8(chain_text(&chain).unwrap()).unwrap();
        prop_assert_eq!(reading::chain(&text).unwrap(), chain);
    }
}

#[test]
fn the_published_example_is_understood() {
    // ascmitc/mhl (MIT), scenario_01/travel_01: M-MHL-CHAIN in tests/data/vectors.json.
    let text = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ascmhldirectory xmlns=\"urn:ASC:MHL:DIRECTORY:v2.0\">\n  \
        <hashlist sequencenr=\"1\">\n    <path>0001_A002R2EC_2020-01-16_091500Z.mhl</path>\n    <c4>c43qQABr</c4>\n  \
        </hashlist>\n</ascmhldirectory>\n";
    let chain = reading::chain(text).unwrap();
    assert_eq!((chain[0].number, chain[0].c4.as_str()), (1, "c43qQABr"));
    assert!(reading::chain(&text.replace("nr=\"1\"", "nr=\"2\"")).is_err());
    assert!(reading::chain(&text.replace("0001_A0", "../1_A0")).is_err());
    assert_eq!(
        chain_text(&chain).unwrap(),
        text.trim_end()
            .as_bytes()
            .iter()
            .chain(b"\n")
            .copied()
            .collect::<Vec<u8>>()
    );
}
