//! Options of `suggest` and `survey`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{InputArgs, PictureArgs, ReportArgs, ScaleArgs, SlopeName};
use crate::quantity::Level;

/// Options of `suggest`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  stillwave suggest capture.wav --channel 1,2")]
pub struct SuggestArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub input: InputArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub scale: ScaleArgs,
    /// Channels to analyse, from 1, separated by commas
    #[arg(long, value_name = "N,N", value_delimiter = ',', default_value = "1")]
    pub channel: Vec<usize>,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub report: ReportArgs,
    /// Write the suggestion to this file: as options, or as Rust constants for firmware
    #[arg(long, value_name = "FILE.toml|FILE.rs", help_heading = "Output")]
    pub save_setup: Option<PathBuf>,
    /// Replace an existing file
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
    /// The options for recording and scale as they were typed.
    #[arg(skip)]
    pub typed: Vec<String>,
}

/// Options of `survey`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  stillwave survey capture.wav --hysteresis 50mV --png survey.png"
)]
pub struct SurveyArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub input: InputArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub scale: ScaleArgs,
    /// Channel to analyse, from 1
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub channel: usize,
    /// Setting to vary
    #[arg(long, value_name = "WHAT", default_value = "level", help_heading = "Survey")]
    pub over: Over,
    /// Count edges of this slope. With --over width, count pulses that begin with it
    #[arg(long, default_value = "rising", help_heading = "Survey")]
    pub slope: SlopeName,
    /// Level, if not varied [default: half way between the states]
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true, help_heading = "Survey")]
    pub level: Option<Level>,
    /// Hysteresis, if not varied [default: none; with --over width, as suggested]
    #[arg(long, value_name = "LEVEL", help_heading = "Survey")]
    pub hysteresis: Option<Level>,
    /// Number of settings to try, 3 to 1001
    #[arg(long, value_name = "N", default_value_t = 101, help_heading = "Survey",
          value_parser = clap::value_parser!(u16).range(3..=1001))]
    pub steps: u16,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub report: ReportArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub picture: PictureArgs,
    /// Width of the picture in the terminal, in characters [default: the terminal's]
    #[arg(long, value_name = "N", help_heading = "Output")]
    pub width: Option<u16>,
    /// Height of the picture in the terminal, in lines
    #[arg(long, value_name = "N", default_value_t = 18, help_heading = "Output")]
    pub height: u16,
}

/// What a survey varies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Over {
    /// The level: finds where the signal crosses it once per cycle
    Level,
    /// The hysteresis at one level: finds how much the noise requires
    Hysteresis,
    /// The width: counts the pulses that are longer
    Width,
}
