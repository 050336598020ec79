//! Watched from outside with strace: between the last write of a batch to the store and the answer that acknowledges
//! it, the store's file is synced with `fdatasync`.

use swapcall_tests::api::battery_report;
use swapcall_tests::hub::Site;
use swapcall_tests::wait;

/// What one traced line means here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    /// Bytes were written to the store's file.
    Write,
    /// The store's file was synced with the call that survives a power cut.
    Sync,
    /// A successful answer left the hub.
    Answer,
}

fn step(line: &str) -> Option<Step> {
    let on_store = line.contains("/store/db>");
    // A call that another thread interrupts is written in two lines; it is over at its second.
    let resumed_sync =
        line.contains("<... fdatasync resumed>") || line.contains("<... fsync resumed>");
    if line.contains("unfinished ...>") && line.contains("sync(") {
        return None;
    }
    if (on_store && (line.contains("fdatasync(") || line.contains("fsync("))) || resumed_sync {
        return line.contains("= 0").then_some(Step::Sync);
    }
    if on_store
        && (line.contains("pwrite64(") || line.contains("write(") || line.contains("pwritev"))
    {
        return Some(Step::Write);
    }
    line.contains("HTTP/1.1 200 OK").then_some(Step::Answer)
}

/// The acknowledgements that left before what was written for them was synced.
fn early_answers(steps: &[Step]) -> usize {
    let mut unsynced = false;
    let mut early = 0;
    for step in steps {
        match step {
            Step::Write => unsynced = true,
            Step::Sync => unsynced = false,
            Step::Answer => early += usize::from(unsynced),
        }
    }
    early
}

#[test]
fn every_acknowledgement_comes_after_a_sync() {
    let site = Site::new();
    // The store is made before the trace, so that its creation does not blur the picture.
    let hub = site.start();
    hub.api.put_unit("BOW2");
    assert!(hub.stop().success());
    let trace = site.folder().join("trace");
    let file = trace.display().to_string();
    let calls = "trace=pwrite64,pwritev,pwritev2,write,writev,sendto,sendmsg,fsync,fdatasync";
    // -D keeps the hub the direct child, so that it is the hub that is stopped.
    let wrapper = [
        "strace", "-D", "-f", "-y", "-s", "32", "-o", &file, "-e", calls,
    ];
    let hub = site.start_with("127.0.0.1:0", &wrapper);
    let before = steps(&trace).len();
    for percent in 0..20 {
        assert_eq!(
            hub.api
                .report(vec![battery_report("BOW2", f64::from(90 - percent))])
                .accepted,
            1
        );
    }
    assert!(hub.stop().success());
    let steps = wait::until("the trace to be written", || {
        let steps = steps(&trace).split_off(before);
        (steps.iter().filter(|step| **step == Step::Answer).count() >= 20).then_some(steps)
    });
    let count = |wanted: Step| steps.iter().filter(|step| **step == wanted).count();
    let (writes, syncs, answers) = (count(Step::Write), count(Step::Sync), count(Step::Answer));
    println!(
        "{writes} writes to the store, {syncs} syncs, {answers} answers, {} early",
        early_answers(&steps)
    );
    assert!(
        writes >= 20 && syncs >= 20,
        "{writes} writes, {syncs} syncs"
    );
    assert_eq!(
        early_answers(&steps),
        0,
        "an answer left before its records were synced"
    );
    // The check itself can fail: without the syncs it does.
    let without: Vec<_> = steps
        .into_iter()
        .filter(|step| *step != Step::Sync)
        .collect();
    assert!(early_answers(&without) >= 20);
}

fn steps(trace: &std::path::Path) -> Vec<Step> {
    let bytes = std::fs::read(trace).unwrap_or_default();
    String::from_utf8_lossy(&bytes)
        .lines()
        .filter_map(step)
        .collect()
}
