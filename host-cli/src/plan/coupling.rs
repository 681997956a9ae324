//! `--coupling` and `--corner`.

use stillwave::{Corner, Coupling};

use crate::args::{CouplingName, TriggerArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::quantity::{Frequency, format_si};

/// The filter that the options ask for.
///
/// # Errors
/// A corner that is missing, of no use, or out of range.
pub(super) fn coupling(args: &TriggerArgs, rate: Option<f64>) -> Result<Coupling, Error> {
    let name = args.coupling;
    let filter = match name {
        CouplingName::Dc | CouplingName::NoiseReject if args.corner.is_some() => {
            return Err(Error::usage(
                "--corner has no use without a filter",
                "leave it out, or add --coupling ac, low-reject or high-reject",
            ));
        }
        CouplingName::Dc | CouplingName::NoiseReject => return Ok(Coupling::Dc),
        CouplingName::Ac => Coupling::Ac,
        CouplingName::LowReject => Coupling::LowReject,
        CouplingName::HighReject => Coupling::HighReject,
    };
    let corner = match args.corner {
        Some(Frequency(corner)) => corner,
        None if name == CouplingName::Ac => 10.0,
        None => {
            return Err(Error::usage(
                "--coupling low-reject and high-reject need a corner",
                "add --corner 1kHz or another frequency",
            ));
        }
    };
    let rate = rate.ok_or_else(|| {
        Error::usage("--coupling needs to know the sample rate, and the recording has none", {
            "add --rate"
        })
    })?;
    let found = Corner::new(corner, rate).map_err(|_| {
        let most = format_si(rate / 4.0, "Hz", 4);
        Error::usage(
            format!("--corner {} is out of range", format_si(corner, "Hz", 4)),
            format!("with this sample rate give one of up to {most}"),
        )
    })?;
    Ok(filter(found))
}

/// `, AC coupled from 10.00 Hz on (levels count from the mean; settled after 73 ms)`.
pub(super) fn describe(coupling: Coupling, calibration: &Calibration) -> String {
    let Some((corner, rate)) = coupling.corner().zip(calibration.rate) else {
        return String::new();
    };
    let hertz = format_si(corner.hertz(rate), "Hz", 4);
    let settled = format_si(corner.settling() as f64 / rate, "s", 2);
    match coupling {
        Coupling::Dc => String::new(),
        Coupling::Ac(_) => {
            format!(
                ", AC coupled from {hertz} on (levels count from the mean; settles in {settled})"
            )
        }
        Coupling::LowReject(_) => format!(
            ", without what is below {hertz} (levels count from the mean; settles in {settled})"
        ),
        Coupling::HighReject(_) => {
            format!(", without what is above {hertz} (settles in {settled})")
        }
    }
}
