//! The demo from end to end, against a real hub on a port of its own.

use std::net::SocketAddr;
use std::time::Duration;

use swapcall_wire::{CallList, CallState, CallView, Fleet, Rundown, TallyLight};

use super::folder::StoreFolder;
use super::stage::{Play, Stage};
use crate::cli::listen;
use crate::remote::{Answered, Remote};

/// Far more than it takes; a condition ends the wait, not this.
const AT_MOST: Duration = Duration::from_secs(60);

async fn asked<T: serde::de::DeserializeOwned + Send + 'static>(
    remote: &Remote,
    path: &'static str,
) -> T {
    let remote = remote.clone();
    tokio::task::spawn_blocking(move || match remote.get(path).unwrap() {
        Answered::Fine(answer) => answer,
        Answered::Problem(problem) => panic!("{}", problem.detail),
    })
    .await
    .unwrap()
}

async fn first_call_that(remote: &Remote, fits: impl Fn(&CallView) -> bool) -> CallView {
    let looking = async {
        loop {
            let list: CallList = asked(remote, "/v1/calls?ended=true").await;
            if let Some(call) = list.calls.into_iter().find(&fits) {
                return call;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    };
    tokio::time::timeout(AT_MOST, looking).await.unwrap()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_call_is_opened_claimed_and_completed_by_a_report_and_nothing_is_left() {
    let folder = StoreFolder::make(None).unwrap();
    let path = folder.path().to_owned();
    let listener = listen(SocketAddr::from(([127, 0, 0, 1], 0))).await.unwrap();
    let address = listener.local_addr().unwrap();
    let play = Play {
        speed: 120.0,
        seed: 1,
        units: 9,
        runners: 4,
        report_every: Duration::from_millis(250),
    };
    let stage = Stage::put_up(&play, folder.path(), listener).await.unwrap();
    let remote = Remote::new(&stage.base, &stage.owner);
    let call = first_call_that(&remote, |call| {
        call.state == CallState::Done && call.reason == "swap_seen" && call.claimed_by.is_some()
    })
    .await;
    // Opened, claimed, done: three revisions at least.
    assert!(call.revision >= 3 && call.claimed_at.is_some(), "{call:?}");
    let fleet: Fleet = asked(&remote, "/v1/fleet").await;
    assert_eq!(fleet.units.len(), 9);
    assert!(fleet.units.iter().all(|unit| unit.observed_at.is_some()));
    let on_air = async {
        loop {
            let fleet: Fleet = asked(&remote, "/v1/fleet").await;
            let light = |unit: &swapcall_wire::UnitView| unit.tally.map(|tally| tally.light);
            if fleet
                .units
                .iter()
                .filter(|unit| light(unit) == Some(TallyLight::Program))
                .count()
                == 1
            {
                return;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    };
    tokio::time::timeout(AT_MOST, on_air).await.unwrap();
    let rundown: Rundown = asked(&remote, "/v1/rundown").await;
    assert!(
        rundown.windows.len() > 100,
        "the lead has told the running order"
    );
    stage.take_down().await.unwrap();
    drop(folder);
    assert!(!path.exists());
    // The port is free again.
    listen(address).await.unwrap();
}

/// `--no-runners`: what opens stays open.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn without_runners_a_call_waits_for_somebody() {
    let folder = StoreFolder::make(None).unwrap();
    let listener = listen(SocketAddr::from(([127, 0, 0, 1], 0))).await.unwrap();
    let play = Play {
        speed: 60.0,
        seed: 1,
        units: 9,
        runners: 0,
        report_every: Duration::from_millis(250),
    };
    let stage = Stage::put_up(&play, folder.path(), listener).await.unwrap();
    let remote = Remote::new(&stage.base, &stage.owner);
    let call = first_call_that(&remote, |call| call.state == CallState::Open).await;
    assert_eq!(call.claimed_by, None);
    stage.take_down().await.unwrap();
}
