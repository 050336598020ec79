//! A show for the alarm rates: twelve units, their packs and cards, and runners who come promptly.
//!
//! The discharge model is this file's own and shares nothing with the forecast: a pack of 95 to 100 % loses a steady
//! drain per mode plus a wave of its own, and the camera dies at a percent that differs from pack to pack. Takes of
//! 15 to 30 minutes, pauses of 3 to 8: common practice at a regatta. Chance comes from a counter (xorshift).

use super::*;

/// Seconds between two steps of the model and two reports of a cart.
const STEP_S: f64 = 20.0;
/// From the call to the runner's claim, and from there to the unit: common practice on a site of 200 metres.
const CLAIM_AFTER_S: f64 = 20.0;
const WALK_S: f64 = 150.0;

/// A pseudo-random number from 0 to 1 (Marsaglia 2003, xorshift64).
struct Chance(u64);

impl Chance {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        low + (high - low) * (self.0 % 1_000_000) as f64 / 1e6
    }
}

struct Camera {
    name: String,
    level: f64,
    dies_at: f64,
    recording_per_h: f64,
    used: f64,
    recording: bool,
    turns_at: f64,
    packs: u32,
    cards: u32,
    /// When the runner arrives.
    arrives: Option<f64>,
}

/// What a show came to.
pub(super) struct Outcome {
    pub(super) stage: Stage,
    pub(super) went_dark: usize,
    pub(super) swaps: usize,
}

impl Camera {
    fn new(number: usize, chance: &mut Chance) -> Self {
        Self {
            name: format!("U{number}"),
            level: chance.between(60.0, 100.0),
            dies_at: chance.between(1.0, 7.0),
            recording_per_h: chance.between(42.0, 58.0),
            used: chance.between(0.0, 50.0),
            recording: true,
            turns_at: chance.between(0.0, 1_500.0),
            packs: 1,
            cards: 1,
            arrives: None,
        }
    }

    fn is_on(&self) -> bool {
        self.level > self.dies_at
    }

    fn step(&mut self, at_s: f64, chance: &mut Chance) {
        if !self.is_on() {
            return;
        }
        if at_s >= self.turns_at {
            self.recording = !self.recording;
            let (low, high) = if self.recording {
                (900.0, 1_800.0)
            } else {
                (180.0, 480.0)
            };
            self.turns_at = at_s + chance.between(low, high);
        }
        let rate = if self.recording {
            self.recording_per_h
        } else {
            15.0
        };
        let wave = 1.0 + 0.06 * (at_s / 700.0).sin();
        self.level -= rate * wave * STEP_S / 3_600.0;
        if self.recording && self.used < 100.0 {
            // 512 GB at 400 Mb/s: 171 minutes.
            self.used = (self.used + 100.0 * STEP_S / 10_240.0).min(100.0);
        }
    }

    fn seen(&self) -> Seen {
        let seen = Seen::of(&self.name);
        if !self.is_on() {
            return seen.mode(Mode::Off);
        }
        let state = if self.used >= 100.0 {
            SlotState::Full
        } else {
            SlotState::Recording
        };
        let mode = if self.recording && self.used < 100.0 {
            Mode::Recording
        } else {
            Mode::Standby
        };
        let mut seen = seen
            .mode(mode)
            .battery(self.level.round())
            .pack(&format!("{}-P{}", self.name, self.packs))
            .card(&format!("{}-C{}", self.name, self.cards), self.used, state);
        if let Some(slot) = seen
            .0
            .cards
            .as_mut()
            .and_then(|cards| cards.slots.first_mut())
        {
            slot.capacity_bytes = Some(512_000_000_000);
            slot.used_bytes = Some((self.used * 5_120_000_000.0) as u64);
        }
        seen
    }

    /// The runner brings what the call says.
    fn serve(&mut self, call: &Call, chance: &mut Chance) {
        if call.need.causes.battery {
            self.level = chance.between(95.0, 100.0);
            self.dies_at = chance.between(1.0, 7.0);
            self.packs += 1;
        }
        if call.need.causes.cards {
            self.used = 0.0;
            self.cards += 1;
        }
    }
}

/// One camera's runner: takes the call, walks, swaps.
fn attend(stage: &mut Stage, camera: &mut Camera, at_s: f64, chance: &mut Chance) -> bool {
    let Some(call) = stage.call(&camera.name).cloned() else {
        camera.arrives = None;
        return false;
    };
    if call.state == CallState::Open
        && seconds_between(call.opened, stage.now) >= CLAIM_AFTER_S
        && stage.claim(&camera.name, "Ada").is_ok()
    {
        camera.arrives.get_or_insert(at_s + WALK_S);
    }
    let there = camera.arrives.is_some_and(|arrives| at_s >= arrives);
    if there {
        camera.serve(&call, chance);
        camera.arrives = None;
    }
    there
}

/// Plays `units` cameras for `hours`.
pub(super) fn play(units: usize, hours: f64, seed: u64) -> Outcome {
    let mut chance = Chance(seed);
    let mut cameras: Vec<Camera> = (1..=units)
        .map(|number| Camera::new(number, &mut chance))
        .collect();
    let names: Vec<String> = cameras.iter().map(|camera| camera.name.clone()).collect();
    let mut stage = Stage::with(&names.iter().map(String::as_str).collect::<Vec<_>>());
    let (mut went_dark, mut swaps, mut at_s) = (0, 0, 0.0);
    while at_s < hours * 3_600.0 {
        for camera in &mut cameras {
            let was_on = camera.is_on();
            camera.step(at_s, &mut chance);
            went_dark += usize::from(was_on && !camera.is_on());
            swaps += usize::from(attend(&mut stage, camera, at_s, &mut chance));
            stage.report(camera.seen());
        }
        stage.pass(STEP_S);
        stage.tick();
        at_s += STEP_S;
    }
    Outcome {
        stage,
        went_dark,
        swaps,
    }
}
