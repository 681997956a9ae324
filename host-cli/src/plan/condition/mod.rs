//! The conditions as options ask for them, one file each.

mod dropout;
mod edge;
mod interval;
mod pulse;
mod runt;
mod transition;
mod window;

use clap::ValueEnum;
use stillwave::{EdgeSlope, Polarity, PulsePolarity, Sample, Setup};

use super::{Ask, Mark, words};
use crate::args::ConditionName;
use crate::calibration::Calibration;
use crate::error::Error;

/// The options that compare a time.
const COMPARISONS: [&str; 4] = ["--shorter-than", "--longer-than", "--within", "--outside"];

/// The condition that the options ask for.
///
/// # Errors
/// An option that is missing, or that the condition has no use for; quantities whose unit needs
/// more to be known.
pub(super) fn setup<T: Sample>(ask: &Ask<'_>) -> Result<Setup<T>, Error> {
    let on = ask.args.on;
    if let Some(option) = ask.args.given().find(|option| !uses(on, option)) {
        let others = ConditionName::value_variants().iter().filter(|other| uses(**other, option));
        let others: Vec<_> = others.map(|other| format!("--on {}", other.name())).collect();
        return Err(Error::usage(
            format!("{option} has no use with --on {}", on.name()),
            format!("leave it out, or choose {}", others.join(" or ")),
        ));
    }
    match on {
        ConditionName::Edge => edge::setup(ask),
        ConditionName::Pulse => pulse::setup(ask),
        ConditionName::Interval => interval::setup(ask),
        ConditionName::Dropout => dropout::setup(ask),
        ConditionName::Transition => transition::setup(ask),
        ConditionName::Runt => runt::setup(ask),
        ConditionName::Window => window::setup(ask),
    }
}

/// Whether a condition takes an option.
fn uses(condition: ConditionName, option: &str) -> bool {
    let (own, compares): (&[&str], bool) = match condition {
        ConditionName::Edge => (&["--level", "--slope"], false),
        ConditionName::Pulse => (&["--level", "--polarity"], true),
        ConditionName::Interval => (&["--level", "--slope"], true),
        ConditionName::Dropout => (&["--level", "--slope", "--after"], false),
        ConditionName::Transition => (&["--low", "--high", "--slope"], true),
        ConditionName::Runt => (&["--low", "--high", "--polarity"], true),
        ConditionName::Window => {
            (&["--low", "--high", "--when", "--shorter-than", "--longer-than"], false)
        }
    };
    own.contains(&option) || (compares && COMPARISONS.contains(&option))
}

/// The condition in words, with every number as it is used.
pub(super) fn describe<T: Sample>(setup: &Setup<T>, calibration: &Calibration) -> String {
    match setup {
        Setup::Edge { slope, level } => edge::describe(*slope, level, calibration),
        Setup::Pulse { polarity, level, width } => {
            pulse::describe(*polarity, level, *width, calibration)
        }
        Setup::Interval { slope, level, time } => {
            interval::describe(*slope, level, *time, calibration)
        }
        Setup::Dropout { slope, level, after } => {
            dropout::describe(*slope, level, *after, calibration)
        }
        Setup::Transition { slope, band, time } => {
            transition::describe(*slope, band, *time, calibration)
        }
        Setup::Runt { polarity, band, width } => {
            runt::describe(*polarity, band, *width, calibration)
        }
        Setup::Window { band, when } => window::describe(band, *when, calibration),
        _ => "event".to_owned(),
    }
}

/// The levels of a condition, for a picture.
pub(super) fn marks<T: Sample>(setup: &Setup<T>) -> Vec<Mark> {
    match setup {
        Setup::Edge { slope, level }
        | Setup::Interval { slope, level, .. }
        | Setup::Dropout { slope, level, .. } => words::level_marks(level, *slope),
        Setup::Pulse { polarity, level, .. } => {
            let slope = match polarity {
                Polarity::Positive => EdgeSlope::Rising,
                Polarity::Negative => EdgeSlope::Falling,
            };
            words::level_marks(level, slope)
        }
        Setup::Transition { slope, band, .. } => words::band_marks(band, *slope),
        Setup::Runt { polarity, band, .. } => {
            let slope = match polarity {
                PulsePolarity::Positive => EdgeSlope::Rising,
                PulsePolarity::Negative => EdgeSlope::Falling,
                PulsePolarity::Either => EdgeSlope::Either,
            };
            words::band_marks(band, slope)
        }
        Setup::Window { band, .. } => words::window_marks(band),
        _ => Vec::new(),
    }
}
