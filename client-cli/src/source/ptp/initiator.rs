//! Who we are to a camera: the same after every restart, so that a camera which asks its owner once asks once.

use std::fs;

use swapcall_trust::Fingerprint;
use uuid::{Builder, Uuid};

/// A GUID that is this computer's own. It is made from the identity that the system keeps, by a hash: the identity itself
/// is not to go over a network (machine-id(5)).
pub(super) fn guid() -> Uuid {
    let machine = fs::read("/etc/machine-id").ok().filter(|id| !id.is_empty());
    // A computer without one goes by its name.
    let identity =
        machine.unwrap_or_else(|| rustix::system::uname().nodename().to_bytes().to_vec());
    guid_of(&identity)
}

fn guid_of(identity: &[u8]) -> Uuid {
    let salted = [b"swapcall ptp-ip initiator ", identity].concat();
    let hex: Vec<u8> = Fingerprint::of(&salted)
        .to_string()
        .bytes()
        .skip_while(|byte| *byte != b':')
        .filter(|byte| *byte != b':')
        .take(32)
        .collect();
    // A SHA-256 has more than 32 digits; were it not so, all of our carts would be one.
    let hash = Uuid::try_parse_ascii(&hex).unwrap_or_default();
    // Version 8 (RFC 9562): made in a way of our own.
    Builder::from_custom_bytes(hash.into_bytes()).into_uuid()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_stays_the_same_and_differs_from_computer_to_computer() {
        assert_eq!(guid(), guid());
        assert_ne!(guid_of(b"one"), guid_of(b"another"));
        assert_eq!(guid_of(b"one").get_version_num(), 8);
        // printf 'swapcall ptp-ip initiator one' | sha256sum, first 16 bytes.
        let sum = std::process::Command::new("sh")
            .args(["-c", "printf 'swapcall ptp-ip initiator one' | sha256sum"])
            .output()
            .unwrap();
        let sum = String::from_utf8(sum.stdout).unwrap();
        let ours = guid_of(b"one").simple().to_string();
        // Version and variant take the place of some digits.
        assert_eq!((&ours[..12], &ours[20..]), (&sum[..12], &sum[20..32]));
    }
}
