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
    /// Divide the sample rate by N: N samples become one
    #[arg(long, value_name = "N", help_heading = "Decimation")]
    pub by: u32,
    /// Method
    #[arg(long, value_name = "HOW", default_value = "boxcar", help_heading = "Decimation")]
    pub how: HowName,
    /// cic: number of cascaded moving sums, 1 to 5 [default: 3]
    #[arg(long, value_name = "N", help_heading = "Decimation")]
    pub order: Option<u32>,
    /// fir: attenuation of frequencies that would alias, in dB, 30 to 110 (integers: 30 to 60)
    /// [default: 60]
    #[arg(long, value_name = "DB", help_heading = "Decimation")]
    pub attenuation: Option<f64>,
    /// Channels to read, from 1, separated by commas [default: all]
    #[arg(long, value_name = "N,N", value_delimiter = ',', help_heading = "Decimation")]
    pub channel: Option<Vec<usize>>,
    /// Write the result to this file
    #[arg(long, short, value_name = "FILE", help_heading = "Output")]
    pub out: PathBuf,
    /// File format [default: from the extension of --out]
    #[arg(long, value_name = "FORMAT", help_heading = "Output")]
    pub save_as: Option<RecordFormat>,
    /// Replace an existing file
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}

/// What becomes of so many samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum HowName {
    /// The first of N samples. No filter: frequencies above half the new rate alias
    Every,
    /// The smallest and the largest of N samples, as two channels: no spike is lost
    Minmax,
    /// The sum of N samples, or their mean for floating point and for samples of more than 16 bits
    Boxcar,
    /// A CIC filter: cascaded moving sums (--order), rounded beyond 32 bits. Integers only
    Cic,
    /// A low-pass filter: flat up to 0.4 of the new rate, down by --attenuation from 0.6 of it on
    Fir,
}
