//! Swings of a signal, from one turning point to the next.

use crate::Sample;

/// A swing of the signal, from one turning point to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Swing<T> {
    /// The previous turning point; the swing is upwards if this is smaller than `to`, else
    /// downwards.
    pub from: T,
    /// The turning point at its end.
    pub to: T,
    /// The position of the first sample at that turning point.
    pub at: u64,
}

/// Finds the turning points of a signal.
///
/// A turning point is a largest or smallest sample after which the signal has gone back by more
/// than a minimum amount, and by more than an eighth of everything it has covered so far, so that
/// noise is not a turn.
///
/// Samples that are not finite are skipped. After a gap it starts again, but keeps what the signal
/// has covered.
///
/// ```
/// use stillwave::near::{Swing, Swings};
/// let mut swings = Swings::<u8>::new(10);
/// let mut found = Vec::new();
/// swings.push(0, &[0, 100, 98, 100, 20, 60, 61, 0], |swing| found.push(swing));
/// assert_eq!(found[0], Swing { from: 0, to: 100, at: 1 });
/// assert_eq!(found[1], Swing { from: 100, to: 20, at: 4 });
/// assert_eq!(found[2], Swing { from: 20, to: 61, at: 6 });
/// assert_eq!(swings.last(), Some(Swing { from: 61, to: 0, at: 7 }));
/// ```
#[derive(Clone, Debug)]
pub struct Swings<T: Sample> {
    least: T::Wide,
    /// Everything that the signal has covered.
    covered: Option<(T, T)>,
    leg: Leg<T>,
}

/// The present movement of the signal.
#[derive(Clone, Copy, Debug)]
enum Leg<T> {
    Nothing,
    /// The signal has not gone far either way yet.
    Unknown {
        low: (T, u64),
        high: (T, u64),
    },
    /// The signal goes up or down from a turning point; this is its farthest sample.
    Going {
        up: bool,
        from: T,
        farthest: (T, u64),
    },
}

impl<T: Sample> Swings<T> {
    /// Makes a finder of turns of more than `least`, in the samples' unit.
    pub fn new(least: T::Wide) -> Self {
        Self { least, covered: None, leg: Leg::Nothing }
    }

    /// Takes the next samples, of which the first is at position `start`, and calls `f` for every
    /// swing that they complete.
    pub fn push(&mut self, start: u64, samples: &[T], mut f: impl FnMut(Swing<T>)) {
        for (offset, &x) in samples.iter().enumerate() {
            let position = start.saturating_add(offset as u64);
            if x.is_finite()
                && let Some(swing) = self.sample(position, x)
            {
                f(swing);
            }
        }
    }

    /// The swing in progress, which may still go on.
    pub fn last(&self) -> Option<Swing<T>> {
        match self.leg {
            Leg::Going { from, farthest: (to, at), .. } => Some(Swing { from, to, at }),
            _ => None,
        }
    }

    /// The smallest and the largest sample so far.
    pub fn covered(&self) -> Option<(T, T)> {
        self.covered
    }

    /// Reports that samples were lost.
    pub fn gap(&mut self) {
        self.leg = Leg::Nothing;
    }

    /// Forgets the stream: the finder is as new.
    pub fn reset(&mut self) {
        *self = Self::new(self.least);
    }

    fn sample(&mut self, position: u64, x: T) -> Option<Swing<T>> {
        let (low, high) = self.covered.unwrap_or((x, x));
        let (low, high) = (if x < low { x } else { low }, if x > high { x } else { high });
        self.covered = Some((low, high));
        let eighth = T::eighth(T::saturating_sub(high.widen(), low.widen()));
        let turn = if eighth > self.least { eighth } else { self.least };
        let is_turn = |above: T, below: T| T::saturating_sub(above.widen(), below.widen()) > turn;
        match &mut self.leg {
            Leg::Nothing => self.leg = Leg::Unknown { low: (x, position), high: (x, position) },
            Leg::Unknown { low, high } => {
                if x > high.0 {
                    *high = (x, position);
                }
                if x < low.0 {
                    *low = (x, position);
                }
                if is_turn(x, low.0) {
                    self.leg = Leg::Going { up: true, from: low.0, farthest: (x, position) };
                } else if is_turn(high.0, x) {
                    self.leg = Leg::Going { up: false, from: high.0, farthest: (x, position) };
                }
            }
            Leg::Going { up, from, farthest } => {
                let farther = if *up { x > farthest.0 } else { x < farthest.0 };
                let turned = if *up { is_turn(farthest.0, x) } else { is_turn(x, farthest.0) };
                if farther {
                    *farthest = (x, position);
                } else if turned {
                    let swing = Swing { from: *from, to: farthest.0, at: farthest.1 };
                    self.leg = Leg::Going { up: !*up, from: farthest.0, farthest: (x, position) };
                    return Some(swing);
                }
            }
        }
        None
    }
}
