//! Configurations as expressions in Rust: what serde is told of them, written so that it compiles.

use std::fmt::{self, Write as _};

use serde::ser::{self, Impossible, Serialize};

/// An expression.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Node {
    Atom(String),
    Group { open: String, items: Vec<(Option<&'static str>, Node)>, close: &'static str },
}

/// The longest line.
const WIDTH: usize = 100;

impl Node {
    pub(super) fn array(items: Vec<Node>) -> Self {
        let items = items.into_iter().map(|item| (None, item)).collect();
        Self::Group { open: "[".to_owned(), items, close: "]" }
    }

    /// The expression as text that begins in a column, at an indentation.
    pub(super) fn render(&self, column: usize, indent: usize) -> String {
        let line = self.to_string();
        let Self::Group { open, items, close } = self else { return line };
        if column + line.len() <= WIDTH {
            return line;
        }
        // One within another goes on in the same line.
        if let [(None, inner @ Self::Group { .. })] = &items[..] {
            return format!("{open}{}{close}", inner.render(column + open.len(), indent));
        }
        let inner = indent + 4;
        let mut text = open.trim_end().to_owned();
        for (name, item) in items {
            let name = name.map(|name| format!("{name}: ")).unwrap_or_default();
            let item = item.render(inner + name.len() + 1, inner);
            let _ = write!(text, "\n{:inner$}{name}{item},", "");
        }
        text + &format!("\n{:indent$}{}", "", close.trim_start())
    }
}

impl fmt::Display for Node {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Atom(text) => f.write_str(text),
            Self::Group { open, items, close } => {
                f.write_str(open)?;
                for (n, (name, item)) in items.iter().enumerate() {
                    let comma = if n > 0 { ", " } else { "" };
                    let name = name.map(|name| format!("{name}: ")).unwrap_or_default();
                    write!(f, "{comma}{name}{item}")?;
                }
                f.write_str(close)
            }
        }
    }
}

/// The expression of a value.
pub(super) fn node(value: &impl Serialize) -> Result<Node, Fault> {
    value.serialize(Writer)
}

/// A value of which there is no expression.
#[derive(Debug)]
pub(super) struct Fault(String);

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Fault {}

impl ser::Error for Fault {
    fn custom<T: fmt::Display>(said: T) -> Self {
        Self(format!("this setup cannot be written in Rust: {said}"))
    }
}

/// `stays-inside` is `StaysInside` in the source.
fn path(container: &str, variant: &str) -> String {
    let pascal: String = variant
        .split('-')
        .flat_map(|word| {
            let mut letters = word.chars();
            letters.next().into_iter().flat_map(char::to_uppercase).chain(letters)
        })
        .collect();
    format!("stillwave::{container}::{pascal}")
}

struct Writer;

/// A group under way.
struct Writing(Node);

impl Writing {
    fn new(open: String, close: &'static str) -> Self {
        Self(Node::Group { open, items: Vec::new(), close })
    }

    fn push(
        &mut self,
        name: Option<&'static str>,
        value: &(impl Serialize + ?Sized),
    ) -> Result<(), Fault> {
        let item = value.serialize(Writer)?;
        if let Node::Group { items, .. } = &mut self.0 {
            items.push((name, item));
        }
        Ok(())
    }
}

macro_rules! atoms {
    ($($method:ident $kind:ty),*) => {$(
        fn $method(self, value: $kind) -> Result<Node, Fault> {
            // With a point or an exponent, where it is a floating-point number.
            Ok(Node::Atom(format!("{value:?}")))
        }
    )*};
}

fn none<T>(what: &str) -> Result<T, Fault> {
    Err(<Fault as ser::Error>::custom(what))
}

impl ser::Serializer for Writer {
    type Ok = Node;
    type Error = Fault;
    type SerializeSeq = Impossible<Node, Fault>;
    type SerializeTuple = Writing;
    type SerializeTupleStruct = Impossible<Node, Fault>;
    type SerializeTupleVariant = Writing;
    type SerializeMap = Impossible<Node, Fault>;
    type SerializeStruct = Writing;
    type SerializeStructVariant = Writing;

    atoms! {
        serialize_bool bool, serialize_i8 i8, serialize_i16 i16, serialize_i32 i32,
        serialize_i64 i64, serialize_u8 u8, serialize_u16 u16, serialize_u32 u32,
        serialize_u64 u64, serialize_f32 f32, serialize_f64 f64, serialize_char char,
        serialize_str &str
    }

    fn serialize_none(self) -> Result<Node, Fault> {
        Ok(Node::Atom("None".to_owned()))
    }

    fn serialize_some<V: Serialize + ?Sized>(self, value: &V) -> Result<Node, Fault> {
        let mut some = Writing::new("Some(".to_owned(), ")");
        some.push(None, value)?;
        Ok(some.0)
    }

    fn serialize_unit_variant(
        self,
        name: &'static str,
        _: u32,
        variant: &'static str,
    ) -> Result<Node, Fault> {
        Ok(Node::Atom(path(name, variant)))
    }

    /// The fields of such are private: they are made of their parts.
    fn serialize_newtype_struct<V: Serialize + ?Sized>(
        self,
        name: &'static str,
        value: &V,
    ) -> Result<Node, Fault> {
        let mut made = Writing::new(format!("stillwave::{name}::from_parts("), ")");
        made.push(None, value)?;
        Ok(made.0)
    }

    fn serialize_newtype_variant<V: Serialize + ?Sized>(
        self,
        name: &'static str,
        _: u32,
        variant: &'static str,
        value: &V,
    ) -> Result<Node, Fault> {
        let mut made = Writing::new(format!("{}(", path(name, variant)), ")");
        made.push(None, value)?;
        Ok(made.0)
    }

    fn serialize_tuple(self, _: usize) -> Result<Writing, Fault> {
        Ok(Writing::new("[".to_owned(), "]"))
    }

    fn serialize_tuple_variant(
        self,
        name: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Writing, Fault> {
        Ok(Writing::new(format!("{}(", path(name, variant)), ")"))
    }

    fn serialize_struct(self, name: &'static str, _: usize) -> Result<Writing, Fault> {
        Ok(Writing::new(format!("stillwave::{name} {{ "), " }"))
    }

    fn serialize_struct_variant(
        self,
        name: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Writing, Fault> {
        Ok(Writing::new(format!("{} {{ ", path(name, variant)), " }"))
    }

    fn serialize_bytes(self, _: &[u8]) -> Result<Node, Fault> {
        none("bytes")
    }

    fn serialize_unit(self) -> Result<Node, Fault> {
        Ok(Node::Atom("()".to_owned()))
    }

    fn serialize_unit_struct(self, name: &'static str) -> Result<Node, Fault> {
        Ok(Node::Atom(format!("stillwave::{name}")))
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Self::SerializeSeq, Fault> {
        none("a sequence")
    }

    fn serialize_tuple_struct(
        self,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleStruct, Fault> {
        none("fields without a name")
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Self::SerializeMap, Fault> {
        none("a map")
    }
}

macro_rules! groups {
    ($($kind:ident $method:ident),*) => {$(
        impl ser::$kind for Writing {
            type Ok = Node;
            type Error = Fault;

            fn $method<V: Serialize + ?Sized>(&mut self, value: &V) -> Result<(), Fault> {
                self.push(None, value)
            }

            fn end(self) -> Result<Node, Fault> {
                Ok(self.0)
            }
        }
    )*};
}

macro_rules! structs {
    ($($kind:ident),*) => {$(
        impl ser::$kind for Writing {
            type Ok = Node;
            type Error = Fault;

            fn serialize_field<V: Serialize + ?Sized>(
                &mut self,
                name: &'static str,
                value: &V,
            ) -> Result<(), Fault> {
                self.push(Some(name), value)
            }

            fn end(self) -> Result<Node, Fault> {
                Ok(self.0)
            }
        }
    )*};
}

groups! { SerializeTuple serialize_element, SerializeTupleVariant serialize_field }
structs! { SerializeStruct, SerializeStructVariant }
