//! Where the outputs of a decimator lie among the samples.

use crate::time::PARTS_PER_SAMPLE;
use crate::{Instant, Span};

/// The places of a decimator's outputs, counted in the samples it was given.
///
/// Output k is made of the samples from k · `step` on, `span` of them, and belongs to the middle
/// of these: the delay of the filter is known and taken off. One straight line for the whole
/// stream, whatever was lost in it, as outputs are counted like positions: lost ones included.
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
    /// Neither may be 0.
    pub(super) const fn new(step: u32, span: u32) -> Self {
        Self { step, span }
    }

    /// Samples from one output to the next.
    #[inline]
    pub fn step(self) -> u32 {
        self.step
    }

    /// Samples that an output is made of.
    #[inline]
    pub fn span(self) -> u32 {
        self.span
    }

    /// How far the middle of an output's samples lies behind the first of them: the group delay.
    pub fn delay(self) -> Span {
        Span::from_parts(u64::from(self.span.saturating_sub(1)) * (PARTS_PER_SAMPLE / 2))
    }

    /// The position of the first sample of an output.
    pub fn first(self, output: u64) -> u64 {
        output.saturating_mul(u64::from(self.step))
    }

    /// When an output is, in samples.
    pub fn instant(self, output: u64) -> Instant {
        self.original(Instant::at(output))
    }

    /// An instant counted in outputs, as a trigger behind the decimator gives it, in samples.
    /// Exact.
    pub fn original(self, at: Instant) -> Instant {
        const PARTS: i64 = PARTS_PER_SAMPLE as i64;
        // Both below 2^49.
        let before = i64::from(at.lead.min(PARTS_PER_SAMPLE as u32)) * i64::from(self.step);
        let behind = self.delay().parts() as i64 - before;
        let samples = behind.div_euclid(PARTS) + i64::from(behind.rem_euclid(PARTS) != 0);
        let lead = (samples * PARTS - behind) as u32;
        Instant { position: self.first(at.position).saturating_add_signed(samples), lead }
    }

    /// A length of time counted in outputs, as a width behind the decimator, in samples.
    pub fn original_span(self, outputs: Span) -> Span {
        Span::from_parts(outputs.parts().saturating_mul(u64::from(self.step)))
    }

    /// The rate of outputs, where that of samples is `rate`, both in samples a second.
    pub fn rate(self, rate: f64) -> f64 {
        rate / f64::from(self.step)
    }
}
