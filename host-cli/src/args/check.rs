//! Options of `check` and `expect`, and of pictures in files.

use std::path::PathBuf;

use clap::builder::{PathBufValueParser, TypedValueParser};
use clap::{Args, ValueEnum};
use stillwave::measure::Window;

use super::{JobArgs, RecordFormat, ReportArgs, StateArgs};
use crate::quantity::Percent;

/// Pictures in files.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Output")]
pub struct PictureArgs {
    /// Write the picture to this PNG file
    #[arg(long, value_name = "FILE", value_parser = picture("png"))]
    pub png: Option<PathBuf>,
    /// Write the picture to this SVG file
    #[arg(long, value_name = "FILE", value_parser = picture("svg"))]
    pub svg: Option<PathBuf>,
    /// Replace existing files
    #[arg(long)]
    pub overwrite: bool,
}

/// The name of a picture, which is not one of another kind of file.
fn picture(kind: &'static str) -> impl TypedValueParser<Value = PathBuf> {
    const KINDS: [&str; 14] = [
        "png", "svg", "jpg", "jpeg", "gif", "bmp", "tif", "tiff", "webp", "pdf", "eps", "wav",
        "csv", "npy",
    ];
    PathBufValueParser::new().try_map(move |path| {
        let ending = path.extension().unwrap_or_default().to_string_lossy().to_ascii_lowercase();
        if ending != kind && KINDS.contains(&ending.as_str()) {
            return Err(format!(
                "what is written is {}; end the name with .{kind}",
                kind.to_uppercase()
            ));
        }
        Ok(path)
    })
}

/// Options of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub job: JobArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub states: StateArgs,
    /// Check against this expectation: a TOML file, such as `stillwave expect` writes
    #[arg(long, value_name = "FILE", help_heading = "Expectation")]
    pub expect: PathBuf,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub report: ReportArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub picture: PictureArgs,
    /// Write the result to this file as `JUnit` XML, for automation
    #[arg(long, value_name = "FILE", help_heading = "Output")]
    pub junit: Option<PathBuf>,
    /// Save the records that fail to this folder
    #[arg(long, value_name = "FOLDER", help_heading = "Output")]
    pub keep: Option<PathBuf>,
    /// File format of the saved records
    #[arg(long, value_name = "FORMAT", default_value = "wav", help_heading = "Output")]
    pub save_as: RecordFormat,
}

/// Options of `expect`.
#[derive(Debug, Args)]
pub struct ExpectArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub job: JobArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub states: StateArgs,
    /// Widen the limits beyond the deviations in this recording by this percentage
    #[arg(long, value_name = "PERCENT", default_value = "20%", help_heading = "Expectation")]
    pub margin: Percent,
    /// Write the draft to this file [default: standard output]
    #[arg(long, short, value_name = "FILE", help_heading = "Output")]
    pub out: Option<PathBuf>,
    /// Replace an existing file
    #[arg(long, help_heading = "Output")]
    pub overwrite: bool,
}

/// The windows of a spectrum.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum WindowName {
    /// No window: only for records of whole cycles
    Rectangular,
    /// Separates neighbouring tones well
    Hann,
    /// Shows small tones beside large ones
    BlackmanHarris,
    /// Shows the level of a tone to 0.1 %
    FlatTop,
}

impl From<WindowName> for Window {
    fn from(name: WindowName) -> Self {
        match name {
            WindowName::Rectangular => Self::Rectangular,
            WindowName::Hann => Self::Hann,
            WindowName::BlackmanHarris => Self::BlackmanHarris,
            WindowName::FlatTop => Self::FlatTop,
        }
    }
}
