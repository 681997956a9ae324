//! What stands before the engine: the converter and its divider.

use stillwave::{ConfigError, Scale};

use crate::steps::DIVISIONS_ACROSS;

/// The converter's rate and scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrontEnd {
    /// Samples a second.
    pub rate: u32,
    /// The highest code; the lowest is 0.
    pub highest: u16,
    /// Counts to volts at the probe's tip.
    pub scale: Scale,
}

impl FrontEnd {
    /// A converter of 12 bits over 3.3 V behind the divider of the wiring diagram, which brings
    /// −20…20 V to 0.15…3.18 V.
    ///
    /// # Errors
    /// Not for these values.
    pub fn of_diagram(rate: u32) -> Result<Self, ConfigError> {
        const REFERENCE: f64 = 3.3;
        // In µS: from the probe, to the reference, to ground.
        const PROBE: f64 = 1.0;
        const UP: f64 = 1.0 / 0.150;
        const DOWN: f64 = 1.0 / 0.180;
        // pin = (probe · PROBE + REFERENCE · UP) / (PROBE + UP + DOWN)
        const DIVIDED: f64 = (PROBE + UP + DOWN) / PROBE;
        let zero = 4096.0 * UP / (PROBE + UP + DOWN);
        let scale =
            Scale::of_converter(12, REFERENCE)?.with_attenuation(DIVIDED)?.with_zero(zero)?;
        Ok(Self { rate, highest: 4095, scale })
    }

    /// Millivolts at the probe as counts, to the nearest.
    pub fn counts(&self, millivolts: i32) -> i32 {
        libm::round(self.scale.counts(f64::from(millivolts) / 1e3)) as i32
    }

    /// A difference of millivolts as counts, to the nearest.
    pub fn count_difference(&self, millivolts: u32) -> i32 {
        libm::round(self.scale.count_difference(f64::from(millivolts) / 1e3)) as i32
    }

    /// Counts in millivolts at the probe, to the nearest.
    pub fn millivolts(&self, counts: f64) -> i32 {
        libm::round(self.scale.volts(counts) * 1e3) as i32
    }

    /// The whole number of samples that covers so many microseconds.
    pub fn samples(&self, microseconds: u32) -> u64 {
        (u64::from(microseconds) * u64::from(self.rate)).div_ceil(1_000_000)
    }

    /// The longest time a division, in microseconds, of a record of so many samples.
    pub fn longest_division(&self, longest: usize) -> u32 {
        // All but a sample on either side.
        let samples = longest.saturating_sub(2) as u64;
        let rate = u64::from(self.rate.max(1));
        let microseconds = samples.saturating_mul(1_000_000) / rate / u64::from(DIVISIONS_ACROSS);
        u32::try_from(microseconds).unwrap_or(u32::MAX)
    }

    /// The whole number of microseconds that covers so many samples.
    pub fn microseconds(&self, samples: u64) -> u32 {
        let rate = u64::from(self.rate.max(1));
        let microseconds = samples.saturating_mul(1_000_000).div_ceil(rate);
        u32::try_from(microseconds).unwrap_or(u32::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::FrontEnd;

    #[test]
    fn twenty_volts_stay_within_the_converter() {
        let front = FrontEnd::of_diagram(500_000).unwrap();
        // 0.151 V, 1.664 V and 3.177 V at the pin.
        let ends = [-20_000, 0, 20_000].map(|mv| front.counts(mv));
        assert_eq!(ends, [188, 2_065, 3_943]);
        assert!((front.scale.volts_per_count - 0.010_652).abs() < 1e-6);
        let there_and_back = front.millivolts(f64::from(front.counts(1_650)));
        assert!(there_and_back.abs_diff(1_650) <= 6);
        assert_eq!(front.samples(1), 1);
        assert_eq!(front.samples(80_000), 40_000);
    }
}
