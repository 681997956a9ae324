//! Samples without a header: the input is the file, with options in its last four bytes.

#![no_main]

use libfuzzer_sys::fuzz_target;
use stillwave_cli::input::{Format, OpenOptions};
use stillwave_fuzz::files::read;

const TYPES: [&str; 18] = [
    "u8", "i8", "u16le", "u16be", "i16le", "i16be", "i24le", "i24be", "u32le", "u32be", "i32le",
    "i32be", "f32le", "f32be", "f64le", "f64be", "i64be", "u64le",
];

fuzz_target!(|bytes: &[u8]| {
    let Some((bytes, &[kind, channels, skip, how])) = bytes.split_last_chunk() else { return };
    let options = OpenOptions {
        format: (how & 1 > 0).then_some(Format::Raw),
        sample_type: TYPES[usize::from(kind) % TYPES.len()].parse().ok(),
        channel_count: match channels {
            255 => Some(usize::MAX),
            254 => None,
            few => Some(few.into()),
        },
        skip_bytes: if skip == 255 { u64::MAX } else { skip.into() },
        channels: (how & 2 > 0).then(|| vec![usize::from(how >> 5), usize::from(how >> 3 & 3)]),
        ..OpenOptions::default()
    };
    read("x.bin", bytes, &options, 1 + usize::from(how));
});
