//! What `join` is given: a code, or the link that a lead's screen shows, with the hub's address and certificate in it.

use swapcall_trust::Fingerprint;

/// The mark before the code in a link.
const CODE: &str = "/#join=";
/// The mark before the certificate.
const PIN: &str = "&pin=";

/// A join code, and what came with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JoinText {
    /// The code as it was given; the hub checks it.
    pub code: String,
    /// The hub's address, where a link was given.
    pub hub: Option<String>,
    /// The hub's certificate, where the link carries it.
    pub pin: Option<Fingerprint>,
}

impl std::str::FromStr for JoinText {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let text = text.trim();
        if !text.contains("://") {
            return Ok(Self {
                code: text.to_owned(),
                hub: None,
                pin: None,
            });
        }
        let (hub, rest) = text.split_once(CODE).ok_or_else(|| {
            format!("“{text}” is no join link: it holds {CODE}; in a shell put it between quotes")
        })?;
        let (code, pin) = match rest.split_once(PIN) {
            None => (rest, None),
            Some((code, digits)) => {
                let pin = digits.parse::<Fingerprint>().map_err(|_| {
                    "the end of the link is missing: copy it whole, between quotes".to_owned()
                })?;
                (code, Some(pin))
            }
        };
        if pin.is_some() && !hub.starts_with("https://") {
            return Err("the link names a certificate, but its address has none".to_owned());
        }
        Ok(Self {
            code: code.to_owned(),
            hub: Some(hub.to_owned()),
            pin,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_a_code_and_a_link_brings_address_and_certificate() {
        let bare: JoinText = " bcdfg hjklm ".parse().unwrap();
        assert_eq!((bare.code.as_str(), bare.hub), ("bcdfg hjklm", None));
        let link: JoinText = "http://192.0.2.7:7979/#join=BCDFG-HJKLM".parse().unwrap();
        assert_eq!(link.hub.as_deref(), Some("http://192.0.2.7:7979"));
        assert_eq!((link.code.as_str(), link.pin), ("BCDFG-HJKLM", None));
        let pin = Fingerprint::of(b"abc");
        let text = format!(
            "https://[2001:db8::7]:7979/#join=BCDFG-HJKLM&pin={}",
            pin.digits()
        );
        let link: JoinText = text.parse().unwrap();
        assert_eq!(link.hub.as_deref(), Some("https://[2001:db8::7]:7979"));
        assert_eq!((link.code.as_str(), link.pin), ("BCDFG-HJKLM", Some(pin)));
    }

    /// A shell that was not told otherwise ends a word at `#` and at `&`.
    #[test]
    fn a_link_that_lost_its_end_is_not_taken_for_less() {
        for cut in [
            "https://192.0.2.7:7979/",
            "https://192.0.2.7:7979/#join=BCDFG-HJKLM&pin=",
            "https://192.0.2.7:7979/#join=BCDFG-HJKLM&pin=AB12",
        ] {
            let said = cut.parse::<JoinText>().unwrap_err();
            assert!(said.contains("quotes"), "{said}");
        }
        let pin = Fingerprint::of(b"abc").digits();
        assert!(
            format!("http://192.0.2.7/#join=BCDFG-HJKLM&pin={pin}")
                .parse::<JoinText>()
                .is_err()
        );
    }
}
