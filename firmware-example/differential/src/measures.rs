//! Every measurement by name: of some records that are made here, and of any.

use stillwave::expect::{Mask, MaskPoint};
use stillwave::measure::{
    Doubts, EdgeShape, Factors, Lissajous, Measurements, Meter, Reason, SineFit, Spectrum,
    Statistics, Uncertainty, Value, Window, area,
};
use stillwave::{Sample, Slope};

/// Samples in a record.
const LENGTH: usize = 1024;

/// Measures everything; `each` is given the record, what was measured, and the value.
pub fn all(mut each: impl FnMut(&str, &str, Value)) {
    let mut wave = [0.0_f64; LENGTH];
    let mut later = [0.0_f64; LENGTH];
    sine(&mut wave, 1.0, 0.1);
    sine(&mut later, 0.8, 0.4);
    of_type::<u8>("u8", &wave, &later, (100.0, 128.0), &mut each);
    of_type::<u16>("u16", &wave, &later, (1800.0, 2048.0), &mut each);
    of_type::<i16>("i16", &wave, &later, (30_000.0, -12.0), &mut each);
    of_type::<i32>("i32", &wave, &later, (2e9, 77.0), &mut each);
    of_type::<f32>("f32", &wave, &later, (1.65, 0.3), &mut each);
    // Pulses with a corner at their foot, and ringing.
    let (mut level, mut speed) = (0.0, 0.0);
    for (index, x) in wave.iter_mut().enumerate() {
        let target = if index / 97 % 2 == 1 { 1.0 } else { 0.0 };
        speed += 0.09 * (target - level) - 0.25 * speed;
        level += speed;
        *x = level;
    }
    // Noise, by whole numbers, and samples that stand apart.
    let mut noisy = later;
    let mut state = 1_u32;
    for (index, x) in noisy.iter_mut().enumerate() {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        *x += f64::from(state >> 16) / 65536.0 - 0.5;
        if index == 500 {
            *x = 12.0;
        }
    }
    of_type::<u16>("u16 noisy", &noisy, &later, (900.0, 2048.0), &mut each);
    of_type::<i32>("i32 noisy", &noisy, &later, (1e8, 77.0), &mut each);
    of_type::<f32>("f32 noisy", &noisy, &later, (1.65, 0.3), &mut each);
    of_type::<u16>("u16 pulses", &wave, &later, (2500.0, 500.0), &mut each);
    of_type::<i32>("i32 pulses", &wave, &later, (1e8, 500.0), &mut each);
    of_type::<f32>("f32 pulses", &wave, &later, (2.5, 0.5), &mut each);
}

/// A sine of some 41 samples a period by its recurrence, in basic operations alone: the same on
/// every machine. `first` and `second` are its first values.
fn sine(samples: &mut [f64], size: f64, phase: f64) {
    // 2 cos(2π/41.3)
    const TURN: f64 = 1.976_899_126_8;
    let (mut before, mut this) = (size * phase, size * (phase + 0.15));
    for x in samples {
        *x = this;
        (before, this) = (this, TURN * this - before);
    }
}

fn of_type<T: Sample>(
    record: &str,
    wave: &[f64; LENGTH],
    later: &[f64; LENGTH],
    (size, middle): (f64, f64),
    each: &mut impl FnMut(&str, &str, Value),
) {
    let sample = |x: &f64| {
        // To the nearest count, and an f32 as it is.
        let exact = T::wide_from_f64(x * size / 4.0 + middle);
        exact.and_then(T::at_or_over).unwrap_or_default()
    };
    let mut samples = [T::default(); LENGTH];
    let mut others = [T::default(); LENGTH];
    for ((place, other), (x, y)) in samples.iter_mut().zip(&mut others).zip(wave.iter().zip(later))
    {
        (*place, *other) = (sample(x), sample(y));
    }
    let mut each = |name: &str, value: Value| each(record, name, value);
    of_record(&samples, &others, middle, &mut each);
    fits(&samples, &others, &mut each);
}

/// Measures a record, with another beside it and about a middle, by all but [`fits`].
pub fn of_record<T: Sample>(
    samples: &[T],
    others: &[T],
    middle: f64,
    each: &mut impl FnMut(&str, Value),
) {
    let meter = Meter::default();
    let found = meter.measure(samples);
    basic(&found, each);
    doubts(&found.doubts, each);
    uncertainty(&meter.uncertainty(samples, &found), each);
    for (name, slope) in [("rise", Slope::Rising), ("fall", Slope::Falling)] {
        shape(name, &meter.edge_shape(samples, slope), each);
    }
    let factors = Factors::of(samples, middle);
    each("crest", factors.map(|found| found.crest));
    each("form", factors.map(|found| found.form));
    each("area", area(samples, middle));
    let spread = meter.spread(samples);
    each("shortest width", spread.shortest.positive_width);
    each("greatest duty", spread.longest.duty);
    each("longest fall", spread.longest.fall_time);
    each("cycles' RMS", meter.over_cycles(samples).map(|found| found.ac_rms));
    each("delay", meter.delay(samples, Slope::Rising, others, Slope::Rising).delay);
    mask(samples, each);
}

/// Measures a record by what takes chips without floating point long: fits and spectra.
pub fn fits<T: Sample>(samples: &[T], others: &[T], each: &mut impl FnMut(&str, Value)) {
    let fit = SineFit::of(samples);
    each("sine frequency", fit.map(|fit| fit.frequency));
    each("sine amplitude", fit.map(|fit| fit.amplitude));
    each("sine residual", fit.map(|fit| fit.residual_rms));
    let ellipse = Lissajous::of(samples, others);
    each("ellipse phase", ellipse.map(|ellipse| ellipse.phase));
    spectrum(samples, each);
}

fn basic(found: &Measurements, each: &mut impl FnMut(&str, Value)) {
    let timing = &found.timing;
    for (name, value) in [
        ("minimum", found.minimum),
        ("maximum", found.maximum),
        ("mean", found.mean),
        ("RMS", found.rms),
        ("AC RMS", found.ac_rms),
        ("low", found.low),
        ("high", found.high),
        ("low reference", found.low_reference),
        ("period", timing.period),
        ("frequency", timing.frequency),
        ("duty", timing.duty),
        ("positive width", timing.positive_width),
        ("negative width", timing.negative_width),
        ("rise time", timing.rise_time),
        ("fall time", timing.fall_time),
    ] {
        each(name, value);
    }
}

fn doubts(found: &Doubts, each: &mut impl FnMut(&str, Value)) {
    let Doubts {
        low_does_not_rest,
        high_does_not_rest,
        left_out,
        third_level,
        amplitude_changes,
        period_varies,
        still_ringing,
        too_few_samples,
        low_at_end_code,
        high_at_end_code,
    } = *found;
    for (name, is) in [
        ("low does not rest", low_does_not_rest),
        ("high does not rest", high_does_not_rest),
        ("amplitude changes", amplitude_changes),
        ("still ringing", still_ringing),
        ("too few samples", too_few_samples),
        ("low at end code", low_at_end_code),
        ("high at end code", high_at_end_code),
    ] {
        each(name, Ok(f64::from(u8::from(is))));
    }
    each("left out", Ok(left_out.into()));
    each("third level", third_level.ok_or(Reason::OneLevel));
    each("period varies", period_varies.ok_or(Reason::NotEnoughCycles));
}

fn uncertainty(found: &Uncertainty, each: &mut impl FnMut(&str, Value)) {
    let timing = &found.timing;
    for (name, value) in [
        ("sigma of minimum", found.minimum),
        ("sigma of mean", found.mean),
        ("sigma of RMS", found.rms),
        ("sigma of AC RMS", found.ac_rms),
        ("sigma of low", found.low),
        ("sigma of amplitude", found.amplitude),
        ("sigma of mid reference", found.mid_reference),
        ("sigma of period", timing.period),
        ("sigma of frequency", timing.frequency),
        ("sigma of duty", timing.duty),
        ("sigma of positive width", timing.positive_width),
        ("sigma of rise time", timing.rise_time),
        ("sigma of fall time", timing.fall_time),
    ] {
        each(name, value);
    }
}

fn shape(name: &str, found: &EdgeShape, each: &mut impl FnMut(&str, Value)) {
    each(name, found.duration);
    each("slew rate", found.slew_rate);
    each("overshoot", found.overshoot);
    each("undershoot", found.undershoot);
    each("preshoot", found.preshoot);
    each("settling", found.settling);
}

fn spectrum<T: Sample>(samples: &[T], each: &mut impl FnMut(&str, Value)) {
    let mut buffer = [0.0; LENGTH];
    for window in [Window::Hann, Window::BlackmanHarris] {
        let found = Spectrum::of(samples, window, &mut buffer);
        each("bin 25", found.map(|found| found.power(25)));
        let found = found.and_then(|found| found.distortion());
        each("THD", found.and_then(|found| found.thd));
        each("SINAD", found.and_then(|found| found.sinad));
        each("SNR", found.and_then(|found| found.snr));
    }
}

fn mask<T: Sample>(samples: &[T], each: &mut impl FnMut(&str, Value)) {
    let Ok(found) = Statistics::of(samples) else { return };
    let levels = [found.maximum, found.mean, found.minimum].map(T::wide_from_f64);
    let [Some(top), Some(middle), Some(bottom)] = levels else { return };
    let upper = [(0, top), (1_234_567, middle), (60_000_001, top)];
    let lower = [(-99, bottom), (50_000_000, bottom)];
    let point = |(time, level)| MaskPoint { time, level };
    let (upper, lower) = (upper.map(point), lower.map(point));
    let Ok(mask) = Mask::<T>::new(&upper, &lower) else { return };
    let found = mask.test(samples, -77_777);
    each("mask margin", found.margin);
    each("outside the mask", Ok(found.outside as f64));
    let first = found.first.ok_or(Reason::Empty);
    each("first outside", first.map(|first| first.index as f64));
}
