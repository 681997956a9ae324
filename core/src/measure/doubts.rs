//! Reasons to doubt a measured value.

use core::fmt;

/// The basic measurements, named as in [`Measurements`](super::Measurements) and
/// [`Timing`](super::Timing).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Measure {
    /// The smallest sample.
    Minimum,
    /// The largest sample.
    Maximum,
    /// The maximum minus the minimum.
    PeakToPeak,
    /// The mean.
    Mean,
    /// The RMS about zero.
    Rms,
    /// The RMS about the mean.
    AcRms,
    /// The low state.
    Low,
    /// The high state.
    High,
    /// The high state minus the low state.
    Amplitude,
    /// The low reference level.
    LowReference,
    /// The middle reference level.
    MidReference,
    /// The high reference level.
    HighReference,
    /// The period.
    Period,
    /// The frequency.
    Frequency,
    /// The duty cycle.
    Duty,
    /// The width of positive pulses.
    PositiveWidth,
    /// The width of negative pulses.
    NegativeWidth,
    /// The rise time.
    RiseTime,
    /// The fall time.
    FallTime,
}

/// The reasons to doubt a record's values. A doubtful value is still given, unless it would be
/// meaningless.
///
/// ```
/// use stillwave::measure::{Measure, measure};
/// let triangle: Vec<u8> = (0..1000).map(|i| (i % 200_i32 - 100).abs() as u8).collect();
/// let doubts = measure(&triangle).doubts;
/// let about: Vec<String> = doubts.about(Measure::High).map(|doubt| doubt.to_string()).collect();
/// assert_eq!(about, ["does not rest: high and low are its peaks"]);
/// assert_eq!(doubts.about(Measure::Frequency).next(), None);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(default))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::struct_excessive_bools)] // each on its own
pub struct Doubts {
    /// The signal does not rest at its low level; the level is its lower peak.
    pub low_does_not_rest: bool,
    /// The signal does not rest at its high level; the level is its upper peak.
    pub high_does_not_rest: bool,
    /// The number of outlying samples that are left out of levels and times. Minimum, maximum, mean
    /// and RMS include them.
    pub left_out: u32,
    /// A third level at which the signal rests, in counts.
    pub third_level: Option<f64>,
    /// The amplitude changes through the record. High and low are its outermost peaks.
    pub amplitude_changes: bool,
    /// The standard deviation of the periods over their mean, if it is larger than noise and
    /// sampling explain.
    pub period_varies: Option<f64>,
    /// A state still rings when the next transition begins.
    pub still_ringing: bool,
    /// There are too few samples per cycle to tell noise from the signal: the peaks may contain
    /// noise.
    pub too_few_samples: bool,
    /// The low state is at the converter's lowest code: the voltage may be lower.
    pub low_at_end_code: bool,
    /// The high state is at the converter's highest code: the voltage may be higher.
    pub high_at_end_code: bool,
}

/// One reason to doubt a value.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(not(feature = "exhaustive"), non_exhaustive)]
pub enum Doubt {
    /// The signal rests neither high nor low.
    DoesNotRest,
    /// The signal does not rest low.
    LowDoesNotRest,
    /// The signal does not rest high.
    HighDoesNotRest,
    /// This many outlying samples are left out.
    LeftOut(u32),
    /// The signal also rests at a third level, in counts.
    ThirdLevel(f64),
    /// The amplitude changes through the record.
    AmplitudeChanges,
    /// The period varies, by this fraction of it.
    PeriodVaries(f64),
    /// A state still rings at the next transition.
    StillRinging,
    /// There are too few samples per cycle to tell noise from the signal.
    TooFewSamples,
    /// A state lies at an end code of the converter.
    AtEndCode,
}

impl Doubt {
    /// Whether the value may be off. `false` if the doubt only says which level was taken: the
    /// peaks of a signal that does not rest.
    ///
    /// ```
    /// use stillwave::measure::Doubt;
    /// assert!(Doubt::AtEndCode.may_be_off() && !Doubt::DoesNotRest.may_be_off());
    /// ```
    pub fn may_be_off(self) -> bool {
        match self {
            Self::DoesNotRest | Self::LowDoesNotRest | Self::HighDoesNotRest => false,
            Self::LeftOut(_)
            | Self::ThirdLevel(_)
            | Self::AmplitudeChanges
            | Self::PeriodVaries(_)
            | Self::StillRinging
            | Self::TooFewSamples
            | Self::AtEndCode => true,
        }
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::DoesNotRest => f.write_str("does not rest: high and low are its peaks"),
            Self::LowDoesNotRest => f.write_str("does not rest low: low is its peak"),
            Self::HighDoesNotRest => f.write_str("does not rest high: high is its peak"),
            Self::LeftOut(1) => f.write_str("1 sample stands apart and is left out"),
            Self::LeftOut(count) => write!(f, "{count} samples stand apart and are left out"),
            Self::ThirdLevel(level) => write!(f, "rests at a third level, about {level}"),
            Self::AmplitudeChanges => f.write_str("amplitude changes through the record"),
            Self::PeriodVaries(part) => write!(f, "varies by {:.1} %", part * 100.0),
            Self::StillRinging => f.write_str("still ringing at the next edge"),
            Self::TooFewSamples => f.write_str("too few samples a cycle to tell noise from signal"),
            Self::AtEndCode => f.write_str("at the converter's end code: may be beyond"),
        }
    }
}

impl Doubts {
    /// The doubts about one value.
    pub fn about(&self, measure: Measure) -> impl Iterator<Item = Doubt> + use<> {
        self.of(Concern::of(measure))
    }

    /// All doubts, each once.
    pub fn all(&self) -> impl Iterator<Item = Doubt> + use<> {
        self.of(Concern { low: true, high: true, widths: true, period: true })
    }

    fn of(&self, of: Concern) -> impl Iterator<Item = Doubt> + use<> {
        let Self { low_does_not_rest, high_does_not_rest, left_out, .. } = *self;
        let rest = match (low_does_not_rest, high_does_not_rest) {
            (true, true) => (of.low || of.high).then_some(Doubt::DoesNotRest),
            (true, false) => of.low.then_some(Doubt::LowDoesNotRest),
            (false, true) => of.high.then_some(Doubt::HighDoesNotRest),
            (false, false) => None,
        };
        let levels = of.low || of.high;
        let at_end = (self.low_at_end_code && (of.low || of.widths))
            || (self.high_at_end_code && (of.high || of.widths));
        let when = |is: bool, doubt: Doubt| is.then_some(doubt);
        let times = levels || of.widths || of.period;
        let third = self.third_level.filter(|_| levels || of.widths).map(Doubt::ThirdLevel);
        let varies = self.period_varies.filter(|_| of.period).map(Doubt::PeriodVaries);
        [
            rest,
            when(left_out > 0 && times, Doubt::LeftOut(left_out)),
            third,
            when(self.amplitude_changes && (levels || of.widths), Doubt::AmplitudeChanges),
            varies,
            when(self.still_ringing && levels, Doubt::StillRinging),
            when(self.too_few_samples && levels, Doubt::TooFewSamples),
            when(at_end, Doubt::AtEndCode),
        ]
        .into_iter()
        .flatten()
    }

    /// The doubts with levels converted to another unit; `inverts` if up and down are swapped.
    pub(super) fn scaled(self, level: impl Fn(f64) -> f64, inverts: bool) -> Self {
        let upright = Self { third_level: self.third_level.map(level), ..self };
        if !inverts {
            return upright;
        }
        Self {
            low_does_not_rest: self.high_does_not_rest,
            high_does_not_rest: self.low_does_not_rest,
            low_at_end_code: self.high_at_end_code,
            high_at_end_code: self.low_at_end_code,
            ..upright
        }
    }
}

/// What a value depends on.
#[derive(Clone, Copy, Default)]
#[allow(clippy::struct_excessive_bools)] // each on its own
struct Concern {
    low: bool,
    high: bool,
    /// Whether it depends on the time from one passage of the middle to the next of the other
    /// slope.
    widths: bool,
    period: bool,
}

impl Concern {
    fn of(measure: Measure) -> Self {
        let none = Self::default();
        match measure {
            Measure::Minimum
            | Measure::Maximum
            | Measure::PeakToPeak
            | Measure::Mean
            | Measure::Rms
            | Measure::AcRms => none,
            Measure::Low => Self { low: true, ..none },
            Measure::High => Self { high: true, ..none },
            Measure::Amplitude
            | Measure::LowReference
            | Measure::MidReference
            | Measure::HighReference
            | Measure::RiseTime
            | Measure::FallTime => Self { low: true, high: true, ..none },
            Measure::Period | Measure::Frequency => Self { period: true, ..none },
            Measure::Duty | Measure::PositiveWidth | Measure::NegativeWidth => {
                Self { widths: true, ..none }
            }
        }
    }
}
