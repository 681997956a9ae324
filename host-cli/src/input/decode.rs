//! From the bytes of a file to samples in memory.
//!
//! Everything here works on whole blocks, and the choice of type is made outside the loops.

use bytemuck::{Pod, cast_slice_mut};
use half::f16;
use stillwave::Sample;

use super::sample_type::{Kind, SampleType};

/// A sample type of the engine, as a file can hold it.
pub trait Native: Sample + Pod {
    /// The kind that lies in a file as it lies in memory.
    const KIND: Kind;

    /// Converts samples of another kind: those at `offset` of every `stride` bytes.
    ///
    /// Kinds that never become this type leave `out` alone.
    #[doc(hidden)]
    fn convert(sample: SampleType, bytes: &[u8], stride: usize, offset: usize, out: &mut [Self]) {
        let _ = (sample, bytes, stride, offset, out);
    }
}

impl Native for u8 {
    const KIND: Kind = Kind::U8;
}

impl Native for i8 {
    const KIND: Kind = Kind::I8;
}

impl Native for u16 {
    const KIND: Kind = Kind::U16;
}

impl Native for i16 {
    const KIND: Kind = Kind::I16;
}

impl Native for u32 {
    const KIND: Kind = Kind::U32;
}

impl Native for i32 {
    const KIND: Kind = Kind::I32;

    fn convert(sample: SampleType, bytes: &[u8], stride: usize, offset: usize, out: &mut [Self]) {
        if sample.kind == Kind::I24 {
            let samples = gather(sample, bytes, stride, offset);
            // Put at the top of 32 bits and moved down, the sign comes along.
            fill(out, samples, |[a, b, c]| i32::from_le_bytes([0, a, b, c]) >> 8);
        }
    }
}

impl Native for f32 {
    const KIND: Kind = Kind::F32;

    fn convert(sample: SampleType, bytes: &[u8], stride: usize, offset: usize, out: &mut [Self]) {
        match sample.kind {
            Kind::F16 => fill(out, gather(sample, bytes, stride, offset), |raw| {
                f16::from_le_bytes(raw).to_f32()
            }),
            Kind::F64 => fill(out, gather(sample, bytes, stride, offset), |raw| {
                f64::from_le_bytes(raw) as f32
            }),
            Kind::I64 => fill(out, gather(sample, bytes, stride, offset), |raw| {
                i64::from_le_bytes(raw) as f32
            }),
            Kind::U64 => fill(out, gather(sample, bytes, stride, offset), |raw| {
                u64::from_le_bytes(raw) as f32
            }),
            _ => {}
        }
    }
}

/// One sample of every `stride` bytes, its least significant byte first.
fn gather<const N: usize>(
    sample: SampleType,
    bytes: &[u8],
    stride: usize,
    offset: usize,
) -> impl Iterator<Item = [u8; N]> {
    let groups = bytes.get(offset..).unwrap_or_default().chunks(stride.max(1));
    groups.map(move |group| {
        let mut raw = group.first_chunk().copied().unwrap_or([0; N]);
        if sample.big_endian {
            raw.reverse();
        }
        raw
    })
}

fn fill<T, const N: usize>(
    out: &mut [T],
    samples: impl Iterator<Item = [u8; N]>,
    number: impl Fn([u8; N]) -> T,
) {
    for (slot, raw) in out.iter_mut().zip(samples) {
        *slot = number(raw);
    }
}

/// Turns the bytes of every sample round where the file's order is not the machine's.
pub(super) fn to_native_order<T: Pod>(samples: &mut [T], big_endian: bool) {
    if big_endian == cfg!(target_endian = "big") {
        return;
    }
    // A type is as aligned as the unsigned integer of its size, so the casts hold.
    match size_of::<T>() {
        2 => swap(cast_slice_mut::<T, u16>(samples), u16::swap_bytes),
        4 => swap(cast_slice_mut::<T, u32>(samples), u32::swap_bytes),
        _ => {}
    }
}

fn swap<U: Copy>(words: &mut [U], swapped: impl Fn(U) -> U) {
    for word in words {
        *word = swapped(*word);
    }
}

/// Copies one channel out of interleaved samples.
pub(super) fn pick<T: Copy>(interleaved: &[T], channels: usize, channel: usize, out: &mut [T]) {
    // A width known to the compiler becomes vector code.
    match channels {
        1 => pick_of::<T, 1>(interleaved, channel, out),
        2 => pick_of::<T, 2>(interleaved, channel, out),
        3 => pick_of::<T, 3>(interleaved, channel, out),
        4 => pick_of::<T, 4>(interleaved, channel, out),
        8 => pick_of::<T, 8>(interleaved, channel, out),
        _ => {
            let tail = interleaved.get(channel..).unwrap_or_default();
            for (slot, value) in out.iter_mut().zip(tail.iter().step_by(channels.max(1))) {
                *slot = *value;
            }
        }
    }
}

fn pick_of<T: Copy, const N: usize>(interleaved: &[T], channel: usize, out: &mut [T]) {
    let (frames, _) = interleaved.as_chunks::<N>();
    if channel < N {
        for (slot, frame) in out.iter_mut().zip(frames) {
            *slot = frame[channel];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn packed_24_bits_keep_their_sign() {
        let bytes = [0xff, 0xff, 0xff, 0x00, 0x00, 0x80, 0xff, 0xff, 0x7f];
        let mut out = [0_i32; 3];
        i32::convert(SampleType::little(Kind::I24), &bytes, 3, 0, &mut out);
        assert_eq!(out, [-1, -8_388_608, 8_388_607]);
        let bytes = [0x80, 0x00, 0x01];
        i32::convert(SampleType::big(Kind::I24), &bytes, 3, 0, &mut out[..1]);
        assert_eq!(out[0], -8_388_607);
    }

    #[test]
    fn wide_numbers_are_narrowed() {
        let mut out = [0_f32; 2];
        let bytes: Vec<u8> = [1.5_f64, 1e300].iter().flat_map(|v| v.to_be_bytes()).collect();
        f32::convert(SampleType::big(Kind::F64), &bytes, 8, 0, &mut out);
        assert_eq!(out, [1.5, f32::INFINITY]);
        let bytes: Vec<u8> = [7_i64, -3].iter().flat_map(|v| v.to_le_bytes()).collect();
        f32::convert(SampleType::little(Kind::I64), &bytes, 16, 8, &mut out[..1]);
        assert_eq!(out[0], -3.0);
        f32::convert(SampleType::little(Kind::F16), &[0x00, 0x3e], 2, 0, &mut out[..1]);
        assert_eq!(out[0], 1.5);
    }

    #[test]
    fn every_width_is_picked_alike() {
        let samples: Vec<u16> = (0..120).collect();
        for channels in 1..12 {
            for channel in 0..channels {
                let frames = samples.len() / channels;
                let mut out = vec![0; frames];
                pick(&samples, channels, channel, &mut out);
                let expected: Vec<u16> =
                    (0..frames).map(|i| (i * channels + channel) as u16).collect();
                assert_eq!(out, expected);
            }
        }
    }

    #[test]
    fn bytes_are_turned_round() {
        let mut samples = [u16::from_ne_bytes([0x12, 0x34]), u16::from_ne_bytes([0, 1])];
        to_native_order(&mut samples, true);
        assert_eq!(samples, [0x1234, 1]);
        let mut samples = [f32::from_bits(u32::from_ne_bytes(1.5_f32.to_be_bytes()))];
        to_native_order(&mut samples, true);
        assert_eq!(samples, [1.5]);
    }
}
