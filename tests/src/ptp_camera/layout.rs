//! The bytes of a camera in the order of ISO 15740 (datasets) and CIPA DC-005 (packets), each written down here once more.
//! None of the command line's code is used: two writings are to meet, and gphoto2 judges this one.

use super::{Battery, Body, Form, Store};

/// Appends numbers, strings and lists in the standard's order of bytes: the least first.
#[derive(Debug, Default)]
pub(super) struct Layout(pub(super) Vec<u8>);

impl Layout {
    pub(super) fn u8(mut self, number: u8) -> Self {
        self.0.push(number);
        self
    }

    pub(super) fn u16(mut self, number: u16) -> Self {
        self.0.extend(number.to_le_bytes());
        self
    }

    pub(super) fn u32(mut self, number: u32) -> Self {
        self.0.extend(number.to_le_bytes());
        self
    }

    pub(super) fn u64(mut self, number: u64) -> Self {
        self.0.extend(number.to_le_bytes());
        self
    }

    pub(super) fn bytes(mut self, bytes: &[u8]) -> Self {
        self.0.extend(bytes);
        self
    }

    /// A string of a dataset: the number of characters with the closing zero, then the characters in two bytes each. An
    /// empty one is a single zero.
    pub(super) fn text(self, text: &str) -> Self {
        if text.is_empty() {
            return self.u8(0);
        }
        let count = text.encode_utf16().count() + 1;
        self.u8(u8::try_from(count).unwrap_or(u8::MAX)).name(text)
    }

    /// A string of a packet: characters in two bytes each, up to a closing zero.
    pub(super) fn name(self, text: &str) -> Self {
        let characters = text.encode_utf16().chain([0]);
        characters.fold(self, Self::u16)
    }

    pub(super) fn list16(self, items: &[u16]) -> Self {
        let counted = self.u32(items.len() as u32);
        items.iter().fold(counted, |layout, item| layout.u16(*item))
    }

    pub(super) fn list32(self, items: &[u32]) -> Self {
        let counted = self.u32(items.len() as u32);
        items.iter().fold(counted, |layout, item| layout.u32(*item))
    }

    /// As the body of a packet: its length with these eight bytes, and its type before it.
    pub(super) fn packet(self, kind: u32) -> Vec<u8> {
        let head = Self::default().u32(8 + self.0.len() as u32).u32(kind);
        head.bytes(&self.0).0
    }
}

pub(super) fn device_info(body: &Body) -> Vec<u8> {
    let properties: &[u16] = if body.battery.is_some() {
        &[0x5001]
    } else {
        &[]
    };
    Layout::default()
        .u16(100)
        .u32(0)
        .u16(0)
        .text("")
        .u16(0)
        .list16(&super::OPERATIONS)
        .list16(&[0x4004, 0x4005, 0x4006, 0x4008, 0x400A, 0x400B])
        .list16(properties)
        .list16(&[])
        .list16(&[0x3801])
        .text("River Works")
        .text(&body.model)
        .text("1.0")
        .text("0001")
        .0
}

pub(super) fn storage_ids(body: &Body) -> Vec<u8> {
    let numbers: Vec<u32> = body.stores.iter().map(|store| store.number).collect();
    Layout::default().list32(&numbers).0
}

pub(super) fn storage_info(store: &Store) -> Vec<u8> {
    Layout::default()
        // Removable RAM, a camera's tree of folders, may be read and written.
        .u16(4)
        .u16(3)
        .u16(0)
        .u64(store.capacity)
        .u64(store.free)
        .u32(u32::MAX)
        .text("card")
        .text(&store.label)
        .0
}

/// The description of the battery's property: code, one byte without sign, cannot be set, factory's value, value now, form.
pub(super) fn battery(battery: &Battery) -> Vec<u8> {
    let head = Layout::default()
        .u16(0x5001)
        .u16(2)
        .u8(0)
        .u8(0)
        .u8(battery.value);
    match &battery.form {
        Form::None => head.u8(0),
        Form::Range { least, most, step } => head.u8(1).u8(*least).u8(*most).u8(*step),
        Form::List(values) => head.u8(2).u16(values.len() as u16).bytes(values),
    }
    .0
}
