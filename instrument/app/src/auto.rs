//! Settings that fit the signal.

use stillwave::suggest::{Means, Pattern, suggest};
use stillwave::{EdgeSlope, Holdoff, Slope};

use crate::steps::{DIVISIONS_ACROSS, DIVISIONS_UP, HOLDOFFS_US, TIMES_US, VOLTS_MV, at_least};
use crate::{FrontEnd, Mode, Settings};

/// Settings for what a record shows: the whole signal within all but one division, its middle in
/// the middle; a trigger that stands still; and across the screen two to five periods, or the burst
/// or the pulse there is.
///
/// Where there is no signal, the level is at what there is and the rest stays.
pub(crate) fn fit(samples: &[u16], front: &FrontEnd, now: Settings) -> Settings {
    let Ok(found) = suggest(&mut &samples[..], Means { filters: false });
    let overview = found.overview;
    if overview.samples == 0 {
        return now;
    }
    let Some(proposal) = found.proposal else {
        let level_mv = front.millivolts(overview.mean);
        return Settings { level_mv, centre_mv: level_mv, mode: Mode::Auto, ..now };
    };
    let (minimum, maximum) = (overview.minimum, overview.maximum);
    let height_mv = front.millivolts(maximum).abs_diff(front.millivolts(minimum));
    let volts_mv = at_least(&VOLTS_MV, height_mv.div_ceil(DIVISIONS_UP - 1));
    // To a tenth of a division, so that the number on the screen is a round one.
    let tenth = (volts_mv / 10).max(1) as i32;
    let round = |mv: i32| (mv + (tenth / 2) * mv.signum()) / tenth * tenth;
    let level = f64::from(proposal.level.level);
    let back = level - f64::from(proposal.level.hysteresis);
    let across = match proposal.pattern {
        // Two at least, five at most: the steps are that wide.
        Pattern::Even { period } => (2.0 * period) as u64,
        _ => proposal.shape.len() as u64,
    };
    let longest = HOLDOFFS_US[HOLDOFFS_US.len() - 1];
    Settings {
        level_mv: front.millivolts(level),
        hysteresis_mv: front.millivolts(level).abs_diff(front.millivolts(back)),
        slope: match proposal.slope {
            Slope::Rising => EdgeSlope::Rising,
            Slope::Falling => EdgeSlope::Falling,
        },
        holdoff_us: match proposal.holdoff {
            Holdoff::Samples(samples) => front.microseconds(samples).min(longest),
            Holdoff::None | Holdoff::Every(_) => 0,
        },
        time_us: at_least(&TIMES_US, front.microseconds(across) / DIVISIONS_ACROSS),
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

    #[test]
    fn a_burst_stands_still() {
        let front = FrontEnd::of_diagram(500_000).unwrap();
        // Five pulses of 100 µs, 300 µs apart, every 6 ms.
        let pulses = |i: i32| i % 3_000 < 700 && i % 150 < 50;
        let samples: Vec<u16> =
            (0..20_000).map(|i| front.counts(if pulses(i) { 5_000 } else { 0 }) as u16).collect();
        let found = fit(&samples, &front, Settings::default());
        // Past the last pulse, before the next burst; the burst fills the screen.
        assert!((1_200..6_000).contains(&found.holdoff_us), "{found:?}");
        assert_eq!(found.time_us, 500, "{found:?}");
        assert!((found.level_mv - 2_500).abs() < 50, "{found:?}");
    }
}
