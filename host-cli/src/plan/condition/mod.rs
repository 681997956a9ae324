//! The conditions as options ask for them, one file each.

mod count;
mod delay;
mod dropout;
mod edge;
mod i2c;
mod interval;
mod pattern;
mod pulse;
mod qualified;
mod runt;
mod sequence;
mod setup_hold;
mod several;
mod spi;
mod transition;
mod uart;
mod video;
mod window;

pub(super) use several::{describe, marks};

use clap::ValueEnum;
use stillwave::{Composition, EdgeSlope, PulsePolarity, Sample, Setup, WindowWhen};

use super::{Ask, Mark, Need, words};
use crate::args::ConditionName;
use crate::calibration::Calibration;
use crate::error::Error;

/// The options that compare a time.
const COMPARISONS: [&str; 4] = ["--shorter-than", "--longer-than", "--within", "--outside"];

const UART: &[&str] = &[
    "--level",
    "--baud",
    "--data-bits",
    "--parity",
    "--idle",
    "--what",
    "--value",
    "--longer-than",
];

const I2C: &[&str] =
    &["--level", "--data", "--what", "--value", "--address", "--direction", "--spikes"];

const SPI: &[&str] =
    &["--level", "--slope", "--data", "--select", "--word-bits", "--order", "--value", "--mask"];

/// The condition that the options ask for.
///
/// # Errors
/// An option that is missing, or that the condition has no use for; quantities whose unit needs
/// more to be known.
pub(super) fn composition<T: Sample>(ask: &Ask<'_>) -> Result<Composition<T>, Error> {
    let on = ask.args.on;
    if let Some(option) = ask.args.given().find(|option| !uses(on, option)) {
        let others = ConditionName::value_variants().iter().filter(|other| uses(**other, option));
        let others: Vec<_> = others.map(|other| format!("--on {}", other.name())).collect();
        return Err(Error::usage(
            format!("{option} has no use with --on {}", on.name()),
            format!("leave it out, or choose {}", others.join(" or ")),
        ));
    }
    let setup = match on {
        ConditionName::Edge => edge::setup(ask)?,
        ConditionName::Pulse => pulse::setup(ask)?,
        ConditionName::Interval => interval::setup(ask)?,
        ConditionName::Dropout => dropout::setup(ask)?,
        ConditionName::Transition => transition::setup(ask)?,
        ConditionName::Runt => runt::setup(ask)?,
        ConditionName::Window => window::setup(ask)?,
        ConditionName::Delay => return delay::composition(ask),
        ConditionName::Count => return count::composition(ask),
        ConditionName::Sequence => return sequence::composition(ask),
        ConditionName::Pattern => return pattern::composition(ask),
        ConditionName::SetupHold => return setup_hold::composition(ask),
        ConditionName::Uart => return uart::composition(ask),
        ConditionName::I2c => return i2c::composition(ask),
        ConditionName::Spi => return spi::composition(ask),
        ConditionName::Video => return video::composition(ask),
    };
    qualified::composition(ask, setup)
}

/// Whether a condition takes an option.
fn uses(condition: ConditionName, option: &str) -> bool {
    let (own, compares): (&[&str], bool) = match condition {
        ConditionName::Edge => (&["--while", "--level", "--slope"], false),
        ConditionName::Pulse => (&["--while", "--level", "--polarity"], true),
        ConditionName::Interval => (&["--while", "--level", "--slope"], true),
        ConditionName::Dropout => (&["--while", "--level", "--slope", "--after"], false),
        ConditionName::Transition => (&["--while", "--low", "--high", "--slope"], true),
        ConditionName::Runt => (&["--while", "--low", "--high", "--polarity"], true),
        ConditionName::Window => {
            (&["--while", "--low", "--high", "--when", "--shorter-than", "--longer-than"], false)
        }
        ConditionName::Delay => (&["--level", "--slope", "--to"], true),
        ConditionName::Count => (&["--level", "--slope", "--events", "--quiet", "--since"], false),
        ConditionName::Sequence => (
            &["--level", "--slope", "--then", "--events", "--delay", "--timeout", "--reset"],
            false,
        ),
        ConditionName::Pattern => {
            (&["--level", "--lines", "--when", "--shorter-than", "--longer-than"], false)
        }
        ConditionName::SetupHold => {
            (&["--level", "--slope", "--data", "--setup-time", "--hold-time"], false)
        }
        ConditionName::Uart => (UART, false),
        ConditionName::I2c => (I2C, false),
        ConditionName::Spi => (SPI, false),
        ConditionName::Video => {
            (&["--level", "--polarity", "--standard", "--line", "--field"], false)
        }
    };
    own.contains(&option) || (compares && COMPARISONS.contains(&option))
}

/// A condition on one channel in words, with every number as it is used.
fn describe_single<T: Sample>(setup: &Setup<T>, calibration: &Calibration) -> String {
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

/// The levels of a condition on one channel, for a picture.
fn single_marks<T: Sample>(setup: &Setup<T>) -> Vec<Mark> {
    match setup {
        Setup::Edge { slope, level }
        | Setup::Interval { slope, level, .. }
        | Setup::Dropout { slope, level, .. } => words::level_marks(level, *slope),
        Setup::Pulse { polarity, level, .. } => words::level_marks(level, begins(*polarity)),
        Setup::Transition { slope, band, .. } => words::band_marks(band, *slope),
        Setup::Runt { polarity, band, .. } => words::runt_marks(band, begins(*polarity)),
        Setup::Window { band, when } => {
            let passes = matches!(when, WindowWhen::Enters | WindowWhen::Leaves);
            words::window_marks(band, if passes { Need::Any } else { Need::None })
        }
        _ => Vec::new(),
    }
}

/// The edge with which a pulse begins.
fn begins(polarity: PulsePolarity) -> EdgeSlope {
    match polarity {
        PulsePolarity::Positive => EdgeSlope::Rising,
        PulsePolarity::Negative => EdgeSlope::Falling,
        PulsePolarity::Either => EdgeSlope::Either,
    }
}
