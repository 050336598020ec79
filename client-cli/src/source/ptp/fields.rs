//! The fields of a dataset, one after the other, little-endian: lengths are checked before anything is taken.

use super::trouble::Trouble;

/// What is left of a dataset.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fields<'a> {
    of: &'static str,
    left: &'a [u8],
}

impl<'a> Fields<'a> {
    /// The fields of `bytes`; `of` is the dataset's name in a message.
    pub(super) fn of(of: &'static str, bytes: &'a [u8]) -> Self {
        Self { of, left: bytes }
    }

    /// Takes the next bytes.
    pub(super) fn take(&mut self, count: usize) -> Result<&'a [u8], Trouble> {
        let (taken, left) = self
            .left
            .split_at_checked(count)
            .ok_or_else(|| Trouble::garbage(format!("{} ends too early", self.of)))?;
        self.left = left;
        Ok(taken)
    }

    /// Leaves bytes out.
    pub(super) fn skip(&mut self, count: usize) -> Result<(), Trouble> {
        self.take(count).map(|_| ())
    }

    /// Everything that is left.
    pub(super) fn rest(&mut self) -> &'a [u8] {
        std::mem::take(&mut self.left)
    }

    /// Whether nothing is left.
    pub(super) fn is_empty(&self) -> bool {
        self.left.is_empty()
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N], Trouble> {
        let mut array = [0; N];
        array.copy_from_slice(self.take(N)?);
        Ok(array)
    }

    /// One byte.
    pub(super) fn u8(&mut self) -> Result<u8, Trouble> {
        self.array::<1>().map(u8::from_le_bytes)
    }

    /// Two bytes.
    pub(super) fn u16(&mut self) -> Result<u16, Trouble> {
        self.array().map(u16::from_le_bytes)
    }

    /// Four bytes.
    pub(super) fn u32(&mut self) -> Result<u32, Trouble> {
        self.array().map(u32::from_le_bytes)
    }

    /// Eight bytes.
    pub(super) fn u64(&mut self) -> Result<u64, Trouble> {
        self.array().map(u64::from_le_bytes)
    }

    /// A number of one of the standard's integer types, up to 64 bits. Other types have no place in a gauge.
    pub(super) fn integer(&mut self, data_type: u16) -> Result<i128, Trouble> {
        Ok(match data_type {
            0x0001 => self.array().map(i8::from_le_bytes)?.into(),
            0x0002 => self.u8()?.into(),
            0x0003 => self.array().map(i16::from_le_bytes)?.into(),
            0x0004 => self.u16()?.into(),
            0x0005 => self.array().map(i32::from_le_bytes)?.into(),
            0x0006 => self.u32()?.into(),
            0x0007 => self.array().map(i64::from_le_bytes)?.into(),
            0x0008 => self.u64()?.into(),
            other => {
                let of = self.of;
                return Err(Trouble::garbage(format!("{of} has data type {other:#06x}")));
            }
        })
    }

    /// A counted list of 16-bit numbers.
    pub(super) fn list16(&mut self) -> Result<Vec<u16>, Trouble> {
        let mut items = self.items(2)?;
        std::iter::from_fn(|| (!items.is_empty()).then(|| items.u16())).collect()
    }

    /// A counted list of 32-bit numbers.
    pub(super) fn list32(&mut self) -> Result<Vec<u32>, Trouble> {
        let mut items = self.items(4)?;
        std::iter::from_fn(|| (!items.is_empty()).then(|| items.u32())).collect()
    }

    /// The items of a list whose count comes first. The count is the camera's word: the bytes must be there.
    fn items(&mut self, size: usize) -> Result<Self, Trouble> {
        let count = self.u32()? as usize;
        let bytes = count.saturating_mul(size);
        Ok(Self::of(self.of, self.take(bytes)?))
    }

    /// A string: a count of UTF-16 units with the closing NUL among them, then the units; nothing is one zero byte.
    pub(super) fn text(&mut self) -> Result<String, Trouble> {
        let count = usize::from(self.u8()?);
        let bytes = self.take(2 * count)?;
        let units = bytes
            .chunks_exact(2)
            .map(|pair| u16::from_le_bytes([pair[0], pair[1]]))
            .take_while(|unit| *unit != 0);
        Ok(char::decode_utf16(units)
            .map(|unit| unit.unwrap_or(char::REPLACEMENT_CHARACTER))
            .collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_count_is_believed_only_with_its_bytes() {
        // A count of 2³²−1 that would ask for 16 GiB.
        let bytes = [0xff, 0xff, 0xff, 0xff, 1, 0, 0, 0];
        assert!(Fields::of("a list", &bytes).list32().is_err());
        assert!(Fields::of("a list", &bytes).list16().is_err());
        let bytes = [2, 0, 0, 0, 1, 2, 3, 4];
        assert_eq!(
            Fields::of("a list", &bytes).list16().unwrap(),
            [0x0201, 0x0403]
        );
    }

    #[test]
    fn strings_are_utf_16_with_a_count_and_an_end() {
        let read = |bytes: &[u8]| Fields::of("a text", bytes).text();
        assert_eq!(read(&[0]).unwrap(), "");
        assert_eq!(read(&[3, b'A', 0, 0xe4, 0, 0, 0]).unwrap(), "Aä");
        assert_eq!(read(&[1, 0x00, 0xd8]).unwrap(), "\u{fffd}", "half a pair");
        assert!(read(&[3, b'A', 0]).is_err());
    }

    #[test]
    fn integers_keep_their_sign_and_width() {
        let read =
            |data_type, bytes: &[u8]| Fields::of("a number", bytes).integer(data_type).unwrap();
        assert_eq!(read(1, &[0xff]), -1);
        assert_eq!(read(2, &[0xff]), 255);
        assert_eq!(read(3, &[0xfe, 0xff]), -2);
        assert_eq!(read(8, &[0xff; 8]), i128::from(u64::MAX));
        assert!(Fields::of("a number", &[0; 16]).integer(0xffff).is_err());
    }
}
