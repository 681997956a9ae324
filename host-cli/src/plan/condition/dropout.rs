//! `--on dropout`.

use stillwave::{EdgeSlope, Level, Sample, Setup};

use super::super::{Ask, words};
use crate::calibration::Calibration;
use crate::error::Error;

pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    let time = ask.args.after.ok_or_else(|| ask.missing("a time", "--after 1.5s"))?;
    let after = ask.calibration.whole_samples("--after", time)?;
    Ok(Setup::Dropout { slope: ask.slope(), level: ask.level()?, after })
}

pub(super) fn describe<T: Sample>(
    slope: EdgeSlope,
    level: &Level<T>,
    after: u64,
    calibration: &Calibration,
) -> String {
    let (slope, after) = (words::slope(slope), calibration.show_time(after as f64));
    format!("no {slope} edge for {after} {}", words::level(level, calibration))
}
