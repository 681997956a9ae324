//! From options to the engine's configuration, and what to tell the user of it.

use stillwave::{
    Comparison, EdgeSlope, Holdoff, Level, Mode, Polarity, RecordShape, Sample, Setup, Span,
};

use crate::args::{ConditionName, ModeName, PolarityName, RecordArgs, SlopeName, TriggerArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::quantity::Time;

/// A trigger as the engine takes it.
#[derive(Debug, Clone, Copy)]
pub struct TriggerPlan<T: Sample> {
    /// The condition.
    pub setup: Setup<T>,
    /// What comes after it.
    pub holdoff: Holdoff,
    /// The level and hysteresis that it stands on.
    pub level: Level<T>,
}

impl<T: Sample> TriggerPlan<T> {
    /// The trigger that `args` ask for, on channel `channel` of the blocks (counted from 0).
    ///
    /// # Errors
    /// Options that do not go together, or quantities whose unit needs more to be known.
    pub fn new(args: &TriggerArgs, calibration: &Calibration, channel: u8) -> Result<Self, Error> {
        let level = Level::new(
            calibration.level::<T>("--level", args.level)?,
            calibration.difference::<T>("--hysteresis", args.hysteresis)?,
        )?
        .on_channel(channel);
        let setup = match args.on {
            ConditionName::Edge => {
                refuse(args.polarity.is_some(), "--polarity", "pulse")?;
                refuse(has_comparison(args), "a comparison of widths", "pulse")?;
                let slope = match args.slope.unwrap_or(SlopeName::Rising) {
                    SlopeName::Rising => EdgeSlope::Rising,
                    SlopeName::Falling => EdgeSlope::Falling,
                    SlopeName::Either => EdgeSlope::Either,
                };
                Setup::Edge { slope, level }
            }
            ConditionName::Pulse => {
                refuse(args.slope.is_some(), "--slope", "edge")?;
                let polarity = match args.polarity.unwrap_or(PolarityName::Positive) {
                    PolarityName::Positive => Polarity::Positive,
                    PolarityName::Negative => Polarity::Negative,
                };
                Setup::Pulse { polarity, level, width: comparison(args, calibration)? }
            }
        };
        let holdoff = match (args.holdoff, args.every) {
            (Some(time), _) => Holdoff::Samples(calibration.whole_samples("--holdoff", time)?),
            (None, Some(n)) => Holdoff::Every(n).validated()?,
            (None, None) => Holdoff::None,
        };
        Ok(Self { setup, holdoff, level })
    }

    /// The trigger in words, with every number as it is used.
    pub fn describe(&self, calibration: &Calibration) -> String {
        let what = match self.setup {
            Setup::Edge { slope: EdgeSlope::Rising, .. } => "rising edge".to_owned(),
            Setup::Edge { slope: EdgeSlope::Falling, .. } => "falling edge".to_owned(),
            Setup::Edge { slope: EdgeSlope::Either, .. } => "edge of either slope".to_owned(),
            Setup::Pulse { polarity, width, .. } => {
                let polarity = match polarity {
                    Polarity::Positive => "positive",
                    Polarity::Negative => "negative",
                };
                format!("{polarity} pulse {}", describe_comparison(width, calibration))
            }
            _ => "event".to_owned(),
        };
        let level = calibration.show_level(T::wide_to_f64(self.level.level));
        let hysteresis = calibration.show_difference(T::wide_to_f64(self.level.hysteresis));
        let holdoff = match self.holdoff {
            Holdoff::None => String::new(),
            Holdoff::Samples(n) => format!(", holdoff {}", calibration.show_time(n as f64)),
            Holdoff::Every(n) => format!(", one event in {n}"),
        };
        format!("{what} through {level}, hysteresis {hysteresis}{holdoff}")
    }

    /// The levels for a picture: a name, where it is in counts, and whether it only arms.
    pub fn marks(&self) -> Vec<(String, f64, bool)> {
        let level = T::wide_to_f64(self.level.level);
        let hysteresis = T::wide_to_f64(self.level.hysteresis);
        let mut marks = vec![("level".to_owned(), level, false)];
        let (below, above) = match self.setup {
            Setup::Edge { slope: EdgeSlope::Rising, .. }
            | Setup::Pulse { polarity: Polarity::Positive, .. } => (true, false),
            Setup::Edge { slope: EdgeSlope::Falling, .. }
            | Setup::Pulse { polarity: Polarity::Negative, .. } => (false, true),
            _ => (true, true),
        };
        if hysteresis > 0.0 {
            if below {
                marks.push(("arms below".to_owned(), level - hysteresis, true));
            }
            if above {
                marks.push(("arms above".to_owned(), level + hysteresis, true));
            }
        }
        marks
    }

    /// What may not be as the user thinks.
    pub fn warnings(&self, calibration: &Calibration) -> Vec<String> {
        let level = T::wide_to_f64(self.level.level);
        let mut warnings = Vec::new();
        if let Some((lowest, highest)) = calibration.codes
            && !(lowest..=highest).contains(&level)
        {
            warnings.push(format!(
                "the level, {}, is outside the converter's range of {} to {}: it is never crossed",
                calibration.show_level(level),
                calibration.show_level(lowest),
                calibration.show_level(highest),
            ));
        }
        warnings
    }
}

/// The shape and mode of records that `args` ask for.
///
/// # Errors
/// As [`Calibration::whole_samples`]; a record of no samples, or of too many.
pub fn record_plan(
    args: &RecordArgs,
    calibration: &Calibration,
    channels: usize,
) -> Result<(RecordShape, Mode), Error> {
    let post = calibration.whole_samples("--post", args.post)?;
    let pre = match args.pre {
        Some(pre) => calibration.whole_samples("--pre", pre)?,
        None => post / 10,
    };
    let most = MOST_SAMPLES / channels.max(1) as u64;
    if pre.saturating_add(post) > most {
        return Err(Error::usage(
            format!("a record of {} samples is too long", pre.saturating_add(post)),
            format!("--pre and --post may be {most} samples together"),
        ));
    }
    let shape = RecordShape::new(pre as usize, post as usize)?;
    let mode = match args.mode {
        ModeName::Normal => Mode::Normal,
        ModeName::Single => Mode::Single,
        ModeName::Auto => Mode::Auto {
            after: match args.auto_after {
                Some(time) => calibration.whole_samples("--auto-after", time)?,
                None => 2 * shape.len() as u64,
            },
        }
        .validated()?,
    };
    if args.auto_after.is_some() && args.mode != ModeName::Auto {
        return Err(Error::usage("--auto-after has no use here", "add --mode auto"));
    }
    Ok((shape, mode))
}

/// Records are held in memory: so many samples, over all channels, are 16 MB.
const MOST_SAMPLES: u64 = 4_000_000;

fn refuse(given: bool, option: &str, condition: &str) -> Result<(), Error> {
    if given {
        return Err(Error::usage(
            format!("{option} has no use here"),
            format!("leave it out, or add --on {condition}"),
        ));
    }
    Ok(())
}

fn has_comparison(args: &TriggerArgs) -> bool {
    args.shorter_than.is_some()
        || args.longer_than.is_some()
        || args.within.is_some()
        || args.outside.is_some()
}

fn comparison(args: &TriggerArgs, calibration: &Calibration) -> Result<Comparison, Error> {
    let span = |option: &str, time: Time| -> Result<Span, Error> {
        let samples = calibration.samples(option, time)?;
        Ok(Span::from_samples(samples).unwrap_or(Span::MAX))
    };
    match (args.shorter_than, args.longer_than, args.within, args.outside) {
        (Some(bound), ..) => Ok(Comparison::ShorterThan(span("--shorter-than", bound)?)),
        (_, Some(bound), ..) => Ok(Comparison::LongerThan(span("--longer-than", bound)?)),
        (_, _, Some(range), _) => {
            Ok(Comparison::within(span("--within", range.low)?, span("--within", range.high)?)?)
        }
        (.., Some(range)) => {
            Ok(Comparison::outside(span("--outside", range.low)?, span("--outside", range.high)?)?)
        }
        (None, None, None, None) => Err(Error::usage(
            "--on pulse needs a width to compare",
            "add --shorter-than T, --longer-than T, --within T1..T2 or --outside T1..T2",
        )),
    }
}

fn describe_comparison(comparison: Comparison, calibration: &Calibration) -> String {
    let show = |span: Span| calibration.show_time(span.to_samples());
    match comparison {
        Comparison::ShorterThan(bound) => format!("shorter than {}", show(bound)),
        Comparison::LongerThan(bound) => format!("longer than {}", show(bound)),
        Comparison::Within(low, high) => format!("from {} to {}", show(low), show(high)),
        Comparison::Outside(low, high) => {
            format!("shorter than {} or longer than {}", show(low), show(high))
        }
    }
}
