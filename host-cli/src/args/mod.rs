//! The command line, one file for each group of options.

mod check;
mod condition;
mod decimate;
mod explain;
mod input;
mod line;
mod live;
mod output;
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

pub use check::{CheckArgs, ExpectArgs, PictureArgs, WindowName};
pub use condition::ConditionName;
pub use decimate::{DecimateArgs, HowName};
pub use explain::{ExplainArgs, ExplainFormat};
pub use input::{InputArgs, from_one};
pub use line::{Line, SideName, StateName};
pub use live::LiveArgs;
pub use output::{ReportArgs, ReportFormat};
pub use record::{ModeName, RecordArgs, RecordFormat};
pub use scale::ScaleArgs;
pub use serial::{DirectionName, OrderName, ParityName, SaidName, SerialArgs, Values};
pub use setup::SetupArgs;
pub use several::SeveralArgs;
pub use states::{ReferenceRange, StateArgs, StateMethod};
pub use suggest::{Over, SuggestArgs, SurveyArgs};
pub use trigger::{CouplingName, PolarityName, SlopeName, TriggerArgs, WhenName};
pub use video::{FieldName, StandardName, VideoArgs};

/// Makes a waveform stand still: finds, records, draws and measures the interesting parts of a
/// recorded voltage.
///
/// Levels are volts (1.65V, 50mV) or counts (2048); times are seconds (2ms, 10us) or samples
/// (100sa).
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
    /// Write a record of the samples around each event to disk
    Capture(CaptureArgs),
    /// Draw all records on top of each other, aligned on the event
    View(ViewArgs),
    /// Measure every record
    ///
    /// Widths, periods and duty run between the middles of each record's low and high states,
    /// wherever the trigger's level is; the width of a pulse that a scan finds, from where --level
    /// is passed to where the signal is back past it by --hysteresis. Each is the mean over a
    /// record's cycles; --all has the shortest and the longest too.
    ///
    /// Amplitude is the high state less the low one: where the signal rests, or its peaks where it does
    /// not rest. Peak to peak is the maximum less the minimum, noise and spikes included. ± is one
    /// standard deviation of a single record's value. Remarks say what is doubtful about a value. Mean and RMS are of the whole record, a broken
    /// cycle included; --all has them of whole cycles.
    Measure(MeasureArgs),
    /// Check every record against an expectation; exit status 1 if a check fails
    ///
    /// Of widths, periods, duty and transitions every cycle of a record must be as expected: the
    /// worst one decides.
    Check(CheckArgs),
    /// Draft an expectation from a good recording
    Expect(ExpectArgs),
    /// Make fewer samples of a recording: sums, extremes or filtered ones, in another file
    Decimate(DecimateArgs),
    /// Say why a condition fired, or did not, and what came near
    Explain(ExplainArgs),
    /// Show what a board captures now, or a recording as if it did; keys are its knobs. It triggers
    /// on edges (other conditions, on recordings: scan --on)
    Live(LiveArgs),
    /// Suggest a trigger from the signal itself, with the reasons
    Suggest(SuggestArgs),
    /// Count events against the level, the hysteresis or the width, and see where they stay the same
    Survey(SurveyArgs),
    /// Make a recording of an invented scene and do the whole job on it
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
    /// Replace a file that exists
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}

/// Options of every command that makes records.
#[derive(Debug, clap::Args)]
pub struct JobArgs {
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
    pub record: RecordArgs,
}

/// Options of `capture`.
#[derive(Debug, clap::Args)]
pub struct CaptureArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub job: JobArgs,
    /// Write the records as files that begin with this path; numbers are added, from 1:
    /// `--out one.csv` writes one-0001.csv
    #[arg(long, short, value_name = "PATH", help_heading = "Output")]
    pub out: std::path::PathBuf,
    /// What to write: one file a record, or one `SigMF` recording of all, with an annotation each
    /// [default: what the ending of --out says, or else wav]
    #[arg(long, value_name = "FORMAT", help_heading = "Output")]
    pub save_as: Option<RecordFormat>,
    /// Replace files that exist
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
    /// Draw the power over frequency instead: the mean of all records
    #[arg(long, help_heading = "Picture", conflicts_with = "xy")]
    pub spectrum: bool,
    /// How samples are weighed for the spectrum
    #[arg(
        long,
        value_name = "WINDOW",
        default_value = "blackman-harris",
        help_heading = "Picture"
    )]
    pub window: WindowName,
    /// Draw the second of these channels over the first instead; and the phase between them: ± is how
    /// it differs from record to record, and harmonics may shift all of them by so much at most
    #[arg(long, value_name = "N,N", value_delimiter = ',', help_heading = "Picture")]
    pub xy: Option<Vec<usize>>,
    /// Draw the mean of all records, aligned to the fraction of a sample: noise goes, the signal stays
    #[arg(long, help_heading = "Picture", conflicts_with_all = ["xy", "spectrum"])]
    pub average: bool,
    /// Draw sin(x)/x between the samples of short records, not straight lines: the true waveform of
    /// what is slower than half the rate; faster edges ring, and the first and last eight samples have
    /// too few neighbours to be sure
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
    /// All that can be measured: also overshoot, settling, slew rate, crest and form factors
    #[arg(long, help_heading = "Output")]
    pub all: bool,
    /// Draw how one of the quantities is spread over all records: its name in JSON
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
    /// The folder for the recording and the picture [default: stillwave-demo, where they are made
    /// anew]
    #[arg(long, value_name = "FOLDER")]
    pub folder: Option<std::path::PathBuf>,
    /// Replace files that exist in that folder
    #[arg(long)]
    pub overwrite: bool,
}
