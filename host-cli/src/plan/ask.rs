//! What the options ask for, in the engine's terms.

use stillwave::{Band, Comparison, EdgeSlope, Level, PulsePolarity, Sample, Span};

use crate::args::{PolarityName, SlopeName, TriggerArgs};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::quantity::{self, Time};

/// The options of a trigger, and what is known of its channel.
pub(super) struct Ask<'a> {
    pub(super) args: &'a TriggerArgs,
    pub(super) calibration: &'a Calibration,
    /// The channel of the blocks, from 0.
    pub(super) channel: u8,
}

impl Ask<'_> {
    /// `--level` with `--hysteresis`.
    pub(super) fn level<T: Sample>(&self) -> Result<Level<T>, Error> {
        let level =
            self.calibration.level::<T>("--level", self.needed("--level", self.args.level)?)?;
        Ok(Level::new(level, self.hysteresis::<T>()?)?.on_channel(self.channel))
    }

    /// `--low` and `--high` with `--hysteresis`.
    pub(super) fn band<T: Sample>(&self) -> Result<Band<T>, Error> {
        let low = self.calibration.level::<T>("--low", self.needed("--low", self.args.low)?)?;
        let high = self.calibration.level::<T>("--high", self.needed("--high", self.args.high)?)?;
        Ok(Band::new(low, high, self.hysteresis::<T>()?)?.on_channel(self.channel))
    }

    fn hysteresis<T: Sample>(&self) -> Result<T::Wide, Error> {
        self.calibration.difference::<T>("--hysteresis", self.args.hysteresis)
    }

    fn needed(
        &self,
        option: &str,
        level: Option<quantity::Level>,
    ) -> Result<quantity::Level, Error> {
        level.ok_or_else(|| {
            self.missing(option, &format!("{option} 1.65V or, in counts, {option} 2048"))
        })
    }

    /// The error where an option is missing.
    pub(super) fn missing(&self, what: &str, example: &str) -> Error {
        Error::usage(format!("--on {} needs {what}", self.args.on.name()), format!("add {example}"))
    }

    /// `--slope`.
    pub(super) fn slope(&self) -> EdgeSlope {
        match self.args.slope.unwrap_or(SlopeName::Rising) {
            SlopeName::Rising => EdgeSlope::Rising,
            SlopeName::Falling => EdgeSlope::Falling,
            SlopeName::Either => EdgeSlope::Either,
        }
    }

    /// `--polarity`.
    pub(super) fn polarity(&self) -> PulsePolarity {
        match self.args.polarity.unwrap_or(PolarityName::Positive) {
            PolarityName::Positive => PulsePolarity::Positive,
            PolarityName::Negative => PulsePolarity::Negative,
            PolarityName::Either => PulsePolarity::Either,
        }
    }

    /// A time to be compared in 1/65536 of a sample.
    pub(super) fn span(&self, option: &str, time: Time) -> Result<Span, Error> {
        let samples = self.calibration.samples(option, time)?;
        Ok(Span::from_samples(samples).unwrap_or(Span::MAX))
    }

    /// `--shorter-than`, `--longer-than`, `--within` or `--outside`, if any.
    pub(super) fn comparison(&self) -> Result<Option<Comparison>, Error> {
        let TriggerArgs { shorter_than, longer_than, within, outside, .. } = *self.args;
        Ok(Some(match (shorter_than, longer_than, within, outside) {
            (Some(bound), ..) => Comparison::ShorterThan(self.span("--shorter-than", bound)?),
            (_, Some(bound), ..) => Comparison::LongerThan(self.span("--longer-than", bound)?),
            (_, _, Some(range), _) => Comparison::within(
                self.span("--within", range.low)?,
                self.span("--within", range.high)?,
            )?,
            (.., Some(range)) => Comparison::outside(
                self.span("--outside", range.low)?,
                self.span("--outside", range.high)?,
            )?,
            (None, None, None, None) => return Ok(None),
        }))
    }

    /// As [`comparison`](Self::comparison), where there must be one of `what`.
    pub(super) fn comparison_of(&self, what: &str) -> Result<Comparison, Error> {
        self.comparison()?.ok_or_else(|| {
            self.missing(
                &format!("{what} to compare"),
                "--shorter-than T, --longer-than T, --within T1..T2 or --outside T1..T2",
            )
        })
    }
}
