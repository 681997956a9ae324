//! The positions of a decimator's outputs among its samples.

use crate::time::PARTS_PER_SAMPLE;
use crate::{Instant, Span};

/// The positions of a decimator's outputs, counted in its input samples.
///
/// Output k is made of the `span` samples from k · `step` on, and belongs to their middle: the
/// delay of the filter is known and subtracted. Outputs are counted like positions, including lost
/// ones, so this is one straight line for the whole stream, whatever was lost in it.
///
/// ```
/// use stillwave::decimate::{Boxcar, Decimator};
/// use stillwave::Instant;
/// let grid = Boxcar::<u16>::new(10)?.grid();
/// // Ten samples from 30 on: their middle is at 34.5.
/// assert_eq!(grid.instant(3), Instant { position: 35, lead: 0x8000 });
/// // A quarter of an output before that is 2.5 samples earlier.
/// assert_eq!(grid.original(Instant { position: 3, lead: 0x4000 }), Instant::at(32));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Grid {
    step: u32,
    span: u32,
}

impl Grid {
    /// Makes a grid; neither number may be 0.
    pub(super) const fn new(step: u32, span: u32) -> Self {
        Self { step, span }
    }

    /// The number of samples from one output to the next.
    #[inline]
    pub fn step(self) -> u32 {
        self.step
    }

    /// The number of samples that an output is made of.
    #[inline]
    pub fn span(self) -> u32 {
        self.span
    }

    /// The group delay: how far the middle of an output's samples lies after the first of them.
    pub fn delay(self) -> Span {
        Span::from_parts(u64::from(self.span.saturating_sub(1)) * (PARTS_PER_SAMPLE / 2))
    }

    /// The position of the first sample of an output.
    pub fn first(self, output: u64) -> u64 {
        output.saturating_mul(u64::from(self.step))
    }

    /// The instant of an output, in samples.
    pub fn instant(self, output: u64) -> Instant {
        self.original(Instant::at(output))
    }

    /// Converts an instant counted in outputs, as a trigger after the decimator gives it, to
    /// samples. It is exact.
    pub fn original(self, at: Instant) -> Instant {
        const PARTS: i64 = PARTS_PER_SAMPLE as i64;
        // Both below 2^49.
        let before = i64::from(at.lead.min(PARTS_PER_SAMPLE as u32)) * i64::from(self.step);
        let behind = self.delay().parts() as i64 - before;
        let samples = behind.div_euclid(PARTS) + i64::from(behind.rem_euclid(PARTS) != 0);
        let lead = (samples * PARTS - behind) as u32;
        Instant { position: self.first(at.position).saturating_add_signed(samples), lead }
    }

    /// Converts a length of time counted in outputs, such as a width after the decimator, to
    /// samples.
    pub fn original_span(self, outputs: Span) -> Span {
        Span::from_parts(outputs.parts().saturating_mul(u64::from(self.step)))
    }

    /// The rate of outputs for samples at `rate`, both in samples a second.
    pub fn rate(self, rate: f64) -> f64 {
        rate / f64::from(self.step)
    }
}
