use core::hint::black_box;

/// All basic measurements of the first 1000 samples.
#[inline(never)]
pub fn measure(samples: &[u16]) -> u64 {
    let record = samples.get(..1000).unwrap_or(samples);
    black_box(stillwave::measure::measure(record)).samples
}
