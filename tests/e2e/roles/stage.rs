//! A hub with everybody who may come along, and what they send.

use serde_json::{Value, json};
use swapcall_crew::{Entry, Millis, PersonName, Record, Token, TokenHash};
use swapcall_journal::{Journal, SledJournal, SledOptions};
use swapcall_tests::api::{Answer, Api, battery_report};
use swapcall_tests::caller::{Request, fresh_address, send_from};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::Role;
use uuid::Uuid;

use super::{Caller, body};

/// SHA-256 of thirty-two times `0`, by sha256sum of GNU coreutils.
const HASH_OF_ZEROS: [u8; 32] = [
    0x84, 0xe0, 0xc0, 0xea, 0xfa, 0xa9, 0x5a, 0x34, 0xc2, 0x93, 0xf2, 0x78, 0xac, 0x52, 0xe4, 0x5c,
    0xe5, 0x37, 0xba, 0xb5, 0xe7, 0x52, 0xa0, 0x0e, 0x69, 0x59, 0xa1, 0x3a, 0xe1, 0x03, 0xb6, 0x5a,
];

/// Puts a token that ends in a few seconds into the journal of a hub that does not run; no route makes one.
fn plant_ending_token(site: &Site) -> String {
    let now = Millis(wait::wall().as_millisecond());
    let id = Uuid::from_u128(0x00c0_ffee);
    let token = Token {
        id,
        name: PersonName::new("Yesterday").expect("a name"),
        role: swapcall_crew::Role::Owner,
        units: Vec::new(),
        hash: TokenHash(HASH_OF_ZEROS),
        created: now,
        expires: Some(now.plus_seconds(4.0)),
        parent: None,
    };
    let options = SledOptions::new(Uuid::nil());
    let mut opened = SledJournal::open(&site.data(), &options).expect("a journal");
    let entry = Entry {
        seq: opened.fleet.seq() + 1,
        at: opened.fleet.latest(),
        record: Record::TokenAdded(Box::new(token)),
    };
    opened.journal.append(&[entry]).expect("it is stored");
    Box::new(opened.journal).close().expect("it closes");
    format!("sc-{}-{}", id.simple(), "0".repeat(32))
}

/// A hub with two units, an open call that nothing changes by itself, and everybody's way in.
pub(super) struct Stage {
    pub(super) hub: RunningHub,
    carts: [Api; 2],
    people: [Api; 3],
    /// Owners who look: each may ask only so often.
    looking: Vec<Api>,
    looked: std::cell::Cell<usize>,
    revoked: String,
    expired: String,
    victim: Uuid,
    /// A runner whose sign-in a lead may end.
    guest: Uuid,
    cookie: String,
}

impl Stage {
    pub(super) fn set(site: &Site) -> Self {
        site.start().stop();
        let expired = plant_ending_token(site);
        let hub = site.start();
        let api = &hub.api;
        let ending = api.with_token(Some(&expired));
        assert_eq!(
            ending.get("/v1/session").status,
            200,
            "it works until it ends"
        );
        let revoked = api.new_token("Gone", Role::Owner, &[]);
        let gone = api.send("DELETE", &format!("/v1/tokens/{}", revoked.view.id), None);
        assert_eq!(gone.status, 204);
        for unit in ["BOW2", "TREE"] {
            let profile = json!({"walk_s": 60, "interval_s": 7200});
            assert_eq!(api.put(&format!("/v1/units/{unit}"), &profile).status, 201);
        }
        let far = json!({"fleet": {"fetch_s": 3600, "remind_s": 3600, "min_open_s": 3600}});
        assert_eq!(api.put("/v1/limits", &far).status, 200);
        api.report(vec![battery_report("BOW2", 60.0)]);
        assert_eq!(api.calls().len(), 1, "a call for the routes of calls");
        let cookie = sign_in(api);
        wait::until("the token to end", || {
            (ending.get("/v1/session").status == 401).then_some(())
        });
        Self {
            carts: ["BOW2", "TREE"].map(|own| api.as_new("Cart", Role::Cart, &[own])),
            people: [Role::Runner, Role::Lead, Role::Owner]
                .map(|role| api.as_new("Somebody", role, &[])),
            looking: (0..10)
                .map(|_| api.as_new("Looking", Role::Owner, &[]))
                .collect(),
            looked: std::cell::Cell::new(0),
            revoked: revoked.token,
            expired,
            victim: api.new_token("Victim", Role::Runner, &[]).view.id,
            guest: api.new_token("Guest", Role::Runner, &[]).view.id,
            cookie,
            hub,
        }
    }

    pub(super) fn send(&self, method: &str, path: &str, caller: Caller) -> Answer {
        let concrete = path
            .replace("{unit}", "BOW2")
            .replace("{pack}", "P7")
            .replace("/v1/tokens/{id}", &format!("/v1/tokens/{}", self.victim))
            .replace("/v1/people/{id}", &format!("/v1/people/{}", self.guest))
            .replace("{id}", "1");
        let token = self.token(caller);
        let mut headers = self.browser(caller);
        if path == "/v1/live" {
            // The handshake of RFC 6455, section 1.3, with its own key.
            let handshake = [
                ("connection", "Upgrade"),
                ("upgrade", "websocket"),
                ("sec-websocket-version", "13"),
                ("sec-websocket-key", "dGhlIHNhbXBsZSBub25jZQ=="),
            ];
            headers.extend(handshake.map(|(name, value)| (name, value.to_owned())));
        }
        let body = body(method, path);
        let body = body.as_deref();
        let request = Request {
            method,
            path: &concrete,
            token,
            headers,
            body,
        };
        send_from(fresh_address(), &self.hub.api, &request)
    }

    fn token(&self, caller: Caller) -> Option<&str> {
        match caller {
            Caller::Token(Role::Cart) => Some(self.carts[0].token()),
            Caller::OtherCart => Some(self.carts[1].token()),
            Caller::Token(Role::Runner) => Some(self.people[0].token()),
            Caller::Token(Role::Lead) => Some(self.people[1].token()),
            Caller::Token(Role::Owner) => Some(self.people[2].token()),
            Caller::Malformed => Some("nonsense"),
            Caller::Revoked => Some(self.revoked.as_str()),
            Caller::Expired => Some(self.expired.as_str()),
            Caller::Nobody | Caller::ForeignPage | Caller::OwnPage => None,
        }
    }

    /// What a signed-in browser sends along.
    fn browser(&self, caller: Caller) -> Vec<(&str, String)> {
        let mut headers = Vec::new();
        if matches!(caller, Caller::ForeignPage | Caller::OwnPage) {
            // Our own page may sign out, and must not take the others' session with it.
            let own = || sign_in(&self.hub.api);
            let cookie = if caller == Caller::OwnPage {
                own()
            } else {
                self.cookie.clone()
            };
            headers.push(("cookie", cookie));
            let foreign = caller == Caller::ForeignPage;
            let origin = if foreign {
                "http://evil.example"
            } else {
                self.hub.api.base()
            };
            headers.push(("origin", origin.to_owned()));
        }
        headers
    }

    pub(super) fn seq(&self) -> u64 {
        let ready: Value = self.hub.api.with_token(None).get("/readyz").ok();
        ready["seq"].as_u64().expect("a number")
    }

    /// What is stored, as far as the API shows it, without what passes with time.
    pub(super) fn state(&self) -> (u64, Vec<Value>) {
        let turn = self.looked.replace(self.looked.get() + 1);
        let api = &self.looking[turn % self.looking.len()];
        let mut fleet: Value = api.get("/v1/fleet").ok();
        for unit in fleet["units"].as_array_mut().expect("units") {
            let kept = [
                "unit",
                "profile",
                "changed_seq",
                "observed_at",
                "mode",
                "tally",
                "call",
            ];
            *unit = kept.iter().map(|name| unit[*name].clone()).collect();
        }
        let of = |path: &str, member: &str| api.get(path).ok::<Value>()[member].clone();
        let state = vec![
            fleet["units"].clone(),
            fleet["calls"].clone(),
            of("/v1/calls?ended=true", "calls"),
            api.get("/v1/limits").ok(),
            of("/v1/rundown", "windows"),
            of("/v1/shows", "shows"),
            of("/v1/packs", "packs"),
            of("/v1/cards", "cards"),
            of("/v1/tokens", "tokens"),
        ];
        (self.seq(), state)
    }
}

fn sign_in(api: &Api) -> String {
    let answer = api.post("/v1/session", &json!({"token": api.token()}));
    let cookie = answer.header("set-cookie").expect("a cookie");
    cookie.split(';').next().expect("name and value").to_owned()
}
