//! What a sample looks like in a file.

use std::fmt;
use std::str::FromStr;

use crate::error::Error;

/// The kind of number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Kind {
    /// 8-bit unsigned.
    U8,
    /// 8-bit signed.
    I8,
    /// 16-bit unsigned.
    U16,
    /// 16-bit signed.
    I16,
    /// 24-bit signed, packed in three bytes; becomes 32-bit in memory, its value unchanged.
    I24,
    /// 32-bit unsigned.
    U32,
    /// 32-bit signed.
    I32,
    /// 64-bit unsigned; becomes 32-bit floating-point in memory.
    U64,
    /// 64-bit signed; becomes 32-bit floating-point in memory.
    I64,
    /// 16-bit floating-point; becomes 32-bit in memory, its value unchanged.
    F16,
    /// 32-bit floating-point.
    F32,
    /// 64-bit floating-point; becomes 32-bit in memory.
    F64,
}

impl Kind {
    const ALL: [Self; 12] = [
        Self::U8,
        Self::I8,
        Self::U16,
        Self::I16,
        Self::I24,
        Self::U32,
        Self::I32,
        Self::U64,
        Self::I64,
        Self::F16,
        Self::F32,
        Self::F64,
    ];

    /// The name on the command line, without the byte order.
    pub const fn name(self) -> &'static str {
        match self {
            Self::U8 => "u8",
            Self::I8 => "i8",
            Self::U16 => "u16",
            Self::I16 => "i16",
            Self::I24 => "i24",
            Self::U32 => "u32",
            Self::I32 => "i32",
            Self::U64 => "u64",
            Self::I64 => "i64",
            Self::F16 => "f16",
            Self::F32 => "f32",
            Self::F64 => "f64",
        }
    }

    /// The size of a sample in the file.
    pub const fn bytes(self) -> usize {
        match self {
            Self::U8 | Self::I8 => 1,
            Self::U16 | Self::I16 | Self::F16 => 2,
            Self::I24 => 3,
            Self::U32 | Self::I32 | Self::F32 => 4,
            Self::U64 | Self::I64 | Self::F64 => 8,
        }
    }

    /// Whether samples lose digits on their way into memory.
    pub const fn is_narrowed(self) -> bool {
        matches!(self, Self::U64 | Self::I64 | Self::F64)
    }

    /// Whether the file holds whole numbers: codes of a converter.
    pub const fn is_integer(self) -> bool {
        self.codes().is_some() || matches!(self, Self::U64 | Self::I64)
    }

    /// The lowest and highest code an integer of this kind can hold, where the end codes
    /// survive in memory.
    pub const fn codes(self) -> Option<(i64, i64)> {
        match self {
            Self::U8 => Some((0, u8::MAX as i64)),
            Self::I8 => Some((i8::MIN as i64, i8::MAX as i64)),
            Self::U16 => Some((0, u16::MAX as i64)),
            Self::I16 => Some((i16::MIN as i64, i16::MAX as i64)),
            Self::I24 => Some((-(1 << 23), (1 << 23) - 1)),
            Self::U32 => Some((0, u32::MAX as i64)),
            Self::I32 => Some((i32::MIN as i64, i32::MAX as i64)),
            _ => None,
        }
    }
}

/// The kind of number and the order of its bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SampleType {
    /// The kind of number.
    pub kind: Kind,
    /// Whether the most significant byte comes first.
    pub big_endian: bool,
}

impl SampleType {
    /// A type whose least significant byte comes first.
    pub const fn little(kind: Kind) -> Self {
        Self { kind, big_endian: false }
    }

    /// A type whose most significant byte comes first.
    pub const fn big(kind: Kind) -> Self {
        Self { kind, big_endian: true }
    }
}

impl fmt::Display for SampleType {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let order = match (self.kind.bytes(), self.big_endian) {
            (1, _) => "",
            (_, false) => "le",
            (_, true) => "be",
        };
        write!(f, "{}{order}", self.kind.name())
    }
}

impl FromStr for SampleType {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        let lower = text.trim().to_ascii_lowercase();
        let (name, big_endian) = match (lower.strip_suffix("le"), lower.strip_suffix("be")) {
            (Some(name), _) => (name, false),
            (_, Some(name)) => (name, true),
            _ => (lower.as_str(), false),
        };
        Kind::ALL
            .into_iter()
            .find(|kind| kind.name() == name)
            .map(|kind| Self { kind, big_endian })
            .ok_or_else(|| {
                Error::usage(
                    format!("--sample-type: \"{text}\" is not a sample type"),
                    "use u8, i8, u16le, i16le, i24le, u32le, i32le, f32le, f64le, \
                     or with be for the other byte order",
                )
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back() {
        for kind in Kind::ALL {
            for sample in [SampleType::little(kind), SampleType::big(kind)] {
                let back: SampleType = sample.to_string().parse().unwrap();
                assert_eq!(back.kind, kind);
                assert!(back.big_endian == sample.big_endian || kind.bytes() == 1);
            }
        }
    }

    #[test]
    fn no_byte_order_means_little() {
        let sample: SampleType = "U16".parse().unwrap();
        assert_eq!(sample, SampleType::little(Kind::U16));
    }

    #[test]
    fn unknown_names_are_refused() {
        for bad in ["", "u12", "le", "i16xe", "float"] {
            let message = bad.parse::<SampleType>().unwrap_err().to_string();
            assert!(message.starts_with("--sample-type"), "{message}");
        }
    }
}
