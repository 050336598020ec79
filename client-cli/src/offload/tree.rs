//! Hashes of folders (ASC MHL, appendix G): one of what is in them, one of how it is called. Pure.

use std::collections::BTreeMap;

use super::algorithm::{Algorithm, Digest};

/// The two hashes of a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FolderHash {
    /// Of everything in it, whatever it is called.
    pub content: Digest,
    /// Of everything in it with its names.
    pub structure: Digest,
}

/// Hashes that wait to become a folder's.
#[derive(Default)]
struct Children {
    content: Vec<Digest>,
    structure: Vec<Digest>,
}

impl Children {
    fn add(&mut self, algorithm: Algorithm, name: &str, content: Digest, structure: &Digest) {
        let named = [name.as_bytes(), structure.bytes()].concat();
        self.content.push(content);
        self.structure.push(algorithm.of(&named));
    }

    fn finish(self, algorithm: Algorithm) -> FolderHash {
        let of_all = |mut hashes: Vec<Digest>| {
            hashes.sort_by_cached_key(Digest::text);
            let bytes: Vec<u8> = hashes.iter().flat_map(|one| one.bytes().to_vec()).collect();
            algorithm.of(&bytes)
        };
        FolderHash {
            content: of_all(self.content),
            structure: of_all(self.structure),
        }
    }
}

/// The hashes of every folder by its path, the top's under the empty one. `files` are paths with their hash, `folders` all
/// folders, those without files too.
pub fn folder_hashes<'a>(
    algorithm: Algorithm,
    files: impl IntoIterator<Item = (&'a str, Digest)>,
    folders: impl IntoIterator<Item = &'a str>,
) -> BTreeMap<String, FolderHash> {
    let mut children: BTreeMap<String, Children> = BTreeMap::new();
    children.entry(String::new()).or_default();
    for folder in folders {
        children.entry(folder.to_owned()).or_default();
    }
    for (path, digest) in files {
        let (folder, name) = path.rsplit_once('/').unwrap_or(("", path));
        let folder = children.entry(folder.to_owned()).or_default();
        folder.add(algorithm, name, digest.clone(), &digest);
    }
    let mut paths: Vec<String> = children.keys().cloned().collect();
    // The deepest first: each folder needs those in it.
    paths.sort_by_key(|path| std::cmp::Reverse(depth(path)));
    let mut hashes = BTreeMap::new();
    for path in paths {
        let Some(own) = children.remove(&path) else {
            continue;
        };
        let hash = own.finish(algorithm);
        if !path.is_empty() {
            let (above, name) = path.rsplit_once('/').unwrap_or(("", &path));
            let above = children.entry(above.to_owned()).or_default();
            above.add(algorithm, name, hash.content.clone(), &hash.structure);
        }
        hashes.insert(path, hash);
    }
    hashes
}

/// How many folders above it; the top itself comes last.
fn depth(path: &str) -> usize {
    match path {
        "" => 0,
        path => path.split('/').count(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worked_example_of_the_standard_comes_out() {
        // Example files of ascmitc/mhl (MIT), scenario_01/travel_01: M-MHL-DIR in tests/data/vectors.json.
        let xxh64 = |text: &str| Algorithm::Xxh64.of(text.as_bytes());
        let files = [
            ("Clips/A002C006_141024_R2EC.mov", xxh64("abcd\n")),
            ("Clips/A002C007_141024_R2EC.mov", xxh64("def\n")),
            (
                "Sidecar.txt",
                xxh64("BLOREM ipsum dolor sit amet, consetetur sadipscing elitr.\n"),
            ),
        ];
        let hashes = folder_hashes(Algorithm::Xxh64, files, ["Clips"]);
        let texts = |path: &str| (hashes[path].content.text(), hashes[path].structure.text());
        let both = |content: &str, structure: &str| (content.to_owned(), structure.to_owned());
        assert_eq!(texts("Clips"), both("4c226b42e27d7af3", "906faa843d591a9f"));
        assert_eq!(texts(""), both("8d02114c32e28cbe", "f557f8ca8e5a88ef"));
    }

    #[test]
    fn a_name_changes_the_structure_alone_and_an_empty_folder_counts() {
        let one = |name: &'static str, folders: &[&'static str]| {
            let digest = Algorithm::Md5.of(b"x");
            folder_hashes(Algorithm::Md5, [(name, digest)], folders.to_vec())
                .remove("")
                .unwrap()
        };
        assert_eq!(one("a", &[]).content, one("b", &[]).content);
        assert_ne!(one("a", &[]).structure, one("b", &[]).structure);
        assert_ne!(one("a", &[]).content, one("a", &["empty"]).content);
    }
}
