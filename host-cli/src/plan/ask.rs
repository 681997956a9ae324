//! What the options ask for, in the engine's terms.

use super::Sources;
use crate::args::{CouplingName, Line, PolarityName, SideName, SlopeName, TriggerArgs, from_one};
use crate::calibration::Calibration;
use crate::error::Error;
use crate::quantity::{self, Time};
use stillwave::{
    Band, Comparison, EdgeConfig, EdgeSlope, Level, PulsePolarity, Sample, Side, Span, Stay,
};

/// The options of a trigger, and what is known of its channel.
pub(super) struct Ask<'a> {
    pub(super) args: &'a TriggerArgs,
    pub(super) calibration: &'a Calibration,
    /// The channel of the blocks, from 0.
    pub(super) channel: u8,
    /// All channels of the trigger.
    pub(super) sources: &'a Sources,
}

impl Ask<'_> {
    /// `--level` with `--hysteresis`.
    pub(super) fn level<T: Sample>(&self) -> Result<Level<T>, Error> {
        let level =
            self.calibration.level::<T>("--level", self.needed("--level", self.args.level)?)?;
        let level = Level::new(level, self.hysteresis::<T>()?);
        let level = level.map_err(|e| self.calibration.refused(e))?.on_channel(self.channel);
        Ok(if self.rejects_noise() { level.noise_rejecting(self.full_scale()) } else { level })
    }

    /// The edge that `--slope` and `--level` ask for.
    pub(super) fn edge<T: Sample>(&self) -> Result<EdgeConfig<T>, Error> {
        Ok(EdgeConfig { slope: self.slope(), level: self.level()? })
    }

    /// The level of another channel, with `--hysteresis`.
    pub(super) fn other<T: Sample, W: Copy>(
        &self,
        option: &str,
        line: Line<W>,
    ) -> Result<Level<T>, Error> {
        let channel = from_one(option, line.channel)?;
        let source = self.sources.of(channel).ok_or_else(|| {
            Error::usage(format!("{option}: there is no channel {}", line.channel), "name another")
        })?;
        let level = line.level.or(self.args.level).ok_or_else(|| {
            self.missing(
                &format!("a level for {option}"),
                &format!("--level, or {option} {}@1.65V", line.channel),
            )
        })?;
        let level = source.calibration.level::<T>(option, level)?;
        let hysteresis =
            source.calibration.difference::<T>("--hysteresis", self.args.hysteresis)?;
        let level = Level::new(level, hysteresis);
        let level = level.map_err(|e| source.calibration.refused(e))?.on_channel(source.index);
        let own = source.index == self.channel && self.rejects_noise();
        Ok(if own { level.noise_rejecting(self.full_scale()) } else { level })
    }

    /// An edge of another channel.
    pub(super) fn other_edge<T: Sample>(
        &self,
        option: &str,
        line: Line<SlopeName>,
    ) -> Result<EdgeConfig<T>, Error> {
        let slope = edge_slope(line.word.unwrap_or(SlopeName::Rising));
        Ok(EdgeConfig { slope, level: self.other(option, line)? })
    }

    /// `--events`, from 1.
    pub(super) fn events(events: u32) -> Result<u32, Error> {
        if events == 0 {
            return Err(Error::usage("--events 0", "count from 1"));
        }
        Ok(events)
    }

    /// Refuses an option that has no use here.
    pub(super) fn only(
        &self,
        given: bool,
        useful: bool,
        option: &str,
        with: &str,
    ) -> Result<(), Error> {
        if given && !useful {
            return Err(Error::usage(
                format!("{option} has no use here with --on {}", self.args.on.name()),
                format!("leave it out, or add {with}"),
            ));
        }
        Ok(())
    }

    /// A side by its name.
    pub(super) fn side(name: SideName) -> Side {
        match name {
            SideName::High => Side::High,
            SideName::Low => Side::Low,
        }
    }

    /// `--low` and `--high` with `--hysteresis`.
    pub(super) fn band<T: Sample>(&self) -> Result<Band<T>, Error> {
        let low = self.calibration.level::<T>("--low", self.needed("--low", self.args.low)?)?;
        let high = self.calibration.level::<T>("--high", self.needed("--high", self.args.high)?)?;
        let band = Band::new(low, high, self.hysteresis::<T>()?);
        let band = band.map_err(|e| self.calibration.refused(e))?.on_channel(self.channel);
        Ok(if self.rejects_noise() { band.noise_rejecting(self.full_scale()) } else { band })
    }

    /// Whether the hysteresis of the channel to trigger on is to be wider.
    fn rejects_noise(&self) -> bool {
        self.args.coupling == CouplingName::NoiseReject
    }

    fn full_scale(&self) -> f64 {
        self.calibration.full_scale()
    }

    fn hysteresis<T: Sample>(&self) -> Result<T::Wide, Error> {
        let hysteresis = self.calibration.difference::<T>("--hysteresis", self.args.hysteresis)?;
        let widens_nothing = self.full_scale() == 0.0 && hysteresis == T::ZERO;
        if self.rejects_noise() && widens_nothing {
            return Err(Error::usage(
                "--coupling noise-reject widens the hysteresis, and there is none",
                "add --hysteresis, such as --hysteresis 50mV",
            ));
        }
        Ok(hysteresis)
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
        edge_slope(self.args.slope.unwrap_or(SlopeName::Rising))
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

    /// The time of a stay. `--longer-than` fires when the time is over, so it is in whole samples.
    pub(super) fn stay(&self) -> Result<Stay, Error> {
        match (self.args.shorter_than, self.args.longer_than) {
            (Some(bound), _) => Ok(Stay::ShorterThan(self.span("--shorter-than", bound)?)),
            (None, Some(bound)) => {
                Ok(Stay::LongerThan(self.calibration.whole_samples("--longer-than", bound)?))
            }
            (None, None) => {
                Err(self.missing("a time for a stay", "--longer-than T or --shorter-than T"))
            }
        }
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

fn edge_slope(name: SlopeName) -> EdgeSlope {
    match name {
        SlopeName::Rising => EdgeSlope::Rising,
        SlopeName::Falling => EdgeSlope::Falling,
        SlopeName::Either => EdgeSlope::Either,
    }
}
