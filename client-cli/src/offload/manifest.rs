//! Manifests and their chain as ASC MHL writes them (namespaces `urn:ASC:MHL:v2.0` and `urn:ASC:MHL:DIRECTORY:v2.0`): text
//! from values and values from text. Pure.

use std::io;

use jiff::Timestamp;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use super::algorithm::Digest;

/// Namespace of a manifest.
pub(super) const MANIFEST_SPACE: &str = "urn:ASC:MHL:v2.0";
/// Namespace of a chain.
pub(super) const CHAIN_SPACE: &str = "urn:ASC:MHL:DIRECTORY:v2.0";
/// Who we are in a manifest.
pub const TOOL: &str = "swapcall";

/// One file in a manifest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileEntry {
    /// Its path below the copied folder, with slashes.
    pub path: String,
    /// Its bytes.
    pub size: u64,
    /// When it was last written.
    pub modified: Timestamp,
    /// Its hashes, in the manifest's order, and whether an earlier manifest has the same one.
    pub hashes: Vec<(Digest, bool)>,
}

/// A folder's hashes in a manifest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FolderEntry {
    /// Its path, with slashes; empty for the top.
    pub path: String,
    /// Hashes of what is in it.
    pub content: Vec<Digest>,
    /// Hashes of that with its names.
    pub structure: Vec<Digest>,
}

/// A manifest to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Manifest {
    /// When it is written.
    pub at: Timestamp,
    /// On which computer.
    pub host: String,
    /// The files, sorted.
    pub files: Vec<FileEntry>,
    /// The folders, the top among them.
    pub folders: Vec<FolderEntry>,
    /// Patterns of what does not belong to it.
    pub ignored: Vec<String>,
}

/// One manifest in a chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Generation {
    /// Counts from 1.
    pub number: u32,
    /// Its file.
    pub file: String,
    /// C4 ID of that file's bytes.
    pub c4: String,
}

/// The name of a manifest: number, folder, and UTC time down to the second.
pub fn file_name(number: u32, folder: &str, at: Timestamp) -> String {
    format!(
        "{number:04}_{folder}_{}.mhl",
        at.strftime("%Y-%m-%d_%H%M%SZ")
    )
}

/// Whether a name can stand in a manifest: XML 1.0 knows no control characters, and its line ends are not kept.
pub fn can_be_listed(name: &str) -> bool {
    !name
        .chars()
        .any(|letter| letter.is_control() || matches!(letter, '\u{FFFE}' | '\u{FFFF}'))
}

fn stamp(at: Timestamp) -> String {
    at.strftime("%Y-%m-%dT%H:%M:%S+00:00").to_string()
}

type Xml = Writer<Vec<u8>>;

impl Manifest {
    /// Its text.
    pub fn text(&self) -> io::Result<Vec<u8>> {
        let mut xml = begun()?;
        xml.create_element("hashlist")
            .with_attributes([("version", "2.0"), ("xmlns", MANIFEST_SPACE)])
            .write_inner_content(|xml| {
                self.write_creator(xml)?;
                self.write_process(xml)?;
                if self.files.is_empty() && self.folders.len() <= 1 {
                    return Ok(());
                }
                xml.create_element("hashes").write_inner_content(|xml| {
                    for file in &self.files {
                        self.write_file(xml, file)?;
                    }
                    for folder in self.folders.iter().filter(|one| !one.path.is_empty()) {
                        xml.create_element("directoryhash")
                            .write_inner_content(|xml| {
                                write_text(xml, "path", &folder.path)?;
                                self.write_folder_hashes(xml, folder)
                            })?;
                    }
                    Ok(())
                })?;
                Ok(())
            })?;
        Ok(ended(xml))
    }

    fn write_creator(&self, xml: &mut Xml) -> io::Result<()> {
        xml.create_element("creatorinfo")
            .write_inner_content(|xml| {
                write_text(xml, "creationdate", &stamp(self.at))?;
                write_text(xml, "hostname", &self.host)?;
                xml.create_element("tool")
                    .with_attribute(("version", env!("CARGO_PKG_VERSION")))
                    .write_text_content(BytesText::new(TOOL))?;
                Ok(())
            })?;
        Ok(())
    }

    fn write_process(&self, xml: &mut Xml) -> io::Result<()> {
        let top = self.folders.iter().find(|folder| folder.path.is_empty());
        xml.create_element("processinfo")
            .write_inner_content(|xml| {
                write_text(xml, "process", "transfer")?;
                if let Some(top) = top {
                    xml.create_element("roothash")
                        .write_inner_content(|xml| self.write_folder_hashes(xml, top))?;
                }
                xml.create_element("ignore").write_inner_content(|xml| {
                    self.ignored
                        .iter()
                        .try_for_each(|pattern| write_text(xml, "pattern", pattern))
                })?;
                Ok(())
            })?;
        Ok(())
    }

    fn write_file(&self, xml: &mut Xml, file: &FileEntry) -> io::Result<()> {
        xml.create_element("hash").write_inner_content(|xml| {
            xml.create_element("path")
                .with_attribute(("size", file.size.to_string().as_str()))
                .with_attribute(("lastmodificationdate", stamp(file.modified).as_str()))
                .write_text_content(BytesText::new(&file.path))?;
            for (digest, known) in &file.hashes {
                let action = if *known { "verified" } else { "original" };
                xml.create_element(digest.algorithm().name())
                    .with_attribute(("action", action))
                    .with_attribute(("hashdate", stamp(self.at).as_str()))
                    .write_text_content(BytesText::new(&digest.text()))?;
            }
            Ok(())
        })?;
        Ok(())
    }

    fn write_folder_hashes(&self, xml: &mut Xml, folder: &FolderEntry) -> io::Result<()> {
        for (name, digests) in [
            ("content", &folder.content),
            ("structure", &folder.structure),
        ] {
            xml.create_element(name).write_inner_content(|xml| {
                for digest in digests {
                    xml.create_element(digest.algorithm().name())
                        .with_attribute(("hashdate", stamp(self.at).as_str()))
                        .write_text_content(BytesText::new(&digest.text()))?;
                }
                Ok(())
            })?;
        }
        Ok(())
    }
}

/// The text of a chain.
pub fn chain_text(chain: &[Generation]) -> io::Result<Vec<u8>> {
    let mut xml = begun()?;
    xml.create_element("ascmhldirectory")
        .with_attribute(("xmlns", CHAIN_SPACE))
        .write_inner_content(|xml| {
            for one in chain {
                xml.create_element("hashlist")
                    .with_attribute(("sequencenr", one.number.to_string().as_str()))
                    .write_inner_content(|xml| {
                        write_text(xml, "path", &one.file)?;
                        write_text(xml, "c4", &one.c4)
                    })?;
            }
            Ok(())
        })?;
    Ok(ended(xml))
}

fn begun() -> io::Result<Xml> {
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 2);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    Ok(xml)
}

fn ended(xml: Xml) -> Vec<u8> {
    let mut text = xml.into_inner();
    text.push(b'\n');
    text
}

fn write_text(xml: &mut Xml, name: &str, text: &str) -> io::Result<()> {
    xml.create_element(name)
        .write_text_content(BytesText::new(text))?;
    Ok(())
}

#[cfg(test)]
#[path = "manifest_test.rs"]
mod tests;
