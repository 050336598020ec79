//! `swapcall-hub backup`, `restore` and `verify`.

use std::fs::File;
use std::io::{BufReader, BufWriter};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use clap::Args;
use swapcall_journal::{
    BackedUp, BackupWriter, Journal, SledJournal, SledOptions, Verified, verify_backup,
};
use swapcall_trust::Fingerprint;
use uuid::Uuid;

use crate::HubError;
use crate::config::{Config, Flags};
use crate::remote::Remote;
use crate::token::{read_owner_token, ways};

/// Arguments of `swapcall-hub backup`.
#[derive(Debug, Args)]
pub(crate) struct BackupArguments {
    /// The file to write. One that exists is replaced once the new one is whole.
    file: PathBuf,
    /// The data folder, for the owner's token in it.
    #[arg(long, value_name = "FOLDER")]
    data: Option<PathBuf>,
    /// Where the hub runs.
    #[arg(long, value_name = "ADDRESS:PORT")]
    listen: Option<SocketAddr>,
    /// The hub's TOML file.
    #[arg(long, value_name = "FILE", env = "SWAPCALL_HUB_CONFIG")]
    config: Option<PathBuf>,
    /// Fingerprint of the hub's certificate, where it is in no file known here.
    #[arg(long, value_name = "SHA256:…", env = "SWAPCALL_HUB_FINGERPRINT")]
    hub_fingerprint: Option<Fingerprint>,
}

/// Arguments of `swapcall-hub restore`.
#[derive(Debug, Args)]
pub(crate) struct RestoreArguments {
    /// The backup.
    file: PathBuf,
    /// The data folder to make; it must not hold a journal.
    #[arg(long, value_name = "FOLDER")]
    data: PathBuf,
}

/// Arguments of `swapcall-hub verify`.
#[derive(Debug, Args)]
pub(crate) struct VerifyArguments {
    /// The backup; the data folder is looked at when it is left out.
    file: Option<PathBuf>,
    /// The data folder of a hub that is not running.
    #[arg(long, value_name = "FOLDER", conflicts_with = "file")]
    data: Option<PathBuf>,
}

/// Carries out `swapcall-hub backup`: asks the running hub for its parts, puts them together under another name, and
/// gives the file its name once it is whole and on the disk.
pub(crate) fn back_up(arguments: &BackupArguments) -> Result<(), HubError> {
    let flags = Flags {
        data: arguments.data.clone(),
        listen: arguments.listen,
        ..Flags::default()
    };
    let config = Config::load(arguments.config.as_deref(), &flags)?;
    let remote = running_hub(&config, arguments.hub_fingerprint)?;
    let mut draft = arguments.file.clone().into_os_string();
    draft.push(".draft");
    let draft = PathBuf::from(draft);
    let failed = |error| HubError::file(&draft)(error);
    let (headers, fleet) = remote.get_bytes("/v1/backup/fleet")?;
    let header = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    let odd = || HubError::Remote("the hub answered without saying what it sent".to_owned());
    let epoch = header("swapcall-epoch").and_then(|text| Uuid::parse_str(text).ok());
    let last: Option<u64> = header("swapcall-seq").and_then(|text| text.parse().ok());
    let (epoch, last) = epoch.zip(last).ok_or_else(odd)?;
    let out = BufWriter::new(File::create(&draft).map_err(failed)?);
    let mut writer = BackupWriter::begin(out, epoch, &fleet).map_err(failed)?;
    let mut after = 0;
    while after < last {
        let path = format!("/v1/backup/records?after={after}&until={last}");
        let (_, frames) = remote.get_bytes(&path)?;
        if frames.is_empty() {
            break;
        }
        after = writer.add(&frames).map_err(failed)?;
    }
    let file = writer.finish().map_err(failed)?;
    let file = file
        .into_inner()
        .map_err(|error| failed(error.into_error()))?;
    file.sync_all().map_err(failed)?;
    // Read again from its first byte: a backup that cannot be read is none.
    let backed_up = check(&draft)?;
    std::fs::rename(&draft, &arguments.file).map_err(HubError::file(&arguments.file))?;
    println!("{}: {}", arguments.file.display(), told(&backed_up));
    Ok(())
}

/// The hub that runs on the folder, with its owner's token.
fn running_hub(config: &Config, given: Option<Fingerprint>) -> Result<Remote, HubError> {
    for remote in ways(config, given)? {
        if remote.answers()? {
            return Ok(remote.with_token(read_owner_token(&config.data)?));
        }
    }
    Err(HubError::Remote(format!(
        "no hub answers at {}. Start it, or name its address with --listen; of a hub that does not run, copy the data \
         folder",
        config.listen
    )))
}

fn check(file: &Path) -> Result<BackedUp, HubError> {
    let open = File::open(file).map_err(HubError::file(file))?;
    Ok(verify_backup(BufReader::new(open))?)
}

fn told(backed_up: &BackedUp) -> String {
    format!(
        "{} records up to number {}, {} of them readings; every checksum is right",
        backed_up.records, backed_up.last_seq, backed_up.readings
    )
}

/// Carries out `swapcall-hub restore`.
pub(crate) fn restore(arguments: &RestoreArguments) -> Result<(), HubError> {
    let open = File::open(&arguments.file).map_err(HubError::file(&arguments.file))?;
    let backed_up =
        swapcall_journal::restore(BufReader::new(open), &arguments.data, Uuid::new_v4())?;
    let verified = verify_folder(&arguments.data)?;
    println!("{}: {}", arguments.data.display(), told(&backed_up));
    println!(
        "{} points of history were built. The tokens of the old hub work here as well; its owner's token is not in the \
         backup: keep the file owner-token, or make another with an owner's token you have.",
        verified.history_points
    );
    Ok(())
}

fn verify_folder(folder: &Path) -> Result<Verified, HubError> {
    // An open would make what is not there.
    if !folder.join("identity").is_file() {
        return Err(HubError::Config(format!(
            "there is no journal in {}",
            folder.display()
        )));
    }
    let opened = SledJournal::open(folder, &SledOptions::new(Uuid::nil()))?;
    let verified = opened.journal.verify()?;
    Box::new(opened.journal).close()?;
    Ok(verified)
}

/// Carries out `swapcall-hub verify`.
pub(crate) fn verify(arguments: &VerifyArguments) -> Result<(), HubError> {
    if let Some(file) = &arguments.file {
        println!("{}: {}", file.display(), told(&check(file)?));
        return Ok(());
    }
    let flags = Flags {
        data: arguments.data.clone(),
        ..Flags::default()
    };
    let data = Config::load(None, &flags)?.data;
    let verified = verify_folder(&data)?;
    println!(
        "{}: {} records up to number {} in {} volumes, {} thinned out, {} points of history; every checksum is right",
        data.display(),
        verified.records,
        verified.last_seq,
        verified.volumes,
        verified.thinned_out,
        verified.history_points
    );
    Ok(())
}
