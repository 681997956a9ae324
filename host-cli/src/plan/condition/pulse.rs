//! `--on pulse`.

use stillwave::{Comparison, Level, PulsePolarity, Sample, Setup};

use super::super::{Ask, words};
use crate::calibration::Calibration;
use crate::error::Error;

pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    let width = ask.comparison_of("a width")?;
    Ok(Setup::Pulse { polarity: ask.polarity(), level: ask.level()?, width })
}

pub(super) fn describe<T: Sample>(
    polarity: PulsePolarity,
    level: &Level<T>,
    width: Comparison,
    calibration: &Calibration,
) -> String {
    let (polarity, width) = (words::polarity(polarity), words::comparison(width, calibration));
    format!("{polarity} pulse {width} {}", words::level(level, calibration))
}
