//! Decimators against closed forms (`reference` values with their sources beside them).

use std::f64::consts::{LN_2, PI};

use stillwave::decimate::{
    Average, Boxcar, Cic, Decimator, Envelope, Every, Extent, Fir, LowPass, RecordEnvelope, SinX,
    Weight, linear, magnitude,
};
use stillwave::measure::Statistics;
use stillwave::{Edge, Holdoff, Instant, Level, Scale, Slope, Span, Trigger};
use stillwave_tests::dice::Dice;

fn outputs<D: Decimator>(decimator: &mut D, samples: &[D::Input]) -> Vec<D::Output> {
    let mut outputs = vec![];
    for block in samples.chunks(997) {
        decimator.push(block, |output| outputs.push(output));
    }
    outputs
}

fn sine(frequency: f64, amplitude: f64, len: usize) -> Vec<i16> {
    let value = |i: usize| (amplitude * (2.0 * PI * frequency * i as f64 + 0.3).sin()).round();
    (0..len).map(|i| value(i) as i16).collect()
}

fn rms(samples: &[i32]) -> f64 {
    Statistics::of(samples).unwrap().rms
}

/// About normally distributed, of deviation 1: the sum of twelve equal distributions less its mean.
fn normal(dice: &mut Dice) -> f64 {
    (0..12).map(|_| (dice.bits() >> 11) as f64 / (1_u64 << 53) as f64).sum::<f64>() - 6.0
}

/// |sin(πfR)/sin(πf)|^N, gain R^N, growth ⌈N·log2 R⌉; R = 8, N = 3: gain 512, 9 bits, −11.60 dB at
/// half the output rate (textbook).
#[test]
fn cic_response_is_the_closed_form() {
    let cic = Cic::<i16>::new(3, 8).unwrap();
    assert_eq!((cic.gain(), cic.gained_bits()), (512.0, 9));
    for (order, step) in [(3, 8), (1, 10), (5, 4), (4, 6), (2, 32)] {
        for part in [0.05, 0.2, 0.4] {
            let frequency = part / f64::from(step);
            let samples = sine(frequency, 30_000.0, 80_000);
            let found = outputs(&mut Cic::<i16>::new(order, step).unwrap(), &samples);
            let ratio = (PI * frequency * f64::from(step)).sin() / (PI * frequency).sin();
            let expected = ratio.abs().powi(order as i32) * 30_000.0 / 2_f64.sqrt();
            let error = rms(&found) / expected - 1.0;
            assert!(error.abs() < 1e-3, "order {order}, step {step}: {error}");
        }
    }
    let at_half = ((PI * 0.5).sin() / (PI * 0.5 / 8.0).sin() / 8.0_f64).powi(3);
    assert!((20.0 * at_half.log10() + 11.60).abs() < 0.005);
    // Just below, where a sine is not sampled in its zeros.
    let samples = sine(0.4999 / 8.0, 30_000.0, 400_000);
    let found = outputs(&mut Cic::<i16>::new(3, 8).unwrap(), &samples);
    let gain = rms(&found) * 2_f64.sqrt() / 30_000.0 / 512.0;
    assert!((20.0 * gain.log10() + 11.60).abs() < 0.01, "{}", 20.0 * gain.log10());
}

/// White noise becomes 1/√n, the signal stays: ½·log2(n) bits (textbook).
#[test]
fn a_boxcar_gains_half_a_bit_an_octave() {
    let mut dice = Dice::new(5);
    let noise: Vec<u16> =
        (0..1 << 20).map(|_| (2048.0 + 40.0 * normal(&mut dice)) as u16).collect();
    let before = Statistics::of(&noise).unwrap().ac_rms;
    for step in [4, 16, 64, 256] {
        let sums = outputs(&mut Boxcar::<u16>::new(step).unwrap(), &noise);
        let after = Statistics::of(&sums).unwrap().ac_rms / f64::from(step);
        let gained = (before / after).ln() / LN_2;
        let expected = 0.5 * f64::from(step).log2();
        // Of so many outputs a deviation is known to 1/√(2n).
        let bound = 4.0 / (2.0 * sums.len() as f64).sqrt() / LN_2;
        assert!((gained - expected).abs() < bound, "{step}: {gained}");
    }
}

/// Records with a random fraction of a sample: the mean of n has 1/√n of the noise, and the edge
/// stays where and as steep as it is.
#[test]
fn an_average_of_records_stands_and_quietens() {
    let mut dice = Dice::new(6);
    let (records, pre, len, slope) = (400, 20, 64, 100.0);
    let mut average = Average::<i16, _>::new(Weight::Plain, vec![0; len - 1]).unwrap();
    let mut fading =
        Average::<i16, _>::new(Weight::Exponential { shift: 4 }, vec![0; len - 1]).unwrap();
    let mut real = Average::<f32, _>::new(Weight::Plain, vec![0.0; len - 1]).unwrap();
    for _ in 0..records {
        // A ramp that passes 0 `lead` before sample `pre`.
        let lead = dice.below(65536) as u32;
        let zero = f64::from(pre) - f64::from(lead) / 65536.0;
        let value = |i: usize, dice: &mut Dice| (i as f64 - zero) * slope + 50.0 * normal(dice);
        let record: Vec<f64> = (0..len).map(|i| value(i, &mut dice)).collect();
        let whole: Vec<i16> = record.iter().map(|x| x.round() as i16).collect();
        assert!(average.push(&whole, lead) && fading.push(&whole, lead));
        assert!(real.push(&record.iter().map(|&x| x as f32).collect::<Vec<_>>(), lead));
    }
    let deviation = |average: &dyn Fn(usize) -> f64| {
        let ideal = |j: usize| (j + 1) as f64 - f64::from(pre);
        let squares = (0..len - 1).map(|j| (average(j) - ideal(j) * slope).powi(2)).sum::<f64>();
        (squares / (len - 1) as f64).sqrt()
    };
    // Between two samples noise is less: by √(2/3) on average (reference of the trade).
    let expected = 50.0 * (2.0 / 3.0_f64).sqrt() / f64::from(records).sqrt();
    let plain = deviation(&|j| average.value(j).unwrap());
    assert!((plain / expected - 1.0).abs() < 0.35, "{plain} {expected}");
    let floats = deviation(&|j| real.value(j).unwrap());
    assert!((floats / plain - 1.0).abs() < 0.05, "{floats} {plain}");
    // Weights of (1/16)·(15/16)^k: as few as 31 records.
    let few = deviation(&|j| fading.value(j).unwrap());
    let expected = 50.0 * (2.0 / 3.0 / 31.0_f64).sqrt();
    assert!((few / expected - 1.0).abs() < 0.35, "{few} {expected}");
}

#[test]
fn averages_of_one_record_are_on_its_lines() {
    let record = [-8_i16, 100, 7, -32768, 32767];
    for lead in [0, 1, 0x4000, 0xffff, 0x10000] {
        let mut average = Average::<i16, _>::new(Weight::Plain, [0; 9]).unwrap();
        average.push(&record, lead);
        assert_eq!(average.len(), 4);
        for j in 0..4 {
            let at = (j + 1) as f64 - f64::from(lead) / 65536.0;
            assert_eq!(average.value(j), linear(&record, at), "{lead} {j}");
        }
        assert_eq!(average.value(4), None);
    }
}

#[test]
fn an_average_passes_by_what_is_no_number() {
    for weight in [Weight::Plain, Weight::Exponential { shift: 1 }] {
        let mut average = Average::<f32, _>::new(weight, [0.0; 2]).unwrap();
        average.push(&[0.0, f32::NAN, 3.0], 0);
        average.push(&[0.0, 5.0, 3.0], 0);
        average.push(&[0.0, 5.0, f32::INFINITY], 0);
        assert_eq!((average.value(0), average.value(1)), (Some(5.0), Some(3.0)), "{weight:?}");
    }
    assert_eq!(
        Average::<u8, _>::new(Weight::Exponential { shift: 0 }, [0]).unwrap_err().parameter,
        "shift"
    );
}

#[test]
fn an_envelope_of_records_has_every_sample_once() {
    let mut envelope = RecordEnvelope::<u8, _>::new([Extent::EMPTY; 8]);
    assert!(envelope.columns().is_empty());
    envelope.push(&[9, 1, 2, 3], 0);
    envelope.push(&[4, 5, 6, 9], 0xffff);
    let columns: Vec<_> = envelope.columns().iter().map(|e| (e.minimum, e.maximum)).collect();
    assert_eq!((envelope.count(), columns), (2, vec![(1, 4), (2, 5), (3, 6)]));
    envelope.reset();
    envelope.push(&[7, 7], 0);
    assert_eq!(envelope.columns(), [Extent { minimum: 7, maximum: 7 }]);
}

/// Both bands keep what is stated, as `f32` and in Q15 as far as that goes.
#[test]
fn low_passes_keep_their_word() {
    for attenuation in [30.0, 40.0, 50.0, 55.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0] {
        for (pass, stop) in
            [(0.05, 0.075), (0.2, 0.3), (0.01, 0.02), (0.4, 0.48), (0.1, 0.4), (0.02, 0.2)]
        {
            let low_pass = LowPass::new(pass, stop, attenuation).unwrap();
            let mut room = vec![0.0; low_pass.taps()];
            check(low_pass, low_pass.fill(&mut room).unwrap());
            if attenuation <= 60.0 {
                let mut room = vec![0; low_pass.taps()];
                let taps = low_pass.fill_q15(&mut room).unwrap();
                assert_eq!(taps.iter().map(|&tap| i32::from(tap)).sum::<i32>(), 32768);
                let taps: Vec<f32> = taps.iter().map(|&tap| f32::from(tap) / 32768.0).collect();
                check(low_pass, &taps);
            }
        }
    }
}

fn check(low_pass: LowPass, taps: &[f32]) {
    let decibels = |gain: f64| 20.0 * gain.log10();
    for i in 0..=200 {
        let along = f64::from(i) / 200.0;
        let pass = decibels(magnitude(taps, low_pass.pass * along));
        assert!(pass.abs() <= low_pass.ripple(), "{low_pass:?}: {pass} dB");
        let stop = low_pass.stop + (0.5 - low_pass.stop) * along;
        let stop = decibels(magnitude(taps, stop));
        assert!(stop <= -low_pass.attenuation, "{low_pass:?}: {stop} dB");
    }
    assert!((magnitude(taps, 0.0) - 1.0).abs() < 1e-6);
}

#[test]
fn every_second_weight_of_a_half_band_is_nothing() {
    let low_pass = LowPass::half_band(0.2, 60.0).unwrap();
    let mut room = [0; 99];
    let taps = low_pass.fill_q15(&mut room).unwrap();
    let middle = taps.len() / 2;
    for (i, &tap) in taps.iter().enumerate() {
        let off = i.abs_diff(middle);
        assert_eq!(tap == 0, off != 0 && off % 2 == 0, "{i}: {tap}");
    }
}

#[test]
fn low_passes_that_cannot_be_are_refused() {
    for (pass, stop, attenuation, parameter) in [
        (0.0, 0.1, 60.0, "pass"),
        (0.2, 0.1, 60.0, "pass"),
        (0.2, 0.6, 60.0, "stop"),
        (0.2, f64::NAN, 60.0, "stop"),
        (0.2, 0.3, 10.0, "attenuation"),
    ] {
        assert_eq!(LowPass::new(pass, stop, attenuation).unwrap_err().parameter, parameter);
    }
    assert_eq!(LowPass::half_band(0.3, 60.0).unwrap_err().parameter, "pass");
    assert_eq!(LowPass::for_step(1, 60.0).unwrap_err().parameter, "step");
    let few = LowPass::for_step(4, 60.0).unwrap().fill(&mut [0.0; 5]).unwrap_err();
    assert_eq!(few.parameter, "room for taps");
}

/// A ramp passes its level at the same instant of the original samples, whatever it went through.
#[test]
fn triggers_behind_a_decimator_tell_true_positions() {
    let slope = 3;
    let samples: Vec<i16> = (0..8000).map(|i| (i * slope - 12_000) as i16).collect();
    let expected = (12_000.0 + 1_234.5) / f64::from(slope);
    let mut taps = vec![0; 2000];
    let taps = LowPass::for_step(12, 50.0).unwrap().fill_q15(&mut taps).unwrap().to_vec();
    let (filter, memory) = (taps.clone(), vec![0; taps.len()]);
    let instant = |found: f64, name: &str| {
        assert!((found - expected).abs() < 0.4 / f64::from(slope), "{name}: {found} {expected}");
    };
    let boxcar = Boxcar::<i16>::new(10).unwrap();
    instant(crossing(boxcar, &samples), "boxcar");
    instant(crossing(Cic::<i16>::new(3, 7).unwrap(), &samples), "cic");
    instant(crossing(Cic::<i16>::new(4, 6).unwrap(), &samples), "cic of even span");
    instant(crossing(Fir::<i16, _, _>::new(filter, 12, 8, memory).unwrap(), &samples), "fir");
}

fn crossing<D: Decimator<Input = i16, Output = i32>>(mut decimator: D, samples: &[i16]) -> f64 {
    let scale = Scale::VOLTS.amplified(decimator.gain()).unwrap();
    let level = Level::new(scale.counts(1_234.5).round() as i64, 0).unwrap();
    let edge = Edge::<i32>::new(Slope::Rising, level).unwrap();
    let mut trigger = Trigger::new(edge, Holdoff::None).unwrap();
    let outputs = outputs(&mut decimator, samples);
    let mut found = vec![];
    trigger.push(&outputs, |event| found.push(decimator.grid().original(event.at)));
    assert_eq!(found.len(), 1);
    found[0].samples()
}

#[test]
fn instants_on_the_grid_are_exact() {
    let grid = Cic::<u8>::new(2, 4).unwrap().grid();
    assert_eq!((grid.step(), grid.span(), grid.first(5)), (4, 7, 20));
    assert_eq!(grid.delay(), Span::samples(3));
    for (position, lead) in [(0, 0), (1, 1), (7, 0x8000), (9, 0x10000), (1 << 40, 0xabcd)] {
        let at = Instant { position, lead };
        let found = grid.original(at);
        let parts = |at: Instant| i128::from(at.position) * 65536 - i128::from(at.lead);
        assert_eq!(parts(found), parts(at) * 4 + 3 * 65536);
        assert!(found.lead < 65536);
    }
    let grid = Envelope::<u8>::new(10).unwrap().grid();
    assert_eq!(grid.instant(2).samples(), 24.5);
    assert_eq!((grid.rate(1e6), grid.original_span(Span::samples(3))), (1e5, Span::samples(30)));
    assert_eq!(Every::<u8>::new(10).unwrap().grid().instant(2), Instant::at(20));
}

/// Sines up to 0.4 of the rate, to 0.6 % of the amplitude; samples themselves, exactly.
#[test]
fn sin_x_over_x_makes_sines_whole() {
    let sin_x = SinX::new(8).unwrap();
    for frequency in [0.01, 0.1, 0.25, 0.33, 0.4] {
        let value = |t: f64| 10_000.0 * (2.0 * PI * frequency * t + 1.0).sin();
        let samples: Vec<f32> = (0..100).map(|i| value(f64::from(i)) as f32).collect();
        for i in 0..800 {
            let at = 10.0 + f64::from(i) / 10.0;
            let error = sin_x.value(&samples, at).unwrap() - value(at);
            assert!(error.abs() < 60.0, "{frequency} at {at}: {error}");
        }
        assert_eq!(sin_x.value(&samples, 17.0), Some(f64::from(samples[17])));
    }
    assert_eq!(sin_x.value(&[7_u8; 4], 0.5).map(|x| (x * 1e9).round()), Some(7e9));
    for at in [-0.1, 3.1, f64::NAN] {
        assert_eq!((sin_x.value(&[7_u8; 4], at), linear(&[7_u8; 4], at)), (None, None));
    }
    assert_eq!((sin_x.value::<u8>(&[], 0.0), linear(&[3_u8], 0.0)), (None, Some(3.0)));
    assert_eq!(SinX::new(1).unwrap_err().parameter, "lobes");
}
