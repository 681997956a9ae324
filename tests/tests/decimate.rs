//! Decimators against plain loops over the whole stream, however it is cut and whatever is lost.

use proptest::collection::vec;
use proptest::prelude::*;
use stillwave::decimate::{Boxcar, Cic, Decimator, Envelope, Every, Fir, LowPass};
use stillwave::{ConfigError, Instant};
use stillwave_tests::decimators::{Case, Whole, boxcar, cic, envelope, every, fir, run};
use stillwave_tests::dice::Dice;
use stillwave_tests::for_every_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::oracle::decimate::in_strands;
use stillwave_tests::plan::{Step, actions, after, far, lengths, lost, plan};
use stillwave_tests::signal::{Recipe, recipe};

fn case<T: Kind>() -> impl Strategy<Value = Case<T>> {
    let step = prop_oneof![1..9_u32, 9..70_u32, 70..700_u32];
    let gap = prop_oneof![3 => 0..2000_u64, 1 => lost()];
    let gaps = (far(), actions(gap, 3, 2500)).prop_map(|(far, gaps)| after(far, |lost| lost, gaps));
    let stream = (recipe(4, 900), lengths(), gaps);
    (step, stream, any::<u64>()).prop_map(|(step, (recipe, lengths, gaps), seed)| Case {
        step,
        samples: samples(&recipe, seed),
        lengths,
        gaps,
        seed,
    })
}

fn samples<T: Kind>(recipe: &Recipe, seed: u64) -> Vec<T> {
    let mut dice = Dice::new(seed);
    let (level, hysteresis) = (T::level(&mut dice), T::hysteresis(&mut dice));
    recipe.samples(level, hysteresis)
}

for_every_type!(every_nth: every over case, 300);
for_every_type!(extremes: envelope over case, 500);

macro_rules! for_whole_numbers {
    ($name:ident: $check:ident, $cases:expr) => {
        mod $name {
            use super::*;
            for_every_type!(@ $check, case, $cases,
                u8_samples u8, i8_samples i8, u16_samples u16, i16_samples i16,
                u32_samples u32, i32_samples i32);
        }
    };
}

for_whole_numbers!(sums: boxcar, 300);
for_whole_numbers!(sums_of_moving_sums: cic, 300);
for_whole_numbers!(weighted_sums: fir, 300);

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn f32_sums_are_of_sixteen_strands(case in case::<f32>()) {
        let (found, stream, _) = run(Boxcar::new(case.step).unwrap(), &case);
        let expected = stream.whole(case.step.into(), case.step.into());
        let expected: Vec<_> =
            expected.iter().map(|(k, samples)| (*k, same(in_strands(samples, 16)))).collect();
        let found: Vec<_> = found.iter().map(|(k, sum)| (*k, same(*sum))).collect();
        prop_assert_eq!(found, expected);
    }

    #[test]
    fn f32_weighted_sums_are_of_eight_strands(
        case in case::<f32>(),
        taps in vec(-1.0..1.0_f32, 1..130),
    ) {
        let fir = Fir::new(taps.clone(), case.step, 0, vec![0.0; taps.len() + 3]).unwrap();
        let (found, stream, _) = run(fir, &case);
        let expected = stream.whole(case.step.into(), taps.len() as u64);
        let of = |samples: &[f32]| {
            let products: Vec<f32> = samples.iter().zip(&taps).map(|(x, tap)| x * tap).collect();
            same(in_strands(&products, 8))
        };
        let expected: Vec<_> = expected.iter().map(|(k, samples)| (*k, of(samples))).collect();
        let found: Vec<_> = found.iter().map(|(k, y)| (*k, same(*y))).collect();
        prop_assert_eq!(found, expected);
    }

    #[test]
    fn no_spike_is_lost(at in 0..5000_usize, step in 1..900_u32, cut in 1..600_usize) {
        let mut samples = vec![2000_u16; 5000];
        samples[at] = 2001;
        let mut envelope = Envelope::new(step).unwrap();
        let mut extents = vec![];
        for block in samples.chunks(cut) {
            envelope.push(block, |extent| extents.push(extent));
        }
        extents.extend(envelope.finish());
        let spikes: Vec<_> = (0..).zip(&extents).filter(|(_, e)| e.maximum == 2001).collect();
        prop_assert_eq!(spikes.len(), 1);
        let first = envelope.grid().first(spikes[0].0);
        prop_assert!((first..first + u64::from(step)).contains(&(at as u64)));
    }
}

/// All bits, but any number that is none as one.
fn same(x: f32) -> u32 {
    if x.is_nan() { f32::NAN.to_bits() } else { x.to_bits() }
}

/// Outputs as words, so that numbers that are none can be compared too.
fn words<O: std::fmt::Debug>(outputs: &[O]) -> Vec<String> {
    outputs.iter().map(|output| format!("{output:?}")).collect()
}

/// After a reset anywhere the rest is decimated as if nothing had been before it.
fn as_new<D: Decimator<Input: Kind, Output: std::fmt::Debug> + Clone>(
    fresh: &D,
    case: &Case<D::Input>,
) -> Result<(), TestCaseError> {
    let (first, rest) = case.samples.split_at(case.seed as usize % (1 + case.samples.len()));
    let mut used = fresh.clone();
    let mut outputs = vec![];
    for step in plan(first.len(), &case.lengths, &case.gaps) {
        match step {
            Step::Block(range) => used.push(&first[range], |_| {}),
            Step::Act(lost) => {
                used.gap(lost, |_| {});
            }
        }
    }
    used.reset();
    for step in plan::<()>(rest.len(), &case.lengths, &[]) {
        let Step::Block(range) = step else { continue };
        used.push(&rest[range], |output| outputs.push(output));
    }
    let (mut new, mut expected) = (fresh.clone(), vec![]);
    new.push(rest, |output| expected.push(output));
    prop_assert_eq!(words(&outputs), words(&expected));
    prop_assert_eq!(used.output(), new.output());
    Ok(())
}

fn resets<T: Kind>(case: &Case<T>) -> Result<(), TestCaseError> {
    as_new(&Every::<T>::new(case.step).unwrap(), case)?;
    as_new(&Envelope::<T>::new(case.step).unwrap(), case)?;
    as_new(&Boxcar::<T>::new(1 + case.step % 512).unwrap(), case)
}

fn whole_number_resets<T: Whole>(case: &Case<T>) -> Result<(), TestCaseError> {
    let order = 1 + (case.seed % 5) as u32;
    if let Ok(cic) = Cic::<T, i64>::new(order, case.step) {
        as_new(&cic, case)?;
    }
    let taps: Vec<i16> = (0..=(case.seed % 50) as i16).collect();
    let buffer = vec![T::default(); 64];
    as_new(&Fir::<T, _, _>::new(taps, case.step, 0, buffer).unwrap(), case)
}

for_every_type!(a_reset_anywhere: resets over case, 100);
for_whole_numbers!(a_reset_of_filters_anywhere: whole_number_resets, 100);

#[test]
fn what_cannot_be_is_refused() {
    fn parameter<D>(made: Result<D, ConfigError>) -> &'static str {
        made.err().expect("an error").parameter
    }
    assert_eq!(parameter(Every::<u8>::new(0)), "step");
    assert_eq!(parameter(Envelope::<u8>::new(0)), "step");
    assert_eq!(parameter(Boxcar::<u8>::new(0)), "step");
    assert_eq!(parameter(Boxcar::<u16>::new(32_769)), "step");
    assert_eq!(parameter(Cic::<u16>::new(0, 8)), "order");
    assert_eq!(parameter(Cic::<u16>::new(6, 8)), "order");
    assert_eq!(parameter(Cic::<u16>::new(3, 0)), "step");
    // 65535 · 32^3 = 2^31 less 2^15; 33^3 is too much.
    assert!(Cic::<u16>::new(3, 32).is_ok());
    assert_eq!(parameter(Cic::<u16>::new(3, 33)), "step");
    assert!(Cic::<i16>::new(4, 16).is_ok());
    assert_eq!(parameter(Cic::<i32, i64>::new(5, u32::MAX)), "step");
    let fir = |taps: &'static [i16], step, gained, len| {
        Fir::<u16, _, _>::new(taps, step, gained, vec![0; len])
    };
    assert_eq!(parameter(fir(&[], 1, 0, 9)), "taps");
    assert_eq!(parameter(fir(&[-32768, -32768], 1, 0, 9)), "taps");
    assert_eq!(parameter(fir(&[1], 0, 0, 9)), "step");
    assert_eq!(parameter(fir(&[1], 1, 9, 9)), "gained bits");
    assert_eq!(parameter(fir(&[1, 2, 3], 1, 0, 2)), "buffer");
    assert_eq!(parameter(Fir::<f32, _, _>::new([f32::NAN], 1, 0, [0.0])), "taps");
    // One that was read from a file, say.
    let swapped = LowPass { pass: 0.4, stop: 0.1, attenuation: 60.0 };
    assert_eq!(parameter(swapped.fill(&mut [0.0; 50])), "pass");
}

#[test]
fn real_outputs_gain_no_bits() {
    let mut fir = Fir::<f32, _, _>::new([0.5, 0.5], 2, 2, [0.0; 2]).unwrap();
    let mut outputs = Vec::new();
    fir.push(&[8.0, 8.0], |output| outputs.push(output));
    assert_eq!((&outputs[..], fir.gain(), fir.mean(8.0)), (&[8.0][..], 1.0, 8.0));
}

#[test]
fn the_farthest_sums_and_instants_do_not_overflow() {
    assert_eq!(Boxcar::<i32>::new(1).unwrap().mean(i64::MIN), i32::MIN);
    let grid = Every::<u8>::new(u32::MAX).unwrap().grid();
    assert_eq!(grid.original(Instant { position: 0, lead: u32::MAX }), Instant::at(0));
}

/// The largest and the smallest samples and steps: sums that just fit.
#[test]
fn the_longest_sums_are_exact() {
    fn check<T: Whole>(step: u32)
    where
        T::Wide: Into<i64>,
    {
        for x in [T::MIN, T::MAX] {
            let mut boxcar = Boxcar::<T>::new(step).unwrap();
            let mut sums = vec![];
            let block = vec![x; 1 << 20];
            while sums.is_empty() {
                boxcar.push(&block, |sum| sums.push(sum.into()));
            }
            assert_eq!(i128::from(sums[0]), x.exact() * i128::from(step));
        }
    }
    check::<u8>(1 << 23);
    check::<i8>(1 << 24);
    check::<u16>(1 << 15);
    check::<i16>(1 << 16);
    check::<i32>(1 << 22);
}
