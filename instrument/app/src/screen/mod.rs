//! The picture, on 128 × 64 pixels in one colour or on anything larger.
//!
//! ```text
//! ┌──────────────────────────────┐
//! │ AUTO run        cpu 12% ovr 0│  what it does, how busy, overruns
//! │        ▼                     │
//! │  ──────╱‾‾╲──────────────── ◂│  the trace; where it is triggered, and at which level
//! │ ______╱    ╲___              │
//! │ ╱1.65V  2V  1ms  H2ms        │  slope and level, volts and time a division, holdoff
//! │ 1.00kHz  ^2.81V  =1.65V      │  frequency, amplitude, mean
//! └──────────────────────────────┘
//! ```

mod layout;
mod words;

use embedded_graphics::pixelcolor::{BinaryColor, PixelColor};
use embedded_graphics::prelude::{DrawTarget, Drawable, Point, Primitive, Size};
use embedded_graphics::primitives::{Line, PrimitiveStyle, Rectangle, Triangle};

use crate::steps::{DIVISIONS_ACROSS, DIVISIONS_BEFORE, DIVISIONS_UP};
use crate::{COLUMNS, Counts, FrontEnd, Readings, Settings, Trace};
use layout::Layout;

/// All that is shown.
#[expect(clippy::struct_excessive_bools, reason = "each is a state of its own")]
pub(crate) struct Face<'a> {
    pub(crate) settings: &'a Settings,
    pub(crate) front: &'a FrontEnd,
    pub(crate) trace: &'a Trace,
    pub(crate) readings: &'a Readings,
    pub(crate) counts: &'a Counts,
    pub(crate) load: u8,
    pub(crate) running: bool,
    pub(crate) searching: bool,
    pub(crate) triggered: bool,
    pub(crate) turns_holdoff: bool,
    pub(crate) turns_position: bool,
}

/// Draws all of it.
pub(crate) fn draw<C, D>(display: &mut D, face: &Face<'_>) -> Result<(), D::Error>
where
    C: PixelColor + From<BinaryColor>,
    D: DrawTarget<Color = C>,
{
    display.clear(BinaryColor::Off.into())?;
    let layout = Layout::of(display.bounding_box().size);
    let plot = Plot { area: layout.plot, face };
    plot.divisions(display)?;
    plot.trace(display)?;
    plot.marks(display)?;
    words::draw(display, &layout, face)
}

/// The part with the trace.
struct Plot<'a> {
    area: Rectangle,
    face: &'a Face<'a>,
}

impl Plot<'_> {
    /// The row of a voltage; one outside the area for what lies outside.
    fn row_of_volts(&self, volts: f32) -> i32 {
        libm::floorf(self.place_of_volts(volts)) as i32
    }

    fn place_of_volts(&self, volts: f32) -> f32 {
        let Settings { volts_mv, centre_mv, .. } = *self.face.settings;
        let divisions = (volts - centre_mv as f32 / 1e3) / (volts_mv as f32 / 1e3);
        let height = self.area.size.height as f32;
        let middle = self.area.top_left.y as f32 + height / 2.0;
        middle - divisions * height / DIVISIONS_UP as f32
    }

    fn right(&self) -> i32 {
        self.area.top_left.x + self.area.size.width as i32 - 1
    }

    fn top(&self) -> i32 {
        self.area.top_left.y
    }

    fn bottom(&self) -> i32 {
        self.top() + self.area.size.height as i32 - 1
    }

    /// Dots where divisions meet; closer ones in the middle.
    fn divisions<C, D>(&self, display: &mut D) -> Result<(), D::Error>
    where
        C: PixelColor + From<BinaryColor>,
        D: DrawTarget<Color = C>,
    {
        let Size { width, height } = self.area.size;
        let (across, up) = (width / DIVISIONS_ACROSS, height / DIVISIONS_UP);
        let crossings = (1..DIVISIONS_ACROSS)
            .flat_map(move |x| (0..=DIVISIONS_UP).map(move |y| (x * across, y * up)));
        let quarters = (0..DIVISIONS_ACROSS * 4).map(move |x| (x * across / 4, height / 2));
        let point = |(x, y): (u32, u32)| {
            let y = y.min(height.saturating_sub(1));
            self.area.top_left + Size::new(x, y)
        };
        let on = C::from(BinaryColor::On);
        let dots = crossings.chain(quarters).map(point);
        display.draw_iter(dots.map(|at| embedded_graphics::Pixel(at, on)))
    }

    fn trace<C, D>(&self, display: &mut D) -> Result<(), D::Error>
    where
        C: PixelColor + From<BinaryColor>,
        D: DrawTarget<Color = C>,
    {
        let style = PrimitiveStyle::with_fill(C::from(BinaryColor::On));
        // A straight line from codes to rows, so that two numbers do for all columns.
        let row_of = |code: f64| self.place_of_volts(self.face.front.scale.volts(code) as f32);
        let (origin, far) = (row_of(0.0), row_of(4_096.0));
        let slope = (far - origin) / (4_096.0 * 16.0);
        let row = |code: u32| libm::floorf(origin + slope * code as f32) as i32;
        let edge = |index: usize| (index * self.area.size.width as usize / COLUMNS) as i32;
        for (index, column) in self.face.trace.columns.iter().enumerate() {
            let Some((low, high)) = *column else { continue };
            let (a, b) = (row(low), row(high));
            let (upper, lower) = (a.min(b), a.max(b));
            // Outside is shown by a stretch at the edge, so that a clipped trace is not lost.
            let upper = upper.clamp(self.top(), self.bottom());
            let lower = lower.clamp(self.top(), self.bottom());
            let (left, right) = (edge(index), edge(index + 1));
            let size = Size::new((right - left) as u32, (lower - upper + 1) as u32);
            Rectangle::new(Point::new(self.area.top_left.x + left, upper), size)
                .into_styled(style)
                .draw(display)?;
        }
        Ok(())
    }

    /// Where it is triggered: from above at its time, from the right at its level.
    fn marks<C, D>(&self, display: &mut D) -> Result<(), D::Error>
    where
        C: PixelColor + From<BinaryColor>,
        D: DrawTarget<Color = C>,
    {
        let on = PrimitiveStyle::with_fill(C::from(BinaryColor::On));
        let size = if self.area.size.height > 100 { 5 } else { 2 };
        let division = self.area.size.width / DIVISIONS_ACROSS;
        let x = self.area.top_left.x + (division * DIVISIONS_BEFORE) as i32;
        let (y, up) = (self.top(), size);
        if self.face.triggered {
            let corner = |dx, dy| Point::new(x + dx, y + dy);
            Triangle::new(corner(-up, 0), corner(up, 0), corner(0, up))
                .into_styled(on)
                .draw(display)?;
        }
        let level = self.row_of_volts(self.face.settings.level_mv as f32 / 1e3);
        let y = level.clamp(self.top(), self.bottom());
        let right = self.right();
        if y == level {
            let corner = |dx: i32, dy: i32| Point::new(right + dx, y + dy);
            Triangle::new(corner(0, -size), corner(0, size), corner(-size, 0))
                .into_styled(on)
                .draw(display)?;
        } else {
            // Outside the picture: a bar at the edge that it lies beyond.
            let ends = [Point::new(right - 3 * size, y), Point::new(right, y)];
            let style = PrimitiveStyle::with_stroke(C::from(BinaryColor::On), 1);
            Line::new(ends[0], ends[1]).into_styled(style).draw(display)?;
        }
        Ok(())
    }
}
