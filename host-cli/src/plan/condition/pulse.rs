//! `--on pulse`.

use stillwave::{Comparison, Level, Polarity, PulsePolarity, Sample, Setup};

use super::super::{Ask, words};
use crate::calibration::Calibration;
use crate::error::Error;

pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    let polarity = match ask.polarity() {
        PulsePolarity::Positive => Polarity::Positive,
        PulsePolarity::Negative => Polarity::Negative,
        PulsePolarity::Either => {
            return Err(Error::usage(
                "--polarity either has no use with --on pulse",
                "choose positive or negative",
            ));
        }
    };
    Ok(Setup::Pulse { polarity, level: ask.level()?, width: ask.comparison_of("a width")? })
}

pub(super) fn describe<T: Sample>(
    polarity: Polarity,
    level: &Level<T>,
    width: Comparison,
    calibration: &Calibration,
) -> String {
    let polarity = match polarity {
        Polarity::Positive => "positive",
        Polarity::Negative => "negative",
    };
    let width = words::comparison(width, calibration);
    format!("{polarity} pulse {width} {}", words::level(level, calibration))
}
