//! Composite video: lines and fields of a picture signal, found by its synchronising pulses.
//!
//! ```text
//! ▔▔╲_╱▔▔▔▔╲╱▔▔╲╱▔▔╲_____╱╲_____╱╲ ⋯     a pulse a line, then narrow ones and broad ones twice a
//!   line    narrow   broad               line: the first broad one begins a field, and how far it
//!                                        is from the last of a line tells which field
//! ```

use super::sides::Sides;
use super::{Configuration, Relaxed, configuration};
use crate::{
    Block, Condition, ConfigError, Event, EventKind, Instant, Level, Sample, Side, Slope, Span,
};

configuration! {
    /// Fires at the start of a line or a field of a picture: [`Video`].
    pub struct VideoConfig<T: Sample> {
        /// The picture signal. Set the level half way up its synchronising pulses.
        pub level: Level<T>,
        /// How the picture is scanned.
        pub format: VideoFormat,
        /// Which of these fires.
        pub when: VideoWhen,
    }
}

impl<T: Sample> Configuration<T> for VideoConfig<T> {
    type Condition = Video<T>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Video::new(self.level, self.format, self.when)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        // The synchronising pulses of a picture signal point down.
        each(Slope::Falling, self.level);
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        Some(Relaxed { setup: Self { when: VideoWhen::AnyLine, ..*self }.into(), time: None })
    }
}

/// The standard by which a picture is scanned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum VideoStandard {
    /// 625 lines, 50 fields a second; a line lasts 64 µs. The first broad pulse of the first field
    /// begins line 1; that of the second field is in the middle of line 313 (ITU-R BT.470-6; from
    /// memory).
    Lines625,
    /// 525 lines, 59.94 fields a second; a line lasts 63.5556 µs. The first broad pulse of the
    /// first field begins line 4; that of the second field is in the middle of line 266 (ITU-R
    /// BT.1700; from memory).
    Lines525,
}

impl VideoStandard {
    /// The number of lines in a frame of two fields.
    pub const fn lines(self) -> u16 {
        match self {
            Self::Lines625 => 625,
            Self::Lines525 => 525,
        }
    }

    /// The duration of a line in seconds.
    pub const fn line_seconds(self) -> f64 {
        match self {
            Self::Lines625 => 64e-6,
            // 4.5 MHz / 286 lines a second.
            Self::Lines525 => 286.0 / 4.5e6,
        }
    }

    /// The number of the half line in a frame, counted from 0, in which the broad pulses of a field
    /// begin.
    const fn field_pulse(self, field: VideoField) -> u16 {
        match (self, field) {
            (Self::Lines625, VideoField::First) => 0,
            (Self::Lines525, VideoField::First) => 6,
            (Self::Lines625, VideoField::Second) => 625,
            (Self::Lines525, VideoField::Second) => 531,
        }
    }
}

/// One of the two fields of a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "lowercase"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum VideoField {
    /// The first field, or odd field.
    First,
    /// The second field, or even field.
    Second,
}

/// The standard and the sampling of a picture signal.
///
/// ```
/// use stillwave::{VideoFormat, VideoStandard};
/// // At 2 MS/s half a line of 64 µs is 64 samples.
/// let format = VideoFormat::new(VideoStandard::Lines625, 2e6)?;
/// assert_eq!(format.half_line.to_samples(), 64.0);
/// assert!(VideoFormat::new(VideoStandard::Lines625, 500e3).is_err());
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct VideoFormat {
    /// The lines and fields.
    pub standard: VideoStandard,
    /// The duration of half a line. It must be at least 31.5 samples, which is 1 MS/s.
    pub half_line: Span,
    /// The side of the level that synchronising pulses are on: low, unless the signal is inverted.
    pub sync: Side,
}

impl VideoFormat {
    /// Makes a format with pulses to the low side, sampled `rate` times a second.
    ///
    /// # Errors
    /// The errors of [`VideoFormat::validated`].
    pub fn new(standard: VideoStandard, rate: f64) -> Result<Self, ConfigError> {
        let half_line = Span::from_seconds(standard.line_seconds() / 2.0, rate);
        let half_line = half_line.unwrap_or(Span::ZERO);
        Self { standard, half_line, sync: Side::Low }.validated()
    }

    /// Returns the format unchanged if its values are in range.
    ///
    /// # Errors
    /// Half a line is shorter than 31.5 samples (below 1 MS/s a narrow pulse would be less than two
    /// samples wide), or is 2^31 samples or more.
    pub fn validated(self) -> Result<Self, ConfigError> {
        let samples = self.half_line.to_samples();
        // 625 lines at 1 MS/s have 32; 525 have 31.8.
        if (31.5..2_147_483_648.0).contains(&samples) {
            Ok(self)
        } else {
            Err(ConfigError::new("half line", samples, "31.5 samples or more, below 2^31"))
        }
    }
}

/// What fires in a picture signal.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum VideoWhen {
    /// The start of every line.
    #[default]
    AnyLine,
    /// The start of the line with this number, counted from 1.
    Line(u16),
    /// The start of the broad pulses of either field.
    AnyField,
    /// The start of the broad pulses of this field.
    Field(VideoField),
}

/// Fires at the start of the lines or fields of a composite picture signal.
///
/// A pulse begins where the signal goes to the side of `sync` and ends where it leaves it. With
/// half a line of h, a pulse shorter than h/9 is narrow (equalising), a pulse of h/2 to h is broad,
/// and the others are line pulses. Pulses begin at whole half lines from each other, within h/8; a
/// pulse that begins elsewhere is ignored, unless nothing else comes for 16 half lines.
///
/// Half lines are counted from the first broad pulse of a field. It begins an even number of them
/// after the last line pulse in the first field, and an odd number in the second. No event comes
/// before the broad pulses of a field, either one, have begun; from then on, an event comes where
/// its pulse begins, at the level. (Lengths of pulses: ITU-R BT.470-6 and BT.1700, from memory; the
/// bounds between them are our own.)
///
/// ```
/// use stillwave::{Block, Condition, EventKind, Level, Video, VideoFormat, VideoStandard, VideoWhen};
/// // 2 MS/s: a line is 128 samples; two lines, half a line, then the pulses of the second field.
/// let pulse = |width: usize, rest: usize| [vec![0_u8; width], vec![90; rest]].concat();
/// let (line, narrow, broad) = (pulse(9, 119), pulse(5, 59), pulse(55, 9));
/// let field = [vec![90; 50], line.repeat(2), pulse(9, 119), narrow.repeat(5), broad.repeat(5),
///              narrow.repeat(5), vec![90; 64], line.repeat(20)].concat();
/// let format = VideoFormat::new(VideoStandard::Lines625, 2e6)?;
/// let mut video = Video::new(Level::new(45, 10)?, format, VideoWhen::Line(325))?;
/// let channels = [&field[..]];
/// let event = video.next(&Block::new(0, &channels)).unwrap();
/// // Lines 308, 309 and 310, and then 311 and so on.
/// assert_eq!(event.at.position, 50 + (325 - 308) * 128);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Video<T: Sample> {
    line: Sides<T>,
    format: VideoFormat,
    when: VideoWhen,
    scan: Scan,
}

/// The position in the scan of the picture.
#[derive(Clone, Copy, Debug, Default)]
struct Scan {
    /// The number of the half line, counted from 0 in a frame, in which the last pulse began, once
    /// known.
    half: Option<u16>,
    /// The beginning of the last pulse, and of the last line pulse.
    last: Option<Instant>,
    last_of_line: Option<Instant>,
    /// The beginning of the pulse in progress, unless it is ignored.
    begin: Option<Instant>,
    was_broad: bool,
}

/// Half lines without a pulse at a whole half line, after which another pulse is accepted instead.
const PATIENCE: u64 = 16;

impl<T: Sample> Video<T> {
    /// Makes a condition for the lines or fields of `format` on the channel of `level`. The level
    /// is half way up the pulses.
    ///
    /// # Errors
    /// The errors of [`Level::new`] and [`VideoFormat::validated`]; a line number that the standard
    /// does not have.
    pub fn new(level: Level<T>, format: VideoFormat, when: VideoWhen) -> Result<Self, ConfigError> {
        let format = format.validated()?;
        if let VideoWhen::Line(line) = when
            && !(1..=format.standard.lines()).contains(&line)
        {
            return Err(ConfigError::new("line", line.into(), "from 1 to the standard's last"));
        }
        Ok(Self { line: Sides::new(level)?, format, when, scan: Scan::default() })
    }

    /// The number of half lines from one instant to another; `None` if it is not a whole number.
    fn halves(&self, from: Instant, to: Instant) -> Option<u64> {
        let (time, half) = (to.since(from).parts(), self.format.half_line.parts());
        let count = time.saturating_add(half / 2).checked_div(half)?;
        (time.abs_diff(count.saturating_mul(half)) <= half / 8).then_some(count)
    }

    /// Begins a pulse.
    fn begin(&mut self, at: Instant) -> Option<EventKind> {
        if let Some(last) = self.scan.last {
            match self.halves(last, at) {
                Some(count @ 1..) => {
                    let halves = u64::from(self.format.standard.lines()) * 2;
                    let counted = |half: u16| Some(((u64::from(half) + count) % halves) as u16);
                    self.scan.half = self.scan.half.and_then(counted);
                }
                _ if at.since(last).parts() / PATIENCE < self.format.half_line.parts() => {
                    return None;
                }
                _ => self.scan = Scan::default(),
            }
        }
        self.scan.last = Some(at);
        self.scan.begin = Some(at);
        self.scan.half.and_then(|half| self.event(half))
    }

    /// Ends the pulse in progress.
    fn end(&mut self, at: Instant) {
        let Some(begin) = self.scan.begin.take() else { return };
        let (width, half) = (at.since(begin).parts(), self.format.half_line.parts());
        let is_broad = (half / 2..half).contains(&width);
        if is_broad && !self.scan.was_broad {
            let distance = self.scan.last_of_line.and_then(|line| self.halves(line, begin));
            let field = match distance {
                Some(6 | 8) => Some(VideoField::First),
                Some(7) => Some(VideoField::Second),
                _ => None,
            };
            if let Some(field) = field {
                self.scan.half = Some(self.format.standard.field_pulse(field));
            }
        } else if !is_broad && width >= half / 9 {
            self.scan.last_of_line = Some(begin);
        }
        self.scan.was_broad = is_broad;
    }

    /// The event at the pulse of a half line, if there is one.
    fn event(&self, half: u16) -> Option<EventKind> {
        let standard = self.format.standard;
        let begins = |field| half == standard.field_pulse(field);
        let wanted = match self.when {
            VideoWhen::AnyLine => half.is_multiple_of(2),
            VideoWhen::Line(line) => half == line.saturating_sub(1).saturating_mul(2),
            VideoWhen::AnyField => begins(VideoField::First) || begins(VideoField::Second),
            VideoWhen::Field(field) => begins(field),
        };
        // The second field begins in the middle of a line.
        let is_first = half < standard.lines();
        let field = if is_first { VideoField::First } else { VideoField::Second };
        wanted.then_some(EventKind::Video { line: half / 2 + 1, field })
    }
}

impl<T: Sample> Condition for Video<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        loop {
            let turn = self.line.peek(block)?;
            self.line.take();
            if turn.into != self.format.sync {
                self.end(turn.at);
            } else if !turn.first
                && let Some(kind) = self.begin(turn.at)
            {
                return Some(Event { at: turn.at, kind });
            }
        }
    }

    fn gap(&mut self) {
        self.line.gap();
        self.scan = Scan::default();
    }

    fn reset(&mut self) {
        self.line.reset();
        self.scan = Scan::default();
    }
}
