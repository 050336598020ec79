//! A device that answers `GET` with JSON: its status page is looked at, nothing is ever written to it.

use std::time::Duration;

use serde_json::Value;
use swapcall_trust::{Doubt, Trust, system_authorities};
use ureq::Agent;

use super::http_map::{Entry, find};
use super::{Finding, Source, own_form};

/// Largest answer that is read.
const BODY_BYTES: u64 = 1024 * 1024;
/// Longest wait for a connection: the device stands beside the cart.
const CONNECT: Duration = Duration::from_secs(2);
/// The share of a look's patience that the device has, so that what went wrong is said before the look ends.
const SHARE: f64 = 0.9;

/// Asks an address again and again.
pub struct Http {
    url: String,
    unit: String,
    map: Vec<Entry>,
    agent: Agent,
    remarks: Vec<String>,
}

impl Http {
    /// Asks this address. Without a map the answer must be in the report's own form, for this unit. Redirects are not
    /// followed: where a device sends us elsewhere, the person decides whether that is still the device.
    pub fn new(url: &str, map: Vec<Entry>, unit: &str, patience: Duration) -> Result<Self, String> {
        check(url)?;
        let tls = if url.starts_with("https") {
            let file = system_authorities().ok_or(
                "this system keeps no list of authorities where it is looked for, so https:// cannot be checked",
            )?;
            let trust = Trust::Authorities(file);
            Some(trust.client().map_err(|error| error.to_string())?)
        } else {
            None
        };
        let config = Agent::config_builder()
            .timeout_connect(Some(CONNECT.min(patience)))
            .timeout_global(Some(patience.mul_f64(SHARE)))
            .http_status_as_error(false)
            .max_redirects(0)
            .max_redirects_will_error(false)
            // A proxy is for the web; the device stands beside the cart.
            .proxy(None)
            // A device may have been switched off since the last look, and has few connections to give.
            .max_idle_connections(0)
            .user_agent(concat!("swapcall/", env!("CARGO_PKG_VERSION")))
            .build();
        Ok(Self {
            url: url.to_owned(),
            unit: unit.to_owned(),
            map,
            agent: swapcall_trust::agent(config, tls),
            remarks: Vec::new(),
        })
    }

    fn body(&self) -> Result<Vec<u8>, String> {
        let mut response = self.agent.get(&self.url).call().map_err(reason)?;
        let status = response.status().as_u16();
        if (300..400).contains(&status) {
            let to = response.headers().get("location");
            let to = to
                .and_then(|to| to.to_str().ok())
                .unwrap_or("an unknown place");
            return Err(format!(
                "answered with status {status}, a redirect to {}, which is not followed: give the final address",
                to.escape_debug()
            ));
        }
        if status != 200 {
            return Err(format!("answered with status {status} instead of 200"));
        }
        let body = response.body_mut().with_config().limit(BODY_BYTES);
        body.read_to_vec().map_err(reason)
    }
}

fn reason(error: ureq::Error) -> String {
    match error {
        ureq::Error::BodyExceedsLimit(_) => "sent more than 1 MiB".to_owned(),
        ureq::Error::Timeout(_) => "gave no whole answer in time".to_owned(),
        ureq::Error::Io(error) => match Doubt::behind(&error) {
            None => format!("does not answer: {error}"),
            Some(Doubt::NoTls) => "speaks no TLS there: does its address begin with http://?".to_owned(),
            Some(_) => "shows a certificate that no authority of this system vouches for, for this name and at this time"
                .to_owned(),
        },
        other => format!("cannot be asked: {other}"),
    }
}

/// What can be asked: `http://HOST…` or `https://HOST…` without a name and password in it.
fn check(url: &str) -> Result<(), String> {
    let rest = ["http://", "https://"]
        .iter()
        .find_map(|scheme| url.strip_prefix(scheme));
    let wrong = || format!("“{url}” is no address such as http://192.168.1.20/status.json");
    let rest = rest.ok_or_else(wrong)?;
    let host = rest.split(['/', '?', '#']).next().unwrap_or_default();
    if host.contains('@') {
        return Err(
            "an address with a name and a password is not taken: every list of processes would show them".to_owned(),
        );
    }
    let uri: Result<ureq::http::Uri, _> = url.parse();
    if host.is_empty() || uri.is_err() {
        return Err(wrong());
    }
    Ok(())
}

impl Source for Http {
    fn name(&self) -> String {
        format!("http {}", self.url)
    }

    fn read(&mut self) -> Result<Finding, String> {
        self.remarks.clear();
        let body = self.body()?;
        let body: Value = serde_json::from_slice(&body)
            .map_err(|error| format!("answered with something that is no JSON: {error}"))?;
        if self.map.is_empty() {
            return own_form::finding(body, &self.unit);
        }
        let (finding, remarks) = find(&self.map, &body);
        if finding.is_empty() {
            return Err(format!(
                "answered, but nothing stands where --http-map says: {}",
                remarks.join("; ")
            ));
        }
        self.remarks = remarks;
        Ok(finding)
    }

    fn remarks(&self) -> Vec<String> {
        self.remarks.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Read, Write};
    use std::net::TcpListener;
    use std::thread;

    use crate::source::entry;

    /// A device that answers each connection with these bytes and goes away; gives its address.
    fn device(answer: Vec<u8>) -> String {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        thread::spawn(move || {
            let (mut stream, _) = listener.accept().unwrap();
            let mut head = [0; 1024];
            let _ = stream.read(&mut head);
            let _ = stream.write_all(&answer);
        });
        format!("http://{address}/status.json")
    }

    fn ask(url: &str, map: &[&str]) -> Result<Finding, String> {
        let map = map.iter().map(|text| entry(text).unwrap()).collect();
        Http::new(url, map, "BOW2", Duration::from_millis(1500))?.read()
    }

    fn answer(head: &str, body: &str) -> Vec<u8> {
        let length = body.len();
        format!("HTTP/1.1 {head}\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n{body}")
            .into_bytes()
    }

    #[test]
    fn values_come_by_the_map_or_in_the_reports_own_form() {
        let url = device(answer("200 OK", r#"{"power":{"left":"63"}}"#));
        let finding = ask(&url, &["battery=/power/left"]).unwrap();
        assert_eq!(finding.battery.map(|read| read.percent), Some(63.0));
        let url = device(answer(
            "200 OK",
            r#"{"mode":"off","battery":{"percent":5}}"#,
        ));
        let finding = ask(&url, &[]).unwrap();
        assert_eq!(finding.mode, Some(swapcall_wire::Mode::Off));
    }

    #[test]
    fn each_failure_has_its_own_sentence() {
        let redirect = "302 Found\r\nLocation: http://elsewhere/";
        let huge = format!("[{}]", "1,".repeat(600_000));
        for (bytes, expected) in [
            (answer("404 Not Found", ""), "404"),
            (answer("204 No Content", ""), "204"),
            (answer(redirect, ""), "http://elsewhere/"),
            (answer("200 OK", "<html>"), "no JSON"),
            (answer("200 OK", "{\"power\":"), "no JSON"),
            (
                answer("200 OK", "{\"power\":{}}"),
                "battery at /power/left: there is nothing",
            ),
            (answer("200 OK", &huge), "1 MiB"),
            (
                b"HTTP/1.1 200 OK\r\nContent-Length: 100\r\n\r\n{".to_vec(),
                "answer",
            ),
            (b"who are you\r\n\r\n".to_vec(), "cannot be asked"),
            (Vec::new(), "answer"),
        ] {
            let error = ask(&device(bytes), &["battery=/power/left"]).unwrap_err();
            assert!(error.contains(expected), "{expected}: {error}");
        }
        let nobody = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = nobody.local_addr().unwrap();
        drop(nobody);
        let error = ask(&format!("http://{address}/"), &[]).unwrap_err();
        assert!(error.contains("does not answer"), "{error}");
    }

    #[test]
    fn a_device_that_takes_its_time_is_not_waited_for() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let url = format!("http://{}/", listener.local_addr().unwrap());
        let mut source = Http::new(&url, Vec::new(), "BOW2", Duration::from_millis(200)).unwrap();
        let since = crate::clock::Stopwatch::start();
        let error = source.read().unwrap_err();
        assert!(error.contains("in time"), "{error}");
        assert!(since.elapsed() < Duration::from_secs(10));
    }

    #[test]
    fn an_address_that_makes_no_sense_is_refused_at_the_start() {
        for bad in [
            "192.168.1.20",
            "ftp://x/",
            "http://",
            "http:///x",
            "http://a b/",
            "http://me:pw@x/",
        ] {
            assert!(check(bad).is_err(), "{bad}");
        }
        for good in [
            "http://192.168.1.20/status.json?x=1",
            "https://cam.local:8443/",
            "http://[::1]:80/a",
        ] {
            assert_eq!(check(good), Ok(()), "{good}");
        }
    }
}
