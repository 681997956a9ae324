//! The waveforms every kernel is fed with: 12-bit samples kept in flash.

/// Samples in each waveform: a few milliseconds of a board's ADC.
pub const LENGTH: usize = 2048;

/// The trigger level all kernels use.
pub const LEVEL: u16 = 2048;

/// The hysteresis all kernels use.
pub const HYSTERESIS: u16 = 32;

/// Stays below the level: what a trigger sees while it waits.
pub static QUIET: [u16; LENGTH] = triangle(200, 1800, 512);

/// A sine of 1000 samples a period.
pub static SINE: [u16; LENGTH] = sine(2048, 1800, 1000);

/// A sine of 100 samples a period: ten cycles in a record of 1000.
pub static SINE_100: [u16; LENGTH] = sine(2048, 1800, 100);

/// Passes the level, up or down, every fourth sample: a trigger kept busy.
pub static BUSY: [u16; LENGTH] = repeated([700, 200, 600, 1700, 2500, 3600, 3900, 3000]);

/// A few samples again and again.
const fn repeated(period: [u16; 8]) -> [u16; LENGTH] {
    let mut samples = [0; LENGTH];
    let mut i = 0;
    while i < LENGTH {
        samples[i] = period[i % period.len()];
        i += 1;
    }
    samples
}

/// The same in 8 bits.
pub static QUIET_8: [u8; LENGTH] = narrow(&QUIET);
/// The same in 8 bits.
pub static SINE_8: [u8; LENGTH] = narrow(&SINE);
/// The same in 8 bits.
pub static BUSY_8: [u8; LENGTH] = narrow(&BUSY);

/// The upper 8 of 12 bits.
const fn narrow(samples: &[u16; LENGTH]) -> [u8; LENGTH] {
    let mut narrow = [0; LENGTH];
    let mut i = 0;
    while i < LENGTH {
        narrow[i] = (samples[i] >> 4) as u8;
        i += 1;
    }
    narrow
}

/// A sine by Bhaskara's approximation, true to 0.2 % (from memory).
const fn sine(middle: usize, amplitude: usize, period: usize) -> [u16; LENGTH] {
    let mut samples = [0; LENGTH];
    let half = period / 2;
    let mut i = 0;
    while i < LENGTH {
        let phase = i % period;
        let x = phase % half;
        let product = x * (half - x);
        let value = amplitude * 16 * product / (5 * half * half - 4 * product);
        samples[i] = (if phase < half { middle + value } else { middle - value }) as u16;
        i += 1;
    }
    samples
}

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
