//! The instant at which a level is passed next to a corner: the foot of a pulse, the top of a ramp.
//!
//! ```text
//!            ╱ d₂
//!          ╱ d₁
//! level ─╱─ ─ ─          The way from the flat part to the first sample past the level has the
//! ─────╯ d₀              corner in it: what comes after leads back to the level better.
//! ```
//!
//! A corner is assumed where the signal was flat before (|d₋₁| ≤ d₀/4), goes on at least about as
//! fast as it came (d₀ ≤ 5/4 · d₁), and does so smoothly (|d₂ − d₁| ≤ d₁/4). The level is then
//! passed where the parabola through the three samples after the corner passes it, if that is
//! between the two samples at all. At a corner, a straight line would be off by up to a twelfth of
//! a sample.
//!
//! A charge is assumed where steps shrink faster, with d₂ from 3/4 down to 1/2 of d₁ and the next
//! step in the same ratio, to an eighth of it. It is d₁ · rᵏ with r = d₂/d₁ and δ = 1 − r. At a
//! time t before the first sample past the level, the signal is lower by
//! d₁ · (t + δ·t(t+1)/2 + δ²·t(t+1)(t+2)/6 + δ³·t(t+1)(t+2)(t+3)/24 + …); these four terms are
//! used. A charge of five samples from 10 to 90 % has r = 0.64.

use super::number::real;
use crate::Sample;
use crate::sample::Number;

/// Iterations of the search for the lead; each gains one bit or more.
const ROUNDS: u32 = 12;

macro_rules! shapes {
    ($corner:ident, $charge:ident, $word:ty) => {
        /// The two steps after a passage with a corner; `None` if the steps of the two samples
        /// before the passage and the three after it are not those of a corner.
        #[inline]
        fn $corner([first, previous, this, next, last]: [$word; 5]) -> Option<[$word; 2]> {
            let sign: $word = if this >= previous { 1.into() } else { (-1).into() };
            let two: $word = 2.into();
            let four = two + two;
            let over = sign * (this - previous);
            let before = sign * (previous - first);
            // A sign at a time: most passages end here.
            if four * before > over || four * before < -over {
                return None;
            }
            let (one, more) = (sign * (next - this), sign * (last - next));
            let bend = four * (one - more);
            let goes_on = four * over <= four * one + one && bend <= one && -bend <= one;
            goes_on.then_some([one, more])
        }

        /// The three steps after a passage with a charge; `None` if the steps cannot be those of a
        /// charge.
        #[inline]
        fn $charge(
            [first, previous, this, next, last]: [$word; 5],
            after: $word,
        ) -> Option<[$word; 3]> {
            let sign: $word = if this >= previous { 1.into() } else { (-1).into() };
            let two: $word = 2.into();
            let four = two + two;
            let over = sign * (this - previous);
            let before = sign * (previous - first);
            if four * before > over || four * before < -over {
                return None;
            }
            let (one, more) = (sign * (next - this), sign * (last - next));
            let shrinks = two * more >= one && four * more < two * one + one;
            shrinks.then_some([one, more, sign * (after - last)])
        }
    };
}

shapes!(whole_corner, whole_charge, i64);
shapes!(real_corner, real_charge, f64);

/// The lead next to a corner, in 1/65536; `None` if there is no corner. `samples` are the two
/// before the passage and the three after it.
pub(super) fn corner<T: Sample>(samples: [T; 5], level: f64) -> Option<u32> {
    let [one, more] = match T::MIN.number() {
        Number::Real(_) => real_corner(samples.map(real))?,
        Number::Narrow(_) | Number::Wide(_) => {
            whole_corner(samples.map(|x| x.number().whole()))?.map(|step| step as f64)
        }
    };
    let [_, previous, this, ..] = samples.map(real);
    search(this - level, this >= previous, [one, more], false)
}

/// The lead at the foot of a charge; `after` is the sample after the others.
pub(super) fn charge<T: Sample>(samples: [T; 5], after: T, level: f64) -> Option<u32> {
    let [one, two, three] = match T::MIN.number() {
        Number::Real(_) => real_charge(samples.map(real), real(after))?,
        Number::Narrow(_) | Number::Wide(_) => {
            let samples = samples.map(|x| x.number().whole());
            whole_charge(samples, after.number().whole())?.map(|step| step as f64)
        }
    };
    let [_, previous, this, ..] = samples.map(real);
    let over = libm::fabs(this - previous);
    let is_charge = 8.0 * libm::fabs(three * one - two * two) <= two * two
        && 4.0 * over * two <= 5.0 * one * one;
    if is_charge { search(this - level, this >= previous, [one, two], true) } else { None }
}

/// For floating point, with basic operations only, so that all machines give the same result.
#[inline(never)]
fn search(over: f64, rises: bool, [one, two]: [f64; 2], charge: bool) -> Option<u32> {
    let distance = if rises { over } else { -over } / one;
    let half = 0.5 * (one - two) / one;
    let third = if charge { half / 1.5 } else { 0.0 };
    let mut lead = 0.0;
    for _ in 0..ROUNDS {
        let more = third * (lead + 2.0) * (1.0 + half / 2.0 * (lead + 3.0));
        let next = (distance / (1.0 + half * (lead + 1.0) * (1.0 + more))).clamp(0.0, 2.0);
        let step = libm::fabs(next - lead);
        lead = next;
        if step < 1e-6 {
            break;
        }
    }
    (lead <= 1.0).then_some((lead * 65536.0) as u32)
}
