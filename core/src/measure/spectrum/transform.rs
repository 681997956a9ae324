//! The transform of 2^n samples in a buffer.

use microfft::real;

use super::{Power, Spectrum, Window};
use crate::Sample;
use crate::measure::Reason;
use crate::measure::number::real as number;
use crate::measure::statistics::Sums;

impl<'a> Spectrum<'a> {
    /// Makes the spectrum of a record's first samples. It takes as many as the buffer has room for,
    /// a power of two from 64 to 4096. The buffer is overwritten.
    ///
    /// It is computed in `f32`, with rounding about 130 dB below the largest tone; a PC and a chip
    /// give the same.
    ///
    /// # Errors
    /// [`Reason::TooShort`] if the buffer has another length, or there are fewer samples;
    /// [`Reason::NotFinite`].
    pub fn of<T: Sample>(
        samples: &[T],
        window: Window,
        buffer: &'a mut [f32],
    ) -> Result<Self, Reason> {
        let count = buffer.len();
        let samples = samples.get(..count).ok_or(Reason::TooShort)?;
        let mean = Sums::of(samples)?.statistics().mean;
        for (index, (place, &x)) in buffer.iter_mut().zip(samples).enumerate() {
            *place = ((number(x) - mean) * window.weight(index, count)) as f32;
        }
        transform(buffer).ok_or(Reason::TooShort)?;
        let first = buffer.first().copied().map_or(0.0, f64::from);
        // What is not whole cycles has no mean but this: that of the samples as they are weighed.
        for bin in 1..5 {
            if let Some(re) = buffer.get_mut(2 * bin) {
                *re = (f64::from(*re) - first * window.share_of_mean(bin)) as f32;
            }
        }
        // Complex numbers become powers, each at or before the place of its parts. The transform
        // keeps the last bin, which is real, as the imaginary part of the first, which is too.
        let whole = 1.0 / (count as f64 * window.square_sum(count));
        let last = buffer.get(1).copied().map_or(0.0, f64::from);
        let half = count / 2;
        for bin in 1..half {
            let parts = buffer.get(2 * bin).copied().zip(buffer.get(2 * bin + 1).copied());
            let (re, im) = parts.unwrap_or_default();
            let (re, im) = (f64::from(re), f64::from(im));
            if let Some(place) = buffer.get_mut(bin) {
                *place = (2.0 * whole * (re * re + im * im)) as f32;
            }
        }
        for (bin, value) in [(0, 0.0), (half, last)] {
            if let Some(place) = buffer.get_mut(bin) {
                *place = (whole * value * value) as f32;
            }
        }
        let power = buffer.get(..=half).ok_or(Reason::TooShort)?;
        if !power.iter().map(|&power| f64::from(power)).sum::<f64>().is_finite() {
            return Err(Reason::NotFinite);
        }
        Ok(Self { power: Power::Short(power), samples: count, window })
    }
}

/// Transforms in place; `None` for a length that cannot be transformed.
fn transform(buffer: &mut [f32]) -> Option<()> {
    macro_rules! of_length {
        ($($length:literal $transform:ident),*) => {
            match buffer.len() {
                $($length => {
                    let whole: &mut [f32; $length] = buffer.try_into().ok()?;
                    let _ = real::$transform(whole);
                })*
                _ => return None,
            }
        };
    }
    of_length!(
        64 rfft_64, 128 rfft_128, 256 rfft_256, 512 rfft_512, 1024 rfft_1024, 2048 rfft_2048,
        4096 rfft_4096
    );
    Some(())
}
