//! Text in columns: the input is the file, with options in its last two bytes.

#![no_main]

use libfuzzer_sys::fuzz_target;
use stillwave_cli::input::{Format, OpenOptions};
use stillwave_fuzz::files::read;

fuzz_target!(|bytes: &[u8]| {
    let Some((bytes, &[separator, how])) = bytes.split_last_chunk() else { return };
    let options = OpenOptions {
        format: Some(Format::Csv),
        delimiter: b",;\t |".get(usize::from(separator)).copied(),
        time_column: (how & 4 > 0).then_some(usize::from(how & 3)),
        rate: (how & 8 > 0).then_some(1e3),
        channels: (how & 16 > 0).then(|| vec![usize::from(how >> 5)]),
        ..OpenOptions::default()
    };
    read("x.csv", bytes, &options, 1 + usize::from(how));
});
