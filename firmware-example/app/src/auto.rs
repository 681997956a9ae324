//! Settings that fit the signal.

use stillwave::EdgeSlope;
use stillwave::measure::measure;

use crate::steps::{DIVISIONS_ACROSS, DIVISIONS_UP, TIMES_US, VOLTS_MV, at_least};
use crate::{FrontEnd, Mode, Settings};

/// Less than so many counts from peak to peak is taken for noise.
const NOISE: f64 = 8.0;

/// Settings for what a record shows: the whole signal within all but one division, its middle in
/// the middle, two to five periods across, rising through half its height.
///
/// Where there is no signal, the level is at what there is and the rest stays.
pub(crate) fn fit(samples: &[u16], front: &FrontEnd, now: Settings) -> Settings {
    let found = measure(samples);
    let (Ok(minimum), Ok(maximum), Ok(mean)) = (found.minimum, found.maximum, found.mean) else {
        return now;
    };
    if maximum - minimum < NOISE {
        let level_mv = front.millivolts(mean);
        return Settings { level_mv, centre_mv: level_mv, mode: Mode::Auto, ..now };
    }
    let middle = match (found.low, found.high) {
        (Ok(low), Ok(high)) => f64::midpoint(low, high),
        _ => f64::midpoint(minimum, maximum),
    };
    let height_mv = front.millivolts(maximum).abs_diff(front.millivolts(minimum));
    let volts_mv = at_least(&VOLTS_MV, height_mv.div_ceil(DIVISIONS_UP - 1));
    let time_us = match found.timing.period {
        Ok(period) => {
            let period_us = period * 1e6 / f64::from(front.rate);
            at_least(&TIMES_US, (2.0 * period_us / f64::from(DIVISIONS_ACROSS)) as u32)
        }
        Err(_) => now.time_us,
    };
    // To a tenth of a division, so that the number on the screen is a round one.
    let tenth = (volts_mv / 10).max(1) as i32;
    let round = |mv: i32| (mv + (tenth / 2) * mv.signum()) / tenth * tenth;
    Settings {
        level_mv: front.millivolts(middle),
        hysteresis_mv: height_mv / 10,
        slope: EdgeSlope::Rising,
        holdoff_us: 0,
        time_us,
        volts_mv,
        centre_mv: round(front.millivolts(f64::midpoint(minimum, maximum))),
        mode: Mode::Auto,
    }
}

#[cfg(test)]
mod tests {
    use super::fit;
    use crate::{FrontEnd, Mode, Settings};

    #[test]
    fn a_sine_fills_the_screen() {
        let front = FrontEnd::of_diagram(500_000).unwrap();
        // 440 Hz, 2 V to either side of 1 V.
        let sine: Vec<u16> = (0..20_000)
            .map(|i| {
                let phase = f64::from(i) / 500e3 * 440.0 * std::f64::consts::TAU;
                front.counts((1_000.0 + 2_000.0 * phase.sin()) as i32) as u16
            })
            .collect();
        let before = Settings { mode: Mode::Single, holdoff_us: 500, ..Settings::default() };
        let found = fit(&sine, &front, before);
        assert!((found.level_mv - 1_000).abs() < 20, "{found:?}");
        assert_eq!((found.volts_mv, found.time_us), (2_000, 1_000));
        assert_eq!((found.centre_mv, found.holdoff_us, found.mode), (1_000, 0, Mode::Auto));
    }

    #[test]
    fn nothing_is_made_of_noise() {
        let front = FrontEnd::of_diagram(500_000).unwrap();
        let noise: Vec<u16> = (0..20_000).map(|i| 2_000 + i % 3).collect();
        let found = fit(&noise, &front, Settings::default());
        assert_eq!(found.volts_mv, Settings::default().volts_mv);
        assert!((found.level_mv - front.millivolts(2_001.0)).abs() < 10);
    }
}
