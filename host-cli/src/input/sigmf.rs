//! `SigMF`: bare samples in one file, what they are in JSON in another beside it.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::binary::{self, Layout, Order};
use super::sample_type::{Kind, SampleType};
use super::source::Source;
use super::{Format, Info, OpenOptions, Recording};
use crate::error::{Error, Place};

/// Larger metadata are not read: they would have to be held in memory as a whole.
const MAX_METADATA: usize = 16 * 1024 * 1024;

/// Whether a name is that of either file.
pub(super) fn is_named(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending == "sigmf-meta" || ending == "sigmf-data")
}

pub(super) fn open(path: &Path, options: &OpenOptions) -> Result<Recording, Error> {
    super::detect::check_options(Format::SigMf, options)?;
    let metadata = Metadata::read(&path.with_extension("sigmf-meta"))?;
    let data_path = metadata.data_path(path)?;
    let source = Source::open(&data_path)?;
    let length = source.length().ok_or_else(|| binary::no_samples(source.name()))?;

    let (sample_type, parts) = metadata.sample_type()?;
    let channels = metadata.whole(&metadata.global, "core:num_channels")?.unwrap_or(1);
    let channels = usize::try_from(channels).unwrap_or(usize::MAX);
    let mut info = Info::new(&source, Format::SigMf, sample_type, channels.saturating_mul(parts));
    if parts == 2 {
        info.notices.push("complex samples: I and Q are read as channels of their own".into());
        for (index, channel) in info.channels.iter_mut().enumerate() {
            let part = if index % 2 == 0 { "I" } else { "Q" };
            channel.name = Some(match channels {
                1 => part.to_owned(),
                _ => format!("{} {part}", index / 2 + 1),
            });
        }
    }
    info.rate = metadata.rate()?;
    if metadata.global.get("core:version").is_none() {
        info.notices.push("the metadata lack core:version".into());
    }

    let start = metadata.header_bytes()?;
    let trailing = metadata.whole(&metadata.global, "core:trailing_bytes")?.unwrap_or(0);
    let bytes = length
        .checked_sub(start)
        .and_then(|rest| rest.checked_sub(trailing))
        .ok_or_else(|| metadata.fault("the header and trailing bytes exceed the data"))?;
    let frame = sample_type.kind.bytes() * info.channels.len();
    metadata.check_captures(bytes / frame.max(1) as u64, &mut info)?;
    let layout = Layout { order: Order::Interleaved, start, bytes: Some(bytes) };
    binary::open(source, info, &layout, options)
}

struct Metadata {
    name: String,
    global: Value,
    captures: Vec<Value>,
}

impl Metadata {
    fn read(path: &Path) -> Result<Self, Error> {
        let mut source = Source::open(path)?;
        let mut text = Vec::new();
        let mut block = vec![0; 64 * 1024];
        loop {
            let got = source.read_some(&mut block)?;
            if got == 0 {
                break;
            }
            text.extend_from_slice(&block[..got]);
            if text.len() > MAX_METADATA {
                return Err(Error::input(
                    source.name(),
                    Place::Whole,
                    "the metadata are larger than 16 MiB",
                    "take annotations out",
                ));
            }
        }
        let mut metadata =
            Self { name: source.name().to_owned(), global: Value::Null, captures: Vec::new() };
        let mut whole: Value = serde_json::from_slice(&text).map_err(|fault| {
            Error::input(
                metadata.name.clone(),
                Place::Line(fault.line() as u64),
                format!("this is not JSON: {fault}"),
                "correct the metadata",
            )
        })?;
        metadata.global = whole.get_mut("global").map(Value::take).unwrap_or_default();
        if !metadata.global.is_object() {
            return Err(metadata.fault("there is no object \"global\""));
        }
        match whole.get_mut("captures").map(Value::take) {
            Some(Value::Array(captures)) => metadata.captures = captures,
            None => {}
            Some(_) => return Err(metadata.fault("\"captures\" is not a list")),
        }
        Ok(metadata)
    }

    /// The file of samples: beside the metadata, under their name or the one they state.
    fn data_path(&self, path: &Path) -> Result<PathBuf, Error> {
        if self.global.get("core:metadata_only").is_some_and(|only| *only == Value::Bool(true)) {
            return Err(self.fault("these metadata come without samples (core:metadata_only)"));
        }
        match self.global.get("core:dataset") {
            None => Ok(path.with_extension("sigmf-data")),
            Some(Value::String(name)) if Path::new(name).file_name() == Some(name.as_ref()) => {
                Ok(path.with_file_name(name))
            }
            Some(other) => Err(self.fault(&format!("core:dataset {other} is not a file's name"))),
        }
    }

    /// The type, and of how many numbers a sample consists.
    fn sample_type(&self) -> Result<(SampleType, usize), Error> {
        let text = match self.global.get("core:datatype") {
            Some(Value::String(text)) => text,
            Some(other) => return Err(self.fault(&format!("core:datatype {other} is not text"))),
            None => return Err(self.fault("core:datatype is missing")),
        };
        let unknown = || self.fault(&format!("the core:datatype {text:?} is not known"));
        let (parts, rest) = match (text.strip_prefix('r'), text.strip_prefix('c')) {
            (Some(rest), _) => (1, rest),
            (_, Some(rest)) => (2, rest),
            _ => return Err(unknown()),
        };
        let (name, order) = match rest.split_once('_') {
            Some((name, order)) => (name, Some(order)),
            None => (rest, None),
        };
        let kind = match name {
            "f64" => Kind::F64,
            "f32" => Kind::F32,
            "i32" => Kind::I32,
            "u32" => Kind::U32,
            "i16" => Kind::I16,
            "u16" => Kind::U16,
            "i8" => Kind::I8,
            "u8" => Kind::U8,
            _ => return Err(unknown()),
        };
        match order {
            Some("le") => Ok((SampleType::little(kind), parts)),
            Some("be") => Ok((SampleType::big(kind), parts)),
            None if kind.bytes() == 1 => Ok((SampleType::little(kind), parts)),
            None => Err(self.fault(&format!("the core:datatype {text:?} lacks _le or _be"))),
            Some(_) => Err(unknown()),
        }
    }

    fn rate(&self) -> Result<Option<f64>, Error> {
        match self.global.get("core:sample_rate") {
            None => Ok(None),
            Some(value) => match value.as_f64() {
                Some(rate) if rate > 0.0 && rate.is_finite() => Ok(Some(rate)),
                _ => Err(self.fault(&format!("core:sample_rate {value} is not above zero"))),
            },
        }
    }

    /// Bytes before the samples; between the samples none are understood.
    fn header_bytes(&self) -> Result<u64, Error> {
        let mut start = 0;
        for (index, capture) in self.captures.iter().enumerate() {
            match self.whole(capture, "core:header_bytes")?.unwrap_or(0) {
                0 => {}
                bytes if index == 0 => start = bytes,
                _ => return Err(self.fault("core:header_bytes stand between the samples")),
            }
        }
        Ok(start)
    }

    fn check_captures(&self, frames: u64, info: &mut Info) -> Result<(), Error> {
        let mut last = 0;
        for capture in &self.captures {
            let Some(start) = self.whole(capture, "core:sample_start")? else {
                return Err(self.fault("a capture lacks core:sample_start"));
            };
            if start < last {
                return Err(self.fault("the captures are not in order"));
            }
            if start > 0 && start >= frames {
                return Err(self.fault(&format!(
                    "a capture starts at sample {start}, but there are only {frames}"
                )));
            }
            if start > 0 {
                info.notices.push(format!(
                    "a new capture starts at sample {start}: time may have passed before it"
                ));
            }
            last = start;
        }
        Ok(())
    }

    /// A whole number that may be missing but not be anything else.
    fn whole(&self, object: &Value, key: &str) -> Result<Option<u64>, Error> {
        match object.get(key) {
            None => Ok(None),
            Some(value) => match value.as_u64() {
                Some(number) => Ok(Some(number)),
                None => Err(self.fault(&format!("{key} {value} is not a whole number"))),
            },
        }
    }

    fn fault(&self, problem: &str) -> Error {
        Error::input(
            self.name.clone(),
            Place::Whole,
            problem,
            "correct the metadata, or read the data with --input-format raw --sample-type …",
        )
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::all;
    use super::*;
    use crate::input;

    /// Opens metadata with the given globals and captures, by either file's name.
    fn open_pair(global: &str, captures: &str, data: &[u8]) -> Result<Recording, Error> {
        let folder = tempfile::tempdir().unwrap();
        let meta = folder.path().join("a.b.sigmf-meta");
        let text =
            format!(r#"{{"global": {{{global}}}, "captures": [{captures}], "annotations": []}}"#);
        std::fs::write(&meta, text).unwrap();
        std::fs::write(folder.path().join("a.b.sigmf-data"), data).unwrap();
        std::fs::write(folder.path().join("other.bin"), data).unwrap();
        let by_data =
            input::open(&folder.path().join("a.b.sigmf-data"), &OpenOptions::default()).is_ok();
        let by_meta = input::open(&meta, &OpenOptions::default());
        assert_eq!(by_data, by_meta.is_ok());
        by_meta
    }

    fn opened(global: &str, data: &[u8]) -> Recording {
        open_pair(global, "", data).unwrap_or_else(|error| panic!("{error}"))
    }

    fn refusal(global: &str, captures: &str, data: &[u8]) -> String {
        open_pair(global, captures, data).err().unwrap().to_string()
    }

    #[test]
    fn types_channels_and_rate() {
        let mut recording = opened(
            r#""core:datatype": "ri16_be", "core:num_channels": 2, "core:sample_rate": 1e6,
               "core:version": "1.2.5""#,
            &[0, 1, 0, 2, 0, 3, 0, 4],
        );
        assert_eq!(recording.info().rate, Some(1e6));
        assert_eq!(recording.info().frames, Some(2));
        assert!(recording.take_notices().is_empty());
        assert_eq!(all(&mut recording), [[1.0, 3.0], [2.0, 4.0]]);
        let mut recording = opened(r#""core:datatype": "ru8""#, &[1, 2]);
        assert_eq!(all(&mut recording), [[1.0, 2.0]]);
        let bytes = 0.25_f64.to_le_bytes();
        let mut recording = opened(r#""core:datatype": "rf64_le""#, &bytes);
        assert_eq!(all(&mut recording), [[0.25]]);
    }

    #[test]
    fn complex_samples_become_two_channels() {
        let mut recording = opened(r#""core:datatype": "ci8""#, &[1, 0xff, 3, 4]);
        assert_eq!(recording.info().channels[1].name.as_deref(), Some("Q"));
        assert_eq!(all(&mut recording), [[1.0, 3.0], [-1.0, 4.0]]);
    }

    #[test]
    fn foreign_data_sets() {
        let global = r#""core:datatype": "ru8", "core:dataset": "other.bin",
                        "core:trailing_bytes": 1"#;
        let captures = r#"{"core:sample_start": 0, "core:header_bytes": 2},
                          {"core:sample_start": 1}"#;
        let mut recording = open_pair(global, captures, &[9, 9, 1, 2, 9]).unwrap();
        assert!(recording.take_notices().iter().any(|n| n.contains("at sample 1")));
        assert_eq!(all(&mut recording), [[1.0, 2.0]]);
        let path = r#""core:datatype": "ru8", "core:dataset": "../secret""#;
        assert!(refusal(path, "", &[1]).contains("not a file's name"));
    }

    #[test]
    fn contradictions_are_refused() {
        let refused = |global: &str| refusal(global, "", &[1, 2, 3, 4]);
        assert!(refused("").contains("core:datatype is missing"));
        assert!(refused(r#""core:datatype": 3"#).contains("is not text"));
        assert!(refused(r#""core:datatype": "ri16""#).contains("lacks _le or _be"));
        assert!(refused(r#""core:datatype": "ri64_le""#).contains("not known"));
        assert!(refused(r#""core:datatype": "x""#).contains("not known"));
        let with = |more: &str| refused(&format!(r#""core:datatype": "ru8", {more}"#));
        assert!(with(r#""core:num_channels": 0"#).contains("0 channels"));
        assert!(with(r#""core:num_channels": -1"#).contains("not a whole number"));
        assert!(with(r#""core:num_channels": 18446744073709551615"#).contains("channels"));
        assert!(with(r#""core:sample_rate": 0"#).contains("not above zero"));
        assert!(with(r#""core:sample_rate": "fast""#).contains("not above zero"));
        assert!(with(r#""core:metadata_only": true"#).contains("without samples"));
        assert!(with(r#""core:trailing_bytes": 9"#).contains("exceed the data"));
        let captured = |captures: &str| refusal(r#""core:datatype": "ru8""#, captures, &[1, 2, 3]);
        assert!(captured(r#"{"core:sample_start": 3}"#).contains("there are only 3"));
        assert!(captured("{}").contains("lacks core:sample_start"));
        assert!(
            captured(r#"{"core:sample_start": 2}, {"core:sample_start": 1}"#)
                .contains("not in order")
        );
        assert!(refusal(r#""core:datatype": "ru8""#, "", &[]).contains("no samples"));
        assert!(refused(r#""core:datatype": "ru8" oops"#).contains("line 1: this is not JSON"));
    }

    #[test]
    fn a_missing_half_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("a.sigmf-data");
        std::fs::write(&data, [1]).unwrap();
        let message = input::open(&data, &OpenOptions::default()).err().unwrap().to_string();
        assert!(message.contains("a.sigmf-meta: cannot be opened"), "{message}");
    }
}
