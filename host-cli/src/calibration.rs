//! What a recording's numbers mean: counts in volts, samples in seconds.

use stillwave::{ConfigError, Coupling, Sample, Scale};

use crate::args::ScaleArgs;
use crate::error::Error;
use crate::input::Info;
use crate::quantity::{Level, Time, format_si, number_of};

/// Counts in volts and samples in seconds, as far as they are known.
#[derive(Debug, Clone, Copy)]
pub struct Calibration {
    /// Volts of a count.
    pub scale: Option<Scale>,
    /// Whether samples are counts, and not volts or parts of a volt.
    pub is_counted: bool,
    /// Samples a second.
    pub rate: Option<f64>,
    /// The time of sample 0, in seconds.
    pub start_time: f64,
    /// The converter's end codes; none for floating point.
    pub codes: Option<(f64, f64)>,
    /// What is added to a level in counts: where a coupling puts the mean that it takes away.
    pub origin: f64,
}

impl Calibration {
    /// From the options, or else from what the file says of `channel` (counted from 0).
    ///
    /// # Errors
    /// Options out of range, or a probe or zero without a scale to change.
    pub fn new(args: &ScaleArgs, info: &Info, channel: usize) -> Result<Self, Error> {
        let codes = info.sample_type.kind.codes();
        let own = info.channels.get(channel).and_then(|c| c.scale);
        let is_counted = info.sample_type.kind.is_integer()
            || args.bits.is_some()
            || info.channels.get(channel).is_some_and(|c| c.counts);
        let mut scale = match (args.vref, args.bits) {
            (Some(vref), Some(bits)) => Some(Scale::of_converter(bits, vref.0)?),
            _ => match own {
                Some(own) => Some(own),
                None if !is_counted => Some(Scale::VOLTS),
                None => None,
            },
        };
        let known = |option, scale: Option<Scale>| {
            scale.ok_or_else(|| unscaled(option, Some((info, channel))))
        };
        if let Some(zero) = args.zero {
            let Level::Counts(zero) = zero else {
                return Err(Error::usage("--zero is in volts", "give the counts at 0 V"));
            };
            scale = Some(known("--zero", scale)?.with_zero(zero)?);
        }
        if let Some(probe) = args.probe {
            scale = Some(known("--probe", scale)?.with_attenuation(probe.0)?);
        }
        let codes = match args.bits {
            Some(bits)
                if codes.is_some_and(|(lowest, _)| lowest < 0)
                    && !info.channels.get(channel).is_some_and(|c| c.counts_from_zero(bits)) =>
            {
                let half = f64::from(bits - 1).exp2();
                Some((-half, half - 1.0))
            }
            Some(bits) => Some((0.0, f64::from(bits).exp2() - 1.0)),
            None => codes.map(|(lowest, highest)| (lowest as f64, highest as f64)),
        };
        Ok(Self {
            scale,
            is_counted,
            rate: info.rate,
            start_time: info.start_time,
            codes,
            origin: 0.0,
        })
    }

    /// The same behind a coupling, which may put the mean of a signal at `middle`: levels then
    /// count from the mean.
    #[must_use]
    pub fn coupled(self, coupling: Coupling, middle: f64) -> Self {
        if !coupling.removes_mean() {
            return self;
        }
        let scale = self.scale.map(|scale| Scale { zero: 0.0, ..scale });
        Self { scale, codes: None, origin: middle, ..self }
    }

    /// The range of the converter in counts, 0 where it is not known.
    pub fn full_scale(&self) -> f64 {
        self.codes.map_or(0.0, |(lowest, highest)| highest - lowest + 1.0)
    }

    /// Whether higher counts are lower volts.
    pub fn inverts(&self) -> bool {
        self.scale.is_some_and(|scale| scale.volts_per_count < 0.0)
    }

    /// Refuses levels in volts of `channel` (counted from 0) where it has no scale.
    ///
    /// # Errors
    /// The first such, with its option; it names the file, as [`level`](Self::level) cannot.
    pub fn check_volts(
        &self,
        info: &Info,
        channel: usize,
        levels: &[(&str, Option<Level>)],
    ) -> Result<(), Error> {
        let volts = |(_, level): &&(&str, Option<Level>)| matches!(level, Some(Level::Volts(_)));
        match levels.iter().find(volts) {
            Some((option, _)) if self.scale.is_none() => {
                Err(unscaled(option, Some((info, channel))))
            }
            _ => Ok(()),
        }
    }

    /// A level in the samples' unit: the nearest count, or the value.
    ///
    /// # Errors
    /// Volts without a scale, or a level beyond all numbers.
    pub fn level<T: Sample>(&self, option: &str, level: Level) -> Result<T::Wide, Error> {
        let counts = match level {
            Level::Counts(counts) => self.whole::<T>(option, counts)?,
            Level::Volts(volts) => known(self.scale, option)?.counts(volts),
        };
        self.wide::<T>(option, level, counts + self.origin)
    }

    /// A level in counts and fractions of them.
    ///
    /// # Errors
    /// Volts without a scale.
    pub fn counts_of(&self, option: &str, level: Level) -> Result<f64, Error> {
        let counts = match level {
            Level::Counts(counts) => counts,
            Level::Volts(volts) => known(self.scale, option)?.counts(volts),
        };
        Ok(counts + self.origin)
    }

    /// What to say of a level in counts that may have been meant in volts.
    pub fn slip(&self, option: &str, level: Level) -> Option<String> {
        let (Level::Counts(counts), Some(scale), Some((lowest, highest))) =
            (level, self.scale, self.codes)
        else {
            return None;
        };
        let most = scale.volts(lowest).abs().max(scale.volts(highest).abs());
        let as_volts = counts != scale.volts(counts) && counts.abs() <= most;
        // Where a count is some volts, it may well be counts.
        let far = scale.volts_per_count.abs() < 0.1;
        (as_volts && far).then(|| {
            let meant = self.show_level(counts + self.origin);
            format!("{option} {counts} has no unit, which means {meant}; for volts write {counts}V")
        })
    }

    /// Counts of an integer recording, which are whole: what has a fraction lacks its unit.
    fn whole<T: Sample>(&self, option: &str, counts: f64) -> Result<f64, Error> {
        if T::STEP == T::ZERO || counts.fract() == 0.0 {
            return Ok(counts);
        }
        let scale = if self.scale.is_some() { "" } else { " and add --bits and --vref" };
        Err(Error::usage(
            format!("{option}: {counts} is no whole number of counts"),
            format!("for volts write {counts}V{scale}, or round it"),
        ))
    }

    fn wide<T: Sample>(&self, option: &str, level: Level, counts: f64) -> Result<T::Wide, Error> {
        T::wide_from_f64(counts).ok_or_else(|| {
            let shown = match level {
                Level::Counts(counts) => number_of(counts, "count"),
                Level::Volts(volts) => format_si(volts, "V", 4),
            };
            let range = self.codes.map(|(lowest, highest)| {
                format!(", from {} to {}", self.show_level(lowest), self.show_level(highest))
            });
            Error::usage(
                format!("{option} {shown} is beyond all that samples can be"),
                format!("give one within their range{}", range.unwrap_or_default()),
            )
        })
    }

    /// What the engine does not take of levels, in volts where those are known.
    pub fn refused(&self, error: ConfigError) -> Error {
        let shown = match error.parameter {
            _ if self.scale.is_none() => return error.into(),
            "level" | "low" | "high" => self.show_level(error.value),
            "hysteresis" => self.show_difference(error.value),
            _ => return error.into(),
        };
        let problem = format!("--{} is {shown}: it must be {}", error.parameter, error.range);
        Error::usage(problem, "correct it")
    }

    /// A difference of levels in the samples' unit.
    ///
    /// # Errors
    /// As [`Calibration::level`].
    pub fn difference<T: Sample>(&self, option: &str, level: Level) -> Result<T::Wide, Error> {
        let counts = match level {
            Level::Counts(counts) => self.whole::<T>(option, counts)?,
            Level::Volts(volts) => known(self.scale, option)?.count_difference(volts),
        };
        self.wide::<T>(option, level, counts)
    }

    /// A time in samples, with its fraction.
    ///
    /// # Errors
    /// Seconds without a rate.
    pub fn samples(&self, option: &str, time: Time) -> Result<f64, Error> {
        time.in_samples(self.rate).ok_or_else(|| {
            Error::usage(
                format!("{option} is in seconds, but the recording has no sample rate"),
                "add --rate, or give samples such as 100sa",
            )
        })
    }

    /// A time in whole samples, rounded up.
    ///
    /// # Errors
    /// Seconds without a rate.
    pub fn whole_samples(&self, option: &str, time: Time) -> Result<u64, Error> {
        Ok(self.samples(option, time)?.ceil() as u64)
    }

    /// The time of a sample (with fraction) in seconds.
    pub fn time(&self, samples: f64) -> Option<f64> {
        self.rate.map(|rate| self.start_time + samples / rate)
    }

    /// Counts for people: in volts where a scale is known.
    pub fn show_level(&self, counts: f64) -> String {
        let counts = counts - self.origin;
        match self.scale {
            Some(scale) if !self.is_counted => format_si(scale.volts(counts), "V", 4),
            Some(scale) => {
                format!("{} ({})", format_si(scale.volts(counts), "V", 4), counts_of(counts))
            }
            None => counts_of(counts),
        }
    }

    /// A difference of counts for people.
    pub fn show_difference(&self, counts: f64) -> String {
        let scale = self.scale.map(|scale| Scale { zero: 0.0, ..scale });
        Self { scale, origin: 0.0, ..*self }.show_level(counts)
    }

    /// Samples for people: in seconds where the rate is known.
    pub fn show_time(&self, samples: f64) -> String {
        // Not the noise of a conversion.
        let samples = (samples * 1e3).round() / 1e3;
        match self.rate {
            Some(rate) => {
                format!("{} ({})", format_si(samples / rate, "s", 4), number_of(samples, "sample"))
            }
            None => number_of(samples, "sample"),
        }
    }
}

/// Counts, of fractions six digits.
fn counts_of(counts: f64) -> String {
    let short = if counts.fract() == 0.0 { None } else { format!("{counts:.5e}").parse().ok() };
    number_of(short.unwrap_or(counts), "count")
}

fn known(scale: Option<Scale>, option: &str) -> Result<Scale, Error> {
    scale.ok_or_else(|| unscaled(option, None))
}

/// Volts of what is in counts: a column of text may only have been taken for such.
#[cold]
fn unscaled(option: &str, of: Option<(&Info, usize)>) -> Error {
    let problem = format!("{option} needs to know how many volts a count is");
    let remedy = "add --bits and --vref, such as --bits 12 --vref 3.3V, or give a level in counts";
    match of.and_then(|(info, channel)| Some((info, info.channels.get(channel)?.guessed?))) {
        None => Error::usage(problem, remedy),
        Some((info, column)) => Error::usage(
            format!(
                "{}: {problem}: column {column} holds whole numbers without a unit, taken for counts",
                info.name
            ),
            format!("for volts name it with its unit, such as \"mains (V)\"; for counts {remedy}"),
        ),
    }
}
