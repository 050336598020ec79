//! The datasets of ISO 15740 that a cart needs: what the camera is, how full its battery and its stores are.

use super::fields::Fields;
use super::trouble::Trouble;

/// `DeviceInfo`, as far as it is looked at.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct DeviceInfo {
    /// Codes of the operations that the camera knows.
    pub(super) operations: Vec<u16>,
    /// Codes of its properties.
    pub(super) properties: Vec<u16>,
    /// What it is called, fit to be shown.
    pub(super) model: String,
}

impl DeviceInfo {
    /// Reads the dataset.
    pub(super) fn parse(bytes: &[u8]) -> Result<Self, Trouble> {
        let mut fields = Fields::of("DeviceInfo", bytes);
        // The standard's version, the vendor's extension and its version.
        fields.skip(2 + 4 + 2)?;
        let _extension = fields.text()?;
        let _functional_mode = fields.u16()?;
        let operations = fields.list16()?;
        let _events = fields.list16()?;
        let properties = fields.list16()?;
        let _capture_formats = fields.list16()?;
        let _image_formats = fields.list16()?;
        let _maker = fields.text()?;
        let model = label(&fields.text()?).unwrap_or_else(|| "no model named".to_owned());
        Ok(Self {
            operations,
            properties,
            model,
        })
    }
}

/// The numbers of the camera's stores.
pub(super) fn storage_ids(bytes: &[u8]) -> Result<Vec<u32>, Trouble> {
    Fields::of("StorageIDs", bytes).list32()
}

/// `StorageInfo`, as far as it is looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct StorageInfo {
    /// What kind of store.
    pub(super) kind: StorageKind,
    /// How much fits into it, bytes.
    pub(super) capacity: u64,
    /// How much still fits, bytes.
    pub(super) free: u64,
    /// The volume's name, where it can stand for the card's label.
    pub(super) label: Option<String>,
}

/// Whether a store can be written at all: row R-PTP-ENUM.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum StorageKind {
    /// Fixed or removable ROM.
    Rom,
    /// Fixed or removable RAM, or what the camera does not say.
    Ram,
}

impl StorageInfo {
    /// Reads the dataset.
    pub(super) fn parse(bytes: &[u8]) -> Result<Self, Trouble> {
        let mut fields = Fields::of("StorageInfo", bytes);
        let kind = match fields.u16()? {
            1 | 2 => StorageKind::Rom,
            _ => StorageKind::Ram,
        };
        let _file_system = fields.u16()?;
        let _access = fields.u16()?;
        let (capacity, free) = (fields.u64()?, fields.u64()?);
        let _free_images = fields.u32()?;
        let _description = fields.text()?;
        let label = label(&fields.text()?);
        Ok(Self {
            kind,
            capacity,
            free,
            label,
        })
    }
}

/// A volume's or a camera's name, where the hub takes it for a label: 1 to 64 characters that can be seen.
fn label(text: &str) -> Option<String> {
    /// What FAT writes where nobody gave a name; it names nothing.
    const NAMELESS: &str = "NO NAME";
    let text = text.trim();
    // Neither control characters nor those that are invisible or turn the direction of writing are letters or numbers.
    let seen = |c: char| c.is_alphanumeric() || (' '..='~').contains(&c);
    let fits = (1..=64).contains(&text.chars().count()) && text.chars().all(seen);
    (fits && text != NAMELESS).then(|| text.to_owned())
}

/// What values a property may have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// The camera does not say.
    None,
    /// From one value to another in steps.
    Range {
        /// The least.
        least: i128,
        /// The most.
        most: i128,
        /// How far apart.
        step: i128,
    },
    /// These.
    List(Vec<i128>),
}

/// `DevicePropDesc`: a property, its value now, and the values it may have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct PropertyDescription {
    /// The value now.
    pub(super) current: i128,
    /// The values it may have.
    pub(super) form: Form,
}

impl PropertyDescription {
    /// Reads the dataset of the property with this code.
    pub(super) fn parse(bytes: &[u8], property: u16) -> Result<Self, Trouble> {
        let mut fields = Fields::of("DevicePropDesc", bytes);
        let code = fields.u16()?;
        if code != property {
            return Err(Trouble::garbage(format!(
                "DevicePropDesc of {code:#06x} for {property:#06x}"
            )));
        }
        let data_type = fields.u16()?;
        let _may_be_set = fields.u8()?;
        let _default = fields.integer(data_type)?;
        let current = fields.integer(data_type)?;
        let form = match fields.u8()? {
            0 => Form::None,
            1 => Form::Range {
                least: fields.integer(data_type)?,
                most: fields.integer(data_type)?,
                step: fields.integer(data_type)?,
            },
            2 => {
                let count = fields.u16()?;
                let values = (0..count).map(|_| fields.integer(data_type));
                Form::List(values.collect::<Result<_, _>>()?)
            }
            other => {
                return Err(Trouble::garbage(format!(
                    "DevicePropDesc with form {other}"
                )));
            }
        };
        Ok(Self { current, form })
    }
}

#[cfg(test)]
pub(super) mod tests {
    use serde_json::Value;

    use super::*;

    /// A row of the shared check values, by its id; each names its own source.
    pub(in crate::source::ptp) fn row(id: &str) -> Value {
        let text = include_str!("../../../../tests/data/vectors.json");
        let all: Value = serde_json::from_str(text).unwrap();
        let rows = all["vectors"].as_array().unwrap();
        let row = rows.iter().find(|row| row["id"] == id);
        row.unwrap_or_else(|| panic!("no row {id}")).clone()
    }

    fn bytes(hex: &str) -> Vec<u8> {
        let pair = |at| u8::from_str_radix(&hex[at..at + 2], 16).unwrap();
        (0..hex.len()).step_by(2).map(pair).collect()
    }

    #[test]
    fn the_check_values_of_storage_info_are_read() {
        for id in ["R-PTP-ST-1", "R-PTP-ST-2"] {
            let row = row(id);
            let (input, expected) = (&row["input"], &row["expected"]);
            let dataset = bytes(expected["hex"].as_str().unwrap());
            let info = StorageInfo::parse(&dataset).unwrap();
            assert_eq!(info.kind, StorageKind::Ram, "{id}");
            assert_eq!(Some(info.capacity), input["max"].as_u64(), "{id}");
            assert_eq!(Some(info.free), input["free"].as_u64(), "{id}");
            assert_eq!(info.label.as_deref().unwrap_or(""), input["label"], "{id}");
            let used = 100.0 * (info.capacity - info.free) as f64 / info.capacity as f64;
            let fill = expected["fill_percent"].as_f64().unwrap();
            assert!((used - fill).abs() < 1e-9, "{id}: {used}");
            for end in 0..dataset.len() {
                assert!(StorageInfo::parse(&dataset[..end]).is_err(), "{id}: {end}");
            }
        }
    }

    #[test]
    fn the_kinds_of_store_are_those_of_the_standard() {
        let row = row("R-PTP-ENUM");
        let dataset = bytes("0400030000000080b2e60e00000000a0acb903000000ffffffff0000");
        let kinds = row["expected"]["storage"].as_object().unwrap();
        assert_eq!(kinds.len(), 4);
        for (code, name) in kinds {
            let mut dataset = dataset.clone();
            dataset[0] = code.parse().unwrap();
            let rom = StorageInfo::parse(&dataset).unwrap().kind == StorageKind::Rom;
            assert_eq!(rom, name.as_str().unwrap().contains("ROM"), "{name}");
        }
    }

    #[test]
    fn a_label_is_what_the_hub_takes_for_one() {
        for (name, expected) in [
            ("ROLL01", Some("ROLL01")),
            ("  Rolle 7 ", Some("Rolle 7")),
            ("Brücke", Some("Brücke")),
            ("", None),
            ("   ", None),
            ("NO NAME", None),
            ("A\u{7}", None),
            ("A\u{202e}B", None),
            ("A\u{200b}", None),
        ] {
            assert_eq!(label(name).as_deref(), expected, "{name:?}");
        }
        assert_eq!(label(&"x".repeat(64)).map(|label| label.len()), Some(64));
        assert_eq!(label(&"x".repeat(65)), None);
    }

    #[test]
    fn device_info_is_read_to_the_model() {
        let mut dataset = vec![100, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
        for codes in [
            &[0x1001_u16, 0x1014][..],
            &[0x4004],
            &[0x5001],
            &[],
            &[0x3801],
        ] {
            dataset.extend((codes.len() as u32).to_le_bytes());
            dataset.extend(codes.iter().flat_map(|code| code.to_le_bytes()));
        }
        dataset.extend(b"\x02M\0\0\0\x03R\x001\0\0\0\0\0");
        let info = DeviceInfo::parse(&dataset).unwrap();
        assert_eq!(info.operations, [0x1001, 0x1014]);
        assert_eq!(info.properties, [0x5001]);
        assert_eq!(info.model, "R1");
        // The last two bytes are the empty version and serial number, which nobody looks at.
        for end in 0..dataset.len() - 2 {
            assert!(DeviceInfo::parse(&dataset[..end]).is_err(), "{end}");
        }
    }

    #[test]
    fn a_description_of_another_property_or_type_is_nonsense() {
        let range = [0x01, 0x50, 0x02, 0, 0, 0, 63, 1, 0, 100, 10];
        let read = |bytes: &[u8]| PropertyDescription::parse(bytes, 0x5001);
        assert_eq!(
            read(&range).unwrap(),
            PropertyDescription {
                current: 63,
                form: Form::Range {
                    least: 0,
                    most: 100,
                    step: 10
                }
            }
        );
        for (at, wrong) in [(0, 2), (2, 9), (3, 0x40), (7, 3)] {
            let mut bytes = range;
            bytes[at] = wrong;
            assert!(read(&bytes).is_err(), "{at}");
        }
        let list = [0x01, 0x50, 0x02, 0, 0, 0, 3, 2, 3, 0, 0, 2, 4];
        assert_eq!(read(&list).unwrap().form, Form::List(vec![0, 2, 4]));
        assert!(read(&list[..12]).is_err());
    }
}
