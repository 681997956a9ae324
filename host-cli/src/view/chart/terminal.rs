//! A chart as text: braille dots, of which a character holds two by four.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Style};
use ratatui::symbols::Marker;
use ratatui::widgets::Widget;
use ratatui::widgets::canvas::{Canvas, Line, Painter, Shape};

use super::super::terminal::{print, write};
use super::{Chart, Flag, Look};

pub(in super::super) fn draw(chart: &Chart, width: u16, height: u16, colour: bool) -> String {
    let area = Rect::new(0, 0, width.clamp(40, 1000), height.clamp(12, 500));
    let mut buffer = Buffer::empty(area);
    let rows = area.height - 8;
    let up = chart.up.axis(usize::from(rows / 3).clamp(2, 12));
    let letters = |text: &str| text.chars().count() as u16;
    let left = up.ticks.iter().map(|tick| letters(&tick.label)).max().unwrap_or(0) + 2;
    let left = left.min(area.width / 3);
    let field = Rect::new(left, 4, area.width - left - 1, rows);
    let plain = Style::default();
    write(&mut buffer, 0, 0, &chart.title, plain);
    write(&mut buffer, 0, 1, &chart.condition, plain);
    write(&mut buffer, 0, 2, &up.title, plain);
    Canvas::default()
        .marker(Marker::Braille)
        .x_bounds([chart.across.low, chart.across.high])
        .y_bounds([chart.up.low, chart.up.high])
        .paint(|context| context.draw(chart))
        .render(field, &mut buffer);
    for row in field.top()..field.bottom() {
        write(&mut buffer, left - 1, row, "│", plain);
    }
    for tick in &up.ticks {
        let part = 1.0 - chart.up.part(tick.at);
        let row = field.y + ((part * f64::from(rows)) as u16).min(rows - 1);
        write(
            &mut buffer,
            (left - 1).saturating_sub(letters(&tick.label)),
            row,
            &tick.label,
            plain,
        );
        write(&mut buffer, left - 1, row, "┤", plain);
    }
    let rule = format!("└{}", "─".repeat(usize::from(field.width)));
    write(&mut buffer, left - 1, field.bottom(), &rule, plain);
    let across = chart.across.axis(usize::from(field.width / 10).max(2));
    let mut free = 0;
    for tick in &across.ticks {
        let column = column(chart, field, tick.at);
        write(&mut buffer, column, field.bottom(), "┴", plain);
        let length = letters(&tick.label);
        let start = column.saturating_sub(length / 2).min(area.width.saturating_sub(length));
        if start >= free {
            write(&mut buffer, start, field.bottom() + 1, &tick.label, plain);
            free = start + length + 1;
        }
    }
    let start = field.x + field.width.saturating_sub(letters(&across.title)) / 2;
    write(&mut buffer, start, field.bottom() + 2, &across.title, plain);
    flags(chart, field, &mut buffer);
    write(&mut buffer, 0, area.height - 1, &chart.summary, plain);
    print(&buffer, colour)
}

/// The flags above the field, those first that matter most: with their names to the right of the
/// mark or else to the left, where there is room, or with none.
fn flags(chart: &Chart, field: Rect, buffer: &mut Buffer) {
    let mut free = vec![true; usize::from(field.right()) + 1];
    let within = |flag: &&Flag| (0.0..=1.0).contains(&chart.across.part(flag.at));
    for flag in chart.flags.iter().filter(within) {
        let at = usize::from(column(chart, field, flag.at));
        let length = flag.name.chars().count();
        // A blank beside a name on the left, which is no other mark's.
        let left = at.checked_sub(length + 1).unwrap_or(usize::MAX);
        let texts = [
            (at, format!("▼{}", flag.name)),
            (left, format!(" {}▼ ", flag.name)),
            (at, "▼".to_owned()),
        ];
        for (start, text) in texts {
            let cells = start..start.saturating_add(text.chars().count());
            if let Some(cells) = free.get_mut(cells).filter(|cells| cells.iter().all(|free| *free))
            {
                cells.fill(false);
                write(buffer, start as u16, field.y - 1, &text, Color::Yellow.into());
                break;
            }
        }
    }
}

fn column(chart: &Chart, field: Rect, at: f64) -> u16 {
    let part = chart.across.part(at).clamp(0.0, 1.0);
    field.x + ((part * f64::from(field.width)) as u16).min(field.width - 1)
}

impl Shape for Chart {
    fn draw(&self, painter: &mut Painter<'_, '_>) {
        let within = |value: f64| value.clamp(self.up.low, self.up.high);
        for series in &self.series {
            let color = match series.look {
                Look::Line | Look::Filled => Color::Cyan,
                // Dots have no opacity: what is faint would cover the rest.
                Look::Faint => continue,
                Look::Fitted => Color::Magenta,
            };
            if series.look == Look::Filled {
                for &(x, y) in &series.points {
                    Line { x1: x, y1: self.up.low, x2: x, y2: within(y), color }.draw(painter);
                }
            }
            for pair in series.points.windows(2) {
                let &[(x1, y1), (x2, y2)] = pair else { continue };
                if [x1, y1, x2, y2].iter().all(|value| !value.is_nan()) {
                    Line { x1, y1: within(y1), x2, y2: within(y2), color }.draw(painter);
                }
            }
        }
    }
}
