//! The owner's token: made on the first start, printed once, kept in a file that only its owner can read.

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

use swapcall_crew::{Command, PersonName, Role, Token};
use swapcall_desk::Desk;
use swapcall_http::TokenText;

use crate::HubError;

/// Name of the file in the data folder.
pub(crate) const FILE_NAME: &str = "owner-token";

/// Makes an owner's token where the store has none, and returns it.
pub(crate) async fn ensure(desk: &Desk, file: Option<&Path>) -> Result<Option<String>, HubError> {
    if desk
        .published()
        .tokens()
        .any(|token| token.role == Role::Owner && token.parent.is_none())
    {
        return Ok(None);
    }
    let text = TokenText::new();
    // The file first: a token that is in the journal but nowhere else would lock everybody out.
    if let Some(file) = file {
        write_private(file, &text.reveal()).map_err(HubError::file(file))?;
    }
    let name = PersonName::new("owner").map_err(|error| HubError::Internal(error.to_string()))?;
    let token = Token {
        id: text.id(),
        name,
        role: Role::Owner,
        units: Vec::new(),
        hash: text.hash(),
        created: desk.now(),
        expires: None,
        parent: None,
    };
    let added = desk.submit(Command::AddToken(Box::new(token))).await;
    added.map_err(|error| {
        HubError::Journal(format!("the owner's token could not be stored: {error}"))
    })?;
    Ok(Some(text.reveal()))
}

/// Writes a file that only its owner can read, durably, whatever was there before.
pub(crate) fn write_private(path: &Path, text: &str) -> std::io::Result<()> {
    if path.exists() {
        std::fs::remove_file(path)?;
    }
    let mut file = OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(path)?;
    writeln!(file, "{text}")?;
    file.sync_all()?;
    // The name as well: a power cut could otherwise leave a journal that knows the token, and no file that has it.
    match path.parent() {
        Some(folder) if cfg!(unix) && folder.as_os_str().is_empty() => File::open(".")?.sync_all(),
        Some(folder) if cfg!(unix) => File::open(folder)?.sync_all(),
        _ => Ok(()),
    }
}
