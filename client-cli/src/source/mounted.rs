//! What is mounted, by `/proc/self/mountinfo` (proc(5)), and what a file system is called, by the links that udev keeps in
//! `/dev/disk/by-label`. Both can be read without rights.

use std::ffi::OsString;
use std::fs;
use std::os::unix::ffi::OsStringExt;
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};

use crate::words;

/// What a FAT file system without a label has in its place (FAT specification, the field `BS_VolLab`).
const NO_LABEL: &str = "NO NAME";

/// One mounted file system.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Mounted {
    /// Major and minor number of its device.
    pub(super) device: (u32, u32),
    /// The folder it is mounted on.
    pub(super) path: PathBuf,
    /// Its type.
    pub(super) kind: String,
    /// What was mounted, usually a device.
    pub(super) source: PathBuf,
}

/// The system's tables, below a folder that is `/` but for tests.
#[derive(Clone, Debug)]
pub(super) struct System {
    root: PathBuf,
}

impl Default for System {
    fn default() -> Self {
        Self { root: "/".into() }
    }
}

impl System {
    /// Everything that is mounted and whose device is still there, in the order in which it was mounted.
    pub(super) fn mounted(&self) -> Result<Vec<Mounted>, String> {
        let table = self.root.join("proc/self/mountinfo");
        let text = fs::read(&table)
            .map_err(|error| format!("cannot read {}: {error}", table.display()))?;
        let lines = text.split(|byte| *byte == b'\n');
        Ok(lines
            .filter_map(parse)
            .filter(|mounted| self.has_device(mounted))
            .collect())
    }

    /// What is mounted on exactly this folder: the last one of several hides the others.
    pub(super) fn at(&self, path: &Path) -> Result<Option<Mounted>, String> {
        let real = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let all = self.mounted()?;
        Ok(all.into_iter().rev().find(|mounted| mounted.path == real))
    }

    /// A card that was pulled out without being unmounted stays in the table; its device is gone.
    fn has_device(&self, mounted: &Mounted) -> bool {
        let devices = self.root.join("sys/dev/block");
        let (major, minor) = mounted.device;
        // Zero: no device behind it, such as a network share or a file system in memory.
        major == 0 || !devices.is_dir() || devices.join(format!("{major}:{minor}")).exists()
    }

    /// The label of the file system, where it has one that can be a card's.
    pub(super) fn label(&self, mounted: &Mounted) -> Option<String> {
        let entries = fs::read_dir(self.root.join("dev/disk/by-label")).ok()?;
        let source = fs::canonicalize(&mounted.source).ok();
        let is_it = |path: &Path| {
            let number = fs::metadata(path).map_or(0, |link| link.rdev());
            let device = (rustix::fs::major(number), rustix::fs::minor(number));
            device == mounted.device && device.0 != 0
                || source.is_some() && fs::canonicalize(path).ok() == source
        };
        let link = entries.flatten().find(|entry| is_it(&entry.path()))?;
        let label = unescape_udev(&link.file_name().into_vec())?;
        (label != NO_LABEL)
            .then(|| words::label(&label).ok())
            .flatten()
    }
}

/// One line: `ID PARENT MAJOR:MINOR ROOT PATH OPTIONS [TAGS…] - TYPE SOURCE OPTIONS`.
fn parse(line: &[u8]) -> Option<Mounted> {
    let mut words = line.split(|byte| *byte == b' ');
    let device = std::str::from_utf8(words.nth(2)?).ok()?;
    let (major, minor) = device.split_once(':')?;
    let path = words.nth(1)?;
    let mut rest = words.skip_while(|word| *word != b"-").skip(1);
    let kind = String::from_utf8_lossy(rest.next()?).into_owned();
    Some(Mounted {
        device: (major.parse().ok()?, minor.parse().ok()?),
        path: unescape_octal(path),
        kind,
        source: unescape_octal(rest.next()?),
    })
}

/// Space, tab, line feed and backslash stand there as three octal digits.
fn unescape_octal(text: &[u8]) -> PathBuf {
    let digits = |escape: &[u8]| {
        let text = std::str::from_utf8(escape.strip_prefix(b"\\")?).ok()?;
        u8::from_str_radix(text, 8).ok()
    };
    OsString::from_vec(unescape(text, 4, digits)).into()
}

/// udev writes what may not stand in a file name as `\xHH`.
fn unescape_udev(text: &[u8]) -> Option<String> {
    let digits = |escape: &[u8]| {
        let text = std::str::from_utf8(escape.strip_prefix(b"\\x")?).ok()?;
        u8::from_str_radix(text, 16).ok()
    };
    String::from_utf8(unescape(text, 4, digits)).ok()
}

/// Puts a byte in the place of each escape of this length.
fn unescape(text: &[u8], length: usize, byte: impl Fn(&[u8]) -> Option<u8>) -> Vec<u8> {
    let mut out = Vec::with_capacity(text.len());
    let mut at = 0;
    while let Some(plain) = text.get(at) {
        let escape = text.get(at..at + length);
        let (put, taken) = match escape.and_then(&byte) {
            Some(byte) => (byte, length),
            None => (*plain, 1),
        };
        out.push(put);
        at += taken;
    }
    out
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use std::os::unix::fs::symlink;
    use tempfile::TempDir;

    /// A system whose tables a test writes.
    pub(in crate::source) struct Made {
        pub(in crate::source) folder: TempDir,
    }

    impl Made {
        /// A system with these lines in its table; `ROOT` in them is its folder.
        pub(in crate::source) fn new(lines: &[&str]) -> Self {
            let made = Self {
                folder: tempfile::tempdir().unwrap(),
            };
            for folder in ["proc/self", "dev/disk/by-label", "sys/dev/block"] {
                fs::create_dir_all(made.path(folder)).unwrap();
            }
            made.mount(lines);
            made
        }

        pub(in crate::source) fn path(&self, below: &str) -> PathBuf {
            self.folder.path().join(below)
        }

        pub(in crate::source) fn system(&self) -> System {
            System {
                root: self.folder.path().to_owned(),
            }
        }

        pub(in crate::source) fn mount(&self, lines: &[&str]) {
            let root = self.folder.path().display().to_string();
            let text = lines.join("\n").replace("ROOT", &root);
            fs::write(self.path("proc/self/mountinfo"), text).unwrap();
        }

        /// A device `/dev/NAME` with a file system of that label.
        pub(in crate::source) fn labelled(&self, name: &str, link: &str) {
            fs::write(self.path("dev").join(name), "").unwrap();
            symlink(
                format!("../../{name}"),
                self.path("dev/disk/by-label").join(link),
            )
            .unwrap();
        }
    }

    /// The example of proc(5), and a path with every escape.
    #[test]
    fn lines_are_read_as_the_manual_says() {
        let example =
            b"36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3 /dev/root rw,errors=continue";
        let expected = Mounted {
            device: (98, 0),
            path: "/mnt2".into(),
            kind: "ext3".to_owned(),
            source: "/dev/root".into(),
        };
        assert_eq!(parse(example), Some(expected));
        let odd = br"41 27 0:52 / /media/a\040b\011c\012d\134e rw - tmpfs none rw";
        assert_eq!(parse(odd).unwrap().path, Path::new("/media/a b\tc\nd\\e"));
        let many = b"1 2 8:1 / /x rw shared:1 master:2 propagate_from:3 - vfat /dev/sda1 rw";
        assert_eq!(parse(many).unwrap().kind, "vfat");
        for bad in [
            &b""[..],
            b"36 35 98 / /x rw - ext3 y rw",
            b"1 2 8:1 / /x rw shared:1",
        ] {
            assert_eq!(parse(bad), None, "{}", String::from_utf8_lossy(bad));
        }
    }

    #[test]
    fn this_machines_table_has_its_root_and_agrees_with_stat() {
        let root = System::default().at(Path::new("/")).unwrap().unwrap();
        let device = fs::metadata("/").unwrap().dev();
        let by_stat = (rustix::fs::major(device), rustix::fs::minor(device));
        // btrfs gives each of its trees a number of its own, and an overlay too.
        if !["btrfs", "overlay"].contains(&root.kind.as_str()) {
            assert_eq!(root.device, by_stat);
        }
    }

    #[test]
    fn labels_come_from_the_links_of_udev_and_only_legal_ones() {
        let made = Made::new(&[]);
        let line = |name: &str| Mounted {
            device: (8, 1),
            path: "/media/x".into(),
            kind: "vfat".to_owned(),
            source: made.path("dev").join(name),
        };
        for (name, link, label) in [
            ("sda1", "C12", Some("C12")),
            ("sda2", r"CARD\x207\x2f8", Some("CARD 7/8")),
            ("sda3", r"NO\x20NAME", None),
            ("sda4", r"bell\x07", None),
            ("sda5", r"\xff\xfe", None),
            ("sda6", r"\x20led", None),
            ("sda7", "überall", Some("überall")),
        ] {
            made.labelled(name, link);
            let got = made.system().label(&line(name));
            assert_eq!(got.as_deref(), label, "{link}");
        }
        assert_eq!(made.system().label(&line("sdb1")), None);
    }

    #[test]
    fn a_card_that_was_pulled_without_unmounting_is_gone_with_its_device() {
        let made = Made::new(&["36 35 8:17 / /media/card rw - vfat /dev/sdb1 rw"]);
        assert_eq!(made.system().mounted().unwrap(), []);
        fs::create_dir(made.path("sys/dev/block/8:17")).unwrap();
        assert_eq!(made.system().mounted().unwrap().len(), 1);
    }
}
