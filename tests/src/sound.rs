//! Measurements that are numbers, or reasons why not.

use stillwave::measure::{
    Factors, LevelMethod, Measurements, Meter, SineFit, Spread, StateLevels, Timing, Uncertainty,
    Value, area, gate,
};
use stillwave::{Instant, Sample, Scale, Slope};

fn sound<const N: usize>(values: [Value; N]) {
    for value in values {
        assert!(value.is_err() || value.unwrap().is_finite(), "{value:?}");
    }
}

/// Every measurement there is, of any record, is finite or has a reason.
///
/// # Panics
/// Where one is neither.
pub fn assert_sound<T: Sample>(samples: &[T], meter: &Meter) {
    let scale = Scale::new(-1e-3, 12.5).unwrap();
    let found = meter.measure(samples);
    for Measurements {
        minimum,
        maximum,
        peak_to_peak,
        mean,
        rms,
        ac_rms,
        low,
        high,
        amplitude,
        mid_reference,
        timing,
        ..
    } in [found, found.scaled(scale).timed(1e6).unwrap()]
    {
        sound([minimum, maximum, peak_to_peak, mean, rms, ac_rms]);
        sound([low, high, amplitude, mid_reference]);
        for timing in [timing, timing.resolution()] {
            let Timing { period, frequency, duty, positive_width, negative_width, .. } = timing;
            sound([period, frequency, duty, positive_width, negative_width]);
            sound([timing.rise_time, timing.fall_time]);
        }
    }
    let sigma = meter.uncertainty(samples, &found);
    for Uncertainty { minimum, mean, rms, low, high, amplitude, mid_reference, timing, .. } in
        [sigma, sigma.scaled(scale).timed(1e6).unwrap()]
    {
        sound([minimum, mean, rms, low, high, amplitude, mid_reference]);
        sound([timing.period, timing.frequency, timing.duty, timing.rise_time, timing.fall_time]);
    }
    assert_eq!(sigma.amplitude.is_ok(), found.amplitude.is_ok());
    if let Some(level) = found.doubts.third_level {
        assert!(level.is_finite());
    }
    spreads_about(&found.timing, meter.spread(samples));
    for method in [LevelMethod::Rest, LevelMethod::Mode, LevelMethod::Mean, LevelMethod::Shorth] {
        let levels = StateLevels::by(method, samples);
        assert!(levels.is_err() || levels.unwrap().amplitude().is_finite());
    }
    for slope in [Slope::Rising, Slope::Falling] {
        let shape = meter.edge_shape(samples, slope);
        sound([shape.duration, shape.slew_rate, shape.overshoot, shape.undershoot]);
        sound([shape.preshoot, shape.settling]);
        let delay = meter.delay(samples, slope, samples, Slope::Rising);
        sound([delay.delay, delay.phase]);
    }
    if let Ok(cycles) = meter.over_cycles(samples) {
        sound([cycles.mean, cycles.rms, cycles.ac_rms].map(Ok));
    }
    if let Ok(factors) = Factors::of(samples, 0.5) {
        sound([factors.crest, factors.form, factors.rectified_mean].map(Ok));
    }
    sound([area(samples, 0.5)]);
    for fit in [SineFit::of(samples), SineFit::three_parameters(samples, 0.1)].iter().flatten() {
        sound([fit.amplitude, fit.phase, fit.offset, fit.residual_rms].map(Ok));
        sound([fit.sinad(), fit.enob(65536.0)]);
    }
    let part = gate(samples, 5, Instant { position: 7, lead: 1 << 16 }, Instant::at(40));
    assert!(part.len() <= 34);
}

/// The least of each time is at most its mean, and the greatest at least; all have values or none.
fn spreads_about(mean: &Timing, Spread { shortest, longest }: Spread) {
    let times: [fn(&Timing) -> Value; 6] = [
        |t| t.period,
        |t| t.duty,
        |t| t.positive_width,
        |t| t.negative_width,
        |t| t.rise_time,
        |t| t.fall_time,
    ];
    assert_eq!((shortest.cycles, longest.cycles), (mean.cycles, mean.cycles));
    sound([shortest.frequency, longest.frequency]);
    for of in times {
        match (of(&shortest), of(mean), of(&longest)) {
            (Ok(least), Ok(mean), Ok(greatest)) => {
                let rounding = 1e-12 * greatest;
                assert!(least <= mean + rounding && mean <= greatest + rounding);
            }
            (least, mean, greatest) => {
                assert!(least.is_err() && least == mean && greatest == mean, "{least:?} {mean:?}");
            }
        }
    }
}
