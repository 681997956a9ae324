//! Delay and phase between two channels.

use super::transition::Transition;
use super::{Meter, Reason, Value};
use crate::{Sample, Slope};

/// The delay of the transitions of one channel against those of another.
///
/// In the example, a delay of one eighth of the period would be 45°.
///
/// ```
/// use stillwave::{Slope, measure::Meter};
/// let wave = |late: i32| -> Vec<u8> {
///     (0..200).map(|i| if (i - late).rem_euclid(50) < 25 { 200 } else { 10 }).collect()
/// };
/// let found = Meter::default().delay(&wave(0), Slope::Rising, &wave(5), Slope::Rising);
/// assert_eq!((found.delay, found.phase), (Ok(5.0), Ok(36.0)));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Delay {
    /// The number of pairs of transitions.
    pub pairs: u64,
    /// The mean delay of the second channel, in samples; negative if it is the earlier one.
    pub delay: Value,
    /// The delay as a part of the first channel's period, in degrees: over −180 to 180. Positive if
    /// the second channel lags.
    pub phase: Value,
}

impl Meter {
    /// Measures the delay from transitions of channel `a` to transitions of channel `b`, middle to
    /// middle.
    ///
    /// The first transition of `a` is paired with the nearest one of `b`. Each later one is paired
    /// with the nearest to where the delay so far predicts it, so that jitter around half a period
    /// does not break the pairs. A transition with none nearer than half the time since the last
    /// one has no partner. (IEEE Std 181-2011, delay between reference level instants; from
    /// memory.)
    ///
    /// ```
    /// use stillwave::{Slope, measure::Meter};
    /// let wave = |shift: u32| -> Vec<u8> { (0..200).map(|i| if (i + 40 - shift) % 40 < 20 { 200 } else { 10 }).collect() };
    /// let (a, b) = (wave(0), wave(10));
    /// let found = Meter::default().delay(&a, Slope::Rising, &b, Slope::Rising);
    /// assert_eq!((found.pairs, found.delay, found.phase), (4, Ok(10.0), Ok(90.0)));
    /// ```
    pub fn delay<T: Sample, U: Sample>(
        &self,
        a: &[T],
        slope_a: Slope,
        b: &[U],
        slope_b: Slope,
    ) -> Delay {
        let transitions = self.transitions(a).and_then(|a| Ok((a, self.transitions(b)?)));
        let (a, b) = match transitions {
            Ok(transitions) => transitions,
            Err(reason) => return Delay { pairs: 0, delay: Err(reason), phase: Err(reason) },
        };
        let time = |transition: Transition| transition.mid.samples();
        let mut pairs = Pairs::default();
        let mut b = b.filter(|b| b.slope == slope_b).map(time);
        let (mut earlier, mut later) = (None, b.next());
        for a in a.filter(|a| a.slope == slope_a).map(time) {
            let expected = a + pairs.mean().unwrap_or(0.0);
            while later.is_some_and(|later| later <= expected) {
                (earlier, later) = (later, b.next());
            }
            pairs.add(a, expected, earlier, later);
        }
        let delay = pairs.mean().ok_or(Reason::NoTransition);
        Delay { pairs: pairs.count, delay, phase: pairs.phase(delay) }
    }
}

#[derive(Default)]
struct Pairs {
    count: u64,
    delays: f64,
    /// Of the transitions of the first channel: the first and the last, and their number.
    first: f64,
    last: f64,
    transitions: u64,
}

impl Pairs {
    fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.delays / self.count as f64)
    }

    fn add(&mut self, a: f64, expected: f64, earlier: Option<f64>, later: Option<f64>) {
        let reach = if self.transitions == 0 { f64::INFINITY } else { (a - self.last) / 2.0 };
        if self.transitions == 0 {
            self.first = a;
        }
        self.last = a;
        self.transitions += 1;
        let nearest = match (earlier, later) {
            (Some(earlier), Some(later)) if expected - earlier <= later - expected => earlier,
            (Some(b), None) | (_, Some(b)) => b,
            (None, None) => return,
        };
        if libm::fabs(nearest - expected) <= reach {
            self.count += 1;
            self.delays += nearest - a;
        }
    }

    fn phase(&self, delay: Value) -> Value {
        let delay = delay?;
        if self.transitions < 2 {
            return Err(Reason::NotEnoughCycles);
        }
        let period = (self.last - self.first) / (self.transitions - 1) as f64;
        let turns = delay / period;
        // To over −1/2 to 1/2 of a turn.
        Ok(360.0 * (turns - libm::ceil(turns - 0.5)))
    }
}
