//! Options of what measures: which two levels a signal goes between, and where times are taken.

use std::str::FromStr;

use clap::{Args, ValueEnum};
use stillwave::measure::{Config, LevelMethod, References, StateLevels};

use crate::calibration::Calibration;
use crate::error::Error;
use crate::quantity::{Level, Percent};

/// How records are measured.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Measurement")]
pub struct StateArgs {
    /// How to find the low and the high state
    #[arg(long, value_name = "METHOD", default_value = "rest")]
    pub states: StateMethod,
    /// Low state, if known: 0V or, in counts, 0. Needs --state-high
    #[arg(
        long,
        value_name = "LEVEL",
        allow_hyphen_values = true,
        requires = "state_high",
        conflicts_with = "states"
    )]
    pub state_low: Option<Level>,
    /// High state, if known: 3.3V or, in counts, 4095. Needs --state-low
    #[arg(
        long,
        value_name = "LEVEL",
        allow_hyphen_values = true,
        requires = "state_low",
        conflicts_with = "states"
    )]
    pub state_high: Option<Level>,
    /// Where rise and fall times begin and end, in percent of the amplitude
    #[arg(long, value_name = "LOW..HIGH", default_value = "10%..90%")]
    pub references: ReferenceRange,
}

/// How the two states are found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum StateMethod {
    /// Where the signal rests, or its peaks if it does not rest
    Rest,
    /// The fullest histogram bin of each half of the range (IEEE 181)
    Mode,
    /// The mean of the samples in each half of the range
    Mean,
    /// The mean of the densest half of the samples in each half of the range (NIST TN 2036)
    Shorth,
    /// The smallest and the largest sample
    Extremes,
}

impl From<StateMethod> for LevelMethod {
    fn from(method: StateMethod) -> Self {
        match method {
            StateMethod::Rest => Self::Rest,
            StateMethod::Mode => Self::Mode,
            StateMethod::Mean => Self::Mean,
            StateMethod::Shorth => Self::Shorth,
            StateMethod::Extremes => Self::Extremes,
        }
    }
}

/// Two parts of the amplitude: `20%..80%`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceRange(
    /// With the middle one at 50 %.
    pub References,
);

impl FromStr for ReferenceRange {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let fault = || format!("\"{text}\" is not a range such as 20%..80%");
        let (low, high) = text.split_once("..").ok_or_else(fault)?;
        let part = |text: &str| text.parse::<Percent>().map(|part| part.0).map_err(|_| fault());
        let references = References { low: part(low)?, mid: 0.5, high: part(high)? };
        let config = Config { references, ..Config::default() };
        if config.validated().is_ok() {
            Ok(Self(references))
        } else {
            Err("the first must be over 0 % and under 40 %, the second over 60 % and under 100 %"
                .to_owned())
        }
    }
}

impl StateArgs {
    /// How records of a calibration are measured, in counts.
    ///
    /// # Errors
    /// States in volts where volts are not known, or that are not in order.
    pub fn config(&self, calibration: &Calibration) -> Result<Config, Error> {
        let inverts = calibration.inverts();
        let References { low, mid, high } = self.references.0;
        let references = if inverts {
            References { low: 1.0 - high, mid, high: 1.0 - low }
        } else {
            self.references.0
        };
        let levels = match (self.state_low, self.state_high) {
            (Some(low), Some(high)) => {
                let low = calibration.counts_of("--state-low", low)?;
                let high = calibration.counts_of("--state-high", high)?;
                let (low, high) = if inverts { (high, low) } else { (low, high) };
                if low >= high {
                    return Err(Error::usage(
                        "--state-low is not below --state-high",
                        "give the lower level as --state-low",
                    ));
                }
                Some(StateLevels { low, high })
            }
            _ => None,
        };
        Ok(Config {
            references,
            levels,
            method: self.states.into(),
            end_codes: calibration.codes,
            ..Config::default()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::ReferenceRange;
    use stillwave::measure::References;

    #[test]
    fn references_are_two_parts_in_order() {
        let read = |text: &str| text.parse::<ReferenceRange>().map(|range| range.0).ok();
        let twenty = References { low: 0.2, mid: 0.5, high: 0.8 };
        assert_eq!(read("20%..80%"), Some(twenty));
        for text in ["20..80", "80%..20%", "0%..90%", "10%..100%", "45%..55%", "20%", "x%..y%"] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
