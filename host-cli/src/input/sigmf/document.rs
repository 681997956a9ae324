//! Metadata out of their JSON, piece by piece: a file of any length takes no memory.

use std::fmt;
use std::io::{self, Read};

use serde::de::{Deserialize, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};

/// A text longer than this is not read: it would have to be held in memory as a whole.
const MOST_TEXT: u64 = 1024 * 1024;

/// How many captures are told by their place.
const TOLD: usize = 3;

/// What is read of a file of metadata.
#[derive(Debug, Default)]
pub(super) struct Document {
    /// What holds for all samples, if there is such an object.
    pub(super) global: Option<Map<String, Value>>,
    pub(super) captures: Captures,
}

/// What the captures come to.
#[derive(Debug, Default)]
pub(super) struct Captures {
    count: u64,
    /// Bytes before the samples.
    pub(super) header_bytes: u64,
    /// How many begin behind the first sample, and where the first few do.
    pub(super) later: u64,
    pub(super) first: Vec<u64>,
    /// Where the last begins.
    pub(super) last: u64,
}

impl Document {
    /// Reads all of it.
    pub(super) fn read(source: impl Read) -> Result<Self, serde_json::Error> {
        serde_json::from_reader(Texts { source, length: 0, escaped: false })
    }
}

impl Captures {
    fn add(&mut self, capture: &Map<String, Value>) -> Result<(), String> {
        let Some(start) = whole(capture, "core:sample_start")? else {
            return Err("a capture lacks core:sample_start".into());
        };
        match whole(capture, "core:header_bytes")?.unwrap_or(0) {
            0 => {}
            bytes if self.count == 0 => self.header_bytes = bytes,
            _ => return Err("core:header_bytes stand between the samples".into()),
        }
        if start < self.last {
            return Err("the captures are not in order".into());
        }
        if start > 0 {
            self.later += 1;
            if self.first.len() < TOLD {
                self.first.push(start);
            }
        }
        self.last = start;
        self.count += 1;
        Ok(())
    }
}

/// A whole number that may be missing but not be anything else.
pub(super) fn whole(object: &Map<String, Value>, key: &str) -> Result<Option<u64>, String> {
    match object.get(key) {
        None => Ok(None),
        Some(value) => match value.as_u64() {
            Some(number) => Ok(Some(number)),
            None => Err(format!("{key} {value} is not a whole number")),
        },
    }
}

impl<'de> Deserialize<'de> for Document {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Whole;
        impl<'de> Visitor<'de> for Whole {
            type Value = Document;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object with \"global\" and \"captures\"")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Document, A::Error> {
                let mut document = Document::default();
                while let Some(key) = map.next_key::<String>()? {
                    match key.as_str() {
                        "global" if document.global.is_some() => return Err(twice("global")),
                        "global" => document.global = Some(map.next_value::<Few>()?.0),
                        "captures" => document.captures = map.next_value()?,
                        _ => {
                            map.next_value::<IgnoredAny>()?;
                        }
                    }
                }
                Ok(document)
            }
        }
        deserializer.deserialize_map(Whole)
    }
}

impl<'de> Deserialize<'de> for Captures {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct List;
        impl<'de> Visitor<'de> for List {
            type Value = Captures;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a list of captures")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Captures, A::Error> {
                let mut captures = Captures::default();
                while let Some(Few(capture)) = list.next_element()? {
                    captures.add(&capture).map_err(A::Error::custom)?;
                }
                Ok(captures)
            }
        }
        deserializer.deserialize_seq(List)
    }
}

/// The error for an entry of which nobody can say which one is meant.
fn twice<E: serde::de::Error>(key: &str) -> E {
    E::custom(format_args!("{key} stands twice"))
}

/// The entries of an object that are looked at; lists and objects in it are left empty.
struct Few(Map<String, Value>);

const LOOKED_AT: [&str; 9] = [
    "core:datatype",
    "core:num_channels",
    "core:sample_rate",
    "core:version",
    "core:trailing_bytes",
    "core:metadata_only",
    "core:dataset",
    "core:sample_start",
    "core:header_bytes",
];

impl<'de> Deserialize<'de> for Few {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Entries;
        impl<'de> Visitor<'de> for Entries {
            type Value = Few;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Few, A::Error> {
                let mut few = Map::new();
                while let Some(key) = map.next_key::<String>()? {
                    if LOOKED_AT.contains(&key.as_str()) {
                        if few.contains_key(&key) {
                            return Err(twice(&key));
                        }
                        few.insert(key, map.next_value::<Flat>()?.0);
                    } else {
                        map.next_value::<IgnoredAny>()?;
                    }
                }
                Ok(Few(few))
            }
        }
        deserializer.deserialize_map(Entries)
    }
}

/// A value without what lists and objects hold.
struct Flat(Value);

impl<'de> Deserialize<'de> for Flat {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Flat;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a value")
            }

            fn visit_unit<E>(self) -> Result<Flat, E> {
                Ok(Flat(Value::Null))
            }

            fn visit_bool<E>(self, value: bool) -> Result<Flat, E> {
                Ok(Flat(value.into()))
            }

            fn visit_i64<E>(self, value: i64) -> Result<Flat, E> {
                Ok(Flat(value.into()))
            }

            fn visit_u64<E>(self, value: u64) -> Result<Flat, E> {
                Ok(Flat(value.into()))
            }

            fn visit_f64<E>(self, value: f64) -> Result<Flat, E> {
                Ok(Flat(value.into()))
            }

            fn visit_str<E>(self, value: &str) -> Result<Flat, E> {
                // What a message quotes should not fill the screen; names of files are no longer.
                Ok(Flat(value.chars().take(255).collect::<String>().into()))
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Flat, A::Error> {
                while list.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Flat(Value::Array(Vec::new())))
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Flat, A::Error> {
                while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
                Ok(Flat(Value::Object(Map::new())))
            }
        }
        deserializer.deserialize_any(Any)
    }
}

/// Refuses texts that are too long, before they are held in memory.
struct Texts<R> {
    source: R,
    /// Bytes since the last quotation mark.
    length: u64,
    escaped: bool,
}

impl<R: Read> Read for Texts<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let got = self.source.read(buffer)?;
        for &byte in &buffer[..got] {
            self.length = if byte == b'"' && !self.escaped { 0 } else { self.length + 1 };
            self.escaped = byte == b'\\';
        }
        if self.length > MOST_TEXT {
            return Err(io::Error::other("no metadata have 1 MiB without a quotation mark"));
        }
        Ok(got)
    }
}
