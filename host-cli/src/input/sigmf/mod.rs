//! `SigMF`: bare samples in one file, what they are in JSON in another beside it.

mod document;

use std::io::BufReader;
use std::path::{Path, PathBuf};

use serde_json::{Map, Value};

use self::document::{Captures, Document, whole};

use super::binary::{self, Layout, Order};
use super::sample_type::{Kind, SampleType};
use super::source::Source;
use super::{Format, Info, OpenOptions, Recording};
use crate::error::{Error, Place};

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
    let channels = metadata.whole("core:num_channels")?.unwrap_or(1);
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

    let start = metadata.captures.header_bytes;
    let trailing = metadata.whole("core:trailing_bytes")?.unwrap_or(0);
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
    global: Map<String, Value>,
    captures: Captures,
}

impl Metadata {
    fn read(path: &Path) -> Result<Self, Error> {
        let source = Source::open(path)?;
        let name = source.name().to_owned();
        let mut metadata = Self { name, global: Map::new(), captures: Captures::default() };
        let document =
            Document::read(BufReader::new(source)).map_err(|fault| match fault.line() as u64 {
                line if fault.is_io() => {
                    metadata.fault_at(Place::Line(line.max(1)), &fault.to_string())
                }
                line if fault.is_data() => metadata.fault_at(
                    Place::Line(line),
                    &format!("these are no metadata of SigMF: {fault}"),
                ),
                line => metadata.fault_at(Place::Line(line), &format!("this is not JSON: {fault}")),
            })?;
        let missing = || metadata.fault("there is no object \"global\"");
        metadata.global = document.global.ok_or_else(missing)?;
        metadata.captures = document.captures;
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
                None => Err(self.fault(&format!("core:sample_rate {value} is not a number"))),
                Some(_) => Err(self.fault(&format!("core:sample_rate {value} is not above zero"))),
            },
        }
    }

    fn check_captures(&self, frames: u64, info: &mut Info) -> Result<(), Error> {
        let Captures { last, later, first, .. } = &self.captures;
        if *last > 0 && *last >= frames {
            return Err(self.fault(&format!(
                "a capture starts at sample {last}, but there are only {frames}"
            )));
        }
        for start in first {
            info.notices.push(format!(
                "a new capture starts at sample {start}: time may have passed before it"
            ));
        }
        match later - first.len() as u64 {
            0 => {}
            more => info.notices.push(format!("and {more} captures more, the last at {last}")),
        }
        Ok(())
    }

    fn whole(&self, key: &str) -> Result<Option<u64>, Error> {
        whole(&self.global, key).map_err(|problem| self.fault(&problem))
    }

    fn fault(&self, problem: &str) -> Error {
        self.fault_at(Place::Whole, problem)
    }

    fn fault_at(&self, place: Place, problem: &str) -> Error {
        Error::input(
            self.name.clone(),
            place,
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
    fn a_rate_is_the_nearest_to_its_digits() {
        for i in 1..2000 {
            let rate = f64::from(i) * 1_234.567_890_123;
            let global = format!(r#""core:datatype": "ru8", "core:sample_rate": {rate}"#);
            assert_eq!(opened(&global, &[1]).info().rate, Some(rate));
        }
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
        assert!(with(r#""core:sample_rate": "fast""#).contains("not a number"));
        assert!(with(r#""core:sample_rate": "1000""#).contains("\"1000\" is not a number"));
        assert!(with(r#""core:sample_rate": 5, "core:sample_rate": 6"#).contains("stands twice"));
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
