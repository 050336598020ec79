//! Chargers and packs as they stand at a moment: bays, charges, and what was learned of a pack's strength.

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::State;
use swapcall_crew as crew;
use swapcall_crew::{ChargeTime, Charging, Label, Millis, PoolPack, Strengths, Usable};
use swapcall_desk::Published;
use swapcall_wire as wire;
use swapcall_wire::{
    BayList, BayView, ChargeTimeView, PackCharge, PoolPackView, Problem, ReadyAt, WeakPack,
};

use crate::App;
use crate::auth::{Read, SignedIn};
use crate::basis::rounded;
use crate::view::moment;

/// The bays of the chargers.
///
/// What stands in each, how full it is by what was said and by what the bay has learned, and when it is ready. A pack
/// whose time is over is not ready by itself: that takes somebody's word, or a level of 98 % or more.
#[utoipa::path(
    get, path = "/v1/chargers", tag = "kit",
    responses(
        (status = 200, description = "Every bay, by label", body = BayList),
        (status = 429, description = "This token asks too often; wait as Retry-After says", body = Problem, content_type = "application/problem+json"),
        (status = "4XX", description = "Not signed in", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Not ready", body = Problem, content_type = "application/problem+json"),
    ),
)]
pub(crate) async fn get_chargers(State(app): State<App>, _: SignedIn<Read>) -> Json<BayList> {
    let (published, now) = (app.desk.published(), app.desk.now());
    let pool = published.pool();
    let bays = pool.bays().into_iter().map(|(bay, pack)| {
        let empty = BayView {
            bay: bay.to_string(),
            pack: None,
            since: None,
            ready: false,
            percent: None,
            sd_percent: None,
            ready_at: None,
            learned: pool.charge_times(bay).iter().map(charge_time).collect(),
        };
        let held = pack.and_then(|label| Some((label, pool.pack(label)?, pool.charging(label)?)));
        let Some((label, pack, charging)) = held else {
            return empty;
        };
        let charge = charge(&charging, now);
        BayView {
            pack: Some(label.to_string()),
            since: Some(moment(pack.since)),
            ready: pack.is_ready(),
            percent: Some(charge.percent),
            sd_percent: Some(charge.sd_percent),
            ready_at: Some(charge.ready_at),
            ..empty
        }
    });
    Json(BayList {
        now: moment(now),
        bays: bays.collect(),
    })
}

fn charge_time(time: &ChargeTime) -> ChargeTimeView {
    ChargeTimeView {
        nominal_wh: time.nominal_wh,
        minutes: rounded(time.minutes, 1.0),
        sd_percent: rounded(100.0 * time.spread, 1.0),
        charges: time.charges,
    }
}

fn charge(charging: &Charging, now: Millis) -> PackCharge {
    let percent = charging.percent(now);
    let [p10, p50, p90] = charging.ready_at().map(moment);
    PackCharge {
        bay: charging.bay.to_string(),
        percent: rounded(percent.mean, 10.0),
        sd_percent: rounded(percent.sd, 10.0),
        ready_at: ReadyAt { p10, p50, p90 },
    }
}

/// What packs look like at a moment.
pub(crate) struct PackViews<'a> {
    published: &'a Published,
    asked_for: &'a BTreeMap<Label, u64>,
    strengths: Strengths<'a>,
    now: Millis,
}

impl<'a> PackViews<'a> {
    pub(crate) fn new(
        published: &'a Published,
        asked_for: &'a BTreeMap<Label, u64>,
        now: Millis,
    ) -> Self {
        Self {
            published,
            asked_for,
            strengths: Strengths::new(published.learned().packs(), published.pool()),
            now,
        }
    }

    /// One pack.
    pub(crate) fn of(&self, label: &Label, pack: &PoolPack) -> PoolPackView {
        let (place, unit, bay) = match &pack.place {
            crew::PackPlace::Unit(unit) => (wire::PackPlace::Unit, Some(unit.to_string()), None),
            crew::PackPlace::Bay(bay) => (wire::PackPlace::Bay, None, Some(bay.to_string())),
            crew::PackPlace::Ready => (wire::PackPlace::Ready, None, None),
            crew::PackPlace::Spent => (wire::PackPlace::Spent, None, None),
            crew::PackPlace::OutOfService => (wire::PackPlace::OutOfService, None, None),
        };
        let charging = self.published.pool().charging(label);
        let usable = self.strengths.usable(label);
        let share = usable.map(|usable| 100.0 * usable.share());
        let fade = self.strengths.fade(label);
        let learned = self.published.learned().pack(label);
        PoolPackView {
            pack: label.to_string(),
            nominal_wh: pack.nominal_wh,
            place,
            unit,
            bay,
            since: moment(pack.since),
            percent: pack.level.map(|(level, _)| level.value()),
            percent_at: pack.level.map(|(_, at)| moment(at)),
            who: pack.who.as_ref().map(ToString::to_string),
            call: self.asked_for.get(label).copied(),
            ready: pack.is_ready(),
            charge: charging.map(|charging| charge(&charging, self.now)),
            cycles: learned.map(|known| known.discharges()),
            usable_percent: share.map(|share| rounded(share, 10.0)),
            usable_sd_percent: usable
                .zip(share)
                .map(|(usable, share)| rounded(share * usable.share_sd(), 10.0)),
            fade_percent_per_cycle: fade.map(|fade| rounded(fade.percent_per_cycle, 100.0)),
            fade_sd_percent: fade.map(|fade| rounded(fade.sd, 100.0)),
            weak: usable.filter(Usable::is_weak).map(|usable| weak(&usable)),
        }
    }
}

fn weak(usable: &Usable) -> WeakPack {
    let Usable {
        minutes,
        kind_minutes,
        discharges,
        ..
    } = *usable;
    WeakPack {
        evidence: format!(
            "ran {minutes:.0} min where packs of its kind run {kind_minutes:.0} ({discharges} discharges); about {:.0} % of it \
             can be used, below the 80 % at which a pack is taken to be at the end of its life",
            100.0 * usable.share()
        ),
        minutes: rounded(minutes, 1.0),
        kind_minutes: rounded(kind_minutes, 1.0),
        discharges,
        chance: rounded(usable.chance_worn(), 100.0),
    }
}
