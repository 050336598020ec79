//! What a lead and a runner were promised while the hub was being killed: limits set, tokens revoked, calls claimed.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use serde_json::json;
use swapcall_tests::api::{Answer, Api};
use swapcall_tests::caller::status_anew;
use swapcall_wire::{CallList, CallState, CallView, Fleet, LimitsView, TokenCreated};
use uuid::Uuid;

/// Everything that was answered with success.
#[derive(Default)]
pub(crate) struct Promises {
    /// The margin that was acknowledged last, and the one that was asked for last, in seconds.
    margin: Mutex<(u32, u32)>,
    revoked: Mutex<Vec<String>>,
    claimed: Mutex<Vec<Uuid>>,
}

impl Promises {
    /// Changes things until the hub is gone.
    pub(crate) fn collect(&self, api: &Api, stop: &AtomicBool) {
        while !stop.load(Ordering::SeqCst) && self.once(api).is_ok() {}
    }

    fn once(&self, api: &Api) -> Result<(), String> {
        let margin = {
            let mut margin = self.margin.lock().expect("nobody panicked");
            margin.1 = margin.1.max(margin.0) + 1;
            margin.1
        };
        let limits = json!({"fleet": {"margin_s": margin}});
        send(api, "PUT", "/v1/limits", Some(&limits.to_string()))?;
        self.margin.lock().expect("nobody panicked").0 = margin;
        let new = json!({"name": "Ana", "role": "runner"});
        let made: TokenCreated = send(api, "POST", "/v1/tokens", Some(&new.to_string()))?.ok();
        let ana = api.with_token(Some(&made.token));
        let fleet: Fleet = send(&ana, "GET", "/v1/fleet", None)?.ok();
        for call in fleet
            .calls
            .iter()
            .filter(|call| call.state == CallState::Open)
        {
            // A swap may have ended it meanwhile, then it is refused.
            let claim = ana.try_send("POST", &format!("/v1/calls/{}/claim", call.id), &[], None)?;
            if claim.status == 200 {
                self.claimed.lock().expect("nobody panicked").push(call.id);
            }
        }
        send(api, "DELETE", &format!("/v1/tokens/{}", made.view.id), None)?;
        self.revoked
            .lock()
            .expect("nobody panicked")
            .push(made.token);
        Ok(())
    }

    /// All of it stands after a restart. Gives back how many promises there were.
    pub(crate) fn check(&self, api: &Api) -> usize {
        let (acknowledged, asked) = *self.margin.lock().expect("nobody panicked");
        let limits: LimitsView = api.get("/v1/limits").ok();
        if acknowledged > 0 {
            let margin = limits.in_force.margin_s.expect("a margin is in force");
            assert!(
                (acknowledged..=asked).contains(&margin),
                "{acknowledged}..{asked}: {margin}"
            );
        }
        let revoked = self.revoked.lock().expect("nobody panicked");
        for token in revoked.iter().rev().take(30) {
            assert_eq!(status_anew(&api.with_token(Some(token)), "/v1/fleet"), 401);
        }
        self.check_claims(api);
        let claimed = self.claimed.lock().expect("nobody panicked").len();
        acknowledged as usize + revoked.len() + claimed
    }

    fn check_claims(&self, api: &Api) {
        let CallList { calls, .. } = api.get("/v1/calls?ended=true").ok();
        let going: Vec<&CallView> = calls
            .iter()
            .filter(|call| matches!(call.state, CallState::Open | CallState::Claimed))
            .collect();
        for call in &going {
            let same = going.iter().filter(|other| other.unit == call.unit).count();
            assert_eq!(same, 1, "one call at a time for {}", call.unit);
            if self
                .claimed
                .lock()
                .expect("nobody panicked")
                .contains(&call.id)
            {
                // Far too early for a claim to lapse.
                assert_eq!(call.claimed_by.as_deref(), Some("Ana"), "{call:?}");
            }
        }
    }
}

/// An `Err` is a hub that is gone; everything else must be a success.
fn send(api: &Api, method: &str, path: &str, body: Option<&str>) -> Result<Answer, String> {
    let answer = api.try_send(method, path, &[], body)?;
    assert!(answer.status < 300, "{method} {path}: {}", answer.body);
    Ok(answer)
}
