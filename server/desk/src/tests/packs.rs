//! What finished discharges taught reaches readers with the commit that ended them, and no other pack is copied.

use std::sync::Arc;

use swapcall_crew::{Command, Label, Pack};

use super::Bench;
use crate::Published;

/// A report of a labelled pack, a minute after the last.
fn wearing(bench: &mut Bench, unit: &str, pack: &str) -> Command {
    bench.now = bench.now.plus_seconds(60.0);
    let mut command = bench.report(unit, 80.0);
    if let Command::Reports { reports, .. } = &mut command {
        for report in reports {
            // Several share a commit: their own clock tells them apart.
            report.sent = None;
            let battery = report.battery.as_mut().expect("a battery");
            battery.pack = Some(Label::new(pack).expect("a label"));
        }
    }
    command
}

fn published(bench: &Bench, pack: &str) -> Option<Arc<Pack>> {
    let published = bench.published.read().unwrap();
    let label = Label::new(pack).expect("a label");
    published.learned().pack(&label).map(Arc::clone)
}

#[test]
fn a_finished_discharge_is_seen_at_once_and_leaves_other_packs_alone() {
    let mut bench = Bench::new();
    bench.run(vec![Bench::put("STERN")]);
    for (unit, pack) in [("BOW2", "P1"), ("STERN", "P5"), ("STERN", "P6")] {
        let command = wearing(&mut bench, unit, pack);
        bench.run(vec![command]);
    }
    let other = published(&bench, "P5").expect("it was taken off");
    assert_eq!(published(&bench, "P1"), None, "it is still on");
    // Three packs in one commit: each of the two that went is seen.
    let commands = ["P2", "P1", "P3"].map(|pack| wearing(&mut bench, "BOW2", pack));
    bench.run(commands.into());
    let counts =
        ["P1", "P2", "P3"].map(|pack| published(&bench, pack).map(|known| known.discharges()));
    assert_eq!(counts, [Some(2), Some(1), None]);
    let kept = published(&bench, "P5").expect("still known");
    assert!(
        Arc::ptr_eq(&other, &kept),
        "what did not change is not copied"
    );
    let whole = Published::whole(uuid::Uuid::nil(), bench.core.fleet());
    let label = Label::new("P1").expect("a label");
    assert_eq!(
        whole.learned().pack(&label).map(|pack| pack.discharges()),
        Some(2)
    );
}
