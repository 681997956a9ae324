//! Couplings: with the gain g, each sample x goes through a filter whose state is s.
//! v = g (x − s), low = s + v, high = x − low, then s = low + v. s begins at the first x.
//! In integers, s and v are whole numbers of 1/2²⁸, v rounded down, and what comes out rounded to
//! nearest, half upwards.

/// A filter of counts, high- or low-pass, its gain in 1/2³².
pub fn counts(samples: &[i128], gain: u32, high: Option<i128>) -> Vec<i128> {
    let mut state = samples.first().map_or(0, |first| first << 28);
    let filter = |&x: &i128| {
        let v = (((x << 28) - state) * i128::from(gain)) >> 32;
        let low = state + v;
        state = low + v;
        match high {
            Some(middle) => ((((x << 28) - low) + (1 << 27)) >> 28) + middle,
            None => (low + (1 << 27)) >> 28,
        }
    };
    samples.iter().map(filter).collect()
}

/// A filter of numbers; those that are not finite pass and change nothing.
pub fn numbers(samples: &[f32], gain: u32, high: bool) -> Vec<f32> {
    let gain = f64::from(gain) / 2_f64.powi(32);
    let mut state = None;
    let filter = |&x: &f32| {
        if !x.is_finite() {
            return x;
        }
        let x = f64::from(x);
        let s = state.unwrap_or(x);
        let v = gain * (x - s);
        state = Some(s + v + v);
        let passed = if high { x - s - v } else { s + v };
        passed.max(f32::MIN.into()).min(f32::MAX.into()) as f32
    };
    samples.iter().map(filter).collect()
}
