//! `--on window`.

use stillwave::{Band, Sample, Setup, Stay, WindowWhen};

use super::super::{Ask, words};
use crate::args::WhenName;
use crate::calibration::Calibration;
use crate::error::Error;

pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    let ways = "--when enters, leaves, stays-inside or stays-outside";
    let when = match ask.args.when.ok_or_else(|| ask.missing("--when", ways))? {
        WhenName::Enters => passage(ask, WindowWhen::Enters)?,
        WhenName::Leaves => passage(ask, WindowWhen::Leaves)?,
        WhenName::StaysInside => WindowWhen::StaysInside(stay(ask)?),
        WhenName::StaysOutside => WindowWhen::StaysOutside(stay(ask)?),
        WhenName::Stays => return Err(ask.missing("the side to stay on", ways)),
    };
    Ok(Setup::Window { band: ask.band()?, when })
}

/// What takes no time.
fn passage(ask: &Ask<'_>, when: WindowWhen) -> Result<WindowWhen, Error> {
    if ask.args.shorter_than.is_some() || ask.args.longer_than.is_some() {
        return Err(Error::usage(
            "--shorter-than and --longer-than have no use without a stay",
            "leave them out, or choose --when stays-inside or stays-outside",
        ));
    }
    Ok(when)
}

/// A stay that is longer is told when it is, in whole samples.
fn stay(ask: &Ask<'_>) -> Result<Stay, Error> {
    match (ask.args.shorter_than, ask.args.longer_than) {
        (Some(bound), _) => Ok(Stay::ShorterThan(ask.span("--shorter-than", bound)?)),
        (None, Some(bound)) => {
            Ok(Stay::LongerThan(ask.calibration.whole_samples("--longer-than", bound)?))
        }
        (None, None) => {
            Err(ask.missing("a time for a stay", "--longer-than T or --shorter-than T"))
        }
    }
}

pub(super) fn describe<T: Sample>(
    band: &Band<T>,
    when: WindowWhen,
    calibration: &Calibration,
) -> String {
    let stays = |side: &str, stay| {
        let time = match stay {
            Stay::LongerThan(samples) => {
                format!("longer than {}", calibration.show_time(samples as f64))
            }
            Stay::ShorterThan(bound) => format!("shorter than {}", words::span(bound, calibration)),
        };
        format!("staying {side} for {time}: a window")
    };
    let what = match when {
        WindowWhen::Enters => "entering a window".to_owned(),
        WindowWhen::Leaves => "leaving a window".to_owned(),
        WindowWhen::StaysInside(stay) => stays("inside", stay),
        WindowWhen::StaysOutside(stay) => stays("outside", stay),
    };
    format!("{what} {}", words::band(band, calibration))
}
