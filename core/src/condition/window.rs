//! Window: the signal enters a band of levels, leaves it, or stays inside or outside for a time.
//!
//! ```text
//!          leaves ╱▔╲                   leaves at x > high or x < low,
//! high ──────────•───╲────────────      inside again at low + h ≤ x ≤ high − h;
//! − h  ╲  ╱╲    ╱     • enters          stays inside longer than T:
//!       ╲╱  ╲__╱       ╲___!____           fires at the entry + T, while inside;
//! + h                  ◄ T ►            stays inside shorter than T:
//! low ────────────────────────────         fires where it leaves again
//! ```

use super::{Configuration, Relaxed, Setup, configuration};
use super::{Deadline, Lookahead};
use crate::compare::{BandComparator, Passage, Side};
use crate::{
    Band, Block, Comparison, Condition, ConfigError, Event, EventKind, Instant, Level, Sample,
    Slope, Span,
};

configuration! {
    /// Fires when the signal enters or leaves a band, or stays inside or outside: [`Window`].
    pub struct WindowConfig<T: Sample> {
        /// The band.
        pub band: Band<T>,
        /// What the signal has to do.
        pub when: WindowWhen,
    }
}

impl<T: Sample> Configuration<T> for WindowConfig<T> {
    type Condition = Window<T>;

    fn build(self) -> Result<Self::Condition, ConfigError> {
        Window::new(self.band, self.when)
    }

    fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
        each(Slope::Rising, self.band.upper());
        each(Slope::Falling, self.band.lower());
    }

    fn relaxed(&self) -> Option<Relaxed<T>> {
        let any = Stay::ShorterThan(Span::MAX);
        let (when, stay) = match self.when {
            WindowWhen::Enters | WindowWhen::Leaves => return None,
            WindowWhen::StaysInside(stay) => (WindowWhen::StaysInside(any), stay),
            WindowWhen::StaysOutside(stay) => (WindowWhen::StaysOutside(any), stay),
        };
        Some(Relaxed::timed(Setup::from(Self { when, ..*self }), stay.into()))
    }
}

impl From<Stay> for Comparison {
    fn from(stay: Stay) -> Self {
        match stay {
            Stay::LongerThan(samples) => Self::LongerThan(Span::samples(samples)),
            Stay::ShorterThan(bound) => Self::ShorterThan(bound),
        }
    }
}

/// What fires at a [`Window`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum WindowWhen {
    /// The signal enters.
    Enters,
    /// The signal leaves.
    Leaves,
    /// The signal is inside for a time.
    StaysInside(Stay),
    /// The signal is outside for a time.
    StaysOutside(Stay),
}

/// The length of a stay that counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum Stay {
    /// The signal is still there after this many samples; reported at that moment, before the stay
    /// ends.
    LongerThan(u64),
    /// The stay is shorter than this (<), compared in 1/65536 of a sample; reported when it ends.
    ShorterThan(Span),
}

/// What happened at a [`Window`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub enum WindowEvent {
    /// The signal has entered.
    Entered,
    /// The signal has left.
    Left,
    /// The signal has been inside for a time.
    StayedInside {
        /// How long, up to now.
        time: Span,
    },
    /// The signal has been outside for a time.
    StayedOutside {
        /// How long, up to now.
        time: Span,
    },
}

/// Fires when the signal enters or leaves a band of levels, or has been inside or outside for a
/// time.
///
/// With the band's hysteresis h, the signal leaves at the first sample x > high or x < low, and
/// enters at the first sample low + h ≤ x ≤ high − h after that. The instants are interpolated at
/// the levels passed. The start of the stream, or the return after a gap, is neither an entry nor
/// an exit, and a stay in progress there never counts.
///
/// A "shorter than" stay is measured from crossing to crossing. A "longer than" stay of T samples,
/// entered at position p, fires at exactly p + T if the signal is still there at that sample; once
/// per stay, as soon as that sample is there.
///
/// ```
/// use stillwave::{Band, Block, Condition, EventKind, Stay, Window, WindowEvent, WindowWhen};
/// let band = Band::<i16>::new(-100, 100, 20)?;
/// let samples: [i16; 9] = [0, 200, 90, 70, 0, 0, 0, 0, -101];
/// let channels = [&samples[..]];
/// let block = Block::new(0, &channels);
///
/// let mut leaves = Window::new(band, WindowWhen::Leaves)?;
/// let found: Vec<u64> =
///     core::iter::from_fn(|| leaves.next(&block)).map(|e| e.at.position).collect();
/// assert_eq!(found, [1, 8]);
///
/// let mut settled = Window::new(band, WindowWhen::StaysInside(Stay::LongerThan(4)))?;
/// let event = settled.next(&block).unwrap();
/// // Inside again at sample 3: 90 was not far enough back.
/// assert_eq!(event.at.position, 3 + 4);
/// # Ok::<(), stillwave::ConfigError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Window<T: Sample> {
    comparator: BandComparator<T>,
    /// The side where the signal must go, and the time it must stay there, if that matters.
    side: Side,
    stay: Option<Stay>,
    next_passage: Lookahead<Passage>,
    /// The instant since which the signal has been there.
    since: Option<Instant>,
    deadline: Deadline,
}

impl<T: Sample> Window<T> {
    /// Makes a window from `band.low` to `band.high`, both included.
    ///
    /// # Errors
    /// The errors of [`Band::new`]; a hysteresis of more than half the band, so that the signal
    /// could never enter.
    pub fn new(band: Band<T>, when: WindowWhen) -> Result<Self, ConfigError> {
        let (side, stay) = match when {
            WindowWhen::Enters => (Side::Inside, None),
            WindowWhen::Leaves => (Side::Outside, None),
            WindowWhen::StaysInside(stay) => (Side::Inside, Some(stay)),
            WindowWhen::StaysOutside(stay) => (Side::Outside, Some(stay)),
        };
        let comparator = BandComparator::new(band)?;
        let (next_passage, since, deadline) = Default::default();
        Ok(Self { comparator, side, stay, next_passage, since, deadline })
    }

    /// The event of a passage, if there is one.
    #[inline]
    fn pass(&mut self, Passage { into, at }: Passage) -> Option<WindowEvent> {
        let arrives = into == self.side;
        match self.stay {
            None if arrives => return Some(self.arrived()),
            None => {}
            Some(Stay::LongerThan(samples)) if arrives => self.deadline.set(at, samples),
            Some(Stay::LongerThan(_)) => self.deadline.clear(),
            Some(Stay::ShorterThan(_)) if arrives => self.since = Some(at),
            Some(Stay::ShorterThan(bound)) => {
                let time = at.since(self.since.take()?);
                return (time < bound).then(|| self.stayed(time));
            }
        }
        None
    }

    fn arrived(&self) -> WindowEvent {
        match self.side {
            Side::Inside => WindowEvent::Entered,
            Side::Outside => WindowEvent::Left,
        }
    }

    fn stayed(&self, time: Span) -> WindowEvent {
        match self.side {
            Side::Inside => WindowEvent::StayedInside { time },
            Side::Outside => WindowEvent::StayedOutside { time },
        }
    }

    fn forget(&mut self) {
        (self.next_passage, self.since, self.deadline) = Default::default();
    }
}

impl<T: Sample> Condition for Window<T> {
    type Sample = T;

    #[inline]
    fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
        loop {
            let Self { comparator, next_passage, .. } = self;
            let passage = next_passage.peek(|| comparator.next(block));
            if let Some((at, time)) = self.deadline.run_out(passage.map(|p| p.at), block.end()) {
                let what = self.stayed(time);
                return Some(Event { at, kind: EventKind::Window { what } });
            }
            let passage = self.next_passage.take()?;
            if let Some(what) = self.pass(passage) {
                return Some(Event { at: passage.at, kind: EventKind::Window { what } });
            }
        }
    }

    fn gap(&mut self) {
        self.comparator.gap();
        self.forget();
    }

    fn reset(&mut self) {
        self.comparator.reset();
        self.forget();
    }
}
