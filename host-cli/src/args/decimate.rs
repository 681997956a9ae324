//! Options of `decimate`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{InputArgs, RecordFormat, ScaleArgs};

/// Options of `decimate`.
#[derive(Debug, Args)]
pub struct DecimateArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub input: InputArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub scale: ScaleArgs,
    /// How many samples become one
    #[arg(long, value_name = "N", help_heading = "Decimation")]
    pub by: u32,
    /// How they do
    #[arg(long, value_name = "HOW", default_value = "boxcar", help_heading = "Decimation")]
    pub how: HowName,
    /// cic: how many moving sums behind each other, 1 to 5 [default: 3]
    #[arg(long, value_name = "N", help_heading = "Decimation")]
    pub order: Option<u32>,
    /// fir: how far down what would fold is, in dB, 30 to 110 (whole numbers: to 60) [default: 60]
    #[arg(long, value_name = "DB", help_heading = "Decimation")]
    pub attenuation: Option<f64>,
    /// The channels to take, from 1, separated by commas [default: all]
    #[arg(long, value_name = "N,N", value_delimiter = ',', help_heading = "Decimation")]
    pub channel: Option<Vec<usize>>,
    /// Write the result as this file
    #[arg(long, short, value_name = "FILE", help_heading = "Output")]
    pub out: PathBuf,
    /// What to write [default: what the file's ending says]
    #[arg(long, value_name = "FORMAT", help_heading = "Output")]
    pub save_as: Option<RecordFormat>,
    /// Replace a file that exists
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}

/// What becomes of so many samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum HowName {
    /// The first of them; no filter: what is faster than half the new rate folds into the result
    Every,
    /// The least and the largest: no spike is lost
    Minmax,
    /// Their sum, exact up to 32 bits and rounded beyond (floating point: their mean)
    Boxcar,
    /// Sums of moving sums (--order), exact up to 32 bits and rounded beyond; whole numbers only
    Cic,
    /// A low pass: flat to 0.8 of half the new rate, down by --attenuation from 1.2 of it on
    Fir,
}
