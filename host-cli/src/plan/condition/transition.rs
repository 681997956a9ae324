//! `--on transition`.

use stillwave::{Band, Comparison, EdgeSlope, Sample, Setup};

use super::super::{Ask, words};
use crate::calibration::Calibration;
use crate::error::Error;

pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    let time = ask.comparison_of("a time")?;
    Ok(Setup::Transition { slope: ask.slope(), band: ask.band()?, time })
}

pub(super) fn describe<T: Sample>(
    slope: EdgeSlope,
    band: &Band<T>,
    time: Comparison,
    calibration: &Calibration,
) -> String {
    let (slope, time) = (words::slope(slope), words::comparison(time, calibration));
    format!("{slope} transition {time}, levels {}", words::band(band, calibration))
}
