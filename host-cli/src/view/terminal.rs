//! The picture as text: braille dots, of which a character holds two by four.

use std::fmt::Write as _;

use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::Rect;
use ratatui::style::{Color, Style};
use ratatui::symbols::Marker;
use ratatui::widgets::Widget;
use ratatui::widgets::canvas::{Canvas, Painter, Shape};

use super::overlay::Overlay;
use super::ticks::{Axis, Quantity};

/// Places passed by at most one record in so many are rare.
const RARE: u64 = 50;
const COMMON_COLOUR: Color = Color::Cyan;
const RARE_COLOUR: Color = Color::Magenta;
const MARK_COLOUR: Color = Color::Yellow;

/// Columns and rows of the terminal on the standard output, where there is one.
pub fn terminal_size() -> Option<(u16, u16)> {
    terminal_size::terminal_size().map(|(width, height)| (width.0, height.0))
}

pub(super) fn draw(overlay: &Overlay, width: u16, height: u16, colour: bool) -> String {
    let area = Rect::new(0, 0, width.clamp(40, 1000), height.clamp(12, 500));
    let mut buffer = Buffer::empty(area);
    Page::new(overlay, area, colour).draw(&mut buffer);
    print(&buffer, colour)
}

/// The layout: two lines of words, the field with its labels left and right, its axis below, and
/// a line of words.
struct Page<'a> {
    overlay: &'a Overlay,
    area: Rect,
    field: Rect,
    low: f64,
    high: f64,
    up: Axis,
    colour: bool,
}

impl<'a> Page<'a> {
    fn new(overlay: &'a Overlay, area: Rect, colour: bool) -> Self {
        let meta = &overlay.meta;
        let (low, high) = overlay.values();
        let height = area.height - 7;
        let up =
            Axis::new(low, high, Quantity::Value(meta.unit), usize::from(height / 3).clamp(2, 12));
        let chars = |text: &str| text.chars().count() as u16;
        let left = up.ticks.iter().map(|tick| chars(&tick.label)).max().unwrap_or(0) + 2;
        let right = meta.marks.iter().map(|mark| chars(&overlay.mark_text(mark)) + 1).max();
        let right = right.unwrap_or(0).min(area.width / 4).max(1);
        let left = left.min(area.width / 3);
        let field = Rect::new(left, 3, area.width - left - right, height);
        Self { overlay, area, field, low, high, up, colour }
    }

    /// The row of dots for a value.
    fn dot_row(&self, value: f64) -> usize {
        let dots = f64::from(self.field.height) * 4.0;
        let part = (self.high - value) / (self.high - self.low);
        ((part * dots) as usize).min(usize::from(self.field.height) * 4 - 1)
    }

    /// The column of dots for a time in samples.
    fn dot_column(&self, time: f64) -> usize {
        let window = self.overlay.window;
        let dots = f64::from(self.field.width) * 2.0;
        let part = (time - window.start) / (window.end - window.start);
        ((part * dots) as usize).min(usize::from(self.field.width) * 2 - 1)
    }

    fn draw(&self, buffer: &mut Buffer) {
        let meta = &self.overlay.meta;
        let plain = Style::default();
        write(buffer, 0, 0, &meta.title, plain);
        write(buffer, 0, 1, &meta.condition, plain);
        self.draw_field(buffer);
        self.draw_up(buffer);
        self.draw_across(buffer);
        let last_row = self.area.height - 1;
        if self.overlay.records() == 0 {
            write(buffer, 0, last_row, "no record", plain);
            return;
        }
        let found = self.overlay.found();
        write(buffer, 0, last_row, &found, plain);
        if self.colour && self.overlay.records() >= RARE {
            let legend = format!(" · passed by at most 1 record in {RARE}");
            let start = found.chars().count() as u16;
            write(buffer, start, last_row, &legend, RARE_COLOUR.into());
        }
    }

    fn draw_field(&self, buffer: &mut Buffer) {
        let canvas = Canvas::default()
            .marker(Marker::Braille)
            .x_bounds([0.0, 1.0])
            .y_bounds([0.0, 1.0])
            .paint(|context| context.draw(self));
        canvas.render(self.field, buffer);
    }

    /// The axis of values on the left, and the marks' names on the right.
    fn draw_up(&self, buffer: &mut Buffer) {
        let left = self.field.x - 1;
        for row in self.field.top()..self.field.bottom() {
            write(buffer, left, row, "│", Style::default());
        }
        for tick in &self.up.ticks {
            let row = self.field.y + (self.dot_row(tick.at) / 4) as u16;
            let length = tick.label.chars().count() as u16;
            write(buffer, left.saturating_sub(length), row, &tick.label, Style::default());
            write(buffer, left, row, "┤", Style::default());
        }
        let mut marks: Vec<_> = self.overlay.meta.marks.iter().collect();
        marks.sort_by(|a, b| b.value.total_cmp(&a.value));
        let mut next = self.field.y;
        for mark in marks.into_iter().filter(|mark| mark.value.is_finite()) {
            let row = (self.field.y + (self.dot_row(mark.value) / 4) as u16).max(next);
            if row < self.field.bottom() {
                let name = self.overlay.mark_text(mark);
                write(buffer, self.field.right() + 1, row, &name, MARK_COLOUR.into());
            }
            next = row + 1;
        }
    }

    /// The axis of time below, and the trigger above.
    fn draw_across(&self, buffer: &mut Buffer) {
        let meta = &self.overlay.meta;
        let (quantity, rate) = match meta.rate {
            Some(rate) => (Quantity::Seconds, rate),
            None => (Quantity::Samples, 1.0),
        };
        let window = self.overlay.window;
        let at_most = usize::from(self.field.width / 10).max(2);
        let axis = Axis::new(window.start / rate, window.end / rate, quantity, at_most);
        let row = self.field.bottom();
        let rule = format!("└{}", "─".repeat(usize::from(self.field.width)));
        write(buffer, self.field.x - 1, row, &rule, Style::default());
        let mut free = 0;
        for tick in &axis.ticks {
            let column = self.field.x + (self.dot_column(tick.at * rate) / 2) as u16;
            write(buffer, column, row, "┴", Style::default());
            let length = tick.label.chars().count() as u16;
            let start = column
                .saturating_sub(length / 2)
                .min(self.area.width - length.min(self.area.width));
            if start >= free {
                write(buffer, start, row + 1, &tick.label, Style::default());
                free = start + length + 1;
            }
        }
        let length = axis.title.chars().count() as u16;
        let start = self.field.x + self.field.width.saturating_sub(length) / 2;
        write(buffer, start, row + 2, &axis.title, Style::default());
        let trigger = self.field.x + (self.dot_column(0.0) / 2) as u16;
        write(buffer, trigger, self.field.y - 1, "▼ trigger", MARK_COLOUR.into());
    }
}

/// Writes a text, cut short where the line ends.
pub(super) fn write(buffer: &mut Buffer, x: u16, y: u16, text: &str, style: Style) {
    let room = usize::from(buffer.area.width.saturating_sub(x));
    if room > 0 && y < buffer.area.height {
        let (end, _) = buffer.set_stringn(x, y, text, room, style);
        if end == buffer.area.width && text.chars().count() > room {
            buffer.set_string(end - 1, y, "…", style);
        }
    }
}

/// Later dots give their character its colour: marks, rare places, common ones, the last record.
impl Shape for Page<'_> {
    fn draw(&self, painter: &mut Painter<'_, '_>) {
        let across = usize::from(self.field.width) * 2;
        let down = usize::from(self.field.height) * 4;
        for mark in self.overlay.meta.marks.iter().filter(|mark| mark.value.is_finite()) {
            let row = self.dot_row(mark.value);
            let gap = if mark.minor { 6 } else { 3 };
            (0..across).step_by(gap).for_each(|column| painter.paint(column, row, MARK_COLOUR));
        }
        let trigger = self.dot_column(0.0);
        (0..down).step_by(3).for_each(|row| painter.paint(trigger, row, MARK_COLOUR));

        let cells = self.overlay.grid.resample(across, down, self.low, self.high);
        let is_rare = |count: u32| u64::from(count) * RARE <= self.overlay.records();
        for rare in [true, false] {
            let colour = if rare { RARE_COLOUR } else { COMMON_COLOUR };
            for (index, count) in cells.iter().enumerate() {
                if *count > 0 && is_rare(*count) == rare {
                    painter.paint(index % across, index / across, colour);
                }
            }
        }
    }
}

/// The buffer as lines of text, with colours if those are wanted.
pub(super) fn print(buffer: &Buffer, colour: bool) -> String {
    let mut text = String::new();
    let width = usize::from(buffer.area.width).max(1);
    for line in buffer.content.chunks(width) {
        let end = line.iter().rposition(|cell| !is_blank(cell)).map_or(0, |last| last + 1);
        let mut shown = Color::Reset;
        for cell in line.iter().take(end) {
            // Blanks have no colour to change to.
            if colour && cell.fg != shown && !is_blank(cell) {
                shown = cell.fg;
                // Writing to a string cannot fail.
                let _ = write!(text, "\x1b[{}m", code(shown));
            }
            text.push_str(if is_blank(cell) { " " } else { cell.symbol() });
        }
        if shown != Color::Reset {
            text.push_str("\x1b[0m");
        }
        text.push('\n');
    }
    text
}

fn is_blank(cell: &Cell) -> bool {
    matches!(cell.symbol(), " " | "\u{2800}" | "")
}

/// The terminal's own colours, which its user has chosen to be legible.
fn code(colour: Color) -> u8 {
    match colour {
        Color::Cyan => 36,
        Color::Magenta => 35,
        Color::Yellow => 33,
        _ => 39,
    }
}
