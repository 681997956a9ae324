//! `SigMF`: the input is the metadata, then a 0, then the samples.

#![no_main]

use libfuzzer_sys::fuzz_target;
use stillwave_fuzz::files::read_pair;

fuzz_target!(|bytes: &[u8]| {
    let end = bytes.iter().position(|byte| *byte == 0).unwrap_or(bytes.len());
    read_pair("x", &bytes[..end], bytes.get(end + 1..).unwrap_or_default());
});
