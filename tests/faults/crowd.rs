//! A crowd of screens of which some stop reading: the hub's memory stays bounded, the others see everything as fast as
//! ever, who stands still is closed with a documented code, and comes back to the current fleet and every call.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, RwLock};
use std::thread::sleep;
use std::time::{Duration, Instant};

use futures_util::StreamExt;
use swapcall_tests::api::{Api, battery_report};
use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::live::{Live, Memory};
use swapcall_tests::wait;
use swapcall_wire::{CallView, CloseCode, LiveMessage, Role};
use tokio::net::TcpStream;
use tokio::runtime::Runtime;
use tokio::task::JoinHandle;
use tokio_tungstenite::tungstenite::client::IntoClientRequest;
use tokio_tungstenite::{WebSocketStream, client_async};

use crate::probe::{metric, resident_kib, spread};

const UNITS: usize = 60;
/// Live sockets with one token.
const PER_TOKEN: usize = 80;
/// The percent of the first report; each one after it shows a thousandth less, so that a frame tells which it is of.
const FIRST: f64 = 90.0;

/// When each report was sent, by its number.
type Sent = Arc<RwLock<Vec<Instant>>>;

type Socket = WebSocketStream<TcpStream>;

async fn connect(base: String, token: String) -> Socket {
    let address = base.trim_start_matches("http://").to_owned();
    let mut request = format!("ws://{address}/v1/live")
        .into_client_request()
        .expect("a request");
    let bearer = format!("Bearer {token}").parse().expect("a header");
    request.headers_mut().insert("authorization", bearer);
    let stream = TcpStream::connect(&address)
        .await
        .expect("the hub takes it");
    client_async(request, stream)
        .await
        .expect("the hub takes it")
        .0
}

/// Reads until what was missed is complete.
async fn catch_up(socket: &mut Socket, memory: &mut Memory) {
    while !memory.caught_up {
        let frame = socket
            .next()
            .await
            .expect("the socket stands")
            .expect("a frame");
        if let Ok(text) = frame.into_text()
            && let Ok(message) = serde_json::from_str::<LiveMessage>(&text)
        {
            memory.take(&message);
        }
    }
}

/// Which report a frame is about, read without taking the whole frame apart.
fn number(text: &str) -> Option<usize> {
    let (_, rest) = text.split_once("\"battery\":{\"percent\":")?;
    let end = rest.find([',', '}'])?;
    let percent: f64 = rest[..end].parse().ok()?;
    (percent <= FIRST && percent > 50.0).then(|| ((FIRST - percent) * 1000.0).round() as usize)
}

/// Reads on until told to stop; how long each report took to come.
async fn read_on(mut socket: Socket, sent: Sent, stop: Arc<AtomicBool>) -> Vec<Duration> {
    let mut times = Vec::new();
    while !stop.load(Ordering::SeqCst) {
        let frame = socket
            .next()
            .await
            .expect("no reader is cut off")
            .expect("a frame");
        let now = wait::now();
        let Some(number) = frame.to_text().ok().and_then(number) else {
            continue;
        };
        let sent = sent.read().expect("no writer panics").get(number).copied();
        times.extend(sent.map(|sent| now.saturating_duration_since(sent)));
    }
    times
}

/// The screens: those that read, and those that stop after they caught up, with what they remember.
struct Crowd {
    reading: Vec<JoinHandle<Vec<Duration>>>,
    stalled: Vec<(Socket, Memory)>,
}

fn gather(
    runtime: &Runtime,
    api: &Api,
    (screens, stalling): (usize, usize),
    ends: &(Sent, Arc<AtomicBool>),
) -> Crowd {
    let tokens: Vec<String> = (0..screens.div_ceil(PER_TOKEN))
        .map(|index| {
            api.new_token(&format!("Screens {index}"), Role::Runner, &[])
                .token
        })
        .collect();
    let mut crowd = Crowd {
        reading: Vec::new(),
        stalled: Vec::new(),
    };
    for index in 0..screens {
        let token = tokens[index / PER_TOKEN].clone();
        let mut socket = runtime.block_on(connect(api.base().to_owned(), token));
        let mut memory = Memory::default();
        runtime.block_on(catch_up(&mut socket, &mut memory));
        if index < stalling {
            crowd.stalled.push((socket, memory));
        } else {
            let (sent, stop) = (Arc::clone(&ends.0), Arc::clone(&ends.1));
            crowd
                .reading
                .push(runtime.spawn(read_on(socket, sent, stop)));
        }
    }
    crowd
}

/// Every unit reports each second; on the way some get calls, which the stalled must not miss. Gives the hub's largest
/// memory meanwhile, in KiB.
fn show(hub: &RunningHub, seconds: usize, sent: &Sent) -> u64 {
    let (began, mut most) = (wait::now(), 0);
    for round in 0..seconds {
        for unit in 0..UNITS {
            let number = round * UNITS + unit;
            let due = Duration::from_secs(1).mul_f64(number as f64 / UNITS as f64);
            sleep(due.saturating_sub(began.elapsed()));
            sent.write().expect("no reader panics").push(wait::now());
            let percent = FIRST - number as f64 / 1000.0;
            hub.api
                .report(vec![battery_report(&format!("U{unit}"), percent)]);
        }
        if round % 5 == 2 {
            hub.api
                .report(vec![battery_report(&format!("CALL{round}"), 3.0)]);
        }
        most = most.max(resident_kib(hub));
    }
    most
}

/// Sockets closed because they stood still: read too slowly, or pings unanswered.
fn cut_off(api: &Api) -> f64 {
    let closed = |code: CloseCode| {
        metric(
            api,
            &format!("swapcall_live_closed_total{{code=\"{}\"}}", code.code()),
        )
    };
    closed(CloseCode::TooSlow) + closed(CloseCode::NoPong)
}

/// A screen that stood still comes back with its cursor and holds what the hub holds.
fn check_return(api: &Api, memory: Memory) {
    let fleet = api.fleet();
    let mut back = Live::resume(api, memory);
    back.until("the current fleet", |memory| {
        memory.cursor.is_some_and(|(_, seq)| seq >= fleet.seq)
    });
    for unit in &fleet.units {
        assert_eq!(
            back.memory.units[&unit.unit].battery, unit.battery,
            "{}",
            unit.unit
        );
    }
    for call in &fleet.calls {
        let newest = |known: &CallView| known.revision >= call.revision;
        back.until("every call", |memory| {
            memory.calls.get(&call.id).is_some_and(newest)
        });
    }
    assert!(fleet.calls.len() >= 5, "calls came meanwhile");
}

fn start(site: &Site, seconds: usize) -> RunningHub {
    // A thousand sockets, and as many again at their other ends in this very process.
    let hub = site.start_with(
        "127.0.0.1:0",
        &["sh", "-c", "ulimit -n 8192 && exec \"$@\"", "sh"],
    );
    let pid = std::process::id().to_string();
    let own = std::process::Command::new("prlimit")
        .args(["--pid", &pid, "--nofile=8192:"])
        .status();
    assert!(own.expect("prlimit runs").success());
    (0..UNITS).for_each(|unit| hub.api.put_unit(&format!("U{unit}")));
    let calls = (0..seconds).filter(|round| round % 5 == 2);
    calls.for_each(|round| hub.api.put_unit(&format!("CALL{round}")));
    hub
}

#[test]
fn a_crowd_of_screens_of_which_some_stop_reading() {
    let (screens, stalling) = by_form((200, 10), (1_000, 50));
    let seconds = by_form(35, 60);
    let site = Site::new();
    let hub = start(&site, seconds);
    let runtime = Runtime::new().expect("a runtime");
    let ends = (Sent::default(), Arc::new(AtomicBool::new(false)));
    let empty = resident_kib(&hub);
    let crowd = gather(&runtime, &hub.api, (screens, stalling), &ends);
    let full = resident_kib(&hub);
    let most = show(&hub, seconds, &ends.0);
    wait::within(Duration::from_secs(60), "the stalled to be cut off", || {
        (cut_off(&hub.api) >= stalling as f64).then_some(())
    });
    let open = metric(&hub.api, "swapcall_live_subscribers") as usize;
    assert_eq!(open, screens - stalling, "the others stay");
    ends.1.store(true, Ordering::SeqCst);
    let mut times = Vec::new();
    for reader in crowd.reading {
        times.extend(runtime.block_on(reader).expect("a reader goes on"));
    }
    for (socket, memory) in crowd.stalled {
        drop(socket);
        check_return(&hub.api, memory);
    }
    let (frames, (half, p99, longest)) = (times.len(), spread(times));
    figure(
        "slow readers",
        &format!(
            "{screens} screens, {stalling} of them stop reading, {UNITS} units a second for {seconds} s: hub {empty} KiB \
             without, {full} KiB with all screens, at most {most} KiB; all {stalling} closed as 4001 or 4002 and back \
             with every call; the others: {frames} frames, p50 {half:.1?}, p99 {p99:.1?}, longest {longest:.1?}"
        ),
    );
    // 64 KiB a screen, and 1 MiB for each that stands still.
    let bound = (full - empty) / 1024 <= (screens as u64) / 16
        && (most - full) / 1024 <= 16 + stalling as u64;
    assert!(bound, "{empty}, {full}, {most} KiB");
    assert!(p99 < Duration::from_secs(2), "{p99:?}");
}
