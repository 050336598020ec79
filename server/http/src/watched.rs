//! The bytes of one connection, with a watch on how long it may take over what.
//!
//! The server below reads and writes without any limit of time, so a peer that drips one byte a minute would hold its
//! connection for ever. Here the bytes pass by, and what they are for is told by the requests: a middleware
//! ([`Activity`]) says when a head is complete and when its answer is done. While a head is awaited, while nothing is
//! asked, and while an answer does not get away, a timer runs; when it ends, the connection does. An upgraded socket
//! looks after itself (`live.rs`).

use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};
use std::task::{Context, Poll, ready};
use std::time::Duration;

use prometheus::Gauge;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::TcpStream;
use tokio::sync::OwnedSemaphorePermit;
use tokio::time::{Sleep, sleep};
use tokio_rustls::server::TlsStream;

use crate::limits::{HEAD_BYTES, HEAD_WITHIN, IDLE_FOR, READER_STALLS_FOR};
use crate::metrics::{Metrics, Turned};

/// What a connection is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(crate) enum Stage {
    /// A request's head is awaited: since the connection was made, or since its first byte.
    Head = 0,
    /// A request is being worked on.
    Busy = 1,
    /// The last request is answered, and nothing of another one has come.
    Idle = 2,
    /// It is a socket now, with time limits of its own.
    Upgraded = 3,
}

impl Stage {
    /// How long a read may wait, and what it is called when it took longer.
    fn patience(self) -> Option<(Duration, Turned)> {
        match self {
            Self::Head => Some((HEAD_WITHIN, Turned::SlowHead)),
            Self::Idle => Some((IDLE_FOR, Turned::Idle)),
            Self::Busy | Self::Upgraded => None,
        }
    }
}

/// What a connection is doing, shared between its bytes and the requests on it.
#[derive(Debug, Default)]
pub(crate) struct Activity(AtomicU8);

impl Activity {
    /// Says what the connection is doing from now on.
    pub(crate) fn turn(&self, stage: Stage) {
        self.0.store(stage as u8, Ordering::Release);
    }

    fn stage(&self) -> Stage {
        match self.0.load(Ordering::Acquire) {
            0 => Stage::Head,
            1 => Stage::Busy,
            2 => Stage::Idle,
            _ => Stage::Upgraded,
        }
    }
}

/// A place among the connections that are open at a time, given back when dropped.
pub(crate) struct Place {
    open: Gauge,
    _permit: OwnedSemaphorePermit,
}

impl Place {
    pub(crate) fn take(permit: OwnedSemaphorePermit, open: Gauge) -> Self {
        open.inc();
        Self {
            open,
            _permit: permit,
        }
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.open.dec();
    }
}

/// The connection below, with or without TLS.
pub(crate) enum Line {
    Plain(TcpStream),
    Tls(Box<TlsStream<TcpStream>>),
}

/// One of the two as a trait object: both are read and written alike.
trait Bytes: AsyncRead + AsyncWrite + Unpin {}
impl<T: AsyncRead + AsyncWrite + Unpin> Bytes for T {}

impl Line {
    fn bytes(&mut self) -> Pin<&mut dyn Bytes> {
        match self {
            Self::Plain(stream) => Pin::new(stream),
            Self::Tls(stream) => Pin::new(stream.as_mut()),
        }
    }

    fn is_vectored(&self) -> bool {
        match self {
            Self::Plain(stream) => stream.is_write_vectored(),
            Self::Tls(stream) => stream.is_write_vectored(),
        }
    }
}

/// A timer that runs for one stage at a time.
struct Watch {
    timer: Pin<Box<Sleep>>,
    /// The stage it runs for; `None` while it does not run.
    runs_for: Option<Stage>,
}

impl Watch {
    fn new() -> Self {
        Self {
            timer: Box::pin(sleep(HEAD_WITHIN)),
            runs_for: None,
        }
    }

    /// Lets the timer run for this stage, from now on unless it runs already. Ready when the time is over.
    fn run(&mut self, stage: Stage, limit: Duration, context: &mut Context<'_>) -> Poll<()> {
        if self.runs_for != Some(stage) {
            self.timer.set(sleep(limit));
            self.runs_for = Some(stage);
        }
        self.timer.as_mut().poll(context)
    }

    fn stop(&mut self) {
        self.runs_for = None;
    }
}

/// One connection's bytes under watch.
pub(crate) struct Guarded {
    line: Line,
    activity: Arc<Activity>,
    metrics: Arc<Metrics>,
    reading: Watch,
    writing: Watch,
    /// Bytes read of the first head. Later ones are not counted: what comes after an early answer, such as one that a body
    /// is too large, is the rest of that body.
    of_head: usize,
    /// Whether only the first head was seen so far.
    first: bool,
    _place: Place,
}

impl Guarded {
    pub(crate) fn new(line: Line, place: Place, metrics: Arc<Metrics>) -> Self {
        let mut reading = Watch::new();
        // From the connection on, not from the first look at it.
        reading.runs_for = Some(Stage::Head);
        Self {
            line,
            activity: Arc::default(),
            metrics,
            reading,
            writing: Watch::new(),
            of_head: 0,
            first: true,
            _place: place,
        }
    }

    /// For the requests on it, to say what goes on.
    pub(crate) fn activity(&self) -> Arc<Activity> {
        Arc::clone(&self.activity)
    }

    /// Ends the connection.
    fn end(&self, why: Turned) -> io::Error {
        self.metrics.turned_away(why);
        io::Error::other(why.name())
    }

    /// What a write, flush or shutdown came to; one that waits too long for the peer to read ends the connection.
    fn written<T>(
        &mut self,
        came_to: Poll<io::Result<T>>,
        context: &mut Context<'_>,
    ) -> Poll<io::Result<T>> {
        let stage = self.activity.stage();
        if came_to.is_pending() && stage != Stage::Upgraded {
            ready!(self.writing.run(stage, READER_STALLS_FOR, context));
            return Poll::Ready(Err(self.end(Turned::SlowReader)));
        }
        self.writing.stop();
        if stage == Stage::Idle {
            // An answer on its way is no idleness, however long it takes.
            self.reading.stop();
        }
        came_to
    }
}

impl AsyncRead for Guarded {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if self.first && self.of_head >= HEAD_BYTES && self.activity.stage() == Stage::Head {
            return Poll::Ready(Err(self.end(Turned::LargeHead)));
        }
        let before = buffer.filled().len();
        let came_to = self.line.bytes().poll_read(context, buffer);
        let stage = self.activity.stage();
        let read = buffer.filled().len() - before;
        self.of_head = match stage {
            Stage::Head => self.of_head.saturating_add(read),
            _ => 0,
        };
        self.first &= stage == Stage::Head;
        if came_to.is_ready() {
            if stage == Stage::Idle && read > 0 {
                self.activity.turn(Stage::Head);
            }
            if stage != Stage::Head {
                self.reading.stop();
                return came_to;
            }
        }
        let Some((limit, why)) = stage.patience() else {
            self.reading.stop();
            return came_to;
        };
        // Bytes that come are no excuse: the head must be complete within its time.
        if self.reading.run(stage, limit, context).is_ready() {
            return Poll::Ready(Err(self.end(why)));
        }
        came_to
    }
}

impl AsyncWrite for Guarded {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let came_to = self.line.bytes().poll_write(context, bytes);
        self.written(came_to, context)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let came_to = self.line.bytes().poll_flush(context);
        self.written(came_to, context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let came_to = self.line.bytes().poll_shutdown(context);
        self.written(came_to, context)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        slices: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let came_to = self.line.bytes().poll_write_vectored(context, slices);
        self.written(came_to, context)
    }

    fn is_write_vectored(&self) -> bool {
        self.line.is_vectored()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::TcpListener;
    use tokio::sync::Semaphore;
    use tokio::time::{Instant, timeout};

    /// A guarded connection and the socket of its peer.
    async fn pair() -> (Guarded, TcpStream) {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let peer = TcpStream::connect(listener.local_addr().unwrap())
            .await
            .unwrap();
        let (stream, _) = listener.accept().await.unwrap();
        let metrics = Arc::new(Metrics::new().unwrap());
        let permit = Arc::new(Semaphore::new(1)).try_acquire_owned().unwrap();
        let place = Place::take(permit, metrics.connections.clone());
        (Guarded::new(Line::Plain(stream), place, metrics), peer)
    }

    /// How long a read lasted and why it ended; `None` where it goes on for an hour.
    async fn waits(guarded: &mut Guarded) -> Option<(Duration, String)> {
        let began = Instant::now();
        let reading = async {
            loop {
                if let Err(error) = guarded.read_u8().await {
                    return error.to_string();
                }
            }
        };
        let why = timeout(Duration::from_secs(3600), reading).await.ok()?;
        Some((began.elapsed(), why))
    }

    #[tokio::test(start_paused = true)]
    async fn a_head_has_its_time_however_it_drips() {
        let (mut guarded, mut peer) = pair().await;
        let dripping = tokio::spawn(async move {
            while peer.write_u8(b'x').await.is_ok() {
                sleep(Duration::from_secs(1)).await;
            }
        });
        let (lasted, why) = waits(&mut guarded).await.expect("it ends");
        assert_eq!((lasted.as_secs(), why.as_str()), (10, "slow_head"));
        dripping.abort();
    }

    #[tokio::test(start_paused = true)]
    async fn after_an_answer_it_may_be_quiet_for_longer_but_not_begin_and_stop() {
        let (mut guarded, _peer) = pair().await;
        guarded.activity().turn(Stage::Idle);
        let (lasted, why) = waits(&mut guarded).await.expect("it ends");
        assert_eq!((lasted.as_secs(), why.as_str()), (75, "idle"));
        let (mut guarded, mut peer) = pair().await;
        guarded.activity().turn(Stage::Idle);
        peer.write_u8(b'G').await.unwrap();
        let (lasted, why) = waits(&mut guarded).await.expect("it ends");
        assert_eq!((lasted.as_secs(), why.as_str()), (10, "slow_head"));
    }

    #[tokio::test(start_paused = true)]
    async fn work_and_sockets_have_no_end_here() {
        for stage in [Stage::Busy, Stage::Upgraded] {
            let (mut guarded, _peer) = pair().await;
            guarded.activity().turn(stage);
            assert_eq!(waits(&mut guarded).await, None, "{stage:?}");
        }
    }

    #[tokio::test(start_paused = true)]
    async fn a_head_without_end_is_cut_off() {
        let (mut guarded, mut peer) = pair().await;
        let sending =
            tokio::spawn(async move { peer.write_all(&vec![b'x'; 2 * HEAD_BYTES]).await });
        let (_, why) = waits(&mut guarded).await.expect("it ends");
        assert_eq!(why, "large_head");
        sending.abort();
    }

    #[tokio::test(start_paused = true)]
    async fn an_answer_that_nobody_reads_is_given_up_but_not_a_sockets() {
        let megabytes = vec![0; 64 << 20];
        let (mut guarded, _peer) = pair().await;
        guarded.activity().turn(Stage::Idle);
        let error = guarded
            .write_all(&megabytes)
            .await
            .expect_err("nobody reads");
        assert_eq!(error.to_string(), "slow_reader");
        let (mut guarded, _peer) = pair().await;
        guarded.activity().turn(Stage::Upgraded);
        let writing = guarded.write_all(&megabytes);
        assert!(timeout(Duration::from_secs(3600), writing).await.is_err());
    }

    #[tokio::test]
    async fn a_place_is_given_back() {
        let room = Arc::new(Semaphore::new(1));
        let open = Gauge::new("open", "open").unwrap();
        let permit = Arc::clone(&room).try_acquire_owned().unwrap();
        let place = Place::take(permit, open.clone());
        assert!((open.get() - 1.0).abs() < f64::EPSILON && room.available_permits() == 0);
        drop(place);
        assert!(open.get().abs() < f64::EPSILON && room.available_permits() == 1);
    }
}
