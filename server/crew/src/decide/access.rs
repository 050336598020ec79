//! Tokens, sessions and join codes: who gets in, and what ends with what.

use uuid::Uuid;

use super::Turn;
use crate::fleet::{JOINS_MAX, SESSIONS_MAX, TOKENS_MAX};
use crate::{Answer, Callsign, Join, Pass, Record, Refusal, Role, Token, TokenHash};

impl Turn<'_> {
    pub(super) fn add_token(&mut self, token: Box<Token>) -> Result<Answer, Refusal> {
        self.are_registered(&token.units)?;
        self.is_room_for(token.parent)?;
        self.append(Record::TokenAdded(token));
        Ok(Answer::Done)
    }

    pub(super) fn revoke_token(&mut self, id: Uuid) -> Result<Answer, Refusal> {
        let token = self.fleet.tokens.get(&id).ok_or(Refusal::UnknownToken)?;
        let other_owner =
            |other: &Token| other.role == Role::Owner && other.parent.is_none() && other.id != id;
        if token.role == Role::Owner
            && token.parent.is_none()
            && !self.fleet.tokens.values().any(other_owner)
        {
            return Err(Refusal::LastOwner);
        }
        self.append(Record::TokenRevoked { id });
        Ok(Answer::Done)
    }

    pub(super) fn make_join(&mut self, join: Box<Join>) -> Result<Answer, Refusal> {
        // The maker may have been revoked while this waited.
        if !self.fleet.tokens.contains_key(&join.maker) {
            return Err(Refusal::UnknownToken);
        }
        self.are_registered(&join.units)?;
        if self.fleet.joins.len() >= JOINS_MAX {
            return Err(Refusal::LimitReached(format!(
                "a hub keeps {JOINS_MAX} open join codes; use some, or wait until they end"
            )));
        }
        self.append(Record::JoinMade(join));
        Ok(Answer::Done)
    }

    /// Commands come one after the other, so of two that bring the same code the second finds it gone.
    pub(super) fn use_join(&mut self, hash: &TokenHash, pass: Pass) -> Result<Answer, Refusal> {
        let now = self.stamp.now;
        // Hashes are compared, not codes: how long this takes says nothing that helps a guess.
        let open = |join: &&Join| join.hash == *hash && now < join.expires;
        let join = self.fleet.joins.values().find(open).cloned();
        let join = join.ok_or(Refusal::UnknownJoin)?;
        self.is_room_for(None)?;
        let token = Token {
            id: pass.id,
            name: join.name,
            role: join.role,
            units: join.units,
            hash: pass.hash,
            created: now,
            expires: pass.expires,
            // What has an end is a browser's session, which a sign-out ends.
            parent: pass.expires.map(|_| join.id),
        };
        self.append(Record::JoinUsed { id: join.id });
        self.append(Record::TokenAdded(Box::new(token.clone())));
        Ok(Answer::Joined(Box::new(token)))
    }

    /// Ends sessions and codes whose time is over.
    pub(super) fn end_what_is_over(&mut self) {
        let now = self.stamp.now;
        let over: Vec<Uuid> = self
            .fleet
            .tokens
            .values()
            .filter(|token| token.expires.is_some_and(|expires| now >= expires))
            .map(|token| token.id)
            .collect();
        for id in over {
            self.append(Record::TokenRevoked { id });
        }
        let joins = self.fleet.joins.values();
        let over: Vec<Uuid> = joins
            .filter(|join| now >= join.expires)
            .map(|join| join.id)
            .collect();
        for id in over {
            self.append(Record::JoinExpired { id });
        }
    }

    fn are_registered(&self, units: &[Callsign]) -> Result<(), Refusal> {
        match units
            .iter()
            .find(|unit| !self.fleet.units.contains_key(*unit))
        {
            Some(unit) => Err(Refusal::UnknownUnit(unit.clone())),
            None => Ok(()),
        }
    }

    fn is_room_for(&self, parent: Option<Uuid>) -> Result<(), Refusal> {
        let tokens = &self.fleet.tokens;
        if tokens.len() >= TOKENS_MAX {
            return Err(Refusal::LimitReached(format!(
                "a hub keeps {TOKENS_MAX} tokens and sessions; revoke some"
            )));
        }
        let sessions = |parent| {
            let of_it = tokens.values().filter(|token| token.parent == Some(parent));
            of_it.count()
        };
        if parent.is_some_and(|parent| sessions(parent) >= SESSIONS_MAX) {
            return Err(Refusal::LimitReached(format!(
                "{SESSIONS_MAX} browsers are signed in with this token; sign out somewhere, or use another token"
            )));
        }
        Ok(())
    }
}
