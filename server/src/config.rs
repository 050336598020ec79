//! Configuration: built-in values, then a TOML file, then the environment, then flags; the last word wins.

use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};

use figment::Figment;
use figment::providers::{Env, Format, Serialized, Toml};
use serde::{Deserialize, Serialize};

use swapcall_desk::Upkeep;
use swapcall_journal::SledOptions;
use uuid::Uuid;

use crate::{HubError, Store, zone};

const DAY_S: f64 = 86_400.0;

/// How log lines are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "lowercase")]
pub enum LogFormat {
    /// For people.
    Text,
    /// One JSON object per line.
    Json,
}

/// Everything that can be set. Limits and lead times are not here: they are records, set through the API.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Config {
    /// Address and port to listen on. Loopback unless told otherwise; beyond it only with TLS.
    pub listen: SocketAddr,
    /// Folder of the journal and the owner's token.
    pub data: PathBuf,
    /// Memory for the store's cache in MiB, 1 to 4,096.
    pub cache_mib: u64,
    /// What to log: `info`, `debug`, `swapcall_http=debug,info` …
    pub log: String,
    /// How log lines are written.
    pub log_format: LogFormat,
    /// Seconds that requests and sockets get to end when the hub stops, 1 to 60.
    pub grace_s: u64,
    /// Hub seconds per real second, 1 to 1,000: faster than life only to rehearse with recorded logs.
    pub clock_rate: f64,
    /// Days for which every record is kept as it is, 0.001 to 3,650; older readings are thinned to one a minute and each
    /// change.
    pub keep_days: f64,
    /// Records after which the journal begins its next volume, 1,000 to 100,000,000.
    pub volume_records: u64,
    /// Records between two snapshots of the fold, 100 to 10,000,000.
    pub snapshot_records: u64,
    /// PEM file with the hub's certificate and those it is signed with; goes with `tls_key`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tls_cert: Option<PathBuf>,
    /// PEM file with the certificate's key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tls_key: Option<PathBuf>,
    /// Whether the hub makes a certificate for itself, in its data folder.
    pub tls_self_signed: bool,
    /// Whether it may listen beyond loopback without TLS: everybody on that network can read tokens and reports.
    pub plaintext_on_network: bool,
    /// Whether it stays silent on the local network, where it otherwise says by DNS-SD where it is.
    pub no_announce: bool,
    /// Connections at a time, 1 to 65,536; half of the file descriptors or 4,096 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub connections: Option<usize>,
    /// IANA name of the show's time zone, in which screens show clock times; this machine's own when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time_zone: Option<String>,
    /// Where the vision mixer's tally is heard as datagrams; nowhere when left out. The protocol knows no sign-in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tally_udp: Option<SocketAddr>,
    /// Where it is heard as connections.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tally_tcp: Option<SocketAddr>,
    /// Whose tally counts; everybody's when empty.
    #[serde(default)]
    pub tally_from: Vec<IpAddr>,
}

impl Default for Config {
    fn default() -> Self {
        Self {
            listen: SocketAddr::from(([127, 0, 0, 1], 7979)),
            data: PathBuf::from("swapcall-data"),
            cache_mib: 32,
            log: "info".to_owned(),
            log_format: LogFormat::Text,
            grace_s: 5,
            clock_rate: 1.0,
            keep_days: Upkeep::default().full_s / DAY_S,
            volume_records: SledOptions::VOLUME_RECORDS,
            snapshot_records: Upkeep::default().snapshot_records,
            tls_cert: None,
            tls_key: None,
            tls_self_signed: false,
            plaintext_on_network: false,
            no_announce: false,
            connections: None,
            time_zone: None,
            tally_udp: None,
            tally_tcp: None,
            tally_from: Vec::new(),
        }
    }
}

/// What flags may set; what is left out does not override.
#[derive(Clone, Debug, Default, Serialize, clap::Args)]
pub struct Flags {
    /// Address and port to listen on [default: 127.0.0.1:7979].
    #[arg(long, value_name = "ADDRESS:PORT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub listen: Option<SocketAddr>,
    /// Folder of the journal and the owner's token [default: swapcall-data].
    #[arg(long, value_name = "FOLDER")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub data: Option<PathBuf>,
    /// Memory for the store's cache in MiB [default: 32].
    #[arg(long, value_name = "MIB")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cache_mib: Option<u64>,
    /// What to log, such as `info`, `debug`, or `swapcall_http=debug,info` [default: info].
    #[arg(long, value_name = "FILTER")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub log: Option<String>,
    /// How log lines are written [default: text].
    #[arg(long, value_name = "FORMAT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub log_format: Option<LogFormat>,
    /// Seconds that requests and sockets get to end when the hub stops [default: 5].
    #[arg(long, value_name = "SECONDS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grace_s: Option<u64>,
    /// Hub seconds per real second, to rehearse with recorded logs (`swapcall replay --speed`) [default: 1].
    #[arg(long, value_name = "RATE")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clock_rate: Option<f64>,
    /// Days for which every record is kept as it is; older readings are thinned to one a minute and each change
    /// [default: 3].
    #[arg(long, value_name = "DAYS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keep_days: Option<f64>,
    /// Records after which the journal begins its next volume [default: 250000].
    #[arg(long, value_name = "RECORDS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_records: Option<u64>,
    /// Records between two snapshots of the fold [default: 50000].
    #[arg(long, value_name = "RECORDS")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub snapshot_records: Option<u64>,
    /// Speak TLS with the certificate in this PEM file; read again when it changes, and on SIGHUP.
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tls_cert: Option<PathBuf>,
    /// The certificate's key, a PEM file.
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tls_key: Option<PathBuf>,
    /// Speak TLS with a certificate that the hub makes for itself, once, in its data folder; prints its fingerprint.
    #[arg(long, conflicts_with = "tls_cert")]
    #[serde(skip_serializing_if = "is_false")]
    pub tls_self_signed: bool,
    /// Listen beyond this machine without TLS: everybody on that network can read tokens and reports.
    #[arg(long)]
    #[serde(skip_serializing_if = "is_false")]
    pub plaintext_on_network: bool,
    /// Do not say by DNS-SD (`_swapcall._tcp`) where the hub is; a hub on loopback never does.
    #[arg(long)]
    #[serde(skip_serializing_if = "is_false")]
    pub no_announce: bool,
    /// The show's time zone, such as Europe/Berlin: every screen shows clock times in it [default: this machine's].
    #[arg(long, value_name = "ZONE")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time_zone: Option<String>,
    /// Hear the vision mixer's tally (TSL UMD v3.1 and v5.0) as datagrams here; units name their display with
    /// `swapcall put-unit --display`. Nothing is signed in there: whoever can reach the port can say what is on air.
    #[arg(long, value_name = "ADDRESS:PORT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tally_udp: Option<SocketAddr>,
    /// Hear it (v5.0) as connections here.
    #[arg(long, value_name = "ADDRESS:PORT")]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tally_tcp: Option<SocketAddr>,
    /// Hear only this sender; may be given several times [default: everybody].
    #[arg(long, value_name = "ADDRESS")]
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tally_from: Vec<IpAddr>,
}

/// A flag that is not given does not override.
#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde passes a reference"
)]
fn is_false(flag: &bool) -> bool {
    !*flag
}

/// Variables that begin like ours and are no settings of the hub: the client's, and where the file is.
const OTHERS: [&str; 5] = ["url", "token", "fingerprint", "ca", "config"];

impl Config {
    /// How the journal is looked after.
    pub fn upkeep(&self) -> Upkeep {
        Upkeep {
            snapshot_records: self.snapshot_records,
            full_s: self.keep_days * DAY_S,
        }
    }

    /// The journal's folder and what it may take.
    pub fn store(&self) -> Store {
        Store::Folder {
            path: self.data.clone(),
            options: SledOptions {
                cache_bytes: self.cache_mib * 1024 * 1024,
                volume_records: self.volume_records,
                // The hub makes another for each store that is new.
                ..SledOptions::new(Uuid::nil())
            },
        }
    }

    /// The show's time zone: the one that was given, else this machine's, where it was told one.
    pub fn show_zone(&self) -> Option<String> {
        self.time_zone.clone().or_else(zone::of_this_machine)
    }

    /// Reads all sources and checks the outcome; nothing is opened before this succeeds.
    pub fn load(file: Option<&Path>, flags: &Flags) -> Result<Self, HubError> {
        let mut sources = Figment::from(Serialized::defaults(Self::default()));
        if let Some(file) = file {
            if !file.is_file() {
                return Err(HubError::Config(format!(
                    "there is no file {}",
                    file.display()
                )));
            }
            sources = sources.merge(Toml::file_exact(file));
        }
        // SWAPCALL_HUB alone is the address the command line client talks to; a few others are its own as well.
        let environment = Env::prefixed("SWAPCALL_HUB_").ignore(&OTHERS);
        let sources = sources
            .merge(environment)
            .merge(Serialized::defaults(flags));
        let config: Self = sources
            .extract()
            .map_err(|error| HubError::Config(error.to_string()))?;
        config.check()?;
        Ok(config)
    }

    fn check(&self) -> Result<(), HubError> {
        let wrong = |what: &str| Err(HubError::Config(what.to_owned()));
        if !(1..=4096).contains(&self.cache_mib) {
            return wrong("cache_mib must be 1 to 4096");
        }
        if !(1..=60).contains(&self.grace_s) {
            return wrong("grace_s must be 1 to 60");
        }
        if !(1.0..=1000.0).contains(&self.clock_rate) {
            return wrong("clock_rate must be 1 to 1000");
        }
        if !(0.001..=3650.0).contains(&self.keep_days) {
            return wrong("keep_days must be 0.001 to 3650");
        }
        if !(1_000..=100_000_000).contains(&self.volume_records) {
            return wrong("volume_records must be 1000 to 100000000");
        }
        if !(100..=10_000_000).contains(&self.snapshot_records) {
            return wrong("snapshot_records must be 100 to 10000000");
        }
        if self.data.as_os_str().is_empty() {
            return wrong("data must name a folder");
        }
        if self
            .connections
            .is_some_and(|count| !(1..=65_536).contains(&count))
        {
            return wrong("connections must be 1 to 65536");
        }
        if let Some(name) = &self.time_zone
            && !zone::is_known(name)
        {
            return wrong(
                "time_zone must be the IANA name of a time zone that this machine knows, such as Europe/Berlin \
                 (where it knows none, install tzdata)",
            );
        }
        if !self.tally_from.is_empty() && self.tally_udp.is_none() && self.tally_tcp.is_none() {
            return wrong(
                "tally_from says who is heard, but not where: give tally_udp or tally_tcp",
            );
        }
        if self.tls_cert.is_some() != self.tls_key.is_some() {
            return wrong("tls_cert and tls_key go together: give both, or neither");
        }
        if self.tls_self_signed && self.tls_cert.is_some() {
            return wrong("tls_self_signed and tls_cert exclude each other: choose one");
        }
        Ok(())
    }

    /// Refuses to listen where others can read along, unless that was asked for.
    pub(crate) fn may_listen(&self) -> Result<(), HubError> {
        let tls = self.tls_self_signed || self.tls_cert.is_some();
        if tls || self.listen.ip().is_loopback() || self.plaintext_on_network {
            return Ok(());
        }
        Err(HubError::Config(format!(
            "listening on {} without TLS would let everybody on that network read the tokens and every report, and then \
             act as anybody of the crew. Add --tls-self-signed (or --tls-cert and --tls-key), or listen on 127.0.0.1 \
             only. If you want it all the same, say --plaintext-on-network",
            self.listen
        )))
    }

    /// The configuration as a TOML file that would give it.
    pub fn as_toml(&self) -> String {
        let text = |value: &str| serde_json::Value::from(value).to_string();
        let format = match self.log_format {
            LogFormat::Text => "text",
            LogFormat::Json => "json",
        };
        let file = |key: &str, path: Option<&PathBuf>| {
            path.map_or_else(String::new, |path| {
                format!("{key} = {}\n", text(&path.to_string_lossy()))
            })
        };
        let connections = self
            .connections
            .map_or_else(String::new, |count| format!("connections = {count}\n"));
        let time_zone = self
            .time_zone
            .as_ref()
            .map_or_else(String::new, |name| format!("time_zone = {}\n", text(name)));
        let address = |key: &str, address: Option<SocketAddr>| {
            address.map_or_else(String::new, |address| {
                format!("{key} = {}\n", text(&address.to_string()))
            })
        };
        let senders: Vec<String> = self
            .tally_from
            .iter()
            .map(|sender| text(&sender.to_string()))
            .collect();
        let tls = [
            file("tls_cert", self.tls_cert.as_ref()),
            file("tls_key", self.tls_key.as_ref()),
            format!("tls_self_signed = {}\n", self.tls_self_signed),
            format!("plaintext_on_network = {}\n", self.plaintext_on_network),
            format!("no_announce = {}\n", self.no_announce),
            connections,
            time_zone,
            address("tally_udp", self.tally_udp),
            address("tally_tcp", self.tally_tcp),
            format!("tally_from = [{}]\n", senders.join(", ")),
        ]
        .concat();
        format!(
            "listen = {}\ndata = {}\ncache_mib = {}\nlog = {}\nlog_format = {}\ngrace_s = {}\nclock_rate = {:?}\nkeep_days = {:?}\nvolume_records = {}\nsnapshot_records = {}\n{tls}",
            text(&self.listen.to_string()),
            text(&self.data.to_string_lossy()),
            self.cache_mib,
            text(&self.log),
            text(format),
            self.grace_s,
            self.clock_rate,
            self.keep_days,
            self.volume_records,
            self.snapshot_records
        )
    }
}

#[cfg(test)]
mod tests;
