//! Connections as CIPA DC-005 has them: a command connection, then the event connection that names it; both or none.

use std::io::{self, Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::thread::spawn;

use super::layout::Layout;
use super::operations::Session;
use super::{Manner, State, lock};

/// Nothing that an initiator sends here is longer.
const LONGEST: u32 = 4096;
/// The camera's own GUID.
const GUID: [u8; 16] = *b"a camera of ours";

/// Takes connections until the camera is switched off.
pub(super) fn accept(listener: &TcpListener, state: &Arc<Mutex<State>>) {
    for stream in listener.incoming() {
        let mut shared = lock(state);
        if shared.ended {
            return;
        }
        let Ok(stream) = stream else { continue };
        let Ok(other) = stream.try_clone() else {
            continue;
        };
        let _ = stream.set_nodelay(true);
        shared.open.push(other);
        let state = Arc::clone(state);
        spawn(move || serve(stream, &state));
    }
}

/// One packet: its type and its body.
pub(super) fn packet(from: &mut TcpStream) -> io::Result<(u32, Vec<u8>)> {
    let mut head = [0; 8];
    from.read_exact(&mut head)?;
    let (length, kind) = head.split_at(4);
    let number = |four: &[u8]| {
        four.iter()
            .rev()
            .fold(0, |sum, byte| (sum << 8) | u32::from(*byte))
    };
    let length = number(length);
    if !(8..=LONGEST).contains(&length) {
        return Err(io::ErrorKind::InvalidData.into());
    }
    let mut body = vec![0; length as usize - 8];
    from.read_exact(&mut body)?;
    Ok((number(kind), body))
}

fn serve(mut stream: TcpStream, state: &Mutex<State>) {
    // However it ends, the connection ends with it.
    let _ = match packet(&mut stream) {
        Ok((1, body)) => command(&mut stream, &body, state),
        Ok((3, body)) => event(&mut stream, &body, state),
        _ => Ok(()),
    };
    let _ = stream.shutdown(Shutdown::Both);
}

/// What the camera's manner makes of a connection before it begins.
fn received(stream: &mut TcpStream, state: &Mutex<State>) -> io::Result<()> {
    let manner = lock(state).manner;
    match manner {
        Manner::Mute => stay_mute(stream),
        Manner::HangsUp => Err(io::ErrorKind::ConnectionAborted.into()),
        Manner::Refuses(reason) => {
            stream.write_all(&Layout::default().u32(reason).packet(5))?;
            Err(io::ErrorKind::ConnectionRefused.into())
        }
        _ => Ok(()),
    }
}

/// Swallows bytes until the other side ends.
pub(super) fn stay_mute(stream: &mut TcpStream) -> io::Result<()> {
    io::copy(stream, &mut io::sink())?;
    Err(io::ErrorKind::TimedOut.into())
}

/// `Init_Command_Request`: GUID, friendly name up to a zero, version 1.0 in four bytes. One initiator at a time.
fn command(stream: &mut TcpStream, body: &[u8], state: &Mutex<State>) -> io::Result<()> {
    received(stream, state)?;
    let Some((guid, name)) = initiator(body) else {
        return stream.write_all(&Layout::default().u32(1).packet(5));
    };
    let number = {
        let mut shared = lock(state);
        shared.initiators.push((guid, name));
        if shared.command.is_some() {
            let busy = Layout::default().u32(2).packet(5);
            return stream.write_all(&busy);
        }
        shared.number += 1;
        shared.command = Some(stream.try_clone()?);
        shared.number
    };
    let acknowledged = Layout::default().u32(number).bytes(&GUID).name("River");
    stream.write_all(&acknowledged.u32(0x0001_0000).packet(2))?;
    let ended = Session::new(state).serve(stream);
    let mut shared = lock(state);
    if shared.number == number {
        shared.end_session();
    }
    ended
}

/// Who it is, where the packet has exactly the length that it should, and the version at its end.
fn initiator(body: &[u8]) -> Option<([u8; 16], String)> {
    let guid = body.get(..16)?.try_into().ok()?;
    let (name, version) = body[16..].split_last_chunk::<4>()?;
    (*version == [0, 0, 1, 0]).then_some(())?;
    let characters = name.chunks(2).map(|pair| match pair {
        [low, high] => Some(u16::from_le_bytes([*low, *high])),
        _ => None,
    });
    let characters: Vec<u16> = characters.collect::<Option<_>>()?;
    let (end, characters) = characters.split_last()?;
    if *end != 0 || characters.contains(&0) {
        return None;
    }
    Some((guid, String::from_utf16(characters).ok()?))
}

/// `Init_Event_Request`: the number of the command connection. Probes are answered, answers to probes counted.
fn event(stream: &mut TcpStream, body: &[u8], state: &Mutex<State>) -> io::Result<()> {
    {
        let mut shared = lock(state);
        let known = body == shared.number.to_le_bytes() && shared.command.is_some();
        if !known || shared.event.is_some() {
            return stream.write_all(&Layout::default().u32(1).packet(5));
        }
        // Answered under the lock: no event may go before it.
        stream.write_all(&Layout::default().packet(4))?;
        shared.event = Some(stream.try_clone()?);
    }
    let ended = loop {
        match packet(stream) {
            Ok((13, _)) => stream.write_all(&Layout::default().packet(14))?,
            Ok((14, _)) => lock(state).probe_answers += 1,
            Ok(_) => break Ok(()),
            Err(error) => break Err(error),
        }
    };
    let mut shared = lock(state);
    if body == shared.number.to_le_bytes() {
        shared.end_session();
    }
    ended
}
