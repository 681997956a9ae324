//! Files written and read back by the tool's own readers.

use std::path::Path;

use stillwave::{Event, EventKind, Instant, Polarity, Scale, Slope, Span};

use super::*;
use crate::args::RecordFormat;
use crate::input::{self, OpenOptions};
use crate::with_reader;

fn record(channels: Vec<Samples>) -> OwnedRecord {
    let at = Instant { position: 1003, lead: 1 << 14 };
    let event = Some(Event { at, kind: EventKind::Edge { slope: Slope::Rising } });
    OwnedRecord { number: 0, start: 1000, at, event, channels }
}

fn context() -> Context {
    Context { rate: Some(1000.0), ..Context::default() }
}

/// One channel of each type, with its extremes.
fn all_types() -> [Samples; 7] {
    [
        Samples::U8(vec![0, 1, 127, 128, 255]),
        Samples::I8(vec![-128, -1, 0, 1, 127]),
        Samples::U16(vec![0, 1, 32767, 32768, 65535]),
        Samples::I16(vec![-32768, -1, 0, 1, 32767]),
        Samples::U32(vec![0, 1, 1 << 31, u32::MAX - 1, u32::MAX]),
        Samples::I32(vec![i32::MIN, -1, 0, 1, i32::MAX]),
        Samples::F32(vec![-1.5, 0.0, f32::MIN_POSITIVE, 0.1, f32::MAX]),
    ]
}

/// What the tool reads from a file: a vector a channel, as numbers.
fn read(path: &Path) -> Vec<Vec<f64>> {
    let mut recording = input::open(path, &OpenOptions::default()).unwrap();
    with_reader!(&mut recording, reader => {
        let mut planes = reader.planes();
        let mut channels = vec![Vec::new(); planes.width()];
        while reader.read(&mut planes).unwrap() > 0 {
            for (values, samples) in channels.iter_mut().zip(planes.channels()) {
                values.extend(samples.iter().map(|sample| f64::from(*sample)));
            }
        }
        channels
    })
}

fn values(samples: &Samples) -> Vec<f64> {
    samples.values().collect()
}

#[test]
fn npy_reads_back_for_every_type() {
    let folder = tempfile::tempdir().unwrap();
    for samples in all_types() {
        let path = folder.path().join(format!("{samples}.npy"));
        npy(&record(vec![samples.clone()]), &path, &context()).unwrap();
        assert_eq!(read(&path), [values(&samples)], "{samples}");
        let two = folder.path().join(format!("{samples}-2.npy"));
        npy(&record(vec![samples.clone(), samples.clone()]), &two, &context()).unwrap();
        assert_eq!(read(&two), [values(&samples), values(&samples)], "{samples}");
    }
}

#[test]
fn npy_data_begin_at_a_multiple_of_64() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.npy");
    npy(&record(vec![Samples::U16(vec![0x0102; 3])]), &path, &context()).unwrap();
    let bytes = std::fs::read(&path).unwrap();
    assert_eq!(&bytes[..8], b"\x93NUMPY\x01\x00");
    assert_eq!((bytes.len() - 6) % 64, 0);
    assert_eq!(bytes[bytes.len() - 7], b'\n');
    assert_eq!(&bytes[bytes.len() - 6..], [2, 1, 2, 1, 2, 1]);
}

#[test]
fn wav_reads_back_shifted_where_it_must_be() {
    let folder = tempfile::tempdir().unwrap();
    for samples in all_types() {
        let path = folder.path().join(format!("{samples}.wav"));
        let record = record(vec![samples.clone(), samples.clone()]);
        let notices = wav(&record, &path, &context()).unwrap();
        let shift = match samples {
            Samples::I8(_) => 128.0,
            Samples::U16(_) => -32_768.0,
            Samples::U32(_) => -2_147_483_648.0,
            _ => 0.0,
        };
        assert_eq!(notices.is_empty(), shift == 0.0, "{samples}: {notices:?}");
        let expected: Vec<f64> = samples.values().map(|value| value + shift).collect();
        assert_eq!(read(&path), [expected.clone(), expected], "{samples}");
    }
}

#[test]
fn wav_needs_a_rate_it_can_state() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.wav");
    let record = record(vec![Samples::I16(vec![1, 2, 3])]);
    let with = |rate| Context { rate, ..context() };
    for rate in [None, Some(0.2), Some(5e9), Some(f64::NAN), Some(f64::INFINITY), Some(-1.0)] {
        assert!(matches!(wav(&record, &path, &with(rate)), Err(Error::Usage { .. })), "{rate:?}");
        assert!(!path.exists());
    }
    let notices = wav(&record, &path, &with(Some(1000.4))).unwrap();
    assert!(notices.iter().any(|notice| notice.contains("rounded to 1000")), "{notices:?}");
}

#[test]
fn csv_has_times_from_the_trigger_and_volts() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.csv");
    let scale = Scale::of_converter(12, 3.3).unwrap();
    let mut context = context();
    context.channels =
        vec![ChannelContext { name: Some("gate, \"A\"".into()), scale: Some(scale) }];
    let record = record(vec![Samples::U16(vec![0, 2048, 4095]), Samples::U16(vec![7, 8, 9])]);
    csv(&record, &path, &context).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = text.split("\r\n").collect();
    assert_eq!(lines[0], "time (s),\"gate, \"\"A\"\" (V)\",channel 2 (counts)");
    assert_eq!(lines[1], "-0.00275000,0.0000000,7");
    assert_eq!(lines[2], "-0.00175000,1.6500000,8");
    assert_eq!(lines[3], "-0.00075000,3.2991943,9");
    assert_eq!(lines[4], "");
    let back = read(&path);
    assert!((back[0][2] - scale.volts(4095.0)).abs() < 1e-6);
    assert_eq!(back[1], [7.0, 8.0, 9.0]);
}

#[test]
fn csv_without_a_rate_counts_samples_and_keeps_floats() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.csv");
    let record = record(vec![Samples::F32(vec![0.1, f32::NAN, 1e-30])]);
    csv(&record, &path, &Context::default()).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = text.split("\r\n").collect();
    assert_eq!(lines[0], "time (samples),channel 1 (counts)");
    assert_eq!(lines[1], "-2.75000,0.1");
    assert_eq!(lines[2], "-1.75000,NaN");
    assert_eq!(lines[3].split(',').nth(1).unwrap().parse::<f32>().unwrap(), 1e-30);
}

#[test]
fn sigmf_reads_back_and_says_where_records_were() {
    let folder = tempfile::tempdir().unwrap();
    for samples in all_types() {
        let base = folder.path().join(samples.to_string());
        let mut writer = SigmfWriter::create(&base, &context()).unwrap();
        let first = record(vec![samples.clone()]);
        let mut second = OwnedRecord { start: 2000, number: 1, event: None, ..first.clone() };
        writer.add(&first).unwrap();
        writer.add(&second).unwrap();
        second.start = 3000;
        second.event = Some(Event {
            at: Instant { position: 3004, lead: 1 << 15 },
            kind: EventKind::Pulse { polarity: Polarity::Negative, width: Span::samples(2) },
        });
        writer.add(&second).unwrap();
        assert!(!base.with_extension("sigmf-data").exists());
        let (data, meta) = writer.finish().unwrap();
        let expected = [values(&samples), values(&samples), values(&samples)].concat();
        assert_eq!(read(&data), [expected]);

        let meta: serde_json::Value =
            serde_json::from_str(&std::fs::read_to_string(meta).unwrap()).unwrap();
        let starts: Vec<_> = meta["captures"].as_array().unwrap().iter().collect();
        assert_eq!(starts[2]["core:sample_start"], 10);
        assert_eq!(starts[2]["core:global_index"], 3000);
        assert_eq!(meta["global"]["core:sample_rate"], 1000.0);
        let annotations = meta["annotations"].as_array().unwrap();
        assert_eq!(annotations.len(), 2);
        assert_eq!(annotations[0]["core:sample_start"], 3);
        assert_eq!(annotations[0]["core:sample_count"], 1);
        assert_eq!(annotations[0]["core:label"], "rising edge");
        assert_eq!(annotations[0]["core:comment"], "at sample 1002.750 (1.002750000 s)");
        // From 3001.5 to 3003.5: samples 3002 and 3003, and 3004 that ended it.
        assert_eq!(annotations[1]["core:sample_start"], 12);
        assert_eq!(annotations[1]["core:sample_count"], 3);
    }
}

#[test]
fn sigmf_refuses_records_of_another_shape() {
    let folder = tempfile::tempdir().unwrap();
    let mut writer = SigmfWriter::create(&folder.path().join("a.sigmf-meta"), &context()).unwrap();
    writer.add(&record(vec![Samples::U8(vec![1])])).unwrap();
    assert!(writer.add(&record(vec![Samples::I8(vec![1])])).is_err());
    assert!(writer.add(&record(vec![Samples::U8(vec![1]); 2])).is_err());
    assert!(writer.add(&record(vec![])).is_err());
    drop(writer);
    let empty = SigmfWriter::create(&folder.path().join("b"), &context()).unwrap();
    assert!(matches!(empty.finish(), Err(Error::Usage { .. })));
    // Nothing is left of a recording that was not finished.
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_file_there_is_kept_unless_overwriting_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.npy");
    std::fs::write(&path, "precious").unwrap();
    let record = record(vec![Samples::U8(vec![1])]);
    let message = npy(&record, &path, &context()).unwrap_err().to_string();
    assert!(message.contains("there is such a file already"), "{message}");
    assert_eq!(std::fs::read(&path).unwrap(), b"precious");
    npy(&record, &path, &Context { overwrite: true, ..context() }).unwrap();
    assert_eq!(read(&path), [[1.0]]);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn a_file_that_came_meanwhile_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a");
    let mut file = WholeFile::create(&path, false).unwrap();
    file.put(b"ours").unwrap();
    std::fs::write(&path, "theirs").unwrap();
    assert!(matches!(file.finish(), Err(Error::Usage { .. })));
    assert_eq!(std::fs::read(&path).unwrap(), b"theirs");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn a_folder_that_is_not_there_is_named() {
    let missing = Path::new("/nowhere/at/all/a.csv");
    let error = csv(&record(vec![Samples::U8(vec![1])]), missing, &context()).unwrap_err();
    assert!(error.to_string().starts_with("/nowhere/at/all/a.csv: there is no folder"), "{error}");
    let folder = tempfile::tempdir().unwrap();
    let overwrite = Context { overwrite: true, ..context() };
    let error = csv(&record(vec![Samples::U8(vec![1])]), folder.path(), &overwrite).unwrap_err();
    assert!(error.to_string().contains("is a folder"), "{error}");
}

#[cfg(unix)]
#[test]
fn files_have_the_permissions_of_any_new_file() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let (ours, plain) = (folder.path().join("a.npy"), folder.path().join("plain"));
    npy(&record(vec![Samples::U8(vec![1])]), &ours, &context()).unwrap();
    std::fs::write(&plain, "").unwrap();
    let mode = |path: &Path| path.metadata().unwrap().permissions().mode();
    assert_eq!(mode(&ours), mode(&plain));
}

#[test]
fn a_record_of_the_engine_keeps_its_place() {
    use stillwave::{Acquisition, Edge, Holdoff, Level, Mode, RecordShape, Trigger};
    let samples: Vec<i16> = vec![-10, -10, -10, -10, 30, 30, 30, 30];
    let edge = Edge::new(Slope::Rising, Level::<i16>::new(0, 0).unwrap()).unwrap();
    let trigger = Trigger::new(edge, Holdoff::Samples(0)).unwrap();
    let shape = RecordShape::new(2, 3).unwrap();
    let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0_i16; 16]).unwrap();
    let mut records: Vec<OwnedRecord> = Vec::new();
    acquisition.push(&samples, |record| records.push((&record).into()));
    let [record] = &records[..] else { panic!("{records:?}") };
    assert_eq!((record.start, record.len()), (2, 5));
    assert_eq!(record.channels, [Samples::I16(vec![-10, -10, 30, 30, 30])]);
    // From -10 to 30, 0 is passed after a quarter.
    assert_eq!(record.trigger_offset(), 1.25);
}

#[test]
fn what_was_written_is_counted() {
    let folder = tempfile::tempdir().unwrap();
    // One is there already.
    std::fs::write(folder.path().join("k-0002.csv"), "").unwrap();
    let base = folder.path().join("k");
    let mut store = Store::new(&base, None, RecordFormat::Csv, context()).unwrap();
    for number in [0, 2] {
        assert_eq!(store.free(number.min(1)), number);
        store.put(&OwnedRecord { number, ..record(vec![Samples::U8(vec![1, 2])]) }).unwrap();
    }
    let written = store.finish().unwrap().unwrap();
    assert!(written.ends_with("k-0003.csv (2 records)"), "{written}");
}
