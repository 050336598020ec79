//! `decide(state, command, now) → records`, and the loop that alternates it with `apply` for one command.

mod access;
mod pool;
mod tally;
mod undo;

use uuid::{Builder, Uuid};

use crate::assess::Assessment;
use crate::call::Need;
use crate::fleet::UNITS_MAX;
use crate::intake::{Acceptance, accept};
use crate::listening::{falls_silent, was_away};
use crate::policy::{self, Verdict};
use crate::{
    Actor, Answer, Call, CallEvent, CallName, CallState, Callsign, Command, Entry, Execution,
    Fleet, LeadTimes, LimitsDocument, Millis, PersonName, Profile, Reason, Record, Refusal, Report,
    ReportOutcome, Rundown, Span, Stamp, Unit,
};

/// A claim that is repeated after this time is renewed.
const RENEWS_AFTER: Span = Span::seconds(30);
/// A call that comes back within this time is the same trouble again.
const SAME_TROUBLE: Span = Span::seconds(30 * 60);
/// More turns of decide and apply than any unit can need at one moment.
const TURNS_MAX: usize = 4;

/// One command being carried out: appends entries to the fold and remembers them.
struct Turn<'a> {
    fleet: &'a mut Fleet,
    stamp: Stamp,
    entries: Vec<Entry>,
}

impl Turn<'_> {
    fn append(&mut self, record: Record) -> u64 {
        let entry = Entry {
            seq: self.fleet.seq + 1,
            at: self.stamp.now,
            record,
        };
        self.fleet.apply(&entry);
        self.entries.push(entry);
        self.fleet.seq
    }

    fn append_call(&mut self, unit: &Callsign, call: Uuid, event: CallEvent) {
        self.append(Record::Call {
            unit: unit.clone(),
            call,
            event: Box::new(event),
        });
    }
}

impl Fleet {
    /// Carries out one command: decides, applies, decides again, until nothing more is to be said. The entries must be
    /// made durable before the answer is given to anybody.
    pub fn execute(&mut self, command: Command, stamp: Stamp) -> Execution {
        let stamp = Stamp {
            now: stamp.now.max(self.latest),
            ..stamp
        };
        let mut turn = Turn {
            fleet: self,
            stamp,
            entries: Vec::new(),
        };
        let kit_before = turn.fleet.pool.revision();
        let answer = turn.command(command);
        turn.name_pieces(kit_before);
        Execution {
            entries: turn.entries,
            answer,
        }
    }
}

impl Turn<'_> {
    fn command(&mut self, command: Command) -> Result<Answer, Refusal> {
        match command {
            Command::Start => {
                self.append(Record::HubStarted);
                self.look_at_everything();
                Ok(Answer::Done)
            }
            Command::Tick => {
                if was_away(self.fleet, self.stamp.now) {
                    self.append(Record::HubStarted);
                }
                self.look_at_everything();
                Ok(Answer::Done)
            }
            Command::Reports { actor, reports } => {
                Ok(Answer::Reports(self.reports(&actor, reports)))
            }
            Command::PutUnit { unit, profile } => self.put_unit(&unit, *profile),
            Command::SetLimits(document) => self.set_limits(document),
            Command::SetShows(shows) => {
                self.append(Record::ShowsSet(shows));
                Ok(Answer::Done)
            }
            Command::SetRundown { rundown, seen } => self.set_rundown(rundown, seen),
            Command::Tally { actor, signals } => self.tally(actor.as_ref(), &signals),
            Command::PutPack { pack, put } => self.put_pack(pack, put),
            Command::PutCard { card, put } => self.put_card(card, put),
            Command::CopyCard { card, copied } => self.copy_card(card, copied),
            Command::Claim { call, who, note } => self.claim(call, who, note),
            Command::Release { call, who } => self.release(call, who.as_ref()),
            Command::Done { call, who, note } => self.done(call, who, note),
            Command::Undo {
                call,
                who,
                for_others,
            } => self.undo(call, who, for_others),
            Command::AddToken(token) => self.add_token(token),
            Command::RevokeToken { id } => self.revoke_token(id),
            Command::MakeJoin(join) => self.make_join(join),
            Command::UseJoin { hash, pass } => self.use_join(&hash, pass),
        }
    }

    fn put_unit(&mut self, unit: &Callsign, profile: Profile) -> Result<Answer, Refusal> {
        if !self.fleet.units.contains_key(unit) && self.fleet.units.len() >= UNITS_MAX {
            return Err(Refusal::LimitReached(format!(
                "a hub takes {UNITS_MAX} units"
            )));
        }
        let put = Record::UnitPut {
            unit: unit.clone(),
            profile,
        };
        self.append(put);
        self.look_at(unit);
        Ok(Answer::Done)
    }

    fn set_rundown(&mut self, rundown: Rundown, seen: Option<u64>) -> Result<Answer, Refusal> {
        let revision = self.fleet.rundown_revision;
        if seen.is_some_and(|seen| seen != revision) {
            return Err(Refusal::RundownChanged(revision));
        }
        // The next tick, within a second, lets the policy look.
        self.append(Record::RundownSet(rundown));
        Ok(Answer::Done)
    }

    fn set_limits(&mut self, document: Box<LimitsDocument>) -> Result<Answer, Refusal> {
        let mut named = document.units.keys();
        if let Some(unit) = named.find(|unit| !self.fleet.units.contains_key(*unit)) {
            return Err(Refusal::UnknownUnit(unit.clone()));
        }
        self.append(Record::LimitsSet(document));
        self.look_at_everything();
        Ok(Answer::Done)
    }

    fn reports(&mut self, actor: &Actor, reports: Vec<Report>) -> Vec<ReportOutcome> {
        let mut touched = Vec::new();
        let mut outcomes = Vec::with_capacity(reports.len());
        for report in reports {
            let unit = report.unit.clone();
            outcomes.push(match accept(self.fleet, actor, report, self.stamp.now) {
                Ok(Acceptance::New(reading)) => {
                    if !touched.contains(&unit) {
                        touched.push(unit);
                    }
                    ReportOutcome::Accepted(self.append(Record::Reading(reading)))
                }
                Ok(Acceptance::Known(seq)) => ReportOutcome::Duplicate(seq),
                Err(refusal) => ReportOutcome::Refused(refusal),
            });
        }
        // The policy looks once at where the whole request ends, so a spool's old states raise nothing.
        for unit in touched {
            self.look_at(&unit);
        }
        outcomes
    }

    /// Looks at deadlines: silence, lapses, reminders, sessions, and run-outs that came nearer while nobody spoke.
    fn look_at_everything(&mut self) {
        let units: Vec<Callsign> = self.fleet.units.keys().cloned().collect();
        for unit in units {
            if falls_silent(self.fleet, &unit, self.stamp.now) {
                self.append(Record::UnitSilent { unit: unit.clone() });
            }
            self.look_at(&unit);
        }
        self.end_what_is_over();
    }

    /// Lets the policy speak about one unit until it has nothing more to say.
    fn look_at(&mut self, callsign: &Callsign) {
        let now = self.stamp.now;
        let Some(ahead) = self.fleet.ahead(callsign, now) else {
            return;
        };
        for _ in 0..TURNS_MAX {
            let Some(unit) = self.fleet.units.get(callsign) else {
                return;
            };
            let times = self.fleet.lead_times(unit);
            let assessment = Assessment::of(unit, times, &ahead.plan, now);
            let call = unit.call.and_then(|id| self.fleet.live_calls.get(&id));
            let verdict = policy::judge(&assessment, call, self.fleet.started);
            let Some((id, event)) = self.event(unit, call, verdict, assessment.times.remind) else {
                return;
            };
            self.append_call(callsign, id, event);
        }
    }

    /// The record a verdict asks for.
    fn event(
        &self,
        unit: &Unit,
        call: Option<&Call>,
        verdict: Verdict,
        remind: Span,
    ) -> Option<(Uuid, CallEvent)> {
        let now = self.stamp.now;
        let remind_at = now.plus(remind);
        if let Verdict::Open(need) = verdict {
            return Some((self.new_id(), self.opening(unit, need, remind_at)));
        }
        let call = call?;
        let event = match verdict {
            Verdict::Unchanged | Verdict::Open(_) => return None,
            Verdict::Revise(reason, need) => CallEvent::Revised { reason, need },
            Verdict::Remind => CallEvent::Reminded { remind_at },
            Verdict::Lapse => CallEvent::Freed {
                reason: Reason::Lapsed,
                remind_at,
            },
            Verdict::End(state, reason) => CallEvent::Ended {
                state,
                reason,
                who: None,
                note: None,
            },
        };
        Some((call.id, event))
    }

    fn opening(&self, unit: &Unit, need: Need, remind_at: Millis) -> CallEvent {
        let reopened = unit
            .last_call
            .filter(|last| self.stamp.now.since(last.ended) <= SAME_TROUBLE)
            .map_or(0, |last| last.reopened + 1);
        CallEvent::Opened {
            number: self.fleet.calls_raised + 1,
            need,
            reopened,
            remind_at,
        }
    }

    /// A `UUIDv7` (RFC 9562) from the hub's time, the seed and the place in the journal.
    fn new_id(&self) -> Uuid {
        let millis = u64::try_from(self.stamp.now.0).unwrap_or(0);
        let mut bytes = [0; 10];
        bytes[..8].copy_from_slice(
            &mixed(self.stamp.seed ^ self.fleet.seq.rotate_left(17)).to_be_bytes(),
        );
        bytes[8..].copy_from_slice(&(self.fleet.seq as u16).to_be_bytes());
        Builder::from_unix_timestamp_millis(millis, &bytes).into_uuid()
    }

    fn live_call(&self, name: CallName) -> Result<&Call, Refusal> {
        let call = match name {
            CallName::Id(id) => self.fleet.call(id),
            CallName::Number(number) => self.fleet.call_numbered(number),
        };
        call.ok_or(Refusal::UnknownCall)
    }

    /// The times in force for a unit, the fleet's where it is not known.
    fn times(&self, unit: &Callsign) -> LeadTimes {
        let fleet = &self.fleet;
        fleet.units.get(unit).map_or_else(
            || fleet.limits.in_force(None, None),
            |unit| fleet.lead_times(unit),
        )
    }

    fn claim(
        &mut self,
        name: CallName,
        who: PersonName,
        note: Option<String>,
    ) -> Result<Answer, Refusal> {
        let call = self.live_call(name)?;
        let (id, unit) = (call.id, call.unit.clone());
        match (&call.claim, call.state) {
            (_, state) if !state.is_live() => return Err(Refusal::CallEnded(call.reason.name())),
            (Some(claim), _) if claim.who != who => {
                return Err(Refusal::AlreadyClaimed(claim.who.clone()));
            }
            // Claiming again what one has is a repeated press; some time later it is "still on my way", and renews.
            (Some(claim), _) if self.stamp.now.since(claim.at) < RENEWS_AFTER => {
                return Ok(Answer::Call(id));
            }
            _ => {}
        }
        let now = self.stamp.now;
        let lapses_at = now.plus(policy::claim_lasts(call, &self.times(&unit), now));
        self.append_call(
            &unit,
            id,
            CallEvent::Claimed {
                who,
                note,
                lapses_at,
            },
        );
        Ok(Answer::Call(id))
    }

    fn release(&mut self, name: CallName, who: Option<&PersonName>) -> Result<Answer, Refusal> {
        let call = self.live_call(name)?;
        let (id, unit) = (call.id, call.unit.clone());
        if !call.state.is_live() {
            return Err(Refusal::CallEnded(call.reason.name()));
        }
        let holder = call.claim.as_ref().map(|claim| claim.who.clone());
        match (&holder, who) {
            // Handing back what nobody has: a repeated press.
            (None, _) => return Ok(Answer::Call(id)),
            (Some(holder), Some(who)) if holder != who => {
                return Err(Refusal::NotYourClaim(Some(holder.clone())));
            }
            _ => {}
        }
        let remind_at = self.stamp.now.plus(self.times(&unit).remind);
        self.append_call(
            &unit,
            id,
            CallEvent::Freed {
                reason: Reason::Released,
                remind_at,
            },
        );
        Ok(Answer::Call(id))
    }

    fn done(
        &mut self,
        name: CallName,
        who: PersonName,
        note: Option<String>,
    ) -> Result<Answer, Refusal> {
        let call = self.live_call(name)?;
        let (id, unit) = (call.id, call.unit.clone());
        match call.state {
            // Done twice is done once; the report may have been faster than the runner's thumb.
            CallState::Done => return Ok(Answer::Call(id)),
            state if !state.is_live() => return Err(Refusal::CallEnded(call.reason.name())),
            _ => {}
        }
        let event = CallEvent::Ended {
            state: CallState::Done,
            reason: Reason::SaidDone,
            who: Some(who),
            note,
        };
        self.append_call(&unit, id, event);
        Ok(Answer::Call(id))
    }
}

/// The finaliser of `SplitMix64` (Steele, Lea and Flood 2014): spreads a counter over 64 bits.
fn mixed(mut z: u64) -> u64 {
    z = z.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
