//! Where settings come from, which are refused, and that what is printed can be read back.

use super::*;
use std::io::Write;

fn file(text: &str) -> tempfile::NamedTempFile {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(text.as_bytes()).unwrap();
    file
}

#[test]
fn flags_win_over_the_file_and_the_file_over_the_built_in() {
    let file = file("listen = \"0.0.0.0:1\"\ncache_mib = 7\n");
    let flags = Flags {
        cache_mib: Some(9),
        ..Flags::default()
    };
    let config = Config::load(Some(file.path()), &flags).unwrap();
    assert_eq!(config.listen, "0.0.0.0:1".parse().unwrap());
    assert_eq!(config.cache_mib, 9);
    assert_eq!(config.grace_s, Config::default().grace_s);
}

#[test]
fn a_misspelt_key_and_a_value_out_of_range_are_refused() {
    for text in [
        "lisen = \"0.0.0.0:1\"",
        "cache_mib = 0",
        "grace_s = 61",
        "keep_days = 0",
        "volume_records = 10",
        "snapshot_records = 1",
        "listen = \"here\"",
        "data = \"\"",
        "tls_cert = \"cert.pem\"",
        "tls_key = \"key.pem\"",
        "tls_cert = \"c\"\ntls_key = \"k\"\ntls_self_signed = true",
        "connections = 0",
        "time_zone = \"Europe/Berln\"",
        "time_zone = \"CET-1CEST\"",
        "time_zone = \"\"",
    ] {
        let file = file(text);
        let error = Config::load(Some(file.path()), &Flags::default()).expect_err(text);
        assert!(matches!(error, HubError::Config(_)), "{text}: {error}");
    }
    let missing = Config::load(Some(Path::new("no-such-file.toml")), &Flags::default());
    assert!(matches!(missing, Err(HubError::Config(_))));
}

#[test]
fn beyond_loopback_only_with_tls_or_with_open_eyes() {
    let may = |text: &str| {
        let file = file(text);
        let config = Config::load(Some(file.path()), &Flags::default()).unwrap();
        config.may_listen().map_err(|error| error.to_string())
    };
    for fine in [
        "",
        "listen = \"127.0.0.9:1\"",
        "listen = \"[::1]:1\"",
        "listen = \"0.0.0.0:1\"\ntls_self_signed = true",
        "listen = \"0.0.0.0:1\"\ntls_cert = \"c\"\ntls_key = \"k\"",
        "listen = \"0.0.0.0:1\"\nplaintext_on_network = true",
    ] {
        assert_eq!(may(fine), Ok(()), "{fine}");
    }
    for text in [
        "listen = \"0.0.0.0:1\"",
        "listen = \"[::]:1\"",
        "listen = \"192.0.2.1:1\"",
    ] {
        let said = may(text).expect_err(text);
        assert!(
            said.contains("read the tokens") && said.contains("--plaintext-on-network"),
            "{said}"
        );
    }
}

#[test]
fn what_is_printed_can_be_read_back() {
    let config = Config {
        data: PathBuf::from("a \"quoted\" folder"),
        tls_cert: Some(PathBuf::from("c.pem")),
        tls_key: Some(PathBuf::from("k.pem")),
        plaintext_on_network: true,
        connections: Some(9),
        time_zone: Some("Europe/Berlin".to_owned()),
        tally_udp: Some(SocketAddr::from(([0, 0, 0, 0], 8900))),
        tally_from: vec![IpAddr::from([192, 0, 2, 7])],
        ..Config::default()
    };
    let file = file(&config.as_toml());
    assert_eq!(
        Config::load(Some(file.path()), &Flags::default()).unwrap(),
        config
    );
}
