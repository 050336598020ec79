//! HTTPS and WSS with the real binaries: certificates, pins, renewal while the hub runs, and what happens without TLS.
//!
//! Outside judges: openssl, where it is installed, and the certificates themselves, made here by rcgen.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::PathBuf;
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

use rcgen::{BasicConstraints, CertificateParams, DnType, IsCa, Issuer, KeyPair};
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::binaries;
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::live::{Live, Memory};
use swapcall_tests::wait;
use swapcall_trust::{Fingerprint, Trust};
use swapcall_wire::ProblemCode;

/// An authority, and the files of certificates it signs.
struct Authority {
    issuer: Issuer<'static, KeyPair>,
    folder: PathBuf,
}

impl Authority {
    /// A new authority; its own certificate lies in `ca.pem`.
    fn new(site: &Site) -> Self {
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

    fn file(&self, name: &str) -> String {
        self.folder.join(name).display().to_string()
    }

    /// Signs a certificate for these names and puts it, with its key, where the hub looks.
    fn sign(&self, names: &[&str]) -> Fingerprint {
        let key = KeyPair::generate().expect("a key");
        let names: Vec<_> = names.iter().map(|name| (*name).to_owned()).collect();
        let params = CertificateParams::new(names).expect("names");
        let certificate = params.signed_by(&key, &self.issuer).expect("a signature");
        // First the key: between the two the pair does not match, and the hub must not mind.
        std::fs::write(self.file("key.pem"), key.serialize_pem()).expect("a writable folder");
        std::fs::write(self.file("cert.pem"), certificate.pem()).expect("a writable folder");
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

#[test]
fn everything_works_with_a_certificate_of_the_hubs_own_and_its_pin() {
    let site = Site::new();
    let hub = self_signed(&site);
    hub.api.put_unit("BOW2");
    let pin = pin_of(&hub);
    let trust = ["--hub-fingerprint", pin.as_str()];
    let (code, text) = swapcall(&site, &hub, &trust, &["report", "BOW2", "63", "rec"]);
    assert_eq!((code, text.contains("accepted")), (0, true), "{text}");
    let (code, text) = token_list(&site, &hub, &[]);
    assert_eq!((code, text.contains("owner")), (0, true), "{text}");
    let board = command(&site, &hub, &trust, &["board", "--plain"]);
    assert!(until_it_says(board, "BOW2").contains("63"));
    let mut live = Live::connect(&hub.api);
    live.until("the unit", |memory| memory.units.contains_key("BOW2"));
    assert_eq!(live.fingerprint(), hub.fingerprint);
    // It is made once: who pinned it is not locked out by a restart.
    hub.stop();
    let hub = self_signed(&site);
    assert_eq!(pin_of(&hub), pin);
}

#[test]
fn everything_works_with_a_certificate_that_an_authority_signed() {
    let site = Site::new();
    let authority = Authority::new(&site);
    let fingerprint = authority.sign(&["127.0.0.1"]);
    let hub = authority.start(&site);
    assert_eq!(hub.fingerprint, Some(fingerprint));
    hub.api.put_unit("BOW2");
    let ca = authority.file("ca.pem");
    let trust = ["--hub-ca", ca.as_str()];
    let (code, text) = swapcall(&site, &hub, &trust, &["report", "BOW2", "63", "rec"]);
    assert_eq!(code, 0, "{text}");
    let board = command(&site, &hub, &trust, &["board", "--plain"]);
    assert!(until_it_says(board, "BOW2").contains("63"));
    let api = Api::trusting(
        hub.api.base(),
        hub.api.token(),
        &Trust::Authorities(ca.into()),
    );
    Live::connect(&api).until("the unit", |memory| memory.units.contains_key("BOW2"));
    // The token command has no file here that holds the certificate; with the pin, or the hub's TOML file, it works.
    let (code, text) = token_list(&site, &hub, &[]);
    assert_eq!(
        (code, text.contains("--hub-fingerprint")),
        (5, true),
        "{text}"
    );
    let (code, text) = token_list(
        &site,
        &hub,
        &["--hub-fingerprint", &fingerprint.to_string()],
    );
    assert_eq!((code, text.contains("owner")), (0, true), "{text}");
    let toml = authority.file("hub.toml");
    let (cert, key) = (authority.file("cert.pem"), authority.file("key.pem"));
    std::fs::write(&toml, format!("tls_cert = {cert:?}\ntls_key = {key:?}\n")).expect("writable");
    assert_eq!(token_list(&site, &hub, &["--config", &toml]).0, 0);
    // A browser may insist on TLS from now on, and the session's cookie never goes out without it (RFC 6797, RFC 6265).
    assert!(
        hub.api
            .get("/healthz")
            .header("strict-transport-security")
            .is_some()
    );
}

#[test]
fn a_certificate_that_nobody_vouches_for_is_refused_and_what_helps_is_said() {
    let site = Site::new();
    let authority = Authority::new(&site);
    authority.sign(&["hub.elsewhere.example"]);
    let hub = authority.start(&site);
    let ca = authority.file("ca.pem");
    let (code, text) = swapcall(&site, &hub, &["--hub-ca", &ca], &["fleet"]);
    assert_eq!((code, text.contains("other names")), (8, true), "{text}");
    let stranger = Site::new();
    Authority::new(&stranger);
    let strange = stranger.folder().join("ca.pem").display().to_string();
    let (code, text) = swapcall(&site, &hub, &["--hub-ca", &strange], &["fleet"]);
    assert_eq!((code, text.contains("--hub-ca")), (8, true), "{text}");
    let (code, text) = swapcall(&site, &hub, &["--hub-ca", "/nowhere.pem"], &["fleet"]);
    assert_eq!((code, text.contains("/nowhere.pem")), (2, true), "{text}");
}

#[test]
fn a_wrong_pin_is_refused_by_every_command_and_nothing_is_sent() {
    let site = Site::new();
    let hub = self_signed(&site);
    hub.api.put_unit("BOW2");
    let (seen, expected) = (pin_of(&hub), wrong_pin());
    let trust = ["--hub-fingerprint", expected.as_str()];
    let refused = |code: i32, text: &str| {
        assert_eq!(code, 8, "{text}");
        assert!(text.contains(&seen) && text.contains(&expected), "{text}");
        assert!(text.contains("somebody in between"), "{text}");
    };
    let (code, text) = swapcall(&site, &hub, &trust, &["report", "BOW2", "63", "rec"]);
    refused(code, &text);
    for arguments in [
        &["fleet"][..],
        &["send"],
        &["status"],
        &["claim", "1"],
        &["board", "--plain"],
    ] {
        let (code, text) = swapcall(&site, &hub, &trust, arguments);
        refused(code, &text);
    }
    let watch = [
        "watch",
        "BOW2",
        "--every",
        "200ms",
        "--command",
        "echo {\"battery\":{\"percent\":50}}",
    ];
    let text = until_it_says(
        command(&site, &hub, &trust, &watch),
        "Reports stay in the spool",
    );
    assert!(text.contains(&seen) && text.contains(&expected), "{text}");
    let (code, text) = token_list(&site, &hub, &["--hub-fingerprint", &expected]);
    assert_eq!((code, text.contains(&seen)), (5, true), "{text}");
    assert!(
        hub.api.fleet().units[0].battery.is_none(),
        "nothing arrived"
    );
    // What waited goes out once the pin is right.
    let (code, text) = swapcall(&site, &hub, &["--hub-fingerprint", &seen], &["send"]);
    assert_eq!((code, text.contains("0 left")), (0, true), "{text}");
    assert!(hub.api.fleet().units[0].battery.is_some());
}

#[test]
fn plain_http_at_a_tls_port_is_told_so_and_tls_at_a_plain_port_too() {
    let site = Site::new();
    let hub = self_signed(&site);
    let plain = Api::new(&format!("http://{}", hub.address()), "sc-nothing");
    let problem = plain.get("/v1/fleet").problem();
    assert_eq!(problem.code(), Some(ProblemCode::HttpsNeeded));
    // A report is not refused for good by that: it waits.
    let output = Command::new(binaries::command())
        .args([
            "report",
            "BOW2",
            "63",
            "--hub",
            plain.base(),
            "--token",
            "x",
            "--spool",
        ])
        .arg(site.folder().join("spool"))
        .output();
    let (code, text) = said(&output.expect("the command runs"));
    assert_eq!((code, text.contains("https://")), (10, true), "{text}");
    // Bytes that are neither, and a peer that leaves at once.
    for bytes in [&b"\x00\x01\x02"[..], b"\x16\x03\x01\x00\x05hello", b""] {
        let mut stream = TcpStream::connect(hub.address()).expect("it listens");
        stream.write_all(bytes).expect("a connection");
        let _ = stream.shutdown(std::net::Shutdown::Write);
        let _ = stream.read_to_end(&mut Vec::new());
    }
    assert_eq!(hub.api.get("/readyz").status, 200);
    let open = Site::new();
    let hub = open.start();
    let other = hub.api.base().replace("http://", "https://");
    let output = Command::new(binaries::command())
        .args([
            "fleet",
            "--hub",
            &other,
            "--hub-fingerprint",
            &wrong_pin(),
            "--spool",
        ])
        .arg(open.folder().join("spool"))
        .output();
    let (code, text) = said(&output.expect("the command runs"));
    assert_eq!(
        (code, text.contains("nobody speaks TLS")),
        (3, true),
        "{text}"
    );
}

/// Waits until a new connection is shown this certificate.
fn wait_for(hub: &RunningHub, fingerprint: Fingerprint) -> Api {
    let api = Api::trusting(hub.api.base(), hub.api.token(), &Trust::Pin(fingerprint));
    wait::within(Duration::from_secs(20), "the new certificate", || {
        api.try_send("GET", "/readyz", &[], None).ok()
    });
    api
}

#[test]
fn a_renewed_certificate_is_in_use_without_a_restart_and_a_broken_one_never() {
    let site = Site::new();
    let authority = Authority::new(&site);
    let first = authority.sign(&["127.0.0.1"]);
    let hub = authority.start(&site);
    hub.api.put_unit("BOW2");
    let mut live = Live::connect(&hub.api);
    live.until("the snapshot", |memory| memory.caught_up);
    let second = authority.sign(&["127.0.0.1", "localhost"]);
    let api = wait_for(&hub, second);
    let fresh = Live::connect(&api);
    assert_eq!(fresh.fingerprint(), Some(second));
    // The old connection lives on, with its old certificate.
    api.report(vec![battery_report("BOW2", 50.0)]);
    live.until("the report", |memory| {
        memory.units["BOW2"].battery.is_some()
    });
    assert_eq!(live.fingerprint(), Some(first));
    // Half a file, and a key of another certificate: the pair in use stays, told or untold.
    let key = std::fs::read(authority.file("key.pem")).expect("the key");
    let strange = KeyPair::generate().expect("a key").serialize_pem();
    for broken in [&key[..40], strange.as_bytes(), b""] {
        std::fs::write(authority.file("key.pem"), broken).expect("writable");
        hub.signal("HUP");
        std::thread::sleep(Duration::from_millis(300));
        let fresh = Live::try_resume(&api, Memory::default()).expect("it takes new connections");
        assert_eq!(fresh.fingerprint(), Some(second));
    }
    // Mended, and told by a signal: at once.
    let third = authority.sign(&["127.0.0.1"]);
    hub.signal("HUP");
    let api = wait_for(&hub, third);
    assert_eq!(Live::connect(&api).fingerprint(), Some(third));
    assert!(hub.stop().success());
}

#[test]
fn a_cookie_says_secure_over_tls_and_the_page_must_have_come_over_it() {
    let site = Site::new();
    let hub = self_signed(&site);
    let body = format!("{{\"token\":{:?}}}", hub.api.token());
    let anybody = hub.api.with_token(None);
    let post = |origin: &str| {
        let answer = anybody.try_send("POST", "/v1/session", &[("origin", origin)], Some(&body));
        answer.expect("an answer")
    };
    let answer = post(hub.api.base());
    assert_eq!(answer.status, 200, "{}", answer.body);
    // RFC 6265, section 4.1.2.5.
    let cookie = answer.header("set-cookie").expect("a cookie").to_owned();
    assert!(cookie.split("; ").any(|part| part == "Secure"), "{cookie}");
    assert_eq!(
        answer.header("strict-transport-security"),
        None,
        "never for a certificate of our own"
    );
    let foreign = post(&hub.api.base().replace("https://", "http://"));
    assert_eq!(foreign.problem().code(), Some(ProblemCode::ForeignOrigin));
    let open = Site::new();
    let hub = open.start();
    let body = format!("{{\"token\":{:?}}}", hub.api.token());
    let answer = hub
        .api
        .with_token(None)
        .send("POST", "/v1/session", Some(&body));
    let cookie = answer.header("set-cookie").expect("a cookie").to_owned();
    assert!(
        !cookie.contains("Secure"),
        "a browser would not keep it: {cookie}"
    );
}

/// Runs `openssl s_client` against a hub; `None` where there is no openssl.
fn openssl(hub: &RunningHub, arguments: &[&str]) -> Option<(bool, String)> {
    let output = Command::new("openssl")
        .args(["s_client", "-connect", hub.address()])
        .args(arguments)
        .stdin(Stdio::null())
        .output();
    let Ok(output) = output else {
        println!("openssl is not installed: its view of the hub is not checked");
        return None;
    };
    let (_, text) = said(&output);
    Some((output.status.success(), text))
}

#[test]
fn openssl_sees_tls_1_2_and_1_3_and_nothing_older() {
    let site = Site::new();
    let authority = Authority::new(&site);
    let fingerprint = authority.sign(&["127.0.0.1"]);
    let hub = authority.start(&site);
    let ca = authority.file("ca.pem");
    for (flag, version) in [("-tls1_2", "TLSv1.2"), ("-tls1_3", "TLSv1.3")] {
        let seen = openssl(
            &hub,
            &[
                flag,
                "-CAfile",
                &ca,
                "-verify_return_error",
                "-alpn",
                "h2,http/1.1",
            ],
        );
        let Some((fine, text)) = seen else { return };
        assert!(fine && text.contains(version), "{text}");
        assert!(text.contains("Verify return code: 0 (ok)"), "{text}");
        assert!(text.contains("ALPN protocol: http/1.1"), "{text}");
    }
    // RFC 8996 deprecates what is older. The security level is lowered so that openssl itself would take it.
    for flag in ["-tls1", "-tls1_1"] {
        let seen = openssl(&hub, &[flag, "-cipher", "ALL:@SECLEVEL=0"]);
        let (fine, text) = seen.expect("it was there a moment ago");
        assert!(!fine && text.contains("Cipher is (NONE)"), "{flag}: {text}");
        // RFC 8446, section 6.2: both alerts say that the two have nothing in common; openssl 3 names them so.
        let says_why = ["alert protocol version", "alert handshake failure"];
        assert!(
            says_why.iter().any(|alert| text.contains(alert)),
            "{flag}: {text}"
        );
    }
    // The fingerprint is the one that others count.
    let output = Command::new("openssl")
        .args([
            "x509",
            "-noout",
            "-fingerprint",
            "-sha256",
            "-in",
            &authority.file("cert.pem"),
        ])
        .output();
    let text = String::from_utf8(output.expect("openssl").stdout).expect("text");
    assert_eq!(text.trim().parse(), Ok(fingerprint));
}

#[test]
fn without_tls_the_hub_stays_on_its_own_machine() {
    let site = Site::new();
    for address in ["0.0.0.0:0", "[::]:0"] {
        let (code, text) = site.ended(&["--listen", address]);
        assert_eq!(code, 2, "{text}");
        assert!(text.contains("read the tokens and every report"), "{text}");
        for way in ["--tls-self-signed", "127.0.0.1", "--plaintext-on-network"] {
            assert!(text.contains(way), "{way} in {text}");
        }
        assert!(!site.data().exists(), "nothing was opened");
    }
    // With open eyes it goes on, as far as it can be followed without listening there.
    let (code, text) = site.ended(&[
        "--listen",
        "0.0.0.0:0",
        "--plaintext-on-network",
        "--print-config",
    ]);
    assert_eq!(
        (code, text.contains("plaintext_on_network = true")),
        (0, true),
        "{text}"
    );
}

#[test]
fn what_cannot_be_used_is_said_before_anything_starts() {
    let site = Site::new();
    let authority = Authority::new(&site);
    authority.sign(&["127.0.0.1"]);
    let (cert, key) = (authority.file("cert.pem"), authority.file("key.pem"));
    assert_eq!(site.ended(&["--tls-cert", &cert]).0, 2);
    assert_eq!(
        site.ended(&["--tls-self-signed", "--tls-cert", &cert, "--tls-key", &key])
            .0,
        2
    );
    let (code, text) = site.ended(&[
        "--listen",
        "127.0.0.1:0",
        "--tls-cert",
        "/nowhere",
        "--tls-key",
        &key,
    ]);
    assert_eq!((code, text.contains("/nowhere")), (2, true), "{text}");
    let (code, text) = site.ended(&[
        "--listen",
        "127.0.0.1:0",
        "--tls-cert",
        &key,
        "--tls-key",
        &cert,
    ]);
    assert_eq!((code, text.contains("no certificate")), (2, true), "{text}");
    let taken = TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = taken.local_addr().expect("an address").to_string();
    assert_eq!(site.ended(&["--listen", &address]).0, 3);
}
