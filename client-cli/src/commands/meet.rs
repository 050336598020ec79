//! Meeting a hub for the first time: the one of a link, the one that announces itself, or the one that was named; and
//! `find`, which lists those that announce themselves.

use serde::Serialize;
use swapcall_trust::Trust;

use super::Desk;
use crate::exit::Exit;
use crate::find::{self, Found};
use crate::joinlink::JoinText;
use crate::settings::Settings;
use crate::trouble::Trouble;

/// Where a guest goes with what was given. What the configuration file says of another hub does not count: neither its
/// certificate nor its token.
pub(super) fn hub_of(given: &JoinText, desk: &mut Desk) -> Result<Settings, Trouble> {
    if let Some(hub) = &given.hub {
        if desk.hub_named && desk.settings.hub != *hub {
            return Err(Trouble::Usage(format!(
                "the link leads to {hub}, but {} was named as the hub: leave one of them out",
                desk.settings.hub
            )));
        }
        return desk.settings.at(hub, given.pin);
    }
    if desk.hub_named {
        return Ok(desk.settings.clone());
    }
    let found = find::hubs(None)?;
    match &found[..] {
        [] => {
            let hub = desk.settings.hub.clone();
            desk.console.remark(&format!(
                "no hub announces itself on this network; trying {hub}"
            ));
            Ok(desk.settings.clone())
        }
        [only] => {
            let (hub, known_by) = (address_of(only)?, known_by(only));
            desk.console
                .remark(&format!("found {} at {hub}, {known_by}", only.name));
            desk.settings.at(&hub, only.fingerprint)
        }
        several => {
            let lines: Vec<String> = several.iter().filter_map(line).collect();
            Err(Trouble::Usage(format!(
                "several hubs announce themselves on this network; take the lead's link, or name one with --hub:\n{}",
                lines.join("\n")
            )))
        }
    }
}

fn address_of(found: &Found) -> Result<String, Trouble> {
    found.address().ok_or_else(|| {
        Trouble::OutOfReach(format!(
            "{} announces itself, but gives no address that this machine could use",
            found.name
        ))
    })
}

/// What a person can compare: an announcement comes from whoever is on the network.
fn known_by(found: &Found) -> String {
    match found.fingerprint {
        Some(fingerprint) => {
            format!("with the certificate {fingerprint}: compare it with what the hub printed")
        }
        None => "without TLS: everybody on this network can read along".to_owned(),
    }
}

fn line(found: &Found) -> Option<String> {
    let pin = found.fingerprint.map_or(String::new(), |fingerprint| {
        format!(" --hub-fingerprint {fingerprint}")
    });
    Some(format!("  {}: --hub {}{pin}", found.name, found.address()?))
}

/// One hub, as `find` lists it.
#[derive(Debug, Serialize)]
struct Listed {
    name: String,
    hub: String,
    version: String,
    fingerprint: Option<String>,
    /// Whether its certificate is the one that is pinned here.
    ours: bool,
}

/// Runs `find`.
pub fn list(desk: &mut Desk) -> Result<Exit, Trouble> {
    let ours = match &desk.settings.trust {
        Some(Trust::Pin(fingerprint)) => Some(*fingerprint),
        _ => None,
    };
    let mut listed = Vec::new();
    for found in find::hubs(None)? {
        if let Some(hub) = found.address() {
            listed.push(Listed {
                name: found.name,
                hub,
                version: found.version,
                fingerprint: found.fingerprint.map(|fingerprint| fingerprint.to_string()),
                ours: ours.is_some() && ours == found.fingerprint,
            });
        }
    }
    desk.console.answer(&listed, |listed| {
        if listed.is_empty() {
            return "no hub announces itself on this network: give its address with --hub"
                .to_owned();
        }
        let lines = listed.iter().map(|hub| {
            let ours = if hub.ours {
                "  (the one joined here)"
            } else {
                ""
            };
            let known = hub.fingerprint.as_deref().unwrap_or("no TLS");
            format!(
                "{}  {}  version {}{ours}\n    {known}\n",
                hub.name, hub.hub, hub.version
            )
        });
        lines.collect()
    })?;
    Ok(Exit::Ok)
}
