//! A day of carts: real processes on a clock that runs fast, with outages of the hub of up to two hours, and `kill -9` of
//! carts and of the hub, by a seed that is printed. Every report that a cart said it saw is at the hub once, with its own
//! time and in the order in which it was seen; and no spool was ever larger than it may be.
//!
//! What may be missing: of each run of a cart that was killed the very last report that it saw, because it may have been
//! in the air, in no file and not answered; and of a cart with little room what it took out of its spool, which it counts:
//! no newest report, and neither side of a change, unless whole stretches had to be dropped.

mod cart;
mod check;

use std::collections::BTreeMap;
use std::net::TcpListener;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

use swapcall_tests::form::{by_form, figure};
use swapcall_tests::hub::{RunningHub, Site};
use swapcall_tests::wait;
use swapcall_wire::Role;
use uuid::Uuid;

use crate::pace::Pace;
use crate::sectors::Chance;
use cart::{Cart, Seen, bytes_at_rest};
use check::{Tally, check};

const MINUTE: Duration = Duration::from_secs(60);
/// How many times as fast as life the clocks run. A request that may take ten seconds has a twelfth of one.
const RATE: u32 = 120;
/// A day that went wrong comes again, as far as chance is in it, with its seed here.
const SEED: &str = "SWAPCALL_DAY_SEED";

/// A length of time between two bounds.
#[derive(Clone, Copy, Debug)]
struct Between(Duration, Duration);

impl Between {
    const fn minutes(from: u64, to: u64) -> Self {
        Self(Duration::from_secs(from * 60), Duration::from_secs(to * 60))
    }

    fn pick(self, chance: &mut Chance) -> Duration {
        let most = self.1.saturating_sub(self.0).as_secs();
        self.0 + Duration::from_secs(chance.below(usize::try_from(most).expect("a day") + 1) as u64)
    }
}

/// How long everything is, on the day's clock.
#[derive(Clone, Copy, Debug)]
struct Shape {
    day: Duration,
    /// Carts that report in this time, every third of them with little room for its spool.
    carts: (usize, Duration),
    /// Carts that report every five seconds, every other one with little room: a request may take longer than that.
    quick: usize,
    cart_up: Between,
    cart_down: Between,
    hub_up: Between,
    hub_away: Between,
}

fn shape() -> Shape {
    let short = Shape {
        day: 24 * MINUTE,
        carts: (4, MINUTE / 3),
        quick: 4,
        cart_up: Between::minutes(2, 9),
        cart_down: Between::minutes(0, 1),
        hub_up: Between::minutes(1, 3),
        hub_away: Between::minutes(0, 10),
    };
    let long = Shape {
        day: 24 * 60 * MINUTE,
        carts: (30, MINUTE),
        quick: 2,
        cart_up: Between::minutes(10, 360),
        cart_down: Between::minutes(0, 5),
        hub_up: Between::minutes(5, 120),
        hub_away: Between::minutes(0, 120),
    };
    by_form(short, long)
}

/// A port that no connection is given by chance: a cart that calls a hub which is away must not reach itself.
fn free_address(chance: &mut Chance) -> String {
    loop {
        let address = format!("127.0.0.1:{}", 12_000 + chance.below(18_000));
        if TcpListener::bind(&address).is_ok() {
            return address;
        }
    }
}

/// Makes each unit known, and its cart a token.
fn carts(hub: &RunningHub, site: &Site, shape: &Shape) -> Vec<Cart> {
    let (slow, every) = shape.carts;
    let kinds = (0..slow + shape.quick).map(|number| {
        if number < slow {
            (every, number % 3 == 2)
        } else {
            (Duration::from_secs(5), (number - slow) % 2 == 1)
        }
    });
    let cart = |(number, (every, tight)): (usize, (Duration, bool))| {
        let unit = format!("C{number}");
        hub.api.put_unit(&unit);
        Cart {
            every,
            tight,
            token: hub.api.new_token(&unit, Role::Cart, &[&unit]).token,
            hub: hub.api.base().to_owned(),
            folder: site.folder().join(&unit),
            unit,
        }
    };
    kinds.enumerate().map(cart).collect()
}

/// What was done to the hub.
#[derive(Debug, Default)]
struct Outages {
    kills: usize,
    stalls: usize,
    away: Duration,
    longest: Duration,
}

/// Leads the hub through the day: it is killed and comes back later, or hangs, and goes on or is killed then.
fn lead(
    mut hub: RunningHub,
    site: &Site,
    pace: &Pace,
    shape: &Shape,
    chance: &mut Chance,
) -> Outages {
    let address = hub.address().to_owned();
    let mut outages = Outages::default();
    let rest = |time: Duration| {
        let left = shape.day.saturating_sub(pace.passed());
        sleep(pace.lasts(time.min(left)));
        time.min(left)
    };
    loop {
        rest(shape.hub_up.pick(chance));
        if pace.passed() >= shape.day {
            hub.kill();
            return outages;
        }
        // Each day has an outage of the longest kind, by a kill, at its beginning.
        let away = match outages.away {
            Duration::ZERO => shape.hub_away.1,
            _ => shape.hub_away.pick(chance),
        };
        let hangs = outages.kills > 0 && chance.below(3) == 0;
        if hangs {
            hub.signal("STOP");
            outages.stalls += 1;
            outages.longest = outages.longest.max(rest(away));
            outages.away += away;
            if chance.below(2) == 0 {
                hub.signal("CONT");
                continue;
            }
            hub.kill();
        } else {
            hub.kill();
            outages.longest = outages.longest.max(rest(away));
            outages.away += away;
        }
        outages.kills += 1;
        hub = pace.start(site, &address);
    }
}

/// Looks at the spools of carts with little room until told to stop. The most bytes that each was seen to have.
fn watch_spools(carts: &[Cart], stop: &AtomicBool) -> BTreeMap<String, u64> {
    let mut most = BTreeMap::new();
    while !stop.load(Ordering::SeqCst) {
        for cart in carts.iter().filter(|cart| cart.tight) {
            let bytes = bytes_at_rest(&cart.spool(), cart.bound());
            let before = most.entry(cart.unit.clone()).or_insert(0);
            *before = bytes.max(*before);
        }
        sleep(Duration::from_millis(1));
    }
    most
}

fn seed() -> u64 {
    let given = std::env::var(SEED).ok().and_then(|text| text.parse().ok());
    given.unwrap_or_else(|| Uuid::new_v4().as_u64_pair().0 % 1_000_000)
}

#[test]
fn a_day_of_carts_with_outages_and_kills_is_at_the_hub_once_and_in_order() {
    let (began, shape, seed) = (wait::now(), shape(), seed());
    println!("{SEED}={seed}");
    let mut chance = Chance::new(seed);
    let site = Site::new();
    let address = free_address(&mut chance);
    let pace = Pace::from_now(RATE);
    let hub = pace.start(&site, &address);
    let carts = carts(&hub, &site, &shape);
    let stop = AtomicBool::new(false);
    let (seen, outages, most) = std::thread::scope(|scope| {
        let watcher = scope.spawn(|| watch_spools(&carts, &stop));
        let lives: Vec<_> = carts
            .iter()
            .map(|cart| {
                let own = Chance::new(chance.below(1 << 40) as u64);
                let (pace, shape) = (&pace, &shape);
                scope.spawn(move || cart.live(pace, shape, own))
            })
            .collect();
        let outages = lead(hub, &site, &pace, &shape, &mut chance);
        let seen: Vec<Seen> = lives
            .into_iter()
            .map(|life| life.join().expect("a cart lives through its day"))
            .collect();
        stop.store(true, Ordering::SeqCst);
        (seen, outages, watcher.join().expect("the watcher looks"))
    });
    // In the evening all clocks are as slow as life, and what is left is sent.
    let evening = pace.slowed_down();
    let hub = evening.start(&site, &address);
    let before = hub.api.fleet().seq;
    for cart in &carts {
        cart.send(&evening);
    }
    let evening_records = hub.api.fleet().seq - before;
    assert!(hub.stop().success());
    let tally = check(&site, &carts, &seen, &most);
    say(&shape, &outages, &tally, evening_records);
    println!("seed {seed}, {:.0} s", began.elapsed().as_secs_f64());
    tally.assert_good();
    assert!(
        outages.kills > 0 && tally.kills > 0 && tally.counted > 0,
        "there must be something to bear: {outages:?}"
    );
}

fn say(shape: &Shape, outages: &Outages, tally: &Tally, evening: u64) {
    let hours = |time: Duration| time.as_secs_f64() / 3_600.0;
    figure(
        "a day of carts",
        &format!(
            "{:.1} h of {} carts, {} reports seen, {} at the hub, {} records in the evening; hub killed {} times and stalled {} \
             times, away {:.1} h, at most {:.2} h on end; {} kills of carts; lost {}, doubled {}, out of order {}; of the last \
             before a kill {} did not arrive; spools with little room: {} reports counted as taken out, {} missing, at most {} \
             of {} bytes",
            hours(shape.day),
            shape.carts.0 + shape.quick,
            tally.seen,
            tally.stored,
            evening,
            outages.kills,
            outages.stalls,
            hours(outages.away),
            hours(outages.longest),
            tally.kills,
            tally.lost,
            tally.doubled,
            tally.out_of_order,
            tally.last_gone,
            tally.counted,
            tally.missing,
            tally.most_bytes,
            cart::TIGHT,
        ),
    );
}
