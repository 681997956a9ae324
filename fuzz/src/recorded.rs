//! A small recording, for what needs one.

use std::path::PathBuf;
use std::sync::LazyLock;

use stillwave_cli::input::{OpenOptions, Reader, Recording, open};

use crate::files::file;

/// 600 samples of three channels of 16 bits at 100 kS/s: a WAV file of steps, ramps and pulses.
static RECORDING: LazyLock<PathBuf> = LazyLock::new(|| {
    let frames = (0..600_i32).flat_map(|n| {
        let square = if n / 20 % 2 == 0 { -8000 } else { 8000 };
        let pulse = if n % 50 < 3 { 3000 } else { 0 };
        [square, (n % 64 - 32) * 500, pulse].map(|value| value as i16)
    });
    let data: Vec<u8> = frames.flat_map(i16::to_le_bytes).collect();
    let mut bytes = b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0\x01\0\x03\0".to_vec();
    bytes.extend(100_000_u32.to_le_bytes());
    bytes.extend(600_000_u32.to_le_bytes());
    bytes.extend([6, 0, 16, 0]);
    bytes.extend(b"data");
    bytes.extend((data.len() as u32).to_le_bytes());
    bytes.extend(data);
    let size = bytes.len() as u32 - 8;
    bytes[4..8].copy_from_slice(&size.to_le_bytes());
    file("recorded.wav", &bytes)
});

/// Where it is.
pub fn path() -> String {
    RECORDING.display().to_string()
}

/// It, opened; all channels, or those that are named.
pub fn reader(channels: Option<Vec<usize>>) -> Option<Reader<i16>> {
    match open(&RECORDING, &OpenOptions { channels, ..OpenOptions::default() }) {
        Ok(Recording::I16(reader)) => Some(reader),
        Ok(_) => panic!("samples of another kind"),
        Err(_) => None,
    }
}
