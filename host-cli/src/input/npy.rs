//! `NumPy` arrays of one or two dimensions.
//!
//! Of two dimensions the longer is taken for the time. Which one runs fastest in the file
//! decides whether the channels are interleaved or follow each other whole.

use super::binary::{self, Layout, Order};
use super::sample_type::{Kind, SampleType};
use super::source::Source;
use super::{Format, Info, OpenOptions, Recording};
use crate::error::{Error, Place};
use crate::quantity::{be, counted};

/// Longer headers are taken for damaged: real ones have some hundred bytes.
const MAX_HEADER: usize = 64 * 1024;

pub(super) fn open(mut source: Source, options: &OpenOptions) -> Result<Recording, Error> {
    let text = read_header(&mut source)?;
    let header = Parser { rest: &text }.header().map_err(|problem| fault(&source, 10, &problem))?;
    let sample_type = sample_type(&header.descr).map_err(|problem| fault(&source, 10, &problem))?;
    let (frames, channels) = match header.shape[..] {
        [frames] => (frames, 1),
        [a, b] => (a.max(b), a.min(b)),
        _ => {
            let count = header.shape.len();
            return Err(fault(
                &source,
                10,
                &format!("the array has {count} dimensions, not 1 or 2"),
            ));
        }
    };
    let time_is_last = matches!(header.shape[..], [a, b] if b > a);
    let bytes = frames
        .checked_mul(channels)
        .and_then(|count| count.checked_mul(sample_type.kind.bytes() as u64))
        .filter(|bytes| i64::try_from(*bytes).is_ok())
        .ok_or_else(|| fault(&source, 10, "the array is larger than any file"))?;
    let width = usize::try_from(channels).unwrap_or(usize::MAX);
    let mut info = Info::new(&source, Format::Npy, sample_type, width);
    if time_is_last {
        info.notices.push(format!(
            "the array has {channels} rows of {frames}: each row is read as a channel"
        ));
    }
    if frames == 0 || channels == 0 {
        return Err(binary::no_samples(source.name()));
    }
    let start = source.position();
    if let Some(more) = source.length().and_then(|length| length.checked_sub(start + bytes))
        && more > 0
    {
        info.notices.push(format!(
            "{} after the array {} left out",
            counted(more, "byte"),
            be(more)
        ));
    }
    let planar = time_is_last != header.fortran_order;
    let order = if planar { Order::Planar } else { Order::Interleaved };
    binary::open(source, info, &Layout { order, start, bytes: Some(bytes) }, options)
}

fn fault(source: &Source, at: u64, problem: &str) -> Error {
    Error::input(
        source.name(),
        Place::Byte(at),
        problem,
        "save a plain array of numbers with one dimension, or with two: (samples, channels)",
    )
}

fn read_header(source: &mut Source) -> Result<String, Error> {
    let mut start = [0; 12];
    let got = source.read_full(&mut start[..10])?;
    if got < 10 || !start.starts_with(b"\x93NUMPY") {
        return Err(fault(source, 0, "this is not an NPY file"));
    }
    let length = match start[6] {
        1 => usize::from(u16::from_le_bytes([start[8], start[9]])),
        2 | 3 => {
            let _ = source.read_full(&mut start[10..])?;
            let [.., a, b, c, d] = start;
            usize::try_from(u32::from_le_bytes([a, b, c, d])).unwrap_or(usize::MAX)
        }
        version => {
            return Err(fault(source, 6, &format!("version {version} of NPY is not known")));
        }
    };
    if length > MAX_HEADER {
        return Err(fault(source, 8, &format!("a header of {length} bytes is too long")));
    }
    let mut header = vec![0; length];
    if source.read_full(&mut header)? < length {
        return Err(fault(source, 8, "the file ends within its header"));
    }
    String::from_utf8(header).map_err(|_| fault(source, 10, "the header is not text"))
}

fn sample_type(descr: &str) -> Result<SampleType, String> {
    let (big_endian, plain) = match descr.split_at_checked(1) {
        Some((">", plain)) => (true, plain),
        Some(("<" | "|", plain)) => (false, plain),
        Some(("=", plain)) => (cfg!(target_endian = "big"), plain),
        _ => (false, descr),
    };
    let kind = match plain {
        "b1" | "u1" | "B" => Kind::U8,
        "i1" | "b" => Kind::I8,
        "u2" => Kind::U16,
        "i2" => Kind::I16,
        "u4" => Kind::U32,
        "i4" => Kind::I32,
        "u8" => Kind::U64,
        "i8" => Kind::I64,
        "f2" => Kind::F16,
        "f4" => Kind::F32,
        "f8" => Kind::F64,
        _ if plain.starts_with('c') => {
            return Err(format!("its numbers are complex ({descr:?}): save the real part"));
        }
        _ => return Err(format!("numbers of the type {descr:?} cannot be read")),
    };
    Ok(SampleType { kind, big_endian })
}

/// What the header's dictionary says.
#[derive(Debug, PartialEq)]
struct Header {
    descr: String,
    fortran_order: bool,
    shape: Vec<u64>,
}

/// Reads the few forms of Python's literals that a header may contain.
struct Parser<'a> {
    rest: &'a str,
}

impl Parser<'_> {
    fn header(&mut self) -> Result<Header, String> {
        let (mut descr, mut fortran_order, mut shape) = (None, None, None);
        self.expect("{")?;
        while !self.take("}") {
            let key = self.string()?;
            self.expect(":")?;
            match key.as_str() {
                "descr" if self.rest.trim_start().starts_with('[') => {
                    return Err("its entries have several fields: save one of them".into());
                }
                "descr" if descr.is_none() => descr = Some(self.string()?),
                "fortran_order" if fortran_order.is_none() => fortran_order = Some(self.truth()?),
                "shape" if shape.is_none() => shape = Some(self.tuple()?),
                _ => return Err(format!("the header has an unexpected {key:?}")),
            }
            if !self.take(",") {
                self.expect("}")?;
                break;
            }
        }
        if !self.rest.trim().is_empty() {
            return Err("the header goes on after its end".into());
        }
        match (descr, fortran_order, shape) {
            (Some(descr), Some(fortran_order), Some(shape)) => {
                Ok(Header { descr, fortran_order, shape })
            }
            _ => Err("the header lacks descr, fortran_order or shape".into()),
        }
    }

    fn take(&mut self, token: &str) -> bool {
        let rest = self.rest.trim_start().strip_prefix(token);
        self.rest = rest.unwrap_or(self.rest);
        rest.is_some()
    }

    fn expect(&mut self, token: &str) -> Result<(), String> {
        if self.take(token) {
            return Ok(());
        }
        let found: String = self.rest.trim_start().chars().take(10).collect();
        Err(format!("the header has {found:?} where {token:?} should be"))
    }

    fn string(&mut self) -> Result<String, String> {
        let quote = if self.take("\"") { '"' } else { '\'' };
        if quote == '\'' {
            self.expect("'")?;
        }
        let (text, rest) = self.rest.split_once(quote).ok_or("the header has an open quote")?;
        self.rest = rest;
        // What a message quotes should not fill the screen.
        Ok(text.chars().take(40).collect())
    }

    fn truth(&mut self) -> Result<bool, String> {
        if self.take("True") {
            return Ok(true);
        }
        self.expect("False").map(|()| false)
    }

    fn tuple(&mut self) -> Result<Vec<u64>, String> {
        let mut items = Vec::new();
        self.expect("(")?;
        while !self.take(")") {
            let text = self.rest.trim_start();
            let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
            let number = text[..end].parse().map_err(|_| "the header's shape is not of numbers")?;
            items.push(number);
            // Written by Python 2.
            self.rest = text[end..].strip_prefix('L').unwrap_or(&text[end..]);
            if !self.take(",") {
                self.expect(")")?;
                break;
            }
        }
        Ok(items)
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{all, opened, refused, trickled};
    use super::*;

    fn npy(version: u8, descr: &str, fortran: &str, shape: &str, data: &[u8]) -> Vec<u8> {
        let header =
            format!("{{'descr': {descr}, 'fortran_order': {fortran}, 'shape': {shape}, }}");
        let mut bytes = b"\x93NUMPY".to_vec();
        bytes.extend([version, 0]);
        let prefix = if version == 1 { 10 } else { 12 };
        let padded = (prefix + header.len() + 1).next_multiple_of(64) - prefix;
        if version == 1 {
            bytes.extend((padded as u16).to_le_bytes());
        } else {
            bytes.extend((padded as u32).to_le_bytes());
        }
        bytes.extend(format!("{header:<width$}\n", width = padded - 1).bytes());
        bytes.extend(data);
        bytes
    }

    fn read(bytes: &[u8]) -> Vec<Vec<f64>> {
        all(&mut opened(bytes, "x.npy", &OpenOptions::default()))
    }

    fn refusal(bytes: &[u8]) -> String {
        refused(bytes, "x.npy", &OpenOptions::default())
    }

    #[test]
    fn every_version_and_order_of_bytes() {
        for version in 1..=3 {
            let bytes = npy(version, "'<i2'", "False", "(2,)", &[1, 0, 0xff, 0xff]);
            assert_eq!(read(&bytes), [[1.0, -1.0]]);
        }
        assert_eq!(read(&npy(1, "'>u2'", "False", "(2L,)", &[1, 2, 0, 3])), [[258.0, 3.0]]);
        assert_eq!(read(&npy(1, "'|b1'", "True", "(2,)", &[1, 0])), [[1.0, 0.0]]);
        assert_eq!(read(&npy(1, "'<f8'", "False", "(1,)", &0.5_f64.to_le_bytes())), [[0.5]]);
        assert_eq!(read(&npy(1, "'>i8'", "False", "(1,)", &(-9_i64).to_be_bytes())), [[-9.0]]);
        assert_eq!(read(&npy(1, "'<f2'", "False", "(1,)", &[0, 0x3e])), [[1.5]]);
    }

    #[test]
    fn narrowing_is_told() {
        let bytes = npy(1, "'<f8'", "False", "(1,)", &0.5_f64.to_le_bytes());
        let mut recording = opened(&bytes, "x.npy", &OpenOptions::default());
        assert!(recording.take_notices()[0].contains("f64le samples are rounded"));
    }

    #[test]
    fn the_longer_dimension_is_the_time() {
        let data = [0, 1, 2, 3, 4, 5];
        let by_frame = [[0.0, 2.0, 4.0], [1.0, 3.0, 5.0]];
        let by_channel = [[0.0, 1.0, 2.0], [3.0, 4.0, 5.0]];
        assert_eq!(read(&npy(1, "'|u1'", "False", "(3, 2)", &data)), by_frame);
        assert_eq!(read(&npy(1, "'|u1'", "True", "(3, 2)", &data)), by_channel);
        assert_eq!(read(&npy(1, "'|u1'", "False", "(2, 3)", &data)), by_channel);
        assert_eq!(read(&npy(1, "'|u1'", "True", "(2, 3)", &data)), by_frame);
        let bytes = npy(1, "'|u1'", "False", "(2, 3)", &data);
        let mut recording = opened(&bytes, "x.npy", &OpenOptions::default());
        assert!(recording.take_notices()[0].contains("2 rows of 3"));
        let piped = trickled(&bytes, 100, &OpenOptions::default());
        assert!(piped.err().unwrap().to_string().contains("save the recording in a file"));
    }

    #[test]
    fn long_channels_one_after_the_other() {
        let frames = 100_000_u32;
        let data: Vec<u8> = (0..frames * 2).flat_map(|i| f64::from(i).to_be_bytes()).collect();
        let bytes = npy(2, "'>f8'", "False", &format!("(2, {frames})"), &data);
        let options = OpenOptions { channels: Some(vec![1]), ..OpenOptions::default() };
        let planes = all(&mut opened(&bytes, "x.npy", &options));
        assert_eq!(planes[0].len(), frames as usize);
        assert!(planes[0].iter().enumerate().all(|(i, v)| *v == f64::from(i as u32 + frames)));
    }

    #[test]
    fn damaged_and_odd_arrays_are_refused() {
        let refused = |descr, shape, data: &[u8]| refusal(&npy(1, descr, "False", shape, data));
        assert!(refused("'<i2'", "(3,)", &[0; 4]).contains("2 bytes are missing"));
        assert!(refused("'<i2'", "(0,)", &[]).contains("no samples"));
        assert!(refused("'<i2'", "()", &[0; 2]).contains("0 dimensions"));
        assert!(refused("'<i2'", "(1, 2, 3)", &[0; 12]).contains("3 dimensions"));
        assert!(refused("'<c8'", "(1,)", &[0; 8]).contains("complex"));
        assert!(refused("'|O'", "(1,)", &[0; 8]).contains("cannot be read"));
        assert!(refused("'é'", "(1,)", &[0; 8]).contains("cannot be read"));
        assert!(refused("[('a', '<i2')]", "(1,)", &[0; 8]).contains("several fields"));
        assert!(refused("'<i2'", "(-1,)", &[]).contains("shape"));
        assert!(refused("'<i2'", "(4294967296, 4294967296)", &[]).contains("larger than any"));
        assert!(refused("'<i2'", "(99999, 99999)", &[]).contains("channels"));
        assert!(refusal(b"\x93NUMPY\x02\0\xff\xff\xff\xff").contains("too long"));
        assert!(refusal(b"\x93NUMPY\x09\0\x10\0").contains("version 9"));
        assert!(refusal(b"\x93NUMPY\x01\0\x10\0{").contains("within its header"));
        assert!(refusal(b"\x93NUMPY").contains("not an NPY"));
        assert!(refusal(b"\x93NUMPY\x01\0\x02\0{}").contains("lacks"));
        assert!(refusal(b"\x93NUMPY\x01\0\x02\0\xff\xff").contains("not text"));
    }

    #[test]
    fn extra_bytes_are_told() {
        let bytes = npy(1, "'|u1'", "False", "(2,)", &[1, 2, 3]);
        let mut recording = opened(&bytes, "x.npy", &OpenOptions::default());
        assert_eq!(recording.take_notices(), ["1 byte after the array is left out"]);
        assert_eq!(all(&mut recording), [[1.0, 2.0]]);
    }

    proptest::proptest! {
        #[test]
        fn any_header_is_survived(text in "[{}()'a-z:, 0-9<|\\[é]{0,60}") {
            let _ = Parser { rest: &text }.header();
        }
    }
}
