//! The rows of text.

use core::fmt::Write as _;

use embedded_graphics::mono_font::MonoTextStyle;
use embedded_graphics::pixelcolor::{BinaryColor, PixelColor};
use embedded_graphics::prelude::{DrawTarget, Drawable, Point, Primitive, Size};
use embedded_graphics::primitives::{PrimitiveStyle, Rectangle};
use embedded_graphics::text::{Alignment, Baseline, Text, TextStyleBuilder};
use heapless::String;
use stillwave::EdgeSlope;
use stillwave::measure::Doubt;

use super::Face;
use super::layout::{Layout, Row};
use crate::Mode;
use crate::readings::{in_a_word, round_number, three_digits};

type Words = String<24>;

pub(super) fn draw<C, D>(display: &mut D, layout: &Layout, face: &Face<'_>) -> Result<(), D::Error>
where
    C: PixelColor + From<BinaryColor>,
    D: DrawTarget<Color = C>,
{
    let mut line = Line { display, row: layout.head, width: layout.width, x: 0 };
    line.left(doing(face), Mark::None)?;
    let mut text = Words::new();
    let gaps = face.counts.engine.gaps;
    // Always shown, and marked once it is not nothing.
    let _ = write!(text, "cpu {}% ovr {gaps}", face.load);
    line.right(&text, Mark::warning(gaps > 0))?;

    line.go_to(layout.rows[0]);
    let settings = face.settings;
    let mut level = Words::new();
    let slope = match settings.slope {
        EdgeSlope::Rising => '/',
        EdgeSlope::Falling => '\\',
        EdgeSlope::Either => 'X',
    };
    let _ = write!(level, "{slope}{}", three_digits(f64::from(settings.level_mv) / 1e3, "V"));
    line.left(&level, Mark::None)?;
    if face.turns_position {
        let mut centre = Words::new();
        let _ = write!(centre, "@{}", three_digits(f64::from(settings.centre_mv) / 1e3, "V"));
        line.left(&centre, Mark::Turned)?;
    } else {
        line.left(&round_number(settings.volts_mv, ["mV", "V"]), Mark::Turned)?;
    }
    if !face.turns_holdoff {
        line.left(&time(settings.time_us), Mark::Turned)?;
    }
    if face.turns_holdoff || settings.holdoff_us > 0 {
        let mut holdoff = Words::new();
        let _ = write!(holdoff, "H{}", time(settings.holdoff_us));
        line.left(&holdoff, if face.turns_holdoff { Mark::Turned } else { Mark::None })?;
    }

    line.go_to(layout.rows[1]);
    let readings = face.readings;
    let number = |value: Option<f64>, unit| match value {
        Some(value) => three_digits(value, unit),
        None => String::try_from("---").unwrap_or_default(),
    };
    // A question mark where a value may be off; in a word why, where there is room.
    let (frequency, amplitude) = (readings.frequency_doubt(), readings.amplitude_doubt());
    let doubt = amplitude.or(frequency);
    let [of_frequency, of_amplitude] = [frequency, amplitude]
        .map(|doubt| if doubt.is_some_and(Doubt::may_be_off) { "?" } else { "" });
    let mut text = Words::new();
    let _ = write!(text, "{}{of_frequency}", number(readings.frequency, "Hz"));
    line.left(&text, Mark::None)?;
    let mut amplitude = Words::new();
    let _ = write!(amplitude, "^{}{of_amplitude}", number(readings.amplitude, "V"));
    line.left(&amplitude, Mark::warning(readings.clipped))?;
    let mut mean = Words::new();
    let _ = write!(mean, "={}", number(readings.mean, "V"));
    line.left(&mean, Mark::warning(readings.clipped))?;
    match doubt.map(in_a_word) {
        Some(word) if line.has_room_for(word) => line.right(word, Mark::None),
        _ => Ok(()),
    }
}

fn time(microseconds: u32) -> String<12> {
    match microseconds {
        0 => round_number(0, ["", ""]),
        us if us < 1_000_000 => round_number(us, ["us", "ms"]),
        us => round_number(us / 1_000, ["ms", "s"]),
    }
}

/// Mode and state.
fn doing(face: &Face<'_>) -> &'static str {
    if face.searching {
        return "set-up...";
    }
    match (face.settings.mode, face.running, face.triggered) {
        (Mode::Auto, true, true) => "AUTO run",
        (Mode::Auto, true, false) => "AUTO no event",
        (Mode::Auto, false, _) => "AUTO stopped",
        (Mode::Normal, true, _) => "NORMAL run",
        (Mode::Normal, false, _) => "NORMAL stopped",
        (Mode::Single, true, _) => "SINGLE waiting",
        (Mode::Single, false, _) => "SINGLE done",
    }
}

/// How a word stands out.
#[derive(Clone, Copy, PartialEq)]
enum Mark {
    None,
    /// Underlined: what a knob turns.
    Turned,
    /// Dark on light: what to beware of.
    Warning,
}

impl Mark {
    fn warning(beware: bool) -> Self {
        if beware { Self::Warning } else { Self::None }
    }
}

/// Words side by side.
struct Line<'a, D> {
    display: &'a mut D,
    row: Row,
    width: u32,
    x: i32,
}

impl<C, D> Line<'_, D>
where
    C: PixelColor + From<BinaryColor>,
    D: DrawTarget<Color = C>,
{
    fn go_to(&mut self, row: Row) {
        (self.row, self.x) = (row, 0);
    }

    /// A word after the ones before it.
    fn left(&mut self, text: &str, mark: Mark) -> Result<(), D::Error> {
        let letter = self.row.font.character_size.width as i32;
        self.word(text, self.x, mark)?;
        self.x += letter * text.len() as i32 + letter * 4 / 5;
        Ok(())
    }

    fn has_room_for(&self, text: &str) -> bool {
        let length = self.row.font.character_size.width as i32 * text.len() as i32;
        self.x + length <= self.width as i32
    }

    /// A word at the right end.
    fn right(&mut self, text: &str, mark: Mark) -> Result<(), D::Error> {
        let length = self.row.font.character_size.width * text.len() as u32;
        self.word(text, self.width.saturating_sub(length) as i32, mark)
    }

    fn word(&mut self, text: &str, x: i32, mark: Mark) -> Result<(), D::Error> {
        let letter = self.row.font.character_size;
        let at = Point::new(x, self.row.top);
        let length = letter.width * text.len() as u32;
        let below = self.row.top + letter.height as i32;
        let area = match mark {
            Mark::None => Rectangle::zero(),
            Mark::Turned => Rectangle::new(Point::new(x, below), Size::new(length - 1, 1)),
            // A pixel more to the left and above, where letters end in a blank.
            Mark::Warning => Rectangle::new(
                at - Size::new(1, 1),
                letter + Size::new(length - letter.width + 1, 1),
            ),
        };
        let filled = PrimitiveStyle::with_fill(C::from(BinaryColor::On));
        area.into_styled(filled).draw(self.display)?;
        let color = if mark == Mark::Warning { BinaryColor::Off } else { BinaryColor::On };
        let style =
            TextStyleBuilder::new().baseline(Baseline::Top).alignment(Alignment::Left).build();
        let font = MonoTextStyle::new(self.row.font, C::from(color));
        Text::with_text_style(text, at, font, style).draw(self.display)?;
        Ok(())
    }
}
