//! `NumPy` arrays: the input is the file, whose first bytes tell its format.

#![no_main]

use libfuzzer_sys::fuzz_target;
use stillwave_cli::input::OpenOptions;
use stillwave_fuzz::files::read;

fuzz_target!(|bytes: &[u8]| read("x.npy", bytes, &OpenOptions::default(), 5));
