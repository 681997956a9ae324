//! Samples without any header, described by the user.

use super::binary::{self, Layout, Order};
use super::source::Source;
use super::{Format, Info, OpenOptions, Recording};
use crate::error::Error;

pub(super) fn open(source: Source, options: &OpenOptions) -> Result<Recording, Error> {
    let Some(sample_type) = options.sample_type else {
        return Err(Error::usage(
            format!("{}: raw samples do not say their type", source.name()),
            "state it with --sample-type, such as u16le",
        ));
    };
    let channels = options.channel_count.unwrap_or(1);
    let info = Info::new(&source, Format::Raw, sample_type, channels);
    let layout = Layout { order: Order::Interleaved, start: options.skip_bytes, bytes: None };
    binary::open(source, info, &layout, options)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{all, opened, refused, trickled};
    use super::*;
    use crate::input::{Kind, SampleType};

    fn options(text: &str, channels: usize) -> OpenOptions {
        OpenOptions {
            format: Some(Format::Raw),
            sample_type: Some(text.parse().unwrap()),
            channel_count: Some(channels),
            ..OpenOptions::default()
        }
    }

    #[test]
    fn every_type_reads_back() {
        let values = [1_u8, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16];
        let expected: [(&str, Vec<f64>); 8] = [
            ("u8", (1..=16).map(f64::from).collect()),
            ("i16le", (0..8).map(|i| f64::from(0x0201 + i * 0x0202)).collect()),
            ("i16be", (0..8).map(|i| f64::from(0x0102 + i * 0x0202)).collect()),
            ("i24le", (0..5).map(|i| f64::from(0x03_0201 + i * 0x03_0303)).collect()),
            ("i24be", (0..5).map(|i| f64::from(0x01_0203 + i * 0x03_0303)).collect()),
            ("u32be", (0..4).map(|i| f64::from(0x0102_0304 + i * 0x0404_0404)).collect()),
            ("i32le", (0..4).map(|i| f64::from(0x0403_0201 + i * 0x0404_0404)).collect()),
            ("u16", (0..8).map(|i| f64::from(0x0201 + i * 0x0202)).collect()),
        ];
        for (name, expected) in expected {
            let mut recording = opened(&values, "x.bin", &options(name, 1));
            assert_eq!(all(&mut recording), [expected], "{name}");
        }
    }

    #[test]
    fn channels_are_parted_and_chosen() {
        let bytes: Vec<u8> = (0..12).collect();
        let mut recording = opened(&bytes, "x.bin", &options("u8", 3));
        assert_eq!(recording.info().frames, Some(4));
        assert_eq!(all(&mut recording)[1], [1.0, 4.0, 7.0, 10.0]);
        let chosen = OpenOptions { channels: Some(vec![2, 0]), ..options("u8", 3) };
        let mut recording = opened(&bytes, "x.bin", &chosen);
        let planes = all(&mut recording);
        assert_eq!(planes, [[2.0, 5.0, 8.0, 11.0], [0.0, 3.0, 6.0, 9.0]]);
        let wrong = OpenOptions { channels: Some(vec![3]), ..options("u8", 3) };
        assert!(
            refused(&bytes, "x.bin", &wrong).contains("there is no channel 4; choose from 1 to 3")
        );
    }

    #[test]
    fn odd_bytes_are_told() {
        let mut recording = opened(&[1, 0, 2, 0, 3], "x.bin", &options("u16", 1));
        assert_eq!(recording.take_notices(), ["1 byte after the last whole frame is left out"]);
        assert_eq!(all(&mut recording), [[1.0, 2.0]]);
        let mut recording = trickled(&[1, 0, 2, 0, 3], 3, &options("u16", 1)).unwrap();
        assert_eq!(all(&mut recording), [[1.0, 2.0]]);
        assert_eq!(recording.take_notices().len(), 1);
    }

    #[test]
    fn bytes_are_skipped() {
        let skipping = OpenOptions { skip_bytes: 3, ..options("u8", 1) };
        assert_eq!(all(&mut opened(&[9, 9, 9, 1, 2], "x", &skipping)), [[1.0, 2.0]]);
        assert_eq!(all(&mut trickled(&[9, 9, 9, 1, 2], 2, &skipping).unwrap()), [[1.0, 2.0]]);
        assert!(refused(&[9, 9], "x", &skipping).contains("no samples"));
    }

    #[test]
    fn what_is_missing_is_asked_for() {
        let bare = OpenOptions { format: Some(Format::Raw), ..OpenOptions::default() };
        assert!(refused(&[1, 2], "x.bin", &bare).contains("--sample-type"));
        assert!(refused(&[1, 2], "x.bin", &options("u8", 0)).contains("0 channels"));
        assert!(refused(&[1, 2], "x.bin", &options("u8", usize::MAX)).contains("channels"));
        assert!(refused(&[], "x.bin", &options("u8", 1)).contains("empty"));
    }

    #[test]
    fn large_blocks_and_small_agree() {
        let bytes: Vec<u8> = (0..600_001_u32).map(|i| (i % 251) as u8).collect();
        for sample in [SampleType::big(Kind::I24), SampleType::little(Kind::U16)] {
            for channels in [1, 2, 5] {
                let options = options(&sample.to_string(), channels);
                let whole = all(&mut opened(&bytes, "x.bin", &options));
                let slow = all(&mut trickled(&bytes, 7001, &options).unwrap());
                assert_eq!(whole, slow);
            }
        }
    }
}
