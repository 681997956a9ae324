//! Decimators before plain loops over the whole stream.

use crate::dice::Dice;
use crate::engine::Desk;
use crate::kind::Kind;
use crate::oracle::decimate::{Stream, nearest, sums_of_sums, weighted};
use crate::plan::{Step, plan};
use proptest::prelude::*;
use stillwave::decimate::{Boxcar, Cic, Counts, Decimator, Envelope, Every, Extent, Fir};

#[derive(Clone, Debug)]
#[allow(missing_docs)]
pub struct Case<T> {
    pub step: u32,
    pub samples: Vec<T>,
    pub lengths: Vec<usize>,
    pub gaps: Vec<(usize, u64)>,
    pub seed: u64,
}

/// Outputs with their numbers.
pub type Numbered<T> = Vec<(u64, T)>;

/// What comes out, each with the number that it has among all, lost ones included; and the stream.
///
/// # Panics
/// Where the decimator counts otherwise.
pub fn run<D: Decimator<Input: Kind>>(
    mut decimator: D,
    case: &Case<D::Input>,
) -> (Numbered<D::Output>, Stream<D::Input>, D) {
    let (mut outputs, mut stream, mut next) = (vec![], Stream::default(), 0);
    let mut desk = Desk::default();
    for step in plan(case.samples.len(), &case.lengths, &case.gaps) {
        let output = |output| {
            outputs.push((next, output));
            next += 1;
        };
        match step {
            Step::Block(range) => {
                stream.push(&case.samples[range.clone()]);
                decimator.push(desk.lay(&case.samples[range]), output);
            }
            Step::Act(lost) => {
                stream.gap(lost);
                next += decimator.gap(lost, output);
            }
        }
        assert_eq!(decimator.output(), next);
    }
    (outputs, stream, decimator)
}

/// Every n-th sample, against plain loops.
///
/// # Errors
/// Where they are not as the loops have it.
///
/// # Panics
/// Where a decimator is refused.
pub fn every<T: Kind>(case: &Case<T>) -> Result<(), TestCaseError> {
    let (found, stream, _) = run(Every::new(case.step).unwrap(), case);
    let expected = stream.whole(case.step.into(), 1);
    let bits = |x: &T| x.bits();
    let found: Vec<_> = found.iter().map(|(k, x)| (*k, bits(x))).collect();
    let expected: Vec<_> = expected.iter().map(|(k, x)| (*k, bits(&x[0]))).collect();
    prop_assert_eq!(found, expected);
    Ok(())
}

/// Extremes, against plain loops.
///
/// # Errors
/// Where they are not as the loops have it.
///
/// # Panics
/// Where a decimator is refused.
pub fn envelope<T: Kind>(case: &Case<T>) -> Result<(), TestCaseError> {
    let (mut found, stream, mut envelope) = run(Envelope::new(case.step).unwrap(), case);
    let next = envelope.output();
    found.extend(envelope.finish().map(|extent| (next, extent)));
    let mut non_finite = 0;
    let expected: Vec<_> = stream
        .any(case.step.into())
        .into_iter()
        .map(|(k, samples)| {
            let mut extent = Extent::<T>::EMPTY;
            for x in samples {
                if !x.is_finite() {
                    non_finite += 1;
                    continue;
                }
                extent.minimum = if x < extent.minimum { x } else { extent.minimum };
                extent.maximum = if x > extent.maximum { x } else { extent.maximum };
            }
            (k, extent)
        })
        .collect();
    prop_assert_eq!(found, expected);
    prop_assert_eq!(envelope.non_finite(), non_finite);
    Ok(())
}

/// Whole numbers, as the oracle has them.
pub trait Whole: Kind<Exact = i128> + Counts {}
impl<T: Kind<Exact = i128> + Counts> Whole for T {}

fn exact<T: Whole>(samples: &[T]) -> Vec<i128> {
    samples.iter().map(|x| x.exact()).collect()
}

/// Sums, against plain loops.
///
/// # Errors
/// Where they are not as the loops have it.
///
/// # Panics
/// Where a decimator is refused.
pub fn boxcar<T: Whole>(case: &Case<T>) -> Result<(), TestCaseError>
where
    T::Wide: Into<i64>,
{
    let (found, stream, boxcar) = run(Boxcar::new(case.step).unwrap(), case);
    let expected = stream.whole(case.step.into(), case.step.into());
    prop_assert_eq!(found.len(), expected.len());
    for ((k, sum), (expected_k, samples)) in found.iter().zip(&expected) {
        let exact: i128 = exact(samples).iter().sum();
        prop_assert_eq!((*k, i128::from((*sum).into())), (*expected_k, exact));
        prop_assert_eq!(boxcar.mean(*sum).exact(), nearest(exact, case.step.into()));
    }
    Ok(())
}

/// Sums of moving sums, against plain loops.
///
/// # Errors
/// Where they are not as the loops have it.
///
/// # Panics
/// Where a decimator is refused.
pub fn cic<T: Whole>(case: &Case<T>) -> Result<(), TestCaseError> {
    let order = 1 + (case.seed % 5) as u32;
    let wide = Cic::<T, i64>::new(order, case.step);
    if let Ok(cic) = Cic::<T, i32>::new(order, case.step) {
        check_cic(cic, order, case)?;
        prop_assert!(wide.is_ok());
    }
    if let Ok(cic) = wide {
        check_cic(cic, order, case)?;
    }
    Ok(())
}

fn check_cic<T: Whole, A: stillwave::decimate::Accumulator + Into<i64>>(
    cic: Cic<T, A>,
    order: u32,
    case: &Case<T>,
) -> Result<(), TestCaseError> {
    let (found, stream, cic) = run(cic, case);
    let weights = sums_of_sums(order, case.step.into());
    let gain = weights.iter().sum::<i128>();
    let expected = stream.whole(case.step.into(), weights.len() as u64);
    prop_assert_eq!(found.len(), expected.len());
    for ((k, output), (expected_k, samples)) in found.iter().zip(&expected) {
        let exact = weighted(&exact(samples), &weights);
        prop_assert_eq!((*k, i128::from((*output).into())), (*expected_k, exact));
        prop_assert_eq!(cic.mean(*output).exact(), nearest(exact, gain));
    }
    Ok(())
}

/// Weights as a filter may have them, and the largest they may be.
fn taps(seed: u64) -> Vec<i16> {
    let mut dice = Dice::new(seed);
    let count = [1, 2, 3, 8, 31, 64, 150][dice.below(7) as usize];
    let mut left = 65_535_i64;
    (0..count)
        .map(|_| {
            let tap = match dice.below(4) {
                0 => i64::from(dice.bits() as i16),
                _ => dice.below(2001) as i64 - 1000,
            };
            let tap = tap.clamp(-left.min(32768), left.min(32767));
            left -= tap.abs();
            tap as i16
        })
        .collect()
}

/// Weighted sums, against plain loops.
///
/// # Errors
/// Where they are not as the loops have it.
///
/// # Panics
/// Where a decimator is refused.
pub fn fir<T: Whole>(case: &Case<T>) -> Result<(), TestCaseError>
where
    T::Wide: Into<i64>,
{
    let taps = taps(case.seed);
    let gained = (case.seed >> 32) as u32 % 9;
    let buffer = vec![T::default(); taps.len()];
    let fir = Fir::new(&taps[..], case.step, gained, buffer).unwrap();
    let (found, stream, _) = run(fir, case);
    let weights: Vec<_> = taps.iter().map(|&tap| i128::from(tap)).collect();
    let expected = stream.whole(case.step.into(), taps.len() as u64);
    prop_assert_eq!(found.len(), expected.len());
    for ((k, output), (expected_k, samples)) in found.iter().zip(&expected) {
        let exact = nearest(weighted(&exact(samples), &weights) << gained, 32768);
        prop_assert_eq!((*k, i128::from((*output).into())), (*expected_k, exact));
    }
    Ok(())
}
