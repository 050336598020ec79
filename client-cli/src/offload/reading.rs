//! Manifests and chains that others, or earlier runs, wrote: what they say of files. Pure.

use std::collections::BTreeMap;

use quick_xml::events::{BytesStart, Event};
use quick_xml::name::ResolveResult;
use quick_xml::reader::NsReader;

use super::algorithm::Algorithm;
use super::manifest::{CHAIN_SPACE, Generation, MANIFEST_SPACE};

/// Deeper than any manifest is.
const DEEPEST: usize = 16;

/// Of each path, each hash's first text.
pub type Known = BTreeMap<String, BTreeMap<Algorithm, String>>;

/// What a manifest says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// The program that wrote it.
    pub tool: String,
    /// Files and their hashes; of one that failed then, nothing.
    pub known: Known,
}

/// An element as it ends: where it stood, its text, and one attribute.
struct Ended {
    path: Vec<String>,
    text: String,
    attribute: String,
}

/// Goes through a text and tells each element of this namespace as it ends, with the attribute of this name.
fn each(
    text: &str,
    space: &str,
    attribute: &str,
    mut tell: impl FnMut(Ended) -> Result<(), String>,
) -> Result<(), String> {
    let mut reader = NsReader::from_str(text);
    reader.config_mut().expand_empty_elements = true;
    let wrong = |error: &dyn std::fmt::Display| format!("is no XML: {error}");
    let mut open: Vec<(String, String, String)> = Vec::new();
    loop {
        let (found, event) = reader
            .read_resolved_event()
            .map_err(|error| wrong(&error))?;
        let ours = matches!(found, ResolveResult::Bound(bound) if bound.as_ref() == space);
        match event {
            Event::Start(start) => {
                if open.len() == DEEPEST {
                    return Err("goes too deep".to_owned());
                }
                let name = if ours {
                    start.local_name().as_ref().to_owned()
                } else {
                    "?".to_owned()
                };
                open.push((name, String::new(), attribute_of(&start, attribute)?));
            }
            Event::Text(part) => push(&mut open, &part.xml10_content()),
            Event::CData(part) => push(&mut open, &part.xml10_content()),
            Event::GeneralRef(part) => {
                let letter = part.resolve_char_ref().map_err(|error| wrong(&error))?;
                let letter = letter.map(String::from).or_else(|| {
                    let known = quick_xml::escape::resolve_predefined_entity(&part);
                    known.map(str::to_owned)
                });
                push(&mut open, &letter.ok_or("names an unknown entity")?);
            }
            Event::End(_) => {
                let path: Vec<String> = open.iter().map(|(name, ..)| name.clone()).collect();
                if let Some((_, text, attribute)) = open.pop() {
                    tell(Ended {
                        path,
                        text,
                        attribute,
                    })?;
                }
            }
            Event::Eof if open.is_empty() => return Ok(()),
            Event::Eof => return Err("breaks off".to_owned()),
            _ => {}
        }
    }
}

fn push(open: &mut [(String, String, String)], more: &str) {
    if let Some((_, text, _)) = open.last_mut() {
        text.push_str(more);
    }
}

fn attribute_of(start: &BytesStart<'_>, name: &str) -> Result<String, String> {
    let found = start
        .try_get_attribute(name)
        .map_err(|error| format!("is no XML: {error}"))?;
    Ok(found.map_or_else(String::new, |found| found.value.into_owned()))
}

/// What a manifest says of files.
pub fn manifest(text: &str) -> Result<Said, String> {
    let mut said = Said::default();
    let (mut path, mut hashes) = (String::new(), BTreeMap::new());
    let mut is_manifest = false;
    each(text, MANIFEST_SPACE, "action", |ended| {
        let names: Vec<&str> = ended.path.iter().map(String::as_str).collect();
        match names.as_slice() {
            ["hashlist"] => is_manifest = true,
            ["hashlist", "creatorinfo", "tool"] => said.tool = ended.text,
            ["hashlist", "hashes", "hash", "path"] => path = ended.text,
            ["hashlist", "hashes", "hash", name] => {
                let algorithm = Algorithm::in_manifest(name);
                if let Some(algorithm) = algorithm.filter(|_| ended.attribute != "failed") {
                    hashes.insert(algorithm, ended.text);
                }
            }
            ["hashlist", "hashes", "hash"] => {
                said.known
                    .insert(std::mem::take(&mut path), std::mem::take(&mut hashes));
            }
            _ => {}
        }
        Ok(())
    })?;
    if is_manifest {
        Ok(said)
    } else {
        Err("is no manifest of ASC MHL 2.0".to_owned())
    }
}

/// The manifests that a chain lists, in order.
pub fn chain(text: &str) -> Result<Vec<Generation>, String> {
    let mut chain: Vec<Generation> = Vec::new();
    let (mut file, mut c4) = (String::new(), String::new());
    let mut is_chain = false;
    each(text, CHAIN_SPACE, "sequencenr", |ended| {
        let names: Vec<&str> = ended.path.iter().map(String::as_str).collect();
        match names.as_slice() {
            ["ascmhldirectory"] => is_chain = true,
            ["ascmhldirectory", "hashlist", "path"] => file = ended.text,
            ["ascmhldirectory", "hashlist", "c4"] => c4 = ended.text,
            ["ascmhldirectory", "hashlist"] => {
                let number = ended
                    .attribute
                    .parse()
                    .map_err(|_| "numbers a manifest strangely")?;
                if file.is_empty() || file.contains('/') {
                    return Err(format!("names a manifest strangely: “{file}”"));
                }
                chain.push(Generation {
                    number,
                    file: std::mem::take(&mut file),
                    c4: std::mem::take(&mut c4),
                });
            }
            _ => {}
        }
        Ok(())
    })?;
    let in_order = chain
        .iter()
        .zip(1_u32..)
        .all(|(one, number)| one.number == number);
    match (is_chain, in_order) {
        (false, _) => Err("is no chain of ASC MHL 2.0".to_owned()),
        (_, false) => Err("does not count its manifests 1, 2, 3 …".to_owned()),
        _ => Ok(chain),
    }
}
