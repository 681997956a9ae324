//! The command line, one file for each group of options.

mod check;
mod condition;
mod decimate;
mod explain;
mod input;
mod job;
mod line;
mod live;
mod output;
mod picture;
mod record;
mod scale;
mod serial;
mod setup;
mod several;
mod states;
mod suggest;
mod trigger;
mod video;

use clap::{Parser, Subcommand};

pub use check::{CheckArgs, ExpectArgs};
pub use condition::ConditionName;
pub use decimate::{DecimateArgs, HowName};
pub use explain::{ExplainArgs, ExplainFormat};
pub use input::{InputArgs, from_one};
pub use job::JobArgs;
pub use line::{Line, SideName, SlopeName, StateName};
pub use live::LiveArgs;
pub use output::{ReportArgs, ReportFormat};
pub use picture::{PictureArgs, WindowName};
pub use record::{ModeName, RecordArgs, RecordFormat};
pub use scale::ScaleArgs;
pub use serial::{DirectionName, OrderName, ParityName, SaidName, SerialArgs, Values};
pub use setup::SetupArgs;
pub use several::SeveralArgs;
pub use states::{ReferenceRange, StateArgs, StateMethod};
pub use suggest::{Over, SuggestArgs, SurveyArgs};
pub use trigger::{CouplingName, PolarityName, TriggerArgs, WhenName};
pub use video::{FieldName, StandardName, VideoArgs};

/// Make a waveform stand still: find, record, draw and measure the interesting parts of a recorded
/// voltage.
///
/// Levels are in volts (1.65V, 50mV) or in counts (2048). Times are in seconds (2ms, 10us) or in
/// samples (100sa).
#[derive(Debug, Parser)]
#[command(name = "stillwave", version, max_term_width = 100)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// List the events in a recording
    Scan(ScanArgs),
    /// Save a record of the samples around each event
    Capture(CaptureArgs),
    /// Draw all records on top of each other, aligned at the event
    View(ViewArgs),
    /// Measure every record
    ///
    /// Widths, periods and duty are timed half way between the low and the high state of each
    /// record, wherever the trigger level is. Each is the mean over the cycles of a record. --all
    /// also prints the shortest and the longest. The pulse width that `scan` prints is different:
    /// it runs from the crossing of --level until the signal is back beyond it by --hysteresis.
    ///
    /// Amplitude is the high state minus the low state. A state is where the signal rests, or its
    /// peak if it does not rest. Peak to peak is the maximum minus the minimum, including noise and
    /// spikes. Mean and RMS are of the whole record, including an incomplete cycle. --all also
    /// prints them for whole cycles.
    ///
    /// ± is one standard deviation of the value of a single record. Remarks say what makes a value
    /// doubtful.
    Measure(MeasureArgs),
    /// Check every record against an expectation; exit status 1 if a check fails
    ///
    /// For widths, periods, duty and transitions, every cycle of a record must be as expected. The
    /// worst cycle decides.
    Check(CheckArgs),
    /// Draft an expectation from a good recording
    Expect(ExpectArgs),
    /// Write a recording at a lower sample rate: sums, extremes or filtered samples
    Decimate(DecimateArgs),
    /// Explain why a condition fired or did not, and what came close
    Explain(ExplainArgs),
    /// Show what a board captures now, or play a recording as a board would send it
    ///
    /// Keys work like the knobs of an instrument. `live` triggers on edges only. For other
    /// conditions, use `scan --on` on a recording.
    Live(LiveArgs),
    /// Suggest a trigger for a signal, with the reasons
    Suggest(SuggestArgs),
    /// Count events at many levels, hystereses or widths, and show where the count is steady
    Survey(SurveyArgs),
    /// Create an example recording and run the main commands on it
    Demo(DemoArgs),
}

impl Command {
    /// Whether it also writes a file, or decides the exit status.
    pub fn does_more_than_print(&self) -> bool {
        let draws = |picture: &PictureArgs| picture.png.is_some() || picture.svg.is_some();
        match self {
            // It saves before it prints.
            Self::Scan(_) => false,
            Self::Suggest(args) => args.save_setup.is_some(),
            Self::Capture(_)
            | Self::Check(_)
            | Self::Decimate(_)
            | Self::Live(_)
            | Self::Demo(_) => true,
            Self::View(args) => draws(&args.picture),
            Self::Measure(args) => draws(&args.picture),
            Self::Explain(args) => args.png.is_some(),
            Self::Survey(args) => draws(&args.picture),
            Self::Expect(args) => args.out.is_some(),
        }
    }

    /// The options of the trigger, if it has one.
    pub fn trigger_mut(&mut self) -> Option<&mut TriggerArgs> {
        match self {
            Self::Scan(args) => Some(&mut args.trigger),
            Self::Explain(args) => Some(&mut args.trigger),
            Self::Capture(args) => Some(&mut args.job.trigger),
            Self::View(args) => Some(&mut args.job.trigger),
            Self::Measure(args) => Some(&mut args.job.trigger),
            Self::Check(args) => Some(&mut args.job.trigger),
            Self::Expect(args) => Some(&mut args.job.trigger),
            Self::Decimate(_)
            | Self::Live(_)
            | Self::Suggest(_)
            | Self::Survey(_)
            | Self::Demo(_) => None,
        }
    }
}

/// Options of `scan`.
#[derive(Debug, clap::Args)]
pub struct ScanArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub input: InputArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub scale: ScaleArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub trigger: TriggerArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub report: ReportArgs,
    /// Replace an existing file
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}

/// Options of `capture`.
#[derive(Debug, clap::Args)]
pub struct CaptureArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub job: JobArgs,
    /// Begin the names of the record files with this path: `--out one.csv` writes one-0001.csv,
    /// one-0002.csv and so on
    #[arg(long, short, value_name = "PATH", help_heading = "Output")]
    pub out: std::path::PathBuf,
    /// File format [default: from the extension of --out, or wav]
    #[arg(long, value_name = "FORMAT", help_heading = "Output")]
    pub save_as: Option<RecordFormat>,
    /// Replace existing files
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}

/// Options of `view`.
#[derive(Debug, clap::Args)]
pub struct ViewArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub job: JobArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub picture: PictureArgs,
    /// Draw power over frequency instead: the mean of all records
    #[arg(long, help_heading = "Picture", conflicts_with = "xy")]
    pub spectrum: bool,
    /// Window function of the spectrum
    #[arg(
        long,
        value_name = "WINDOW",
        default_value = "blackman-harris",
        help_heading = "Picture"
    )]
    pub window: WindowName,
    /// Draw the second of these two channels over the first, and print the phase between them
    ///
    /// The phase is the mean of all records. ± is one standard deviation from record to record. The
    /// value for harmonics is the most that they may shift the phase, in degrees.
    #[arg(long, value_name = "N,N", value_delimiter = ',', help_heading = "Picture")]
    pub xy: Option<Vec<usize>>,
    /// Draw the mean of all records: it reduces noise and keeps the signal
    ///
    /// The records are aligned to a fraction of a sample.
    #[arg(long, help_heading = "Picture", conflicts_with_all = ["xy", "spectrum"])]
    pub average: bool,
    /// Draw short records as sin(x)/x curves instead of straight lines
    ///
    /// The curve is the true waveform if the signal has no frequencies above half the sample rate.
    /// Faster edges ring. The curve is uncertain in the first and the last 8 samples of a record,
    /// which have too few neighbours.
    #[arg(long, help_heading = "Picture", conflicts_with_all = ["xy", "spectrum"])]
    pub sinx: bool,
    /// Width of the picture in the terminal, in characters [default: the terminal's]
    #[arg(long, value_name = "N", help_heading = "Output")]
    pub width: Option<u16>,
    /// Height of the picture in the terminal, in lines
    #[arg(long, value_name = "N", default_value_t = 24, help_heading = "Output")]
    pub height: u16,
}

/// Options of `measure`.
#[derive(Debug, clap::Args)]
pub struct MeasureArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub job: JobArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub states: StateArgs,
    /// Print all quantities: also overshoot, settling, slew rate, crest and form factors
    #[arg(long, help_heading = "Output")]
    pub all: bool,
    /// Draw a histogram of one quantity over all records. Give its name as in --format json, such
    /// as `rise_time`
    #[arg(long, value_name = "NAME", help_heading = "Output")]
    pub histogram: Option<String>,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub picture: PictureArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub report: ReportArgs,
}

/// Options of `demo`.
#[derive(Debug, clap::Args)]
pub struct DemoArgs {
    /// Folder for the recording and the picture [default: stillwave-demo, where existing files are
    /// replaced]
    #[arg(long, value_name = "FOLDER")]
    pub folder: Option<std::path::PathBuf>,
    /// Replace existing files in that folder
    #[arg(long)]
    pub overwrite: bool,
}
