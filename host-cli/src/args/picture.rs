//! Options of pictures.

use std::path::PathBuf;

use clap::builder::{PathBufValueParser, TypedValueParser};
use clap::{Args, ValueEnum};
use stillwave::measure::Window;

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
