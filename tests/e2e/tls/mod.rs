//! HTTPS and WSS with the real binaries: certificates, pins, renewal while the hub runs, and what happens without TLS.
//! Here: what the tests of it share.
//!
//! Outside judges: openssl, where it is installed, and the certificates themselves, made here by rcgen.

mod certificates;
mod port;
mod trust;

use std::io::Read;
use std::path::PathBuf;
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

use rcgen::{BasicConstraints, Certificate, CertificateParams, DnType, IsCa, Issuer, KeyPair};
use swapcall_tests::binaries;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_trust::Fingerprint;

/// An authority, and the files of certificates it signs.
pub(crate) struct Authority {
    issuer: Issuer<'static, KeyPair>,
    folder: PathBuf,
}

impl Authority {
    /// A new authority; its own certificate lies in `ca.pem`.
    pub(crate) fn new(site: &Site) -> Self {
        let folder = site.folder().to_owned();
        let key = KeyPair::generate().expect("a key");
        let mut params = CertificateParams::new(Vec::new()).expect("no names");
        params
            .distinguished_name
            .push(DnType::CommonName, "the crew's authority");
        params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
        let certificate = params.self_signed(&key).expect("an authority");
        std::fs::write(folder.join("ca.pem"), certificate.pem()).expect("a writable folder");
        let issuer = Issuer::new(params, key);
        Self { issuer, folder }
    }

    pub(crate) fn file(&self, name: &str) -> String {
        self.folder.join(name).display().to_string()
    }

    /// A certificate for these names, and its key.
    fn pair(&self, names: &[&str]) -> (Certificate, KeyPair) {
        let key = KeyPair::generate().expect("a key");
        let names: Vec<_> = names.iter().map(|name| (*name).to_owned()).collect();
        let params = CertificateParams::new(names).expect("names");
        let certificate = params.signed_by(&key, &self.issuer).expect("a signature");
        (certificate, key)
    }

    /// Signs a certificate for these names and puts it, with its key, where the hub looks.
    pub(crate) fn sign(&self, names: &[&str]) -> Fingerprint {
        let (certificate, key) = self.pair(names);
        // First the key: between the two the pair does not match, and the hub must not mind.
        std::fs::write(self.file("key.pem"), key.serialize_pem()).expect("a writable folder");
        std::fs::write(self.file("cert.pem"), certificate.pem()).expect("a writable folder");
        Fingerprint::of(certificate.der())
    }

    /// As [`Authority::sign`], but whoever only looks at the files' times and lengths sees no change.
    fn sign_unseen(&self, names: &[&str]) -> Fingerprint {
        let length = |name: &str| {
            std::fs::metadata(self.file(name))
                .expect("it is there")
                .len()
        };
        // The length of a signature varies by a byte or two.
        let (certificate, key) = std::iter::repeat_with(|| self.pair(names))
            .find(|(certificate, key)| {
                certificate.pem().len() as u64 == length("cert.pem")
                    && key.serialize_pem().len() as u64 == length("key.pem")
            })
            .expect("a signature as long as the last");
        for (name, text) in [
            ("key.pem", key.serialize_pem()),
            ("cert.pem", certificate.pem()),
        ] {
            let before = std::fs::metadata(self.file(name)).and_then(|old| old.modified());
            let new = self.file("new.pem");
            std::fs::write(&new, text).expect("a writable folder");
            std::fs::File::options()
                .write(true)
                .open(&new)
                .and_then(|file| file.set_modified(before.expect("a time")))
                .expect("a file of our own");
            std::fs::rename(&new, self.file(name)).expect("a writable folder");
        }
        Fingerprint::of(certificate.der())
    }

    fn start(&self, site: &Site) -> RunningHub {
        site.start_with_arguments(&[
            "--tls-cert",
            &self.file("cert.pem"),
            "--tls-key",
            &self.file("key.pem"),
        ])
    }
}

fn self_signed(site: &Site) -> RunningHub {
    site.start_with_arguments(&["--tls-self-signed"])
}

fn pin_of(hub: &RunningHub) -> String {
    hub.fingerprint.expect("it speaks TLS").to_string()
}

/// A pin that no certificate has.
fn wrong_pin() -> String {
    Fingerprint::of(b"no certificate").to_string()
}

/// The command line, with what it trusts.
fn command(site: &Site, hub: &RunningHub, trust: &[&str], arguments: &[&str]) -> Command {
    let mut command = Command::new(binaries::command());
    command
        .args(arguments)
        .args([
            "--hub",
            hub.api.base(),
            "--token",
            hub.api.token(),
            "--spool",
        ])
        .arg(site.folder().join("spool"))
        .args(trust)
        .env("HOME", site.folder());
    command
}

fn said(output: &Output) -> (i32, String) {
    let text = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);
    (output.status.code().unwrap_or(-1), text)
}

fn swapcall(site: &Site, hub: &RunningHub, trust: &[&str], arguments: &[&str]) -> (i32, String) {
    let output = command(site, hub, trust, arguments).output();
    said(&output.expect("the command runs"))
}

/// `swapcall-hub token list` for the running hub of a site.
fn token_list(site: &Site, hub: &RunningHub, further: &[&str]) -> (i32, String) {
    let output = Command::new(binaries::hub())
        .args(["token", "list", "--listen", hub.address(), "--data"])
        .arg(site.data())
        .args(further)
        .output();
    said(&output.expect("the command runs"))
}

/// Runs a command that goes on by itself until it has said something, then ends it.
fn until_it_says(mut command: Command, text: &str) -> String {
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command runs");
    let heard = read_until(&mut child, text);
    let _ = child.kill();
    let _ = child.wait();
    heard
}

fn read_until(child: &mut Child, text: &str) -> String {
    let (give, take) = std::sync::mpsc::sync_channel(1000);
    let streams: [Box<dyn Read + Send>; 2] = [
        Box::new(child.stdout.take().expect("piped")),
        Box::new(child.stderr.take().expect("piped")),
    ];
    for mut stream in streams {
        let give = give.clone();
        std::thread::spawn(move || {
            let mut buffer = [0; 1024];
            while let Ok(count @ 1..) = stream.read(&mut buffer) {
                let _ = give.send(String::from_utf8_lossy(&buffer[..count]).into_owned());
            }
        });
    }
    let mut heard = String::new();
    wait::within(Duration::from_secs(30), text, || {
        heard.extend(take.try_iter());
        heard.contains(text).then(|| heard.clone())
    })
}
