//! What a lead and two runners were promised while the hub was being killed: limits set, tokens revoked, calls claimed
//! and handed back.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use serde_json::json;
use swapcall_tests::api::{Answer, Api, battery_report};
use swapcall_tests::caller::status_anew;
use swapcall_tests::wait;
use swapcall_wire::{CallList, CallState, CallView, Fleet, LimitsView, Role, TokenCreated};
use uuid::Uuid;

/// Everything that was answered with success.
#[derive(Default)]
pub(crate) struct Promises {
    /// The margin that was acknowledged last, and the one that was asked for last, in seconds.
    margin: Mutex<(u32, u32)>,
    revoked: Mutex<Vec<String>>,
    claimed: Mutex<Vec<Uuid>>,
    kept: Mutex<Option<Kept>>,
}

/// One call that nobody serves: Ben claims it and hands it back, again and again.
struct Kept {
    call: Uuid,
    ben: String,
    /// Whether it is his, as was acknowledged last, and as was asked for last.
    his: (bool, bool),
    times: usize,
}

/// The unit of that call.
const KEPT: &str = "KEPT";

impl Promises {
    /// Raises the call that nobody serves. Once, while the hub is left alone.
    pub(crate) fn begin(&self, api: &Api) {
        api.put_unit(KEPT);
        api.report(vec![battery_report(KEPT, 6.0)]);
        let call = wait::until("a call", || {
            let calls = api.fleet().calls;
            Some(calls.iter().find(|call| call.unit == KEPT)?.id)
        });
        *self.kept.lock().expect("nobody panicked") = Some(Kept {
            call,
            ben: api.new_token("Ben", Role::Runner, &[]).token,
            his: (false, false),
            times: 0,
        });
    }

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
            .filter(|call| call.state == CallState::Open && call.unit != KEPT)
        {
            // A swap may have ended it meanwhile, then it is refused.
            let claim = ana.try_send("POST", &format!("/v1/calls/{}/claim", call.id), &[], None)?;
            if claim.status == 200 {
                self.claimed.lock().expect("nobody panicked").push(call.id);
            }
        }
        self.claim_or_hand_back(api)?;
        send(api, "DELETE", &format!("/v1/tokens/{}", made.view.id), None)?;
        self.revoked
            .lock()
            .expect("nobody panicked")
            .push(made.token);
        Ok(())
    }

    fn claim_or_hand_back(&self, api: &Api) -> Result<(), String> {
        // Heard again and again, so that nobody takes the unit for dark.
        let report = json!({"reports": [battery_report(KEPT, 6.0)]});
        send(api, "POST", "/v1/reports", Some(&report.to_string()))?;
        let mut kept = self.kept.lock().expect("nobody panicked");
        let kept = kept.as_mut().expect("begun");
        let claim = !kept.his.0;
        kept.his.1 = claim;
        let press = if claim { "claim" } else { "release" };
        let ben = api.with_token(Some(&kept.ben));
        let path = format!("/v1/calls/{}/{press}", kept.call);
        let pressed = send(&ben, "POST", &path, None);
        if pressed.is_ok() {
            kept.his.0 = claim;
            kept.times += 1;
        }
        pressed.map(|_| ())
    }

    /// The call that nobody serves is Ben's, or open, as he was told last. What he asked for and was not told may have
    /// come to pass too, and holds from then on.
    fn check_kept(&self, calls: &[CallView]) -> usize {
        let mut kept = self.kept.lock().expect("nobody panicked");
        let kept = kept.as_mut().expect("begun");
        let call = calls.iter().find(|call| call.id == kept.call);
        let call = call.expect("the call is known");
        let his = match (call.state, call.claimed_by.as_deref()) {
            (CallState::Open, None) => false,
            (CallState::Claimed, Some("Ben")) => true,
            _ => panic!("{call:?}"),
        };
        let (told, asked) = kept.his;
        assert!(
            his == told || his == asked,
            "told {told}, asked {asked}: {call:?}"
        );
        kept.his = (his, his);
        kept.times
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
        let pressed = self.check_claims(api);
        let claimed = self.claimed.lock().expect("nobody panicked").len();
        acknowledged as usize + revoked.len() + claimed + pressed
    }

    fn check_claims(&self, api: &Api) -> usize {
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
        self.check_kept(&calls)
    }
}

/// An `Err` is a hub that is gone; everything else must be a success.
fn send(api: &Api, method: &str, path: &str, body: Option<&str>) -> Result<Answer, String> {
    let answer = api.try_send(method, path, &[], body)?;
    assert!(answer.status < 300, "{method} {path}: {}", answer.body);
    Ok(answer)
}
