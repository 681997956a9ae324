//! Pictures drawn: to files, and as text for a terminal.

use std::path::Path;

use super::chart::{self, Chart};
use super::overlay::Overlay;
use super::{Size, picture, png, terminal};
use crate::error::Error;

/// What can be drawn.
pub trait Picture {
    /// Draws with braille dots, in lines of `width` characters at most.
    fn draw_terminal(&self, width: u16, height: u16, colour: bool) -> String;

    /// The picture as an SVG document.
    ///
    /// # Errors
    ///
    /// Where the size is out of range.
    fn svg(&self, size: Size) -> Result<String, Error>;

    /// Draws as SVG.
    ///
    /// # Errors
    ///
    /// Where the size is out of range, or the file is there already (and not to be overwritten)
    /// or cannot be written.
    fn draw_svg(&self, path: &Path, size: Size, overwrite: bool) -> Result<(), Error> {
        png::write_svg(&self.svg(size)?, path, overwrite)
    }

    /// Draws as PNG.
    ///
    /// # Errors
    ///
    /// As [`draw_svg`](Self::draw_svg).
    fn draw_png(&self, path: &Path, size: Size, overwrite: bool) -> Result<(), Error> {
        png::write_png(&self.svg(size)?, path, overwrite)
    }
}

impl Picture for Overlay {
    fn draw_terminal(&self, width: u16, height: u16, colour: bool) -> String {
        terminal::draw(self, width, height, colour)
    }

    fn svg(&self, size: Size) -> Result<String, Error> {
        picture::svg(self, size)
    }
}

impl Picture for Chart {
    fn draw_terminal(&self, width: u16, height: u16, colour: bool) -> String {
        chart::terminal::draw(self, width, height, colour)
    }

    fn svg(&self, size: Size) -> Result<String, Error> {
        Ok(chart::drawing::svg(self, size))
    }
}
