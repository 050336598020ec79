//! Chargers over the API and the command line, and a whole kit from a table: one hub, about three seconds.

use std::fs;
use std::process::Command;

use serde_json::json;
use swapcall_tests::api::battery_report;
use swapcall_tests::binaries;
use swapcall_tests::hub::Site;
use swapcall_wire::{BayList, BayView, CallList, PackPlace, PoolPackList, PoolPackView};

fn run(site: &Site, hub: &swapcall_tests::api::Api, line: &str) -> (Option<i32>, String) {
    let output = Command::new(binaries::command())
        .args(line.split(' '))
        .args(["--hub", hub.base(), "--token", hub.token()])
        .env_clear()
        .env("HOME", site.folder())
        .output()
        .expect("the command runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);
    (output.status.code(), said)
}

#[test]
fn a_pack_charges_in_its_bay_until_somebody_says_that_it_is_full() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let swapcall = |line: &str| run(&site, &hub.api, line);
    let bays = || hub.api.get("/v1/chargers").ok::<BayList>().bays;
    let pack = || -> PoolPackView {
        let list: PoolPackList = hub.api.get("/v1/packs").ok();
        list.packs
            .into_iter()
            .find(|pack| pack.pack == "P07")
            .expect("it is known")
    };
    assert!(bays().is_empty());
    let (code, said) = swapcall("bay 3 --percent 40");
    assert_eq!(
        (code, said.contains("--pack P07")),
        (Some(2), true),
        "{said}"
    );
    let (code, said) = swapcall("bay 3 --pack P07 --percent 40");
    assert_eq!(
        (code, said.contains("P07, about 40 %")),
        (Some(0), true),
        "{said}"
    );
    let unknown = pack().charge.expect("it charges");
    let at = unknown.ready_at;
    assert!(at.p10 < at.p50 && at.p50 < at.p90, "{at:?}");
    assert_eq!((unknown.bay.as_str(), pack().ready), ("3", false));
    // Nothing is ready yet, so a call has no pack to name; 98 % in the bay is one.
    hub.api.report(vec![battery_report("BOW2", 3.0)]);
    let named = || {
        hub.api.get("/v1/calls").ok::<CallList>().calls[0]
            .pack
            .clone()
    };
    assert_eq!(named(), None);
    let (_, said) = swapcall("bay 3 --percent 98");
    assert!(said.contains("READY"), "{said}");
    assert_eq!(named().as_deref(), Some("P07"));
    let view: Vec<BayView> = bays();
    assert_eq!(
        (view[0].pack.as_deref(), view[0].ready),
        (Some("P07"), true)
    );
    assert_eq!(pack().place, PackPlace::Bay);
    let (_, said) = swapcall("bay 3 --empty");
    assert!(said.contains("empty"), "{said}");
    assert_eq!((pack().place, pack().ready), (PackPlace::Ready, true));
    let before = bays();
    hub.kill();
    let hub = site.start();
    assert_eq!(hub.api.get("/v1/chargers").ok::<BayList>().bays, before);
}

#[test]
fn a_whole_kit_comes_from_a_table_once_or_not_at_all() {
    let site = Site::new();
    let hub = site.start();
    hub.api.put_unit("BOW2");
    let swapcall = |line: &str| run(&site, &hub.api, line);
    let packs = || hub.api.get("/v1/packs").ok::<PoolPackList>().packs;
    let file = site.folder().join("kit.csv");
    let line = format!("packs --from {}", file.display());
    let write = |text: &str| fs::write(&file, text).expect("it is written");
    write("label,wh,place\nP1,98,ready\nP2,98,shelf\n");
    let (code, said) = swapcall(&line);
    assert_eq!((code, said.contains("line 3")), (Some(7), true), "{said}");
    assert!(packs().is_empty(), "nothing half");
    // As a spreadsheet writes it where the comma is for decimals; a label is whatever the scanner typed.
    write(
        "\u{feff}Label;Wh;Place;Bay;Percent\r\n\"PACK;01\";97,5;ready;;100\r\nhttps://kit.example/p/2;98;;3;40\r\n",
    );
    let (code, said) = swapcall(&line);
    assert_eq!(
        (code, said.contains("2 packs registered")),
        (Some(0), true),
        "{said}"
    );
    let first = packs();
    assert_eq!(
        (first[0].pack.as_str(), first[0].nominal_wh),
        ("PACK;01", Some(97.5))
    );
    assert_eq!(
        (first[1].bay.as_deref(), first[1].percent),
        (Some("3"), Some(40.0))
    );
    // It has gone round since: the same file moves it nowhere; a corrected size is taken.
    let moved = hub.api.put(
        "/v1/packs/PACK%3B01",
        &json!({"place": "unit", "unit": "BOW2"}),
    );
    assert_eq!(moved.status, 200);
    write("label;wh;place\nPACK;01;98;ready\n\"PACK;01\";98;ready\n");
    assert_eq!(swapcall(&line).0, Some(7), "a separator outside quotes");
    write("label;wh;place\n\"PACK;01\";98;ready\nhttps://kit.example/p/2;98;ready\n");
    let (_, said) = swapcall(&line);
    assert!(
        said.contains("0 packs registered, 1 corrected, 1 known already"),
        "{said}"
    );
    let again = packs();
    assert_eq!(
        (again[0].place, again[0].nominal_wh),
        (PackPlace::Unit, Some(98.0))
    );
    assert_eq!(again[1].place, PackPlace::Bay);
    write("label,capacity,state\nC1,128GB,blank\nC2,256GB,holding\n");
    let (code, said) = swapcall(&format!("cards --from {}", file.display()));
    assert_eq!(
        (code, said.contains("2 cards registered")),
        (Some(0), true),
        "{said}"
    );
}
