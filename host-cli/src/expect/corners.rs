//! The corners of a mask: from the file, for the engine, for a picture.

use stillwave::expect::MaskPoint;
use stillwave::{PARTS_PER_SAMPLE, Sample, Scale};

use crate::calibration::Calibration;
use crate::error::Error;

/// A corner of a bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// In samples from the trigger.
    pub time: f64,
    /// In volts, or in counts where their scale is not known.
    pub level: f64,
}

/// The corners of a mask's bounds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Corners {
    /// No sample above.
    pub upper: Vec<Corner>,
    /// No sample below.
    pub lower: Vec<Corner>,
}

/// The corners of a bound in the samples' own unit.
pub(super) type Points<T> = Vec<MaskPoint<<T as Sample>::Wide>>;

impl Corners {
    /// The bounds in the samples' own unit, upper and lower, to the nearest count. Where counts go
    /// down as volts go up, the two change places.
    ///
    /// # Errors
    /// Levels and times that samples cannot be near.
    pub(super) fn points<T: Sample>(
        &self,
        calibration: &Calibration,
    ) -> Result<(Points<T>, Points<T>), Error> {
        let scale = calibration.scale.unwrap_or(Scale::VOLTS);
        let bound = |corners: &[Corner]| {
            let point = |corner: &Corner| {
                let level = T::wide_from_f64(scale.counts(corner.level));
                level.and_then(|level| MaskPoint::at_samples(corner.time, level)).ok_or_else(|| {
                    Error::usage(
                        format!(
                            "the mask has a corner at {} samples, level {}",
                            corner.time, corner.level
                        ),
                        "give one that samples can be near",
                    )
                })
            };
            corners.iter().map(point).collect::<Result<Vec<_>, _>>()
        };
        let (upper, lower) = (bound(&self.upper)?, bound(&self.lower)?);
        Ok(if calibration.inverts() { (lower, upper) } else { (upper, lower) })
    }
}

/// A time in 1/65536 of a sample, in samples.
pub(super) fn in_samples(parts: i64) -> f64 {
    parts as f64 / PARTS_PER_SAMPLE as f64
}
