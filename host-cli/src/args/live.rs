//! Options of `live`.

use std::path::PathBuf;

use clap::{ArgGroup, Args};

use super::{RecordFormat, ScaleArgs};
use crate::quantity::{Rate, Time};

/// Options of `live`.
#[derive(Debug, Clone, Args)]
#[command(group = ArgGroup::new("board").required(true).args(["port", "play"]))]
pub struct LiveArgs {
    /// The board: a serial port such as /dev/ttyACM0 or COM3, or tcp://HOST:PORT
    #[arg(value_name = "PORT")]
    pub port: Option<String>,
    /// Play a recording (8- or 16-bit) in its own time instead, as a board would send it
    #[arg(long, value_name = "FILE")]
    pub play: Option<PathBuf>,
    /// Samples a second of that recording, where the file has no rate
    #[arg(long, requires = "play")]
    pub rate: Option<Rate>,
    /// What raw samples of that recording are: u8, u16le, i16le …
    #[arg(long, value_name = "TYPE", requires = "play")]
    pub sample_type: Option<crate::input::SampleType>,
    /// No screen: every event as a line of JSON on the standard output, records to disk. A board
    /// sends at most 20 of them a second: how many events have none is told at the end
    #[arg(long)]
    pub headless: bool,
    /// Hold every record against what is expected: a file in TOML, as for `stillwave check`.
    /// Status 1 at the end where something was not so
    #[arg(long, value_name = "FILE")]
    pub expect: Option<PathBuf>,
    /// End after this time
    #[arg(long, value_name = "TIME")]
    pub time: Option<Time>,
    /// End after this many records
    #[arg(long, value_name = "N")]
    pub records: Option<u64>,
    /// Let programs control it by SCPI at this address of this computer; see also --headless, which
    /// ends with a recording that is played. Port 0 takes any that is free, and tells which
    #[arg(long, value_name = "HOST:PORT")]
    pub scpi: Option<String>,
    /// Let other computers reach the address of --scpi. There is no password
    #[arg(long, requires = "scpi")]
    pub scpi_anywhere: bool,
    /// Write records as files that begin with this path: all with --headless, else by the key w.
    /// [default: record; with --headless and --scpi none are written unless this is given]
    #[arg(long, short, value_name = "PATH")]
    pub out: Option<PathBuf>,
    /// What to write [default: what the ending of --out says, or else csv]
    #[arg(long, value_name = "FORMAT")]
    pub save_as: Option<RecordFormat>,
    /// Replace files that are there already
    #[arg(long)]
    pub overwrite: bool,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub scale: ScaleArgs,
}
