//! What was measured of a record.

use stillwave::measure::{
    Distortion, EdgeShape, Factors, Measurements, Reason, Spread, Statistics, Timing, Uncertainty,
};

/// What was measured of a record, in volts and seconds as far as they are known.
pub struct Found {
    /// The basic measurements.
    pub basic: Measurements,
    pub(super) uncertainty: Option<Uncertainty>,
    pub(super) shape: Option<Shape>,
    pub(super) cycles: Option<Cycles>,
    pub(super) distortion: Option<Result<Distortion, Reason>>,
}

pub(super) struct Cycles {
    pub(super) spread: Spread,
    pub(super) whole: Result<Statistics, Reason>,
}

pub(super) struct Shape {
    pub(super) rise: EdgeShape,
    pub(super) fall: EdgeShape,
    pub(super) factors: Result<Factors, Reason>,
}

impl Found {
    // What was not asked for was not measured.
    pub(super) fn shape(&self) -> Result<&Shape, Reason> {
        self.shape.as_ref().ok_or(Reason::Empty)
    }

    pub(super) fn cycles(&self) -> Result<&Cycles, Reason> {
        self.cycles.as_ref().ok_or(Reason::Empty)
    }

    pub(super) fn shortest(&self) -> Result<&Timing, Reason> {
        self.cycles().map(|cycles| &cycles.spread.shortest)
    }

    pub(super) fn longest(&self) -> Result<&Timing, Reason> {
        self.cycles().map(|cycles| &cycles.spread.longest)
    }

    pub(super) fn rise(&self) -> Result<&EdgeShape, Reason> {
        self.shape().map(|shape| &shape.rise)
    }

    pub(super) fn fall(&self) -> Result<&EdgeShape, Reason> {
        self.shape().map(|shape| &shape.fall)
    }

    pub(super) fn distortion(&self) -> Result<Distortion, Reason> {
        self.distortion.unwrap_or(Err(Reason::Empty))
    }
}
