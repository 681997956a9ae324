//! Where things stand on a screen of a size.

use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::MonoFont;
use embedded_graphics::mono_font::ascii::{FONT_4X6, FONT_5X7, FONT_9X15};
use embedded_graphics::primitives::Rectangle;

use crate::steps::DIVISIONS_UP;

/// Rows of text and the plot.
pub(super) struct Layout {
    /// The first row, of what it does.
    pub(super) head: Row,
    /// The rows below the plot, of settings and of readings.
    pub(super) rows: [Row; 2],
    pub(super) plot: Rectangle,
    pub(super) width: u32,
}

/// A row of text.
#[derive(Clone, Copy)]
pub(super) struct Row {
    pub(super) font: &'static MonoFont<'static>,
    pub(super) top: i32,
}

impl Layout {
    pub(super) fn of(size: Size) -> Self {
        let large = size.width >= 200 && size.height >= 200;
        let [small_font, font] = if large { [&FONT_9X15; 2] } else { [&FONT_4X6, &FONT_5X7] };
        // Between rows there is room for a line under what a knob turns.
        let gap = if large { 6 } else { 1 };
        let line = font.character_size.height + gap;
        let top = small_font.character_size.height + gap;
        let bottom = size.height.saturating_sub(2 * line);
        let height = bottom.saturating_sub(top) / DIVISIONS_UP * DIVISIONS_UP;
        let plot = Rectangle::new(Point::new(0, top as i32), Size::new(size.width, height));
        let rows = [bottom, bottom + line].map(|top| Row { font, top: top as i32 });
        let head = Row { font: small_font, top: 0 };
        Self { head, rows, plot, width: size.width }
    }
}
