//! Measuring: what was asked for, and no more.

use stillwave::measure::{Config, Factors, Measurements, Meter, Value, Window};
use stillwave::{Sample, Slope};

use super::found::{Cycles, Found, Shape};
use super::quantities::{Pass, Quantity};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::transform::Transformer;

/// Measures the records of one channel.
pub struct Measurer {
    meter: Meter,
    calibration: Calibration,
    uncertainty: bool,
    shape: bool,
    cycles: bool,
    spectrum: Option<Transformer>,
}

/// How records of a calibration are measured where nothing else is said.
pub fn config(calibration: &Calibration) -> Config {
    Config { end_codes: calibration.codes, ..Config::default() }
}

impl Measurer {
    /// A measurer of what these quantities need, as configured in counts.
    ///
    /// # Errors
    /// As [`Config::validated`].
    pub fn new<'q>(
        quantities: impl IntoIterator<Item = &'q Quantity>,
        calibration: &Calibration,
        config: Config,
    ) -> Result<Self, Error> {
        let (mut shape, mut cycles, mut spectrum) = (false, false, false);
        for quantity in quantities {
            shape |= quantity.pass == Pass::Shape;
            cycles |= quantity.pass == Pass::Cycles;
            spectrum |= quantity.pass == Pass::Spectrum;
        }
        Ok(Self {
            meter: Meter::new(config)?,
            calibration: *calibration,
            uncertainty: false,
            shape,
            cycles,
            spectrum: spectrum.then(|| Transformer::new(Window::BlackmanHarris)),
        })
    }

    /// The same, for the range of every quantity too.
    #[must_use]
    pub fn with_ranges(self) -> Self {
        Self { cycles: true, ..self }
    }

    /// The same, with the uncertainty of the basic measurements.
    #[must_use]
    pub fn with_uncertainty(self) -> Self {
        Self { uncertainty: true, ..self }
    }

    /// Measures a record.
    pub fn measure<T: Sample>(&mut self, samples: &[T]) -> Found {
        let counts = self.meter.measure(samples);
        let basic = calibrated(&counts, &self.calibration);
        let uncertainty = self.uncertainty.then(|| {
            let uncertainty = self.meter.uncertainty(samples, &counts);
            let Calibration { scale, rate, .. } = self.calibration;
            let uncertainty = scale.map_or(uncertainty, |scale| uncertainty.scaled(scale));
            rate.and_then(|rate| uncertainty.timed(rate).ok()).unwrap_or(uncertainty)
        });
        let distortion = self.spectrum.as_mut().map(|transformer| {
            // The voltage beyond an end code may be anything.
            match basic.peak_to_peak {
                Err(reason) => Err(reason),
                Ok(_) => transformer.spectrum(samples)?.distortion(),
            }
        });
        Found {
            basic,
            uncertainty,
            shape: self.shape.then(|| self.shape(samples, basic.peak_to_peak)),
            cycles: self.cycles.then(|| self.cycles(samples)),
            distortion,
        }
    }

    fn cycles<T: Sample>(&self, samples: &[T]) -> Cycles {
        let (spread, whole) = (self.meter.spread(samples), self.meter.over_cycles(samples));
        let (spread, whole) = match self.calibration.scale {
            Some(scale) => (spread.scaled(scale), whole.map(|whole| whole.scaled(scale))),
            None => (spread, whole),
        };
        let timed = self.calibration.rate.and_then(|rate| spread.timed(rate).ok());
        Cycles { spread: timed.unwrap_or(spread), whole }
    }

    /// The shapes of samples that have this extent, or none.
    fn shape<T: Sample>(&self, samples: &[T], extent: Value) -> Shape {
        let calibration = &self.calibration;
        let shape = |slope| {
            let shape = self.meter.edge_shape(samples, slope);
            let shape = calibration.scale.map_or(shape, |scale| shape.scaled(scale));
            calibration.rate.and_then(|rate| shape.timed(rate).ok()).unwrap_or(shape)
        };
        let (mut rise, mut fall) = (shape(Slope::Rising), shape(Slope::Falling));
        if calibration.inverts() {
            std::mem::swap(&mut rise, &mut fall);
        }
        let zero = calibration.scale.map_or(0.0, |scale| scale.zero);
        Shape { rise, fall, factors: extent.and_then(|_| Factors::of(samples, zero)) }
    }
}

/// Counts in volts and samples in seconds, as far as they are known.
fn calibrated(&measurements: &Measurements, calibration: &Calibration) -> Measurements {
    let measurements = match calibration.scale {
        Some(scale) => measurements.scaled(scale),
        None => measurements,
    };
    // A rate that could not be would have been refused before.
    calibration.rate.and_then(|rate| measurements.timed(rate).ok()).unwrap_or(measurements)
}
