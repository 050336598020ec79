//! `invite` and `join`: coming in with a code instead of a token that has to be copied.

use std::fs::{self, OpenOptions};
use std::io::{IsTerminal as _, Write as _};
use std::net::IpAddr;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};

use figment::Figment;
use figment::providers::{Format, Toml};
use qrcode::render::unicode::Dense1x2;
use qrcode::{EcLevel, QrCode};
use serde::Serialize;
use swapcall_trust::Trust;
use swapcall_wire::{JoinCreated, NewJoin, Redeem, Role, TokenCreated};

use super::Desk;
use super::meet::hub_of;
use crate::args::{InviteArgs, JoinArgs};
use crate::exit::Exit;
use crate::hub::Hub;
use crate::settings::Layer;
use crate::trouble::Trouble;

/// Runs `invite`.
pub fn invite(args: &InviteArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let new = NewJoin {
        name: args.name.clone(),
        role: args.role,
        units: args.units.clone(),
        minutes: Some(args.minutes),
    };
    let made: JoinCreated = desk.hub.post("/v1/joins", &new)?;
    let address = desk.hub.address().to_owned();
    let link = format!("{address}{}", made.link);
    let drawn = std::io::stdout().is_terminal() && !is_here_only(&address);
    let picture = if drawn { drawing(&link) } else { String::new() };
    desk.console.answer(&made, |made| {
        let role = format!("{:?}", made.role).to_lowercase();
        format!(
            "{picture}{}\nfor {}, {role}; works once, until {}\nin a browser: {link}\nin a terminal, or for a cart: swapcall join '{link}'",
            made.code, made.name, made.expires_at
        )
    })?;
    Ok(Exit::Ok)
}

/// Whether an address leads to this machine from this machine only: a phone that reads it would look at itself.
fn is_here_only(address: &str) -> bool {
    let rest = address.split_once("://").map_or(address, |(_, rest)| rest);
    let rest = rest.split('/').next().unwrap_or_default();
    let host = rest.rsplit_once(':').map_or(rest, |(host, _)| host);
    let host = host.trim_start_matches('[').trim_end_matches(']');
    host == "localhost" || host.parse().is_ok_and(|ip: IpAddr| ip.is_loopback())
}

/// A link as a QR code for the terminal, two rows in a line: black on white whatever the terminal's colours are, because
/// not every phone reads the opposite. Empty where it would not fit.
fn drawing(link: &str) -> String {
    let Ok(code) = QrCode::with_error_correction_level(link, EcLevel::M) else {
        return String::new();
    };
    let lines = code.render::<Dense1x2>().quiet_zone(true).build();
    let coloured = lines
        .lines()
        .map(|line| format!("\x1b[30;107m{line}\x1b[0m\n"));
    coloured.collect::<Vec<_>>().concat()
}

/// What `join` did.
#[derive(Debug, Serialize)]
struct Joined {
    name: String,
    role: Role,
    hub: String,
    config: PathBuf,
}

/// Runs `join`.
pub fn join(args: &JoinArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let Some(config) = desk.config.clone() else {
        return Err(Trouble::Usage(
            "neither XDG_CONFIG_HOME nor HOME is set: name a file with --config".to_owned(),
        ));
    };
    // Before the code is used up: a place that cannot be written must not cost it.
    let folder = config.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(folder).map_err(|error| cannot("make", folder, &error))?;
    let token_file = std::path::absolute(config.with_extension("token"))
        .map_err(|error| cannot("find", &config, &error))?;
    try_to_write(&token_file)?;
    let settings = hub_of(&args.code, desk)?;
    let redeem = Redeem {
        code: args.code.code.clone(),
    };
    let made: TokenCreated = Hub::new(&settings)?.post("/v1/joins/redeem", &redeem)?;
    write_private(&token_file, &made.token)?;
    let (spool, spool_size) = read_spool(&config);
    if config.exists() {
        let before = config.with_extension("toml.before");
        fs::rename(&config, &before).map_err(|error| cannot("keep", &config, &error))?;
    }
    // The next command must know the hub's certificate as this one did.
    let (hub_fingerprint, hub_ca) = match settings.trust {
        Some(Trust::Pin(fingerprint)) => (Some(fingerprint.to_string()), None),
        Some(Trust::Authorities(file)) => (None, Some(file)),
        None => (None, None),
    };
    let layer = Layer {
        hub: Some(settings.hub.clone()),
        hub_fingerprint,
        hub_ca,
        token: None,
        token_file: Some(token_file),
        spool,
        spool_size,
    };
    fs::write(&config, as_toml(&layer)).map_err(|error| cannot("write", &config, &error))?;
    let joined = Joined {
        name: made.view.name,
        role: made.view.role,
        hub: settings.hub,
        config,
    };
    desk.console.answer(&joined, |joined| {
        let role = format!("{:?}", joined.role).to_lowercase();
        format!(
            "you are {}, {role}, at {}; kept in {}",
            joined.name,
            joined.hub,
            joined.config.display()
        )
    })?;
    Ok(Exit::Ok)
}

fn cannot(what: &str, path: &Path, error: &std::io::Error) -> Trouble {
    Trouble::local(&format!("{what} {}", path.display()), error)
}

/// Where the configuration that was there keeps its spool, as reports may wait in it, and how large that may grow.
fn read_spool(config: &Path) -> (Option<PathBuf>, Option<String>) {
    let layer: Layer = Figment::from(Toml::file_exact(config))
        .extract()
        .unwrap_or_default();
    (layer.spool, layer.spool_size)
}

/// The settings as a configuration file. A string of JSON is a basic string of TOML.
fn as_toml(layer: &Layer) -> String {
    let path = |path: &Option<PathBuf>| path.as_ref().map(|path| path.display().to_string());
    let lines = [
        ("hub", layer.hub.clone()),
        ("hub_fingerprint", layer.hub_fingerprint.clone()),
        ("hub_ca", path(&layer.hub_ca)),
        ("token_file", path(&layer.token_file)),
        ("spool", path(&layer.spool)),
        ("spool_size", layer.spool_size.clone()),
    ];
    lines
        .into_iter()
        .filter_map(|(key, value)| Some(format!("{key} = {}\n", serde_json::Value::from(value?))))
        .collect()
}

/// Writes a file that only its owner can read, whatever was there before; what was there stays until then.
fn write_private(path: &Path, text: &str) -> Result<(), Trouble> {
    let fresh = write_fresh(path, text)?;
    fs::rename(&fresh, path).map_err(|error| cannot("write", path, &error))
}

/// Whether a file can be written there, without leaving anything.
fn try_to_write(path: &Path) -> Result<(), Trouble> {
    let fresh = write_fresh(path, "")?;
    fs::remove_file(&fresh).map_err(|error| cannot("write", path, &error))
}

fn write_fresh(path: &Path, text: &str) -> Result<PathBuf, Trouble> {
    let fresh = path.with_extension("token.new");
    let wrong = |error: std::io::Error| cannot("write", &fresh, &error);
    if fresh.exists() {
        fs::remove_file(&fresh).map_err(wrong)?;
    }
    let mut open = OpenOptions::new();
    open.write(true).create_new(true).mode(0o600);
    let mut file = open.open(&fresh).map_err(wrong)?;
    writeln!(file, "{text}")
        .and_then(|()| file.sync_all())
        .map_err(wrong)?;
    Ok(fresh)
}

#[cfg(test)]
mod tests {
    use std::os::unix::fs::PermissionsExt;

    use super::*;

    #[test]
    fn a_token_is_written_for_its_owner_only_and_a_try_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("config.token");
        try_to_write(&path).unwrap();
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
        for text in ["first", "second"] {
            write_private(&path, text).unwrap();
            assert_eq!(fs::read_to_string(&path).unwrap().trim(), text);
        }
        let mode = fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
        assert!(try_to_write(&folder.path().join("none/config.token")).is_err());
    }

    #[test]
    fn another_program_reads_the_link_from_the_terminal() {
        const MODULE: usize = 4;
        let link = "https://192.0.2.7:7979/#join=BCDFG-HJKLM";
        let text = drawing(link);
        let lines: Vec<&str> = text
            .lines()
            .map(|line| {
                let inside = line.strip_prefix("\x1b[30;107m").expect("black on white");
                inside.strip_suffix("\x1b[0m").expect("and then no more")
            })
            .collect();
        let width = lines[0].chars().count();
        let dark = |x: usize, y: usize| {
            let drawn = lines[y / 2].chars().nth(x).expect("lines of one length");
            match drawn {
                ' ' => false,
                '█' => true,
                '▀' => y.is_multiple_of(2),
                '▄' => y % 2 == 1,
                other => panic!("{other:?}"),
            }
        };
        let size = width * MODULE;
        let shade = |x, y| {
            let (x, y) = (x / MODULE, y / MODULE);
            if y < 2 * lines.len() && dark(x, y) {
                0
            } else {
                255
            }
        };
        let mut picture = rqrr::PreparedImage::prepare_from_greyscale(size, size, shade);
        let grids = picture.detect_grids();
        let (_, read) = grids[0].decode().expect("a code that can be read");
        assert_eq!((grids.len(), read.as_str()), (1, link));
    }

    #[test]
    fn an_address_of_this_machine_only_is_not_drawn() {
        for here in [
            "http://127.0.0.1:7979",
            "https://localhost:1",
            "http://[::1]:7979",
            "http://localhost/below",
        ] {
            assert!(is_here_only(here), "{here}");
        }
        for there in [
            "http://192.0.2.7:7979",
            "https://hub.local",
            "http://[2001:db8::7]:1",
        ] {
            assert!(!is_here_only(there), "{there}");
        }
    }

    #[test]
    fn what_is_written_is_read_as_it_was_meant() {
        let folder = tempfile::tempdir().unwrap();
        let config = folder.path().join("config.toml");
        let layer = Layer {
            hub_fingerprint: None,
            hub_ca: None,
            hub: Some("http://hub:1".to_owned()),
            token: None,
            token_file: Some("/a \"quoted\" place\\x".into()),
            spool: Some("/spool".into()),
            spool_size: Some("8MB".into()),
        };
        fs::write(&config, as_toml(&layer)).unwrap();
        let read: Layer = Figment::from(Toml::file_exact(&config)).extract().unwrap();
        assert_eq!(read, layer);
        assert_eq!(
            read_spool(&config),
            (Some("/spool".into()), Some("8MB".to_owned()))
        );
    }
}
