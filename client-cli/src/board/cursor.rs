//! Where to come back to after the connection was cut.

use swapcall_wire::{LiveMessage, Resumption};
use uuid::Uuid;

/// Epoch and sequence number up to which everything is known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cursor {
    known: Option<(Uuid, u64)>,
    /// The epoch of this connection, and whether its snapshot is still arriving.
    epoch: Option<Uuid>,
    filling: bool,
}

impl Cursor {
    /// The path of the live socket with the cursor.
    pub fn path(&self) -> String {
        match self.known {
            Some((epoch, seq)) => format!("/v1/live?after={seq}&epoch={epoch}"),
            None => "/v1/live".to_owned(),
        }
    }

    /// Notes a message that was handed on. While a snapshot arrives its parts say nothing about what is still to come,
    /// so the cursor moves only when it is complete.
    pub fn note(&mut self, message: &LiveMessage) {
        match message {
            LiveMessage::Hello { epoch, start, .. } => {
                self.epoch = Some(*epoch);
                self.filling = *start == Resumption::Snapshot;
            }
            LiveMessage::CaughtUp { seq } => {
                self.filling = false;
                self.advance(*seq);
            }
            LiveMessage::Unit { seq, .. } | LiveMessage::Call { seq, .. } if !self.filling => {
                self.advance(*seq);
            }
            _ => {}
        }
    }

    fn advance(&mut self, seq: u64) {
        let Some(epoch) = self.epoch else { return };
        let before = self
            .known
            .filter(|(known, _)| *known == epoch)
            .map_or(0, |(_, seq)| seq);
        self.known = Some((epoch, seq.max(before)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_kit::{hello, moment, unit_message};

    #[test]
    fn it_moves_with_live_messages_and_after_a_whole_snapshot_only() {
        let (one, two) = (Uuid::from_u128(1), Uuid::from_u128(2));
        let mut cursor = Cursor::default();
        assert_eq!(cursor.path(), "/v1/live");
        cursor.note(&hello(one, 9, Resumption::Snapshot));
        cursor.note(&unit_message(5, "BOW2", 60.0));
        assert_eq!(
            cursor.path(),
            "/v1/live",
            "half a snapshot is no place to come back to"
        );
        cursor.note(&LiveMessage::CaughtUp { seq: 9 });
        cursor.note(&unit_message(12, "BOW2", 59.0));
        cursor.note(&LiveMessage::Heartbeat {
            seq: 99,
            now: moment(0),
        });
        cursor.note(&unit_message(11, "STERN", 59.0));
        assert_eq!(cursor.path(), format!("/v1/live?after=12&epoch={one}"));
        // A cut in the middle of the next snapshot leaves the old cursor, which the hub knows how to answer.
        cursor.note(&hello(two, 3, Resumption::Snapshot));
        cursor.note(&unit_message(2, "BOW2", 58.0));
        assert_eq!(cursor.path(), format!("/v1/live?after=12&epoch={one}"));
        cursor.note(&LiveMessage::CaughtUp { seq: 3 });
        assert_eq!(cursor.path(), format!("/v1/live?after=3&epoch={two}"));
    }
}
