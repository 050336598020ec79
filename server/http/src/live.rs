//! The live socket: hello, what was missed, then every change as it becomes durable, with a heartbeat.
//!
//! The hub pings and closes after two unanswered pings; scripts cannot see pings, so a heartbeat message goes out as
//! well. A socket that reads too slowly is closed with a documented code and comes back with its cursor.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::State;
use axum::extract::ws::{CloseFrame, Message, Utf8Bytes, WebSocket, WebSocketUpgrade};
use axum::response::Response;
use swapcall_crew::Freshness;
use swapcall_desk::{Cursor, Desk, Ended, Next, Start, Starting, Subscription};
use swapcall_wire::{CloseCode, LiveMessage, Problem, ProblemCode, Resumption};
use tokio::sync::watch;
use tokio::time::{MissedTickBehavior, interval, sleep, timeout};
use uuid::Uuid;

use crate::auth::{Read, SignedIn};
use crate::guard::{Wait, Why};
use crate::limits::{
    AGED_EVERY, COME_BACK_AFTER, HEARTBEAT, KIT_PAUSE, LIVE_MESSAGE_BYTES, PING, SEND_WITHIN,
    SOCKETS_RETRY_S,
};
use crate::metrics::Metrics;
use crate::problem::{self, Failure};
use crate::query::QueryOf;
use crate::{App, cards, view};

/// Where the client stopped reading.
#[derive(serde::Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct LiveQuery {
    /// The cursor: `seq` of the last message received.
    #[serde(default)]
    #[param(
        minimum = 0,
        maximum = 18_446_744_073_709_551_615_u64,
        format = "uint64"
    )]
    after: Option<u64>,
    /// The epoch the cursor belongs to, from `hello`.
    #[serde(default)]
    epoch: Option<Uuid>,
}

/// The live socket.
///
/// A WebSocket (RFC 6455). Without `after` and `epoch` it begins with a snapshot, with them it resumes. Text frames hold
/// one `LiveMessage` each. Close codes: 1012 the hub restarts, 1009 message too large, 4001 reading too slowly, 4002
/// pings unanswered, 4003 signed out, 4004 unexpected message.
#[utoipa::path(
    get, path = "/v1/live", tag = "fleet", params(LiveQuery),
    responses(
        (status = 101, description = "Text frames with one message each", body = LiveMessage),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in, or no WebSocket", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready, or too many sockets", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_live(
    State(app): State<App>,
    who: SignedIn<Read>,
    QueryOf(query): QueryOf<LiveQuery>,
    upgrade: Result<WebSocketUpgrade, axum::extract::ws::rejection::WebSocketUpgradeRejection>,
) -> Result<Response, Failure> {
    let upgrade = upgrade.map_err(|rejection| {
        Failure::new(
            ProblemCode::InvalidField,
            format!("This address speaks WebSocket only: {rejection}."),
        )
    })?;
    let cursor = query
        .epoch
        .zip(query.after)
        .map(|(epoch, seq)| Cursor { epoch, seq });
    let counted = app.guard.socket(who.root).ok_or_else(|| {
        let (why, seconds) = (Why::Sockets, SOCKETS_RETRY_S);
        problem::too_many(&app, Wait { why, seconds })
    })?;
    let (starting, subscription) =
        app.desk.subscribe(who.actor.token, cursor).ok_or_else(|| {
            problem::waiting(
                ProblemCode::Busy,
                "Too many live sockets are open. Close some screens and try again.",
            )
        })?;
    let socket = LiveSocket {
        desk: app.desk.clone(),
        metrics: Arc::clone(&app.metrics),
        aged: app.aged.clone(),
        kit: app.kit.clone(),
        time_zone: app.time_zone.clone(),
        subscription,
        unanswered: 0,
    };
    let open = app.sockets.clone();
    let listening = app.presence.socket(who.actor.token);
    Ok(upgrade
        .max_message_size(LIVE_MESSAGE_BYTES)
        .read_buffer_size(LIVE_MESSAGE_BYTES)
        .on_upgrade(move |stream| async move {
            socket.run(stream, starting).await;
            // The shutdown waits until every copy of this is dropped.
            drop((open, counted, listening));
        }))
}

struct LiveSocket {
    desk: Desk,
    metrics: Arc<Metrics>,
    aged: watch::Receiver<Utf8Bytes>,
    kit: watch::Receiver<Utf8Bytes>,
    time_zone: Option<Arc<str>>,
    subscription: Subscription,
    unanswered: u8,
}

/// Why a socket ends: with a close frame, or because the other side is gone already.
enum End {
    Close(CloseCode),
    Gone,
}

impl LiveSocket {
    async fn run(mut self, mut stream: WebSocket, starting: Starting) {
        let end = match self.greet(&mut stream, &starting).await {
            Ok(()) => self.follow(&mut stream).await,
            Err(end) => end,
        };
        let code = match end {
            End::Gone => "gone".to_owned(),
            End::Close(code) => {
                self.say_goodbye(&mut stream, code).await;
                code.code().to_string()
            }
        };
        self.metrics
            .live_closed
            .with_label_values(&[code.as_str()])
            .inc();
    }

    /// Hello, what was missed, caught up.
    async fn greet(&mut self, stream: &mut WebSocket, starting: &Starting) -> Result<(), End> {
        let hello = LiveMessage::Hello {
            protocol: 1,
            epoch: starting.epoch,
            seq: starting.seq,
            start: match starting.start {
                Start::Resumed => Resumption::Resumed,
                Start::Snapshot => Resumption::Snapshot,
            },
            now: view::moment(self.desk.now()),
            heartbeat_s: HEARTBEAT.as_secs_f64(),
            clock_rate: self.desk.clock().rate(),
            time_zone: self.time_zone.as_deref().map(str::to_owned),
        };
        send(stream, view::encode(&hello).into()).await?;
        for update in self.subscription.take_missing() {
            send(stream, text(&update.encoded(view::live))).await?;
        }
        send(
            stream,
            view::encode(&LiveMessage::CaughtUp { seq: starting.seq }).into(),
        )
        .await?;
        self.kit.mark_unchanged();
        let pool = Arc::clone(self.desk.published().pool());
        send(stream, view::encode(&cards::live_kit(&pool)).into()).await
    }

    /// The live stream, until something ends it.
    async fn follow(&mut self, stream: &mut WebSocket) -> End {
        let mut heartbeat = every(HEARTBEAT);
        let mut ping = every(PING);
        self.aged.mark_unchanged();
        loop {
            let went_on = tokio::select! {
                next = self.subscription.next() => self.hand_over(stream, next).await,
                _ = heartbeat.tick() => self.beat(stream).await,
                _ = ping.tick() => self.ping(stream).await,
                changed = self.aged.changed(), if self.aged.has_changed().is_ok() => match changed {
                    Ok(()) => {
                        let aged = self.aged.borrow_and_update().clone();
                        send(stream, aged).await
                    }
                    Err(_) => Ok(()),
                },
                Ok(()) = self.kit.changed() => {
                    let kit = self.kit.borrow_and_update().clone();
                    send(stream, kit).await
                }
                message = stream.recv() => self.hear(message),
            };
            if let Err(end) = went_on {
                return end;
            }
        }
    }

    async fn hand_over(&self, stream: &mut WebSocket, next: Next) -> Result<(), End> {
        match next {
            Next::Update(update) => send(stream, text(&update.encoded(view::live))).await,
            Next::Ended(why) => Err(End::Close(match why {
                Ended::TooSlow => CloseCode::TooSlow,
                Ended::SignedOut => CloseCode::SignedOut,
                Ended::Stopping => CloseCode::Restart,
            })),
        }
    }

    async fn beat(&self, stream: &mut WebSocket) -> Result<(), End> {
        let seq = self.desk.published().seq();
        let beat = LiveMessage::Heartbeat {
            seq,
            now: view::moment(self.desk.now()),
        };
        send(stream, view::encode(&beat).into()).await
    }

    async fn ping(&mut self, stream: &mut WebSocket) -> Result<(), End> {
        if self.unanswered >= 2 {
            return Err(End::Close(CloseCode::NoPong));
        }
        self.unanswered += 1;
        within(stream.send(Message::Ping(Vec::new().into()))).await
    }

    /// What the client says: pongs and the close handshake only. The library answers pings by itself.
    fn hear(&mut self, message: Option<Result<Message, axum::Error>>) -> Result<(), End> {
        match message {
            Some(Ok(Message::Pong(_))) => {
                self.unanswered = 0;
                Ok(())
            }
            Some(Ok(Message::Ping(_))) => Ok(()),
            Some(Ok(Message::Text(_) | Message::Binary(_))) => {
                Err(End::Close(CloseCode::Unexpected))
            }
            Some(Err(error)) if error.to_string().contains("too long") => {
                Err(End::Close(CloseCode::TooLarge))
            }
            Some(Ok(Message::Close(_)) | Err(_)) | None => Err(End::Gone),
        }
    }

    async fn say_goodbye(&self, stream: &mut WebSocket, code: CloseCode) {
        if code == CloseCode::Restart {
            let retry_after_ms = u64::try_from(COME_BACK_AFTER.as_millis()).unwrap_or(u64::MAX);
            let bye = LiveMessage::Bye {
                reason: code.reason().to_owned(),
                retry_after_ms,
            };
            // The client may be gone; the close frame below is tried all the same.
            let _ = send(stream, view::encode(&bye).into()).await;
        }
        let frame = CloseFrame {
            code: code.code(),
            reason: code.reason().into(),
        };
        let _ = timeout(SEND_WITHIN, stream.send(Message::Close(Some(frame)))).await;
        // Wait for the other side's close frame, so that ours is not lost in a reset.
        let _ = timeout(Duration::from_secs(1), async {
            while let Some(Ok(_)) = stream.recv().await {}
        })
        .await;
    }
}

fn text(encoded: &Arc<str>) -> Utf8Bytes {
    encoded.as_ref().into()
}

async fn send(stream: &mut WebSocket, text: Utf8Bytes) -> Result<(), End> {
    within(stream.send(Message::Text(text))).await
}

async fn within(sending: impl Future<Output = Result<(), axum::Error>>) -> Result<(), End> {
    match timeout(SEND_WITHIN, sending).await {
        Ok(Ok(())) => Ok(()),
        Ok(Err(_)) => Err(End::Gone),
        Err(_) => Err(End::Close(CloseCode::TooSlow)),
    }
}

fn every(period: Duration) -> tokio::time::Interval {
    let mut ticks = interval(period);
    ticks.set_missed_tick_behavior(MissedTickBehavior::Delay);
    ticks
}

/// Says what is at risk whenever the kit changed, once for all sockets; a busy hub not more often than it can be read.
pub(crate) async fn tell_of_the_kit(desk: Desk, kit: watch::Sender<Utf8Bytes>) {
    let mut revision = desk.fanout().kit();
    while revision.changed().await.is_ok() {
        let pool = Arc::clone(desk.published().pool());
        kit.send_replace(view::encode(&cards::live_kit(&pool)).into());
        sleep(KIT_PAUSE).await;
    }
}

/// Works out silent units' forecasts again and again, once for all sockets: between reports nothing else would widen
/// them on the screens.
pub(crate) async fn age_silent_units(desk: Desk, aged: watch::Sender<Utf8Bytes>) {
    let mut ticks = every(AGED_EVERY);
    loop {
        ticks.tick().await;
        if desk.fanout().is_empty() {
            continue;
        }
        let (_, statuses) = desk.statuses();
        let silent: Vec<_> = statuses
            .iter()
            .filter(|status| status.freshness == Freshness::Silent)
            .map(view::unit)
            .collect();
        if !silent.is_empty() {
            aged.send_replace(view::encode(&LiveMessage::Aged { units: silent }).into());
        }
    }
}
