//! What a test looks at from outside: the hub's memory, its counters, and the spread of what was measured.

use std::time::Duration;

use swapcall_tests::api::Api;
use swapcall_tests::hub::RunningHub;

/// Memory of the hub's process that is in use, in KiB.
pub(crate) fn resident_kib(hub: &RunningHub) -> u64 {
    let path = format!("/proc/{}/status", hub.pid());
    let status = std::fs::read_to_string(path).expect("a running process");
    let line = status.lines().find(|line| line.starts_with("VmRSS"));
    line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok())
        .expect("a number")
}

/// The value of a metric, by its name with labels; 0 where it does not appear.
pub(crate) fn metric(api: &Api, name: &str) -> f64 {
    let text = api.get("/metrics").body;
    let value = text
        .lines()
        .find_map(|line| line.strip_prefix(name)?.strip_prefix(' '));
    value.map_or(0.0, |value| value.parse().expect("a metric is a number"))
}

/// Calls raised since the hub's process started.
pub(crate) fn calls_opened(api: &Api) -> f64 {
    metric(api, "swapcall_call_changes_total{reason=\"opened\"}")
}

/// Half of the times are below the first, 99 in 100 below the second; the third is the longest.
pub(crate) fn spread(mut times: Vec<Duration>) -> (Duration, Duration, Duration) {
    assert!(!times.is_empty(), "nothing was measured");
    times.sort_unstable();
    let at = |share: usize| times[(times.len() - 1) * share / 100];
    (at(50), at(99), at(100))
}
