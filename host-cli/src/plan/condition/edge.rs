//! `--on edge`.

use stillwave::{EdgeSlope, Level, Sample, Setup};

use super::super::{Ask, words};
use crate::calibration::Calibration;
use crate::error::Error;

pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    Ok(Setup::Edge { slope: ask.slope(), level: ask.level()? })
}

pub(super) fn describe<T: Sample>(
    slope: EdgeSlope,
    level: &Level<T>,
    calibration: &Calibration,
) -> String {
    let what = match slope {
        EdgeSlope::Rising => "rising edge",
        EdgeSlope::Falling => "falling edge",
        EdgeSlope::Either => "edge of either slope",
    };
    format!("{what} {}", words::level(level, calibration))
}
