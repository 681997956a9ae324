//! The waveforms every kernel is fed with: 12-bit samples kept in flash.

/// Samples in each waveform: a few milliseconds of a board's ADC.
pub const LENGTH: usize = 2048;

/// The trigger level all kernels use.
pub const LEVEL: u16 = 2048;

/// The hysteresis all kernels use.
pub const HYSTERESIS: u16 = 32;

/// Stays below the level: what a trigger sees while it waits.
pub static QUIET: [u16; LENGTH] = triangle(200, 1800, 512);

/// Crosses the level twice in 64 samples: a trigger kept busy.
pub static BUSY: [u16; LENGTH] = triangle(200, 3900, 64);

/// A triangle with a little of a converter's noise on it.
const fn triangle(low: u16, high: u16, period: usize) -> [u16; LENGTH] {
    let mut samples = [0; LENGTH];
    let half = period / 2;
    let mut noise: u32 = 1;
    let mut i = 0;
    while i < LENGTH {
        let phase = i % period;
        let up = if phase < half { phase } else { period - phase };
        noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let ramp = low as usize + (high - low) as usize * up / half;
        samples[i] = (ramp + (noise >> 29) as usize) as u16;
        i += 1;
    }
    samples
}
