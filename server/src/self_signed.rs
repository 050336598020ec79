//! The certificate that the hub makes for itself, once, in its data folder.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};

use rcgen::{CertificateParams, DistinguishedName, DnType, KeyPair, date_time_ymd};
use swapcall_http::{Keys, TlsError};

use crate::{HubError, addresses, owner};

/// Name of the certificate's file in the data folder.
const CERTIFICATE: &str = "tls-cert.pem";
/// Name of the key's file in the data folder.
const KEY: &str = "tls-key.pem";

/// Where the certificate of a data folder lies, if one was made.
pub(crate) fn certificate_in(data: &Path) -> Option<PathBuf> {
    Some(data.join(CERTIFICATE)).filter(|path| path.exists())
}

/// The certificate and key of the data folder; made where there are none, for a hub that listens on `listen`. Never made
/// twice: every client that pinned the first would be locked out.
pub(crate) fn ensure(data: &Path, listen: SocketAddr) -> Result<Keys, HubError> {
    let (certificate, key) = (data.join(CERTIFICATE), data.join(KEY));
    if !certificate.exists() {
        // A key without a certificate is what a crash between the two leaves: nobody has seen it, so both are made anew.
        make(data, listen)?;
    }
    Keys::load(&certificate, &key).map_err(|error| broken(&error, &certificate, &key))
}

fn broken(error: &TlsError, certificate: &Path, key: &Path) -> HubError {
    HubError::Config(format!(
        "{error}. Put the two files back as they were, or remove {} and {} to have new ones made: then every client \
         needs the new fingerprint",
        certificate.display(),
        key.display()
    ))
}

fn make(data: &Path, listen: SocketAddr) -> Result<(), HubError> {
    let failed = |error: rcgen::Error| {
        HubError::Internal(format!("the hub's certificate could not be made: {error}"))
    };
    let mut names = vec!["localhost".to_owned()];
    names.extend(addresses::host_name());
    names.extend(names_of(listen.ip()));
    names.dedup();
    let mut params = CertificateParams::new(names).map_err(failed)?;
    let mut subject = DistinguishedName::new();
    subject.push(DnType::CommonName, "Swapcall hub");
    params.distinguished_name = subject;
    // Fixed dates: at a venue the clock may be wrong when the hub starts first, and who pins looks at no dates.
    params.not_before = date_time_ymd(2020, 1, 1);
    params.not_after = date_time_ymd(2049, 12, 31);
    let key = KeyPair::generate().map_err(failed)?;
    let certificate = params.self_signed(&key).map_err(failed)?;
    let write = |name: &str, text: &str| {
        let path = data.join(name);
        owner::write_private(&path, text.trim_end()).map_err(HubError::file(path))
    };
    std::fs::create_dir_all(data).map_err(HubError::file(data))?;
    write(KEY, &key.serialize_pem())?;
    // The certificate is there whole or not at all: its name is what says that the pair is complete.
    let draft = format!("{CERTIFICATE}.draft");
    write(&draft, &certificate.pem())?;
    let path = data.join(CERTIFICATE);
    std::fs::rename(data.join(draft), &path).map_err(HubError::file(path))?;
    std::fs::File::open(data)
        .and_then(|folder| folder.sync_all())
        .map_err(HubError::file(data))
}

/// The addresses that a hub listening on `ip` is reached at, as names for a certificate.
fn names_of(ip: IpAddr) -> Vec<String> {
    let mut found = vec![IpAddr::from(Ipv4Addr::LOCALHOST)];
    if ip.is_unspecified() {
        found.extend(addresses::local());
    } else {
        found.push(ip);
    }
    found.sort_unstable();
    found.dedup();
    found.iter().map(ToString::to_string).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    fn loopback() -> SocketAddr {
        SocketAddr::from(([127, 0, 0, 1], 0))
    }

    #[test]
    fn it_is_made_once_and_only_its_owner_reads_the_key() {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("data");
        assert_eq!(certificate_in(&data), None);
        let first = ensure(&data, loopback()).unwrap().fingerprint();
        assert_eq!(ensure(&data, loopback()).unwrap().fingerprint(), first);
        let mode = data.join(KEY).metadata().unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
        let on_disk = swapcall_trust::fingerprint_of_file(&certificate_in(&data).unwrap());
        assert_eq!(on_disk.unwrap(), first);
    }

    #[test]
    fn a_crash_between_the_two_files_leaves_nothing_half_made() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join(KEY), "half a k").unwrap();
        ensure(folder.path(), loopback()).unwrap();
    }

    #[test]
    fn a_lost_key_is_said_and_no_other_certificate_takes_its_place() {
        let folder = tempfile::tempdir().unwrap();
        let first = ensure(folder.path(), loopback()).unwrap().fingerprint();
        std::fs::remove_file(folder.path().join(KEY)).unwrap();
        let error = ensure(folder.path(), loopback())
            .expect_err("no key")
            .to_string();
        assert!(
            error.contains(KEY) && error.contains("new fingerprint"),
            "{error}"
        );
        let on_disk = swapcall_trust::fingerprint_of_file(&folder.path().join(CERTIFICATE));
        assert_eq!(on_disk.unwrap(), first);
    }
}
