//! The hub's edge: routes, live sockets, sign-in, metrics. Maps wire to crew and back, and decides nothing.
//!
//! Raw input becomes the crew's checked values once, in `door.rs`; the crew's values become wire messages in `view.rs`;
//! every error becomes a problem document in `problem.rs`. Each route carries its own description, from which
//! `/openapi.json` is generated, so a route cannot be there without being described.

pub mod limits;

mod auth;
mod backup;
mod basis;
mod body;
mod bucket;
mod calls;
mod cards;
mod chargers;
mod document;
mod door;
mod embedded;
mod forecasts;
mod guard;
mod joincode;
mod joins;
mod kit;
mod link;
mod listener;
mod live;
mod metrics;
mod named;
mod packs;
mod people;
mod plain;
mod pool;
mod presence;
mod probes;
mod problem;
mod query;
mod reports;
mod rotation;
mod rundown;
mod screens;
mod settings;
mod shows;
mod strangers;
mod tally;
mod tls;
mod tokens;
mod umd;
mod uncommented;
mod units;
mod view;
mod watched;

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::ws::Utf8Bytes;
use axum::extract::{ConnectInfo, DefaultBodyLimit, MatchedPath, Request, State};
use axum::http::{HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use swapcall_desk::{Desk, Phase};
use swapcall_wire::ProblemCode;
use tokio::sync::{mpsc, watch};
use tokio::time::timeout;

use listener::{Door, Peer};
use metrics::Turned;
use watched::Stage;

pub use auth::TokenText;
pub use cards::{parse_card, parse_copies};
pub use document::openapi_document;
pub use listener::Front;
pub use metrics::{Metrics, MetricsError};
// What the routes make of a body, for whoever wants to try one without a socket.
pub use reports::{AtTheDoor, GivenReports, parse_reports};
pub use rundown::parse_rundown;
pub use settings::parse_limits;
pub use tls::{Encryption, Keys, Looked, TlsError};
pub use umd::TallyPorts;
pub use units::parse_profile;

/// What every handler has.
#[derive(Clone)]
pub(crate) struct App {
    desk: Desk,
    metrics: Arc<Metrics>,
    guard: Arc<guard::Guard>,
    presence: Arc<presence::Presence>,
    rotation: Arc<rotation::Looks>,
    document: Arc<str>,
    encryption: Encryption,
    /// IANA name of the show's time zone.
    time_zone: Option<Arc<str>>,
    aged: watch::Receiver<Utf8Bytes>,
    kit: watch::Receiver<Utf8Bytes>,
    /// A copy goes along with every live socket; when the last is dropped, all are closed.
    sockets: mpsc::Sender<()>,
}

/// Every route, described or embedded, with what applies to all of them.
fn router(app: App) -> Router {
    document::routes()
        .merge(screens::routes())
        .fallback(probes::not_found)
        .method_not_allowed_fallback(probes::method_not_allowed)
        .layer(DefaultBodyLimit::max(limits::BODY_BYTES))
        .layer(from_fn_with_state(app.clone(), count))
        .layer(from_fn_with_state(app.clone(), secure))
        .layer(from_fn_with_state(app.clone(), attend))
        .with_state(app)
}

/// Refuses while the hub is not serving. Handlers behind a token come through here.
pub(crate) fn serving(app: &App) -> Result<(), problem::Failure> {
    match app.desk.phase() {
        Phase::Serving | Phase::Draining | Phase::Failed(_) => Ok(()),
        phase => Err(problem::not_serving(&phase)),
    }
}

/// Counts every request by its route, never by its raw path, which anybody can make up.
async fn count(State(app): State<App>, request: Request, next: Next) -> Response {
    let began = app.desk.clock().steady_s();
    let route = request
        .extensions()
        .get::<MatchedPath>()
        .map_or("none", MatchedPath::as_str)
        .to_owned();
    let method = method_label(request.method());
    let response = next.run(request).await;
    let status = response.status().as_str().to_owned();
    // The route, never the raw path: somebody may have put a token there.
    tracing::debug!(method, route, status, "answered");
    app.metrics
        .requests
        .with_label_values(&[route.as_str(), method, status.as_str()])
        .inc();
    app.metrics
        .request_seconds
        .with_label_values(&[route.as_str()])
        .observe(app.desk.clock().steady_s() - began);
    response
}

/// Tells the connection what goes on, so that it knows how long to wait (`watched.rs`).
async fn attend(State(app): State<App>, mut request: Request, next: Next) -> Response {
    let peer = request.extensions_mut().remove::<ConnectInfo<Peer>>();
    let Some(ConnectInfo(Peer { address, activity })) = peer else {
        return next.run(request).await;
    };
    // Handlers know the address by the usual name.
    request.extensions_mut().insert(ConnectInfo(address));
    activity.turn(Stage::Busy);
    let bytes = |(name, value): (&HeaderName, &HeaderValue)| name.as_str().len() + value.len();
    let mut response = if request.headers().iter().map(bytes).sum::<usize>() > limits::HEADER_BYTES
    {
        let kib = limits::HEADER_BYTES / 1024;
        let detail =
            format!("The headers may have {kib} KiB together. Send fewer, or shorter ones.");
        problem::Failure::new(ProblemCode::HeadersTooLarge, detail).into_response()
    } else {
        next.run(request).await
    };
    if response.status() == StatusCode::REQUEST_TIMEOUT {
        app.metrics.turned_away(Turned::SlowBody);
        let close = HeaderValue::from_static("close");
        response.headers_mut().insert(header::CONNECTION, close);
    }
    activity.turn(match response.status() {
        StatusCode::SWITCHING_PROTOCOLS => Stage::Upgraded,
        _ => Stage::Idle,
    });
    response
}

/// The method as a label: HTTP allows any word as a method, so a made-up one must not become a series of its own.
fn method_label(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::PUT => "PUT",
        Method::DELETE => "DELETE",
        _ => "other",
    }
}

/// Headers that keep a browser from being used against its user.
async fn secure(State(app): State<App>, request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    let policy = "default-src 'self'; img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'; form-action 'self'";
    let set = [
        (header::CONTENT_SECURITY_POLICY, policy),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
    ];
    for (name, value) in set {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    // Not with a certificate of our own making: a browser that was let through once would be locked out by a new one.
    if matches!(app.encryption, Encryption::Signed(_)) {
        let for_a_day = HeaderValue::from_static("max-age=86400");
        headers.insert(header::STRICT_TRANSPORT_SECURITY, for_a_day);
    }
    response
}

/// The hub's edge after it stopped taking requests: what is left are live sockets.
#[derive(Debug)]
pub struct Closing {
    all_closed: mpsc::Receiver<()>,
    grace: Duration,
}

impl Closing {
    /// Waits until every live socket is closed, or the grace is over. They close by themselves once the desk has
    /// stopped, each with a word to its client. True when all closed in time.
    pub async fn sockets_closed(mut self) -> bool {
        timeout(self.grace, self.all_closed.recv()).await.is_ok()
    }
}

/// Serves at the `front` until `shutdown` completes; then takes no new connections and lets requests that are under way
/// finish within `grace`. The caller then stops the desk and waits for [`Closing::sockets_closed`]. Upgraded sockets are
/// not waited for by the server itself, which is why they are counted here.
pub async fn serve(
    mut front: Front,
    desk: Desk,
    metrics: Arc<Metrics>,
    shutdown: impl Future<Output = ()> + Send + 'static,
    grace: Duration,
) -> std::io::Result<Closing> {
    let (aged, aged_receiver) = watch::channel(Utf8Bytes::default());
    let (kit, kit_receiver) = watch::channel(Utf8Bytes::default());
    let (sockets, all_closed) = mpsc::channel(1);
    let document = openapi_document().into();
    let encryption = front.encryption.clone();
    let time_zone = front.time_zone.as_deref().map(Arc::from);
    let tally = umd::listen(
        std::mem::take(&mut front.tally),
        desk.clone(),
        Arc::clone(&metrics),
    );
    let door = Door::open(front, Arc::clone(&metrics))?;
    let app = App {
        desk: desk.clone(),
        metrics,
        guard: Arc::new(guard::Guard::new(desk.clock().steady_s())),
        presence: Arc::default(),
        rotation: Arc::default(),
        document,
        encryption,
        time_zone,
        aged: aged_receiver,
        kit: kit_receiver,
        sockets,
    };
    let telling = tokio::spawn(live::tell_of_the_kit(desk.clone(), kit));
    let ageing = tokio::spawn(live::age_silent_units(desk, aged));
    let (stopping, mut stopped) = watch::channel(false);
    let told = async move {
        shutdown.await;
        stopping.send_replace(true);
    };
    let too_long = async move {
        // The sender lives as long as the server's future, so this cannot end early by an error.
        let _ = stopped.wait_for(|stopping| *stopping).await;
        tokio::time::sleep(grace).await;
    };
    let service = router(app).into_make_service_with_connect_info::<Peer>();
    let result = tokio::select! {
        result = axum::serve(door, service).with_graceful_shutdown(told).into_future() => result,
        () = too_long => Ok(()),
    };
    telling.abort();
    ageing.abort();
    drop(tally);
    result.map(|()| Closing { all_closed, grace })
}
