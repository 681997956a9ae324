//! Decimation: fewer samples that keep what matters.
//!
//! ```text
//! samples ─► Every, Envelope, Boxcar, Cic, Fir ─► outputs, one for `step` samples ─► a trigger, a record
//! records ─► Average, RecordEnvelope ─► one record for many
//! record  ─► linear, SinX ─► values between its samples
//! ```
//!
//! | | an output is | for |
//! |---|---|---|
//! | [`Every`] | a sample | speed, if nothing is faster than half the new rate |
//! | [`Envelope`] | the smallest and the largest sample | pictures: no spike is lost |
//! | [`Boxcar`] | the exact sum of the samples | resolution: ½·log2(n) bits out of white noise |
//! | [`Cic`] | the exact sum of sums, to order 5 | the same, less folding, no multiplications |
//! | [`Fir`] | a weighted sum | a flat pass band and a stop band of stated attenuation |
//!
//! All are [`Decimator`]s: they take blocks of any length, and their [`Grid`] gives the positions
//! of outputs among the samples. A trigger may therefore run before or after them and still report
//! true positions. Integer samples use only integer arithmetic.
//!
//! ```
//! use stillwave::decimate::{Boxcar, Decimator};
//! use stillwave::{Edge, Holdoff, Level, Slope, Trigger};
//!
//! // Sums of 16 samples of 12 bits: a level of 2048 counts is one of 2048 · 16.
//! let mut boxcar = Boxcar::<u16>::new(16)?;
//! let mut trigger = Trigger::new(
//!     Edge::new(Slope::Rising, Level::<i32>::new(2048 * 16, 40 * 16)?)?,
//!     Holdoff::None,
//! )?;
//! let samples: Vec<u16> = (0..1600).map(|i| if i < 800 { 1000 } else { 3000 }).collect();
//! let mut at = Vec::new();
//! for block in samples.chunks(100) {
//!     let mut sums = Vec::new();
//!     boxcar.push(block, |sum| sums.push(sum));
//!     trigger.push(&sums, |event| at.push(boxcar.grid().original(event.at).samples()));
//! }
//! // Between the middles of the last low group and the first high one.
//! assert_eq!(at.len(), 1);
//! assert!(at[0] > 791.5 && at[0] < 807.5);
//! # Ok::<(), stillwave::ConfigError>(())
//! ```

mod average;
mod boxcar;
mod cic;
mod course;
mod design;
mod envelope;
mod every;
mod extent;
mod fir;
mod grid;
mod interpolate;
pub(crate) mod kernels;
mod record_envelope;

pub use average::{Average, Weight};
pub use boxcar::Boxcar;
pub use cic::{Accumulator, Cic, Counts};
pub use design::{LowPass, magnitude};
pub use envelope::Envelope;
pub use every::Every;
pub use extent::Extent;
pub use fir::Fir;
pub use grid::Grid;
pub use interpolate::{SinX, linear};
pub use kernels::Reducible;
pub use record_envelope::RecordEnvelope;

use crate::{ConfigError, Sample};

/// Makes one output of every `step` samples.
///
/// An output is given as soon as all its samples have come. Samples at the end of a stream that are
/// too few for an output give none (but see [`Envelope::finish`]).
///
/// One function for all decimators, and the cost of a lost sample:
///
/// ```
/// use stillwave::decimate::{Boxcar, Decimator, Every};
/// fn outputs<D: Decimator>(mut decimator: D, samples: &[D::Input]) -> Vec<D::Output> {
///     let mut all = Vec::new();
///     decimator.push(samples, |output| all.push(output));
///     all
/// }
/// assert_eq!(outputs(Every::new(2)?, &[1_u8, 2, 3, 4]), [1, 3]);
/// assert_eq!(outputs(Boxcar::<u8>::new(2)?, &[1, 2, 3, 4]), [3, 7]);
/// // Sample 3 is lost, and output 1 (of samples 2 and 3) with it.
/// let mut boxcar = Boxcar::<u8>::new(2)?;
/// boxcar.push(&[1, 2, 3], |_| {});
/// assert_eq!((boxcar.gap(1, |_| {}), boxcar.output()), (1, 2));
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
pub trait Decimator {
    /// The type of the input samples.
    type Input: Sample;
    /// The type of the outputs.
    type Output;

    /// The positions of its outputs among the samples.
    fn grid(&self) -> Grid;

    /// The gain: how many times larger outputs are than samples. Pass it to
    /// [`Scale::amplified`](crate::Scale::amplified).
    fn gain(&self) -> f64 {
        1.0
    }

    /// Takes the next samples and calls `on_output` for every output that they complete.
    fn push(&mut self, samples: &[Self::Input], on_output: impl FnMut(Self::Output));

    /// Reports `lost` samples before the next one. Gives what the samples before them still make,
    /// if anything, and returns how many outputs will never come; a following stage must be told by
    /// its own `gap`. If the number of lost samples is not known, pass 0.
    fn gap(&mut self, lost: u64, on_output: impl FnMut(Self::Output)) -> u64;

    /// The number of the next output, counted from 0 and including lost ones.
    fn output(&self) -> u64;

    /// Forgets the stream: the decimator is as new.
    fn reset(&mut self);
}

/// Returns the step if it is in range.
fn step(step: u32, most: u32, range: &'static str) -> Result<u32, ConfigError> {
    if (1..=most).contains(&step) {
        Ok(step)
    } else {
        Err(ConfigError::new("step", f64::from(step), range))
    }
}
