//! `--on runt`.

use stillwave::{Band, Comparison, PulsePolarity, Sample, Setup};

use super::super::{Ask, words};
use crate::calibration::Calibration;
use crate::error::Error;

pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    let width = ask.comparison()?;
    Ok(Setup::Runt { polarity: ask.polarity(), band: ask.band()?, width })
}

pub(super) fn describe<T: Sample>(
    polarity: PulsePolarity,
    band: &Band<T>,
    width: Option<Comparison>,
    calibration: &Calibration,
) -> String {
    let polarity = words::polarity(polarity);
    let width = width.map_or(String::new(), |w| format!(" {}", words::comparison(w, calibration)));
    format!("{polarity} runt{width}, levels {}", words::band(band, calibration))
}
