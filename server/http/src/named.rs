//! What the OpenAPI document says of objects and integers, held to; and where in the JSON something is wrong.
//!
//! The derived readers of serde take an array for a struct as well, member by member in the order of the source:
//! `PUT /v1/limits` with `[]` would clear the limits. [`Named`] stands between the JSON and them and asks for an object.
//! They also refuse `60.0` where an integer belongs, which JSON Schema counts as one (core 2020-12, section 4.2.3), and
//! which programs with one kind of number send; it is taken as 60. And since it passes every member and item anyway, it
//! keeps note of the [`Place`].

use std::cell::RefCell;
use std::fmt;

use serde::de::value::StrDeserializer;
use serde::de::{DeserializeSeed, Deserializer, EnumAccess, MapAccess, SeqAccess, Visitor};

/// Where in the JSON a reader is. It stays where something was wrong.
#[derive(Debug, Default)]
pub(crate) struct Place(RefCell<Vec<Step>>);

#[derive(Debug)]
enum Step {
    Member(String),
    Item(usize),
}

impl Place {
    /// Reads what is one step further inside. After an error the step is not taken back.
    fn within<T, E>(&self, step: Step, read: impl FnOnce() -> Result<T, E>) -> Result<T, E> {
        self.0.borrow_mut().push(step);
        let value = read()?;
        self.0.borrow_mut().pop();
        Ok(value)
    }

    /// The place as a JSON Pointer (RFC 6901).
    pub(crate) fn pointer(&self) -> String {
        let steps = self.0.borrow();
        steps.iter().fold(String::new(), |before, step| match step {
            Step::Member(name) => before + "/" + &escaped(name),
            Step::Item(index) => format!("{before}/{index}"),
        })
    }
}

/// A member's name as a part of a JSON Pointer (RFC 6901, section 3).
pub(crate) fn escaped(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

/// Wraps a deserializer, and by way of its visitors all that are inside it. What stands inside an enum's variant is not
/// wrapped: no body holds one with members.
pub(crate) struct Named<'p, T>(pub(crate) T, pub(crate) &'p Place);

/// Wraps a visitor of integers.
struct Whole<V>(V);

/// From here on not every whole number is a float: 2^53.
const FLOATS_COUNT_TO: f64 = 9_007_199_254_740_992.0;

impl<'de, V: Visitor<'de>> Visitor<'de> for Whole<V> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.expecting(f)
    }

    fn visit_u64<E: serde::de::Error>(self, value: u64) -> Result<V::Value, E> {
        self.0.visit_u64(value)
    }

    fn visit_i64<E: serde::de::Error>(self, value: i64) -> Result<V::Value, E> {
        self.0.visit_i64(value)
    }

    fn visit_f64<E: serde::de::Error>(self, value: f64) -> Result<V::Value, E> {
        if value.fract() != 0.0 || value.abs() >= FLOATS_COUNT_TO {
            self.0.visit_f64(value)
        } else if value >= 0.0 {
            self.0.visit_u64(value as u64)
        } else {
            self.0.visit_i64(value as i64)
        }
    }
}

macro_rules! whole {
    ($($method:ident),*) => {
        $(fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, D::Error> {
            self.0.$method(Whole(visitor))
        })*
    };
}

macro_rules! pass_on {
    ($($method:ident($($argument:ident: $type:ty),*)),* $(,)?) => {
        $(fn $method<V: Visitor<'de>>(self, $($argument: $type,)* visitor: V) -> Result<V::Value, D::Error> {
            self.0.$method($($argument,)* Named(visitor, self.1))
        })*
    };
}

impl<'de, D: Deserializer<'de>> Deserializer<'de> for Named<'_, D> {
    type Error = D::Error;

    pass_on! {
        deserialize_any(), deserialize_bool(), deserialize_i128(), deserialize_u128(), deserialize_f32(), deserialize_f64(), deserialize_char(),
        deserialize_str(), deserialize_string(), deserialize_bytes(), deserialize_byte_buf(), deserialize_option(),
        deserialize_unit(), deserialize_unit_struct(name: &'static str),
        deserialize_newtype_struct(name: &'static str), deserialize_seq(), deserialize_tuple(len: usize),
        deserialize_tuple_struct(name: &'static str, len: usize), deserialize_map(), deserialize_identifier(),
        deserialize_ignored_any(), deserialize_enum(name: &'static str, variants: &'static [&'static str]),
    }

    whole! {
        deserialize_i8, deserialize_i16, deserialize_i32, deserialize_i64,
        deserialize_u8, deserialize_u16, deserialize_u32, deserialize_u64
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        _members: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, D::Error> {
        self.0.deserialize_map(Named(visitor, self.1))
    }

    fn is_human_readable(&self) -> bool {
        self.0.is_human_readable()
    }
}

macro_rules! hand_on {
    ($($method:ident: $type:ty),* $(,)?) => {
        $(fn $method<E: serde::de::Error>(self, value: $type) -> Result<V::Value, E> {
            self.0.$method(value)
        })*
    };
}

impl<'de, V: Visitor<'de>> Visitor<'de> for Named<'_, V> {
    type Value = V::Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.expecting(f)
    }

    hand_on! {
        visit_bool: bool, visit_i8: i8, visit_i16: i16, visit_i32: i32, visit_i64: i64, visit_i128: i128,
        visit_u8: u8, visit_u16: u16, visit_u32: u32, visit_u64: u64, visit_u128: u128, visit_f32: f32,
        visit_f64: f64, visit_char: char, visit_str: &str, visit_borrowed_str: &'de str, visit_string: String,
        visit_bytes: &[u8], visit_borrowed_bytes: &'de [u8], visit_byte_buf: Vec<u8>,
    }

    fn visit_none<E: serde::de::Error>(self) -> Result<V::Value, E> {
        self.0.visit_none()
    }

    fn visit_unit<E: serde::de::Error>(self) -> Result<V::Value, E> {
        self.0.visit_unit()
    }

    fn visit_some<D: Deserializer<'de>>(self, inside: D) -> Result<V::Value, D::Error> {
        self.0.visit_some(Named(inside, self.1))
    }

    fn visit_newtype_struct<D: Deserializer<'de>>(self, inside: D) -> Result<V::Value, D::Error> {
        self.0.visit_newtype_struct(Named(inside, self.1))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, items: A) -> Result<V::Value, A::Error> {
        self.0.visit_seq(Items {
            inner: items,
            place: self.1,
            next: 0,
        })
    }

    fn visit_map<A: MapAccess<'de>>(self, members: A) -> Result<V::Value, A::Error> {
        self.0.visit_map(Members {
            inner: members,
            place: self.1,
            name: String::new(),
        })
    }

    fn visit_enum<A: EnumAccess<'de>>(self, variant: A) -> Result<V::Value, A::Error> {
        self.0.visit_enum(variant)
    }
}

/// The items of an array.
struct Items<'p, A> {
    inner: A,
    place: &'p Place,
    next: usize,
}

impl<'de, A: SeqAccess<'de>> SeqAccess<'de> for Items<'_, A> {
    type Error = A::Error;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, A::Error> {
        let (place, step) = (self.place, Step::Item(self.next));
        self.next += 1;
        place.within(step, || self.inner.next_element_seed(Named(seed, place)))
    }

    fn size_hint(&self) -> Option<usize> {
        self.inner.size_hint()
    }
}

/// The members of an object. `name` is that of the member whose value comes next.
struct Members<'p, A> {
    inner: A,
    place: &'p Place,
    name: String,
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Members<'_, A> {
    type Error = A::Error;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, A::Error> {
        let Some(name) = self.inner.next_key::<String>()? else {
            return Ok(None);
        };
        self.name.clone_from(&name);
        // A name that nobody knows is wrong where it stands.
        let read = || seed.deserialize(StrDeserializer::new(&self.name));
        self.place.within(Step::Member(name), read).map(Some)
    }

    fn next_value_seed<T: DeserializeSeed<'de>>(&mut self, seed: T) -> Result<T::Value, A::Error> {
        let (place, name) = (self.place, std::mem::take(&mut self.name));
        let read = || self.inner.next_value_seed(Named(seed, place));
        place.within(Step::Member(name), read)
    }

    fn size_hint(&self) -> Option<usize> {
        self.inner.size_hint()
    }
}

impl<'de, T: DeserializeSeed<'de>> DeserializeSeed<'de> for Named<'_, T> {
    type Value = T::Value;

    fn deserialize<D: Deserializer<'de>>(self, inside: D) -> Result<T::Value, D::Error> {
        self.0.deserialize(Named(inside, self.1))
    }
}

#[cfg(test)]
mod tests {
    use serde::de::DeserializeOwned;
    use swapcall_wire::{LimitsDocument, NewToken, Report, ReportBatch, Rundown, UnitProfile};

    use super::{Named, Place};

    fn read<T: DeserializeOwned>(json: &str) -> Result<T, String> {
        let mut json = serde_json::Deserializer::from_str(json);
        T::deserialize(Named(&mut json, &Place::default())).map_err(|error| error.to_string())
    }

    #[test]
    fn an_array_is_no_object_at_any_depth() {
        let refused = |error: Option<String>| {
            let error = error.expect("must be refused");
            assert!(error.contains("invalid type: sequence"), "{error}");
        };
        refused(read::<UnitProfile>("[null,null]").err());
        refused(read::<LimitsDocument>("[]").err());
        refused(read::<LimitsDocument>(r#"{"fleet":[60]}"#).err());
        refused(read::<LimitsDocument>(r#"{"units":{"BOW2":[60]}}"#).err());
        refused(read::<NewToken>(r#"["Ana","owner",[]]"#).err());
        refused(read::<Rundown>(r#"{"windows":[[null,"2026-06-13T09:14:05Z"]]}"#).err());
        let report = r#"{"unit":"BOW2","at":"2026-06-13T09:14:05Z","battery":[63,1,false]}"#;
        refused(read::<Report>(report).err());
        refused(read::<ReportBatch>(&format!(r#"{{"reports":[{report}]}}"#)).err());
        assert!(
            serde_json::from_str::<Report>(report).is_ok(),
            "serde itself takes it"
        );
    }

    #[test]
    fn a_whole_number_is_an_integer_however_it_is_written() {
        let walk = |text: &str| read::<UnitProfile>(&format!(r#"{{"walk_s":{text}}}"#));
        for text in ["60", "60.0", "6e1", "600.0e-1"] {
            assert_eq!(walk(text).unwrap().walk_s, Some(60), "{text}");
        }
        assert_eq!(walk("-0.0").unwrap().walk_s, Some(0));
        for text in [
            "60.5",
            "-1.0",
            "-1",
            "5e9",
            "1e300",
            "9007199254740993.0",
            "\"60\"",
            "true",
        ] {
            assert!(walk(text).is_err(), "{text}");
        }
        assert_eq!(walk("null").unwrap().walk_s, None);
    }

    #[test]
    fn what_is_right_is_read_as_ever() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../wire/examples/");
        let example = |name: &str| std::fs::read_to_string(format!("{folder}{name}.json")).unwrap();
        let text = example("report_batch");
        assert_eq!(
            read::<ReportBatch>(&text).unwrap(),
            serde_json::from_str(&text).unwrap()
        );
        let text = example("rundown");
        assert_eq!(
            read::<Rundown>(&text).unwrap(),
            serde_json::from_str(&text).unwrap()
        );
        let text = example("limits");
        assert_eq!(
            read::<LimitsDocument>(&text).unwrap(),
            serde_json::from_str(&text).unwrap()
        );
    }
}
