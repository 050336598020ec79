//! The event connection: what the camera tells by itself, gathered by a thread until the next look. The thread also
//! answers the camera's probes, which come while nobody looks.

use std::collections::BTreeSet;
use std::io::{Read, Write};
use std::net::{Shutdown, TcpStream};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use super::packets::{Packet, kind};
use super::trouble::Trouble;

/// Stores that are kept in mind between two looks; a camera has a few.
const STORES: usize = 16;

/// What was told since it was asked for last.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct News {
    /// Stores that are full.
    pub(super) full: BTreeSet<u32>,
    /// Stores that were put in or pulled.
    pub(super) changed: BTreeSet<u32>,
    /// The camera is no longer what it was: what it knows must be asked for again.
    pub(super) other_camera: bool,
    /// The connection is of no use any more.
    pub(super) ended: bool,
}

impl News {
    /// Takes in one packet. Other events need nothing: values that changed are read at every look.
    fn take(&mut self, packet: &Packet) -> Result<(), Trouble> {
        let mut fields = packet.fields_of(kind::EVENT, "Event")?;
        let code = fields.u16()?;
        let _transaction = fields.u32()?;
        let note = |stores: &mut BTreeSet<u32>, store| {
            if stores.len() < STORES {
                stores.insert(store);
            }
        };
        match code {
            event::STORE_ADDED | event::STORE_REMOVED => {
                let store = fields.u32()?;
                self.full.remove(&store);
                note(&mut self.changed, store);
            }
            event::STORE_FULL => note(&mut self.full, fields.u32()?),
            event::DEVICE_INFO_CHANGED => self.other_camera = true,
            // It has forgotten our session.
            event::DEVICE_RESET => self.ended = true,
            _ => {}
        }
        Ok(())
    }
}

/// Event codes of ISO 15740.
mod event {
    pub(super) const STORE_ADDED: u16 = 0x4004;
    pub(super) const STORE_REMOVED: u16 = 0x4005;
    pub(super) const DEVICE_INFO_CHANGED: u16 = 0x4008;
    pub(super) const STORE_FULL: u16 = 0x400A;
    pub(super) const DEVICE_RESET: u16 = 0x400B;
}

/// The event connection of one session. Its thread ends with it.
#[derive(Debug)]
pub(super) struct Events {
    stream: TcpStream,
    news: Arc<Mutex<News>>,
}

impl Events {
    /// Listens on a connection that was opened already.
    pub(super) fn listen(stream: TcpStream) -> Result<Self, Trouble> {
        let news = Arc::new(Mutex::new(News::default()));
        let (mut of_thread, told) = (stream.try_clone()?, Arc::clone(&news));
        thread::spawn(move || {
            // However it ended: the next look connects anew.
            let _ = gather(&mut of_thread, |packet| {
                lock(&told, |news| news.take(packet))
            });
            lock(&told, |news| news.ended = true);
        });
        Ok(Self { stream, news })
    }

    /// What was told since the last time.
    pub(super) fn take(&self) -> News {
        lock(&self.news, |news| {
            let ended = news.ended;
            let taken = std::mem::take(news);
            news.ended = ended;
            taken
        })
    }
}

impl Drop for Events {
    fn drop(&mut self) {
        // It may be closed already.
        let _ = self.stream.shutdown(Shutdown::Both);
    }
}

fn lock<T>(news: &Mutex<News>, with: impl FnOnce(&mut News) -> T) -> T {
    with(&mut news.lock().unwrap_or_else(PoisonError::into_inner))
}

/// Takes packet after packet until the connection ends or makes no sense.
fn gather(
    stream: &mut (impl Read + Write),
    mut take: impl FnMut(&Packet) -> Result<(), Trouble>,
) -> Result<(), Trouble> {
    loop {
        let packet = Packet::read(stream)?;
        match packet.kind {
            kind::PROBE_REQUEST => stream.write_all(&Packet::bytes(kind::PROBE_RESPONSE, &[]))?,
            kind::PROBE_RESPONSE => {}
            _ => take(&packet)?,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::session::tests::Fake;
    use super::*;

    fn event(code: u16, parameters: &[u32]) -> Vec<u8> {
        let mut body = code.to_le_bytes().to_vec();
        body.extend(u32::MAX.to_le_bytes());
        body.extend(parameters.iter().flat_map(|number| number.to_le_bytes()));
        Packet::bytes(8, &body)
    }

    fn hear(bytes: &[u8]) -> (News, Fake) {
        let (mut news, mut fake) = (News::default(), Fake::saying(bytes));
        let _ = gather(&mut fake, |packet| news.take(packet));
        (news, fake)
    }

    #[test]
    fn events_are_gathered_and_probes_answered() {
        let mut bytes = event(0x400A, &[0x0001_0001]);
        bytes.extend(Packet::bytes(13, &[]));
        bytes.extend(event(0x4006, &[0x5001]));
        bytes.extend(event(0x4005, &[0x0002_0001]));
        bytes.extend(event(0x4008, &[]));
        bytes.extend(event(0xC101, &[1, 2, 3]));
        let (news, fake) = hear(&bytes);
        assert_eq!(news.full, [0x0001_0001].into());
        assert_eq!(news.changed, [0x0002_0001].into());
        assert!(news.other_camera && !news.ended);
        assert_eq!(fake.heard, [8, 0, 0, 0, 14, 0, 0, 0]);
    }

    #[test]
    fn a_card_that_was_pulled_is_no_longer_full_and_a_reset_ends_the_session() {
        let bytes = [event(0x400A, &[7]), event(0x4005, &[7])].concat();
        assert_eq!(hear(&bytes).0.full, [].into());
        assert!(hear(&event(0x400B, &[])).0.ended);
    }

    #[test]
    fn nonsense_ends_the_gathering_and_a_flood_stays_small() {
        let bytes = [event(0x400A, &[]), event(0x400A, &[7])].concat();
        assert_eq!(hear(&bytes).0, News::default(), "a store without a number");
        let bytes = [Packet::bytes(7, &[0; 6]), event(0x400A, &[7])].concat();
        assert_eq!(hear(&bytes).0, News::default(), "not an event");
        let flood: Vec<u8> = (0..1000)
            .flat_map(|store| event(0x4004, &[store]))
            .collect();
        assert_eq!(hear(&flood).0.changed.len(), STORES);
    }
}
