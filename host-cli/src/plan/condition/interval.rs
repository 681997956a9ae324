//! `--on interval`.

use stillwave::{Comparison, EdgeSlope, Level, Sample, Setup};

use super::super::{Ask, words};
use crate::calibration::Calibration;
use crate::error::Error;

pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    let time = ask.comparison_of("a time")?;
    Ok(Setup::Interval { slope: ask.slope(), level: ask.level()?, time })
}

pub(super) fn describe<T: Sample>(
    slope: EdgeSlope,
    level: &Level<T>,
    time: Comparison,
    calibration: &Calibration,
) -> String {
    let (slope, time) = (words::slope(slope), words::comparison(time, calibration));
    format!("interval of {slope} edges {time} {}", words::level(level, calibration))
}
