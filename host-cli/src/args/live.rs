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
    /// Play the first channel of this recording in real time, as a board would send it (8- or
    /// 16-bit integers only)
    #[arg(long, value_name = "FILE")]
    pub play: Option<PathBuf>,
    /// Sample rate of the recording, if the file has none or a wrong one: 1MS/s, 44.1kHz
    #[arg(long, requires = "play")]
    pub rate: Option<Rate>,
    /// Type of raw samples in the recording: u8, u16le, i16le …
    #[arg(long, value_name = "TYPE", requires = "play")]
    pub sample_type: Option<crate::input::SampleType>,
    /// Run without a screen: print each event as a line of JSON, and save records to files
    ///
    /// A board sends at most 20 records per second. At the end, Stillwave prints how many events
    /// have no record.
    #[arg(long)]
    pub headless: bool,
    /// Check every record against this expectation, a TOML file as for `stillwave check`. The exit
    /// status is 1 if a check fails
    #[arg(long, value_name = "FILE")]
    pub expect: Option<PathBuf>,
    /// Stop after this time, such as 10s
    #[arg(long, value_name = "TIME")]
    pub time: Option<Time>,
    /// Stop after this many records
    #[arg(long, value_name = "N")]
    pub records: Option<u64>,
    /// Accept SCPI control from programs at this address, such as 127.0.0.1:5025
    ///
    /// The address must be a loopback address of this computer, unless --scpi-anywhere is given.
    /// Port 0 selects any free port, and Stillwave prints which. With --headless and --play,
    /// control ends when the recording ends.
    #[arg(long, value_name = "HOST:PORT")]
    pub scpi: Option<String>,
    /// Allow addresses for --scpi that other computers can reach. There is no password
    #[arg(long, requires = "scpi")]
    pub scpi_anywhere: bool,
    /// Begin the names of the record files with this path [default: record]
    ///
    /// With --headless, all records are saved. Without it, the key w saves the last one. With
    /// --headless and --scpi, records are saved only if --out is given.
    #[arg(long, short, value_name = "PATH")]
    pub out: Option<PathBuf>,
    /// File format [default: from the extension of --out, or csv]
    #[arg(long, value_name = "FORMAT")]
    pub save_as: Option<RecordFormat>,
    /// Replace existing files
    #[arg(long)]
    pub overwrite: bool,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub scale: ScaleArgs,
}
