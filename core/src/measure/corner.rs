//! Where a level is passed beside a corner: a pulse's foot, the top of a ramp.
//!
//! ```text
//!            ╱ d₂
//!          ╱ d₁
//! level ─╱─ ─ ─          The way from the flat part to the first sample past the level has the
//! ─────╯ d₀              corner in it: what comes after leads back to the level better.
//! ```
//!
//! A corner is taken to be there where the signal was flat before (|d₋₁| ≤ d₀/4), goes on at least
//! about as fast as it came (d₀ ≤ 5/4 · d₁), and does so smoothly (|d₂ − d₁| ≤ d₁/4). Then the level is where the
//! parabola through the three samples after passes it, if that is between the two samples at all.
//! Through a corner, a straight line would be off by up to a twelfth of a sample.
//!
//! Where steps shrink faster, d₂ from 3/4 down to 1/2 of d₁, and the next one by the same ratio to an
//! eighth of it, a charge is taken to be there: d₁ · rᵏ with r = d₂/d₁ and δ = 1 − r. Back from the
//! first sample past the level by t, the signal is lower by
//! d₁ · (t + δ·t(t+1)/2 + δ²·t(t+1)(t+2)/6 + δ³·t(t+1)(t+2)(t+3)/24 + …), of which these four are taken.
//! A charge of five samples from 10 to 90 % has r = 0.64.

/// Steps of a fixed point that gains three bits each.
const ROUNDS: u32 = 5;
/// Of one that gains about one bit each.
const CHARGE_ROUNDS: u32 = 12;

/// The steps of two samples before the passage and three after it: whether they are those of a
/// corner, and the two after it. In the word that the samples' differences need.
macro_rules! corner {
    ($name:ident, $word:ty) => {
        #[inline]
        fn $name([first, previous, this, next, last]: [$word; 5]) -> Option<($word, $word)> {
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
            goes_on.then_some((one, more))
        }
    };
}

corner!(narrow_corner, i32);
corner!(wide_corner, i64);
corner!(real_corner, f64);

/// The lead beside a corner of small samples, in 1/65536; `None` where there is none. `samples` are
/// the two before the passage and the three after it, `level` in 1/65536 of a count.
#[inline]
pub(super) fn narrow_lead(samples: [i32; 5], level: i64) -> Option<u32> {
    let (one, more) = narrow_corner(samples)?;
    whole_lead(samples.map(i64::from), (one.into(), more.into()), level)
}

/// The same for 32-bit samples.
#[inline]
pub(super) fn wide_lead(samples: [i64; 5], level: i64) -> Option<u32> {
    whole_lead(samples, wide_corner(samples)?, level)
}

#[inline(never)]
fn whole_lead(
    [_, previous, this, ..]: [i64; 5],
    (one, more): (i64, i64),
    level: i64,
) -> Option<u32> {
    let bend = one - more;
    let distance = ((this << 16) - level) * if this >= previous { 1 } else { -1 };
    // distance = lead · (one + (lead + 1)/2 · bend); the slope, in 1/131072, is over 0.
    let mut lead = 0_i64;
    for _ in 0..ROUNDS {
        let slope = (one << 17) + ((lead + (1 << 16)) * bend);
        let next = (i128::from(distance) << 17).checked_div(i128::from(slope))?;
        // So far the slope stays over 0.
        lead = next.clamp(0, 2 << 16) as i64;
    }
    u32::try_from(lead).ok().filter(|&lead| lead <= 1 << 16)
}

/// The same for floating-point samples.
pub(super) fn real_lead(samples: [f64; 5], level: f64) -> Option<u32> {
    let (one, more) = real_corner(samples)?;
    let [_, previous, this, ..] = samples;
    let distance = (this - level) * if this >= previous { 1.0 } else { -1.0 };
    let mut lead = 0.0;
    for _ in 0..ROUNDS {
        lead = (distance / (one + 0.5 * (lead + 1.0) * (one - more))).clamp(0.0, 2.0);
    }
    (lead <= 1.0).then_some((lead * 65536.0) as u32)
}

/// The lead at the foot of a charge; `None` where there is none, in samples as for a corner and one
/// more. In floating point for all samples, in basic operations alone: the same on every machine.
pub(super) fn charge_lead(samples: [f64; 5], after: f64, level: f64) -> Option<u32> {
    let [first, previous, this, next, last] = samples;
    let sign = if this >= previous { 1.0 } else { -1.0 };
    let over = sign * (this - previous);
    let before = libm::fabs(previous - first);
    let (one, two, three) = (sign * (next - this), sign * (last - next), sign * (after - last));
    let shrinks = 2.0 * two >= one && 4.0 * two < 3.0 * one;
    let goes_on = 4.0 * before <= over && 4.0 * over <= 5.0 * one * one / two;
    let is_charge = shrinks && goes_on && 8.0 * libm::fabs(three * one - two * two) <= two * two;
    if !is_charge {
        return None;
    }
    let delta = (one - two) / one;
    let distance = sign * (this - level) / one;
    let mut lead = 0.0;
    for _ in 0..CHARGE_ROUNDS {
        let third = delta / 3.0 * (lead + 2.0) * (1.0 + delta / 4.0 * (lead + 3.0));
        lead = (distance / (1.0 + delta / 2.0 * (lead + 1.0) * (1.0 + third))).clamp(0.0, 2.0);
    }
    (lead <= 1.0).then_some((lead * 65536.0) as u32)
}
