//! `calls`, `claim`, `release`, `done`, `undo`.

use swapcall_wire::{CallList, CallView, ClaimRequest, DoneRequest, UndoRequest};

use super::Desk;
use crate::args::{CallsArgs, ClaimArgs, DoneArgs, ReleaseArgs, UndoArgs};
use crate::exit::Exit;
use crate::hub::{Hub, HubError, path_segment};
use crate::show;
use crate::trouble::Trouble;

/// Takes a call.
pub fn claim(hub: &Hub, call: &str, request: &ClaimRequest) -> Result<CallView, HubError> {
    hub.post(&format!("/v1/calls/{}/claim", path_segment(call)), request)
}

/// Gives a call back.
pub fn release(hub: &Hub, call: &str) -> Result<CallView, HubError> {
    hub.post(
        &format!("/v1/calls/{}/release", path_segment(call)),
        &ClaimRequest::default(),
    )
}

/// Says that a call is done.
pub fn done(hub: &Hub, call: &str, request: &DoneRequest) -> Result<CallView, HubError> {
    hub.post(&format!("/v1/calls/{}/done", path_segment(call)), request)
}

/// Runs `calls`.
pub fn list(args: &CallsArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let path = if args.all {
        "/v1/calls?ended=true"
    } else {
        "/v1/calls"
    };
    let list: CallList = desk.hub.get(path)?;
    desk.console.answer(&list, |list| {
        if list.calls.is_empty() {
            return "no calls".to_owned();
        }
        list.calls
            .iter()
            .map(show::call)
            .collect::<Vec<_>>()
            .join("\n")
    })?;
    Ok(Exit::Ok)
}

/// Runs `claim`.
pub fn run_claim(args: &ClaimArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let request = ClaimRequest {
        who: args.who.clone(),
        note: args.note.clone(),
    };
    let call = claim(&desk.hub, &args.call, &request)?;
    answer(&call, desk)
}

/// Runs `release`.
pub fn run_release(args: &ReleaseArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let call = release(&desk.hub, &args.call)?;
    answer(&call, desk)
}

/// Runs `done`.
pub fn run_done(args: &DoneArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let call = done(
        &desk.hub,
        &args.call,
        &DoneRequest {
            note: args.note.clone(),
        },
    )?;
    answer(&call, desk)
}

/// Runs `undo`.
pub fn run_undo(args: &UndoArgs, desk: &mut Desk) -> Result<Exit, Trouble> {
    let path = format!("/v1/calls/{}/undo", path_segment(&args.call));
    let call: CallView = desk.hub.post(&path, &UndoRequest::default())?;
    answer(&call, desk)
}

fn answer(call: &CallView, desk: &mut Desk) -> Result<Exit, Trouble> {
    desk.console.answer(call, show::call)?;
    Ok(Exit::Ok)
}
