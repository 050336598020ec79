//! Where the hub is and who we are: flags before environment before file.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use figment::Figment;
use figment::providers::{Format, Serialized, Toml};
use serde::{Deserialize, Serialize};
use swapcall_trust::{Fingerprint, Trust, system_authorities};
use tokio_rustls::rustls::ClientConfig;

use crate::spool::Bounds;
use crate::trouble::Trouble;
use crate::words;

/// Where a hub listens when nobody says otherwise: this machine.
pub const DEFAULT_HUB: &str = "http://127.0.0.1:7979";
/// Environment variables that are read, each with the setting it stands for.
const VARIABLES: [(&str, &str); 7] = [
    ("SWAPCALL_HUB", "hub"),
    ("SWAPCALL_TOKEN", "token"),
    ("SWAPCALL_TOKEN_FILE", "token_file"),
    ("SWAPCALL_SPOOL", "spool"),
    ("SWAPCALL_SPOOL_SIZE", "spool_size"),
    ("SWAPCALL_HUB_FINGERPRINT", "hub_fingerprint"),
    ("SWAPCALL_HUB_CA", "hub_ca"),
];

/// The settings as one layer (file, environment or flags) gives them; also the form of the configuration file.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Layer {
    /// Address of the hub, `http://host:port` or `https://host:port`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hub: Option<String>,
    /// The token itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub token: Option<String>,
    /// A file that holds the token.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub token_file: Option<PathBuf>,
    /// The folder for reports that wait for the hub.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spool: Option<PathBuf>,
    /// How large that folder may grow, `64MB`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spool_size: Option<String>,
    /// Fingerprint of the hub's certificate: exactly that one is taken, and `hub_ca` does not matter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hub_fingerprint: Option<String>,
    /// PEM file with the authorities that may sign the hub's certificate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hub_ca: Option<PathBuf>,
}

/// The environment of the process, read once so that tests can give their own.
pub type Environment = BTreeMap<String, String>;

/// What holds for this run.
#[derive(Clone, PartialEq, Eq)]
pub struct Settings {
    /// Address of the hub without a slash at its end.
    pub hub: String,
    /// The bearer token.
    pub token: Option<String>,
    /// The folder for reports that wait for the hub.
    pub spool: PathBuf,
    /// How large that folder may grow.
    pub bounds: Bounds,
    /// Which certificate is taken for the hub's; `None` where its address begins with `http://`.
    pub trust: Option<Trust>,
}

/// Shows everything but the secret.
impl std::fmt::Debug for Settings {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Settings")
            .field("hub", &self.hub)
            .field("token", &self.token.as_ref().map(|_| "…"))
            .field("spool", &self.spool)
            .field("bounds", &self.bounds)
            .field("trust", &self.trust)
            .finish()
    }
}

impl Settings {
    /// Puts the layers together. `config` names a file that must exist; without it the usual place is read if there.
    pub fn load(
        flags: &Layer,
        config: Option<&Path>,
        environment: &Environment,
    ) -> Result<Self, Trouble> {
        let mut figment = Figment::new();
        if let Some(path) = config {
            if !path.is_file() {
                return Err(Trouble::Usage(format!(
                    "there is no configuration file {}",
                    path.display()
                )));
            }
            figment = figment.merge(Toml::file_exact(path));
        } else if let Some(path) = usual_config(environment).filter(|path| path.is_file()) {
            figment = figment.merge(Toml::file_exact(path));
        }
        // A token of a nearer layer replaces a token file of a farther one, and the other way round; so each layer is
        // looked at by itself before they are merged.
        let file = read_layer(&figment)?;
        let near = environment_layer(environment);
        let (token, token_file) = nearest_token(&[flags, &near, &file]);
        let merged = read_layer(
            &figment
                .merge(Serialized::defaults(&near))
                .merge(Serialized::defaults(flags)),
        )?;
        let spool = match merged.spool {
            Some(folder) => folder,
            None => state_folder(environment)?.join("spool"),
        };
        let size = merged.spool_size.as_deref().map(words::spool_size);
        let size = size.transpose().map_err(Trouble::Usage)?;
        let token = match (token, token_file) {
            (Some(token), _) => Some(token),
            (None, Some(path)) => Some(read_token(&path)?),
            (None, None) => None,
        };
        let hub = checked_address(merged.hub.as_deref().unwrap_or(DEFAULT_HUB))?;
        let trust = trust(&hub, merged.hub_fingerprint.as_deref(), merged.hub_ca)?;
        Ok(Self {
            hub,
            trust,
            token: checked_token(token)?,
            spool,
            bounds: size.map_or_else(Bounds::default, Bounds::within),
        })
    }

    /// The same for another hub, with its own certificate and without our token for this one.
    pub fn at(&self, hub: &str, pin: Option<Fingerprint>) -> Result<Self, Trouble> {
        let hub = checked_address(hub)?;
        let trust = match pin {
            Some(pin) => Some(Trust::Pin(pin)),
            None => trust(&hub, None, None)?,
        };
        Ok(Self {
            hub,
            trust,
            token: None,
            spool: self.spool.clone(),
            bounds: self.bounds,
        })
    }

    /// The address of the live socket, without path.
    pub fn live_address(&self) -> String {
        // http becomes ws, https becomes wss.
        self.hub.replacen("http", "ws", 1)
    }

    /// How to speak TLS to the hub; `None` where its address begins with `http://`.
    pub fn tls(&self) -> Result<Option<Arc<ClientConfig>>, Trouble> {
        let client = self.trust.as_ref().map(Trust::client).transpose();
        client.map_err(|error| Trouble::Usage(error.to_string()))
    }
}

/// Whether a flag or the environment says where the hub is.
pub fn names_hub(flags: &Layer, environment: &Environment) -> bool {
    flags.hub.is_some() || environment_layer(environment).hub.is_some()
}

fn read_layer(figment: &Figment) -> Result<Layer, Trouble> {
    figment
        .extract()
        .map_err(|error| Trouble::Usage(format!("the configuration makes no sense: {error}")))
}

fn environment_layer(environment: &Environment) -> Layer {
    let get = |setting: &str| {
        let (variable, _) = VARIABLES.iter().find(|(_, name)| *name == setting)?;
        environment
            .get(*variable)
            .filter(|value| !value.is_empty())
            .cloned()
    };
    Layer {
        hub: get("hub"),
        token: get("token"),
        token_file: get("token_file").map(PathBuf::from),
        spool: get("spool").map(PathBuf::from),
        spool_size: get("spool_size"),
        hub_fingerprint: get("hub_fingerprint"),
        hub_ca: get("hub_ca").map(PathBuf::from),
    }
}

/// The first layer that names a token or a token file decides.
fn nearest_token(layers: &[&Layer]) -> (Option<String>, Option<PathBuf>) {
    layers
        .iter()
        .find(|layer| layer.token.is_some() || layer.token_file.is_some())
        .map_or((None, None), |layer| {
            (layer.token.clone(), layer.token_file.clone())
        })
}

fn read_token(path: &Path) -> Result<String, Trouble> {
    let text = std::fs::read_to_string(path).map_err(|error| {
        Trouble::local(&format!("read the token file {}", path.display()), error)
    })?;
    Ok(text.trim().to_owned())
}

/// A token goes into a header line: anything but visible ASCII would be refused there with a worse message.
fn checked_token(token: Option<String>) -> Result<Option<String>, Trouble> {
    match token {
        Some(token) if token.is_empty() || !token.bytes().all(|byte| byte.is_ascii_graphic()) => {
            Err(Trouble::Usage(
                "the token is empty or holds characters that no token has".to_owned(),
            ))
        }
        token => Ok(token),
    }
}

/// What the settings say about the hub's certificate. A fingerprint is the stricter word, so it counts before `ca`.
fn trust(
    hub: &str,
    fingerprint: Option<&str>,
    ca: Option<PathBuf>,
) -> Result<Option<Trust>, Trouble> {
    if !hub.starts_with("https://") {
        // Whoever names a certificate thinks that the way is protected: it would not be.
        if fingerprint.is_none() && ca.is_none() {
            return Ok(None);
        }
        return Err(Trouble::Usage(format!(
            "{hub} has no certificate that could be checked: give an address that begins with https://, or leave out \
             the fingerprint and the authorities"
        )));
    }
    if let Some(text) = fingerprint {
        let fingerprint = text
            .parse()
            .map_err(|error| Trouble::Usage(format!("“{text}” is no fingerprint: {error}")))?;
        return Ok(Some(Trust::Pin(fingerprint)));
    }
    match ca.or_else(system_authorities) {
        Some(file) => Ok(Some(Trust::Authorities(file))),
        None => Err(Trouble::Usage(
            "this system keeps no list of authorities where it is looked for: say which certificate to take with \
             --hub-fingerprint, or give the authority's file with --hub-ca"
                .to_owned(),
        )),
    }
}

fn checked_address(address: &str) -> Result<String, Trouble> {
    let address = address.trim().trim_end_matches('/');
    let rest = ["http://", "https://"]
        .iter()
        .find_map(|scheme| address.strip_prefix(scheme));
    let Some(rest) = rest else {
        return Err(Trouble::Usage(format!(
            "{address}: a hub's address looks like {DEFAULT_HUB}, or begins with https://"
        )));
    };
    if rest.is_empty() || rest.contains(|c: char| c.is_whitespace() || matches!(c, '?' | '#' | '@'))
    {
        return Err(Trouble::Usage(format!(
            "{address}: a hub's address looks like {DEFAULT_HUB}"
        )));
    }
    Ok(address.to_owned())
}

/// A base folder by the XDG Base Directory Specification: the variable if absolute, else below the home folder.
fn base_folder(environment: &Environment, variable: &str, below_home: &str) -> Option<PathBuf> {
    let named = environment
        .get(variable)
        .map(PathBuf::from)
        .filter(|path| path.is_absolute());
    let home = || {
        environment
            .get("HOME")
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    named
        .or_else(|| Some(home()?.join(below_home)))
        .map(|base| base.join("swapcall"))
}

/// The place of the configuration file: the one named, or the usual one. `None` where there is no home folder.
pub fn config_file(named: Option<&Path>, environment: &Environment) -> Option<PathBuf> {
    named
        .map(Path::to_path_buf)
        .or_else(|| usual_config(environment))
}

fn usual_config(environment: &Environment) -> Option<PathBuf> {
    base_folder(environment, "XDG_CONFIG_HOME", ".config").map(|folder| folder.join("config.toml"))
}

fn state_folder(environment: &Environment) -> Result<PathBuf, Trouble> {
    base_folder(environment, "XDG_STATE_HOME", ".local/state").ok_or_else(|| {
        Trouble::Usage(
            "neither XDG_STATE_HOME nor HOME is set: name a folder with --spool".to_owned(),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn environment(pairs: &[(&str, &str)]) -> Environment {
        pairs
            .iter()
            .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()))
            .collect()
    }

    fn with_file(text: &str, flags: &Layer, pairs: &[(&str, &str)]) -> Result<Settings, Trouble> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("config.toml");
        std::fs::write(&path, text).unwrap();
        let mut pairs = pairs.to_vec();
        pairs.push(("HOME", "/var/empty"));
        Settings::load(flags, Some(&path), &environment(&pairs))
    }

    #[test]
    fn flags_come_before_environment_before_file() {
        let file = "hub = \"http://file:1\"\ntoken = \"file\"\nspool = \"/file\"\n";
        let none = Layer::default();
        let all = with_file(file, &none, &[]).unwrap();
        assert_eq!(
            (all.hub.as_str(), all.token.as_deref()),
            ("http://file:1", Some("file"))
        );
        let env = [
            ("SWAPCALL_HUB", "http://env:2/"),
            ("SWAPCALL_TOKEN", "env"),
            ("SWAPCALL_SPOOL", "/env"),
        ];
        let near = with_file(file, &none, &env).unwrap();
        assert_eq!(
            (near.hub.as_str(), near.token.as_deref()),
            ("http://env:2", Some("env"))
        );
        assert_eq!(near.spool, PathBuf::from("/env"));
        let flags = Layer {
            hub: Some("http://flag:3".into()),
            token: Some("flag".into()),
            ..Layer::default()
        };
        let nearest = with_file(file, &flags, &env).unwrap();
        assert_eq!(
            (nearest.hub.as_str(), nearest.token.as_deref()),
            ("http://flag:3", Some("flag"))
        );
    }

    #[test]
    fn a_nearer_token_file_replaces_a_farther_token() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("token");
        std::fs::write(&path, "  from-file\n").unwrap();
        let flags = Layer {
            token_file: Some(path),
            ..Layer::default()
        };
        let settings = with_file("token = \"old\"", &flags, &[("SWAPCALL_TOKEN", "env")]).unwrap();
        assert_eq!(settings.token.as_deref(), Some("from-file"));
    }

    #[test]
    fn the_spool_is_as_large_as_was_said_nearest_and_never_nonsense() {
        let bounds = |file: &str, pairs: &[(&str, &str)]| {
            with_file(file, &Layer::default(), pairs).map(|settings| settings.bounds)
        };
        assert_eq!(bounds("", &[]).unwrap(), Bounds::default());
        let near = bounds("spool_size = \"1GB\"", &[("SWAPCALL_SPOOL_SIZE", "20MB")]);
        assert_eq!(near.unwrap(), Bounds::within(20_000_000));
        let error = bounds("spool_size = \"7\"", &[]).unwrap_err();
        assert!(error.to_string().contains("64MB"), "{error}");
        assert_eq!(error.exit(), crate::exit::Exit::Usage);
    }

    #[test]
    fn unknown_keys_are_refused_by_name() {
        let error = with_file("hubb = \"http://x\"", &Layer::default(), &[]).unwrap_err();
        assert!(error.to_string().contains("hubb"), "{error}");
        assert_eq!(error.exit(), crate::exit::Exit::Usage);
    }

    #[test]
    fn the_usual_places_follow_the_base_directory_specification() {
        // XDG Base Directory Specification: relative values must be ignored.
        let at = |pairs: &[(&str, &str)]| {
            Settings::load(&Layer::default(), None, &environment(pairs))
                .unwrap()
                .spool
        };
        assert_eq!(
            at(&[("XDG_STATE_HOME", "/s")]),
            PathBuf::from("/s/swapcall/spool")
        );
        let fallback = at(&[("XDG_STATE_HOME", "relative"), ("HOME", "/h")]);
        assert_eq!(fallback, PathBuf::from("/h/.local/state/swapcall/spool"));
        assert!(Settings::load(&Layer::default(), None, &Environment::new()).is_err());
    }

    #[test]
    fn addresses_are_checked_before_anything_is_sent() {
        let load = |hub: &str| {
            let flags = Layer {
                hub: Some(hub.to_owned()),
                ..Layer::default()
            };
            Settings::load(&flags, None, &environment(&[("HOME", "/h")]))
        };
        for bad in [
            "hub:7979",
            "http://",
            "https://",
            "http://a b",
            "ftp://x",
            "http://me:pw@hub",
        ] {
            assert!(load(bad).is_err(), "{bad}");
        }
        assert_eq!(
            load("http://hub:7979/").unwrap().live_address(),
            "ws://hub:7979"
        );
    }

    #[test]
    fn what_is_trusted_follows_the_address_and_the_stricter_word() {
        let pin = swapcall_trust::Fingerprint::of(b"abc");
        let load = |hub: &str, pairs: &[(&str, &str)]| {
            let flags = Layer {
                hub: Some(hub.to_owned()),
                ..Layer::default()
            };
            with_file("", &flags, pairs)
        };
        let text = pin.to_string();
        let both = [
            ("SWAPCALL_HUB_FINGERPRINT", text.as_str()),
            ("SWAPCALL_HUB_CA", "/ca.pem"),
        ];
        let settings = load("https://hub:1", &both).unwrap();
        assert_eq!(settings.trust, Some(Trust::Pin(pin)));
        assert_eq!(settings.live_address(), "wss://hub:1");
        let authorities = Some(Trust::Authorities(PathBuf::from("/ca.pem")));
        assert_eq!(
            load("https://hub:1", &both[1..]).unwrap().trust,
            authorities
        );
        assert_eq!(load("http://hub:1", &[]).unwrap().trust, None);
        for pairs in [&both[..1], &both[1..]] {
            let error = load("http://hub:1", pairs).unwrap_err();
            assert!(error.to_string().contains("https://"), "{error}");
        }
        let error = load(
            "https://hub:1",
            &[("SWAPCALL_HUB_FINGERPRINT", "SHA256:12")],
        )
        .unwrap_err();
        assert!(
            error.to_string().contains("32 hexadecimal pairs"),
            "{error}"
        );
        let missing = load("https://hub:1", &both[1..])
            .unwrap()
            .tls()
            .unwrap_err();
        assert!(missing.to_string().contains("/ca.pem"), "{missing}");
    }

    #[test]
    fn the_token_is_not_shown_and_must_fit_a_header() {
        let good = with_file("token = \"s3cret\"", &Layer::default(), &[]).unwrap();
        assert!(!format!("{good:?}").contains("s3cret"));
        assert!(with_file("token = \"a\\nb\"", &Layer::default(), &[]).is_err());
    }
}
