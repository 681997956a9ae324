//! The choice of a filter that removes most of the noise and keeps the signal.

use super::Overview;
use super::replay::{CHUNK, Replay};
use super::ruler::{Moments, Ruler};
use crate::couple::Filter;
use crate::{Corner, Coupling, Sample};

/// The number of corners that are tried: a quarter of the rate, an eighth, and so on.
const CORNERS: usize = 16;

/// A filter before the trigger, and the noise that it leaves.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chosen {
    pub(super) coupling: Coupling,
    /// The deviation of white noise after the filter over that before it.
    pub(super) noise: f64,
}

/// The lowest corner that leaves two fifths of the signal's power. At the frequency of a sine, half
/// of the power is left, and there the slope relative to the noise is steepest (a first-order
/// low-pass at k times the frequency has a slope over noise of 1/√(k + 1/k), largest at k = 1).
/// `None` if no filter helps by at least a quarter.
pub(super) fn choose<T: Sample, R: Replay<T>>(
    signal: &mut R,
    overview: &Overview,
) -> Result<Option<Chosen>, R::Error> {
    let (Some(minimum), Some(maximum)) = (end::<T>(overview.minimum), end::<T>(overview.maximum))
    else {
        return Ok(None);
    };
    let ruler = Ruler::new(minimum, maximum);
    let mut tried: [Option<Try<T>>; CORNERS] = core::array::from_fn(|n| {
        let corner = Corner::new(libm::exp2(-(n as f64) - 2.0), 1.0).ok()?;
        // What it does at the beginning must not count.
        let settles = corner.settling().saturating_mul(8) <= overview.samples;
        settles.then(|| Try { corner, filter: Filter::default(), moments: Moments::default() })
    });
    let mut out = [T::default(); CHUNK];
    signal.replay(|block| {
        for chunk in block.chunks(CHUNK) {
            let out = out.get_mut(..chunk.len()).unwrap_or_default();
            for tried in tried.iter_mut().flatten() {
                tried.filter.pass(Coupling::HighReject(tried.corner), chunk, out);
                for &x in out.iter().filter(|x| x.is_finite()) {
                    tried.moments.add(ruler.steps(x));
                }
            }
        }
    })?;
    let noise = overview.noise * overview.noise;
    let before = overview.deviation * overview.deviation - noise;
    let chosen = tried.iter().flatten().rev().find_map(|tried| {
        // The noise gain of the filter is its gain: g²·(1 + (1 + p)²/(1 − p²)…) = g for white
        // noise, with the pole p = 1 − 2g.
        let gain = f64::from(tried.corner.parts()) / 4_294_967_296.0;
        let deviation = ruler.size(libm::sqrt(tried.moments.variance()));
        let left = deviation * deviation - noise * gain;
        let helps = gain * before < 0.5625 * left;
        let coupling = Coupling::HighReject(tried.corner);
        (left >= 0.4 * before && helps).then(|| Chosen { coupling, noise: libm::sqrt(gain) })
    });
    Ok(chosen)
}

struct Try<T: Sample> {
    corner: Corner,
    filter: Filter<T>,
    moments: Moments,
}

/// An end of the range as a sample.
fn end<T: Sample>(value: f64) -> Option<T> {
    T::wide_from_f64(value).and_then(T::at_or_over)
}
