//! What the tests of every format share.

use std::io::{self, Read};

use super::{Format, OpenOptions, Recording, open, open_stream};
use crate::error::Error;
use crate::with_reader;

/// Opens `bytes` as a file of that name.
pub(super) fn open_bytes(
    bytes: &[u8],
    name: &str,
    options: &OpenOptions,
) -> Result<Recording, Error> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).unwrap();
    open(&path, options)
}

/// Opens `bytes` as a file of that name, which must succeed.
pub(super) fn opened(bytes: &[u8], name: &str, options: &OpenOptions) -> Recording {
    open_bytes(bytes, name, options).unwrap_or_else(|error| panic!("{error}"))
}

/// The message with which `bytes` are refused.
pub(super) fn refused(bytes: &[u8], name: &str, options: &OpenOptions) -> String {
    match open_bytes(bytes, name, options) {
        Ok(_) => panic!("{name} was not refused"),
        Err(error) => error.to_string(),
    }
}

/// Opens `bytes` as a pipe that hands out `step` of them at a time.
pub(super) fn trickled(
    bytes: &[u8],
    step: usize,
    options: &OpenOptions,
) -> Result<Recording, Error> {
    let stream = Trickle(bytes.to_vec(), 0, step);
    open_stream(Box::new(stream), "standard input", options)
}

struct Trickle(Vec<u8>, usize, usize);

impl Read for Trickle {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let rest = &self.0[self.1..];
        let count = self.2.min(buffer.len()).min(rest.len());
        buffer[..count].copy_from_slice(&rest[..count]);
        self.1 += count;
        Ok(count)
    }
}

/// Reads a recording to the end, as doubles, channel by channel.
pub(super) fn all(recording: &mut Recording) -> Vec<Vec<f64>> {
    try_all(recording).unwrap_or_else(|error| panic!("{error}"))
}

/// Reads a recording to the end or to the first fault.
pub(super) fn try_all(recording: &mut Recording) -> Result<Vec<Vec<f64>>, Error> {
    with_reader!(recording, reader => {
        let mut planes = reader.planes();
        let mut collected = vec![Vec::new(); planes.width()];
        while reader.read(&mut planes)? > 0 {
            for (all, block) in collected.iter_mut().zip(planes.channels()) {
                // Every engine type is written as a decimal number that reads back.
                all.extend(block.iter().map(|v| format!("{v}").parse::<f64>().unwrap_or(f64::NAN)));
            }
        }
        Ok(collected)
    })
}

#[test]
fn formats_are_told_by_content() {
    let told =
        |bytes: &[u8], name: &str| opened(bytes, name, &OpenOptions::default()).info().format;
    assert_eq!(told(b"1,2\n3,4\n", "x.txt"), Format::Csv);
    assert_eq!(told("µ,a\n3,4\n".as_bytes(), "x"), Format::Csv);
    let refusal = |bytes: &[u8], name: &str| refused(bytes, name, &OpenOptions::default());
    assert!(refusal(&[0, 1, 2], "x").contains("the format cannot be told"));
    assert!(refusal(&[0, 1, 2], "x.raw").contains("--sample-type"));
    assert!(refusal(&[0x1f, 0x8b, 8], "x.csv").contains("gzip"));
    assert!(refusal(b"PK\x03\x04", "x.npz").contains("archive"));
    assert!(refusal(&[], "x.csv").contains("it is empty"));
    let typed = OpenOptions { sample_type: "u8".parse().ok(), ..OpenOptions::default() };
    assert_eq!(opened(&[0, 1, 2], "x", &typed).info().format, Format::Raw);
    let wav = b"RIFF\0\0\0\0WAVEdata";
    assert!(refused(wav, "x", &typed).contains("--sample-type does not apply to the format wav"));
}

proptest::proptest! {
    #[test]
    fn damaged_files_are_survived(
        magic in 0_usize..4,
        step in 1_usize..50,
        rest in proptest::collection::vec(0_u8..=255, 0..200),
    ) {
        let magics: [&[u8]; 4] = [
            b"RIFF\xff\0\0\0WAVEfmt \x10\0\0\0\x01\0\x02\0",
            b"RF64\xff\xff\xff\xffWAVEds64\x18\0\0\0",
            b"\x93NUMPY\x01\0\x40\0{'descr': '<i2', ",
            b"",
        ];
        let bytes = [magics[magic], &rest].concat();
        if let Ok(mut recording) = trickled(&bytes, step, &OpenOptions::default()) {
            let _ = try_all(&mut recording);
        }
    }
}
