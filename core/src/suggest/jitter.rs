//! The jitter of a trigger instant from record to record.

/// The jitter of the trigger instant from one record to the next, as standard deviations in
/// samples.
///
/// - `noise`: σ / slew · √(2/3), the noise over the slope of the signal, averaged by the linear
///   interpolation between two samples (textbook). If the signal takes many samples to rise through
///   its noise, the first of them to reach the level fires, early and with a smaller spread. With r
///   = slew a sample / σ the factor is then 1/√(1.5 + 1.12 ln(1 + 0.26/r)), which agrees with
///   simulated ramps in normal noise within 4 % for r from 0.002 up. After a filter, which makes
///   neighbours alike, it is σ / slew.
/// - `sampling`: what the samples do not show. An edge between two samples may be anywhere there:
///   1/√12 of a sample. From 2 samples for the full height on, linear interpolation is off only by
///   the bend of the signal: for a sine 0.016 (ωT)² of a sample at most, which is 0.064/τ² for τ
///   samples of full height.
///   samples of full height.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Jitter {
    /// The jitter from noise.
    pub noise: f64,
    /// The jitter from the distance between samples.
    pub sampling: f64,
}

impl Jitter {
    /// The jitter of an edge that takes `height` samples for a signal's full `amplitude`, in noise
    /// of the deviation `noise`; `alike` if neighbouring samples have similar noise.
    pub(super) fn of(height: f64, amplitude: f64, noise: f64, alike: bool) -> Self {
        let height = height.max(1e-9);
        let spread = noise * height / amplitude;
        let factor =
            if alike { 1.0 } else { 1.0 / libm::sqrt(1.5 + 1.12 * libm::log1p(0.26 * spread)) };
        let bend = 0.064 / (height * height);
        Self {
            noise: spread * factor,
            sampling: if height >= 2.0 {
                bend
            } else {
                0.288_675 * (2.0 - height).min(1.0) + 0.016
            },
        }
    }

    /// Both jitters together.
    pub fn total(&self) -> f64 {
        libm::hypot(self.noise, self.sampling)
    }
}

#[cfg(test)]
mod tests {
    use super::Jitter;
    use std::vec::Vec;

    /// Uniform numbers over 0 and under 1 (xorshift64, Marsaglia 2003; from memory).
    struct Dice(u64);

    impl Dice {
        fn uniform(&mut self) -> f64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
        }

        fn normal(&mut self) -> f64 {
            let (a, b) = (self.uniform(), self.uniform());
            (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
        }
    }

    /// The spread of the first crossing of ramps of that slope in normal noise of deviation 1.
    fn simulated(slope: f64, ramps: usize) -> f64 {
        let mut dice = Dice(0x2545_F491_4F6C_DD1D);
        let crossings: Vec<f64> = (0..ramps)
            .map(|_| {
                let begin = -(7.0 / slope).ceil() + dice.uniform();
                let mut previous = begin * slope - 1.0;
                for step in 1.. {
                    let time = begin + f64::from(step);
                    let x = time * slope + dice.normal();
                    if x >= 0.0 {
                        return time - x / (x - previous);
                    }
                    previous = x;
                }
                unreachable!()
            })
            .collect();
        let mean = crossings.iter().sum::<f64>() / ramps as f64;
        (crossings.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / ramps as f64).sqrt()
    }

    #[test]
    fn noise_spreads_first_crossings_as_stated() {
        for (slope, ramps) in [
            (0.01, 4000),
            (0.03, 10_000),
            (0.1, 20_000),
            (0.3, 20_000),
            (1.0, 40_000),
            (4.0, 40_000),
        ] {
            let stated = Jitter::of(1.0 / slope, 1.0, 1.0, false).noise;
            let found = simulated(slope, ramps);
            assert!((stated / found - 1.0).abs() < 0.06, "{slope}: {stated} {found}");
        }
    }
}
