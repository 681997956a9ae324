use std::vec::Vec;

use proptest::prelude::*;

use super::{Limit, Mask, MaskPoint, MaskSide, MaskTest};
use crate::measure::Reason;
use crate::{ConfigError, Sample};

#[test]
fn both_ends_of_a_limit_pass() {
    let limit = Limit::range(-1.0, 3.0).unwrap();
    for (value, passed, margin) in
        [(-1.0, true, 0.0), (3.0, true, 0.0), (0.0, true, 1.0), (3.5, false, -0.5)]
    {
        let found = limit.check(Ok(value));
        assert_eq!((found.passed, found.margin), (passed, Ok(margin)));
    }
    assert_eq!(Limit::at_most(2.0).unwrap().check(Ok(-1e300)).margin, Ok(1e300));
    assert_eq!(Limit::at_least(2.0).unwrap().check(Ok(1.0)).margin, Ok(-1.0));
}

#[test]
fn what_has_no_value_does_not_pass() {
    let limit = Limit::at_least(0.0).unwrap();
    for (value, reason) in [
        (Err(Reason::Clipped), Reason::Clipped),
        (Ok(f64::NAN), Reason::NotFinite),
        (Ok(f64::INFINITY), Reason::NotFinite),
    ] {
        let found = limit.check(value);
        assert_eq!((found.passed, found.margin), (false, Err(reason)));
    }
}

#[test]
fn limits_out_of_order_are_refused() {
    let parameter = |limit: Result<Limit, ConfigError>| limit.unwrap_err().parameter;
    assert_eq!(parameter(Limit::range(2.0, 1.0)), "greatest");
    assert_eq!(parameter(Limit::nominal(2.0, -1.0)), "tolerance");
    assert_eq!(parameter(Limit::nominal(f64::NAN, 1.0)), "least");
    assert_eq!(parameter(Limit::at_most(f64::INFINITY)), "greatest");
    assert_eq!(parameter(Limit { least: None, greatest: None }.validated()), "least");
}

#[test]
fn masks_out_of_order_are_refused() {
    let point = |time, level| MaskPoint { time, level };
    let refused = |upper: &[MaskPoint<i32>], lower: &[MaskPoint<i32>]| {
        Mask::<u16>::new(upper, lower).unwrap_err().parameter
    };
    let flat = [point(0, 5), point(10, 5)];
    assert_eq!(refused(&[point(0, 5)], &[]), "upper bound");
    assert_eq!(refused(&flat, &[point(5, 1), point(4, 1)]), "lower bound");
    assert_eq!(refused(&flat, &[point(0, 5), point(10, 6)]), "upper bound");
    assert_eq!(refused(&[point(0, 5), point(i64::MAX, 5)], &[]), "upper bound");
    let bad = [MaskPoint { time: 0, level: f32::NAN }, MaskPoint { time: 1, level: 0.0 }];
    assert_eq!(Mask::<f32>::new(&bad, &[]).unwrap_err().parameter, "upper bound");
    let far = [MaskPoint { time: 0, level: i64::MAX }, MaskPoint { time: 1, level: 0 }];
    assert_eq!(Mask::<i32>::new(&far, &[]).unwrap_err().parameter, "upper bound");
    // A step up through the lower bound: in order from there on, and not before.
    let rises = [point(0, 10), point(10, 0), point(10, 10), point(20, 10)];
    assert_eq!(refused(&rises, &[point(0, 5), point(20, 5)]), "upper bound");
    let falls = [point(0, 0), point(10, 7), point(10, 0), point(20, 0)];
    assert_eq!(refused(&[point(0, 5), point(20, 5)], &falls), "upper bound");
    // The lower bound begins with a step from what was before it on.
    assert!(Mask::<u16>::new(&rises, &[point(10, 5), point(20, 5)]).is_ok());
    // Apart in time, they never meet.
    assert!(Mask::<u16>::new(&flat, &[point(11, 900), point(20, 900)]).is_ok());
}

/// The bound at a time as a fraction: the later point of a step holds.
fn bound(points: &[(i64, i64)], time: i64) -> Option<(i128, i128)> {
    let at = points.iter().rposition(|&(begin, _)| begin <= time)?;
    let (begin, from) = points[at];
    let Some(&(end, to)) = points.get(at + 1) else {
        return (begin == time).then_some((from.into(), 1));
    };
    let (rise, length) = (i128::from(to - from), i128::from(end - begin));
    Some((i128::from(from) * length + rise * i128::from(time - begin), length))
}

/// Samples beyond a mask: index, and whether above; and how many it applies to.
fn naive(
    samples: &[i64],
    first: i64,
    upper: &[(i64, i64)],
    lower: &[(i64, i64)],
) -> (Vec<(u64, bool)>, u64) {
    let (mut beyond, mut tested) = (std::vec![], 0);
    for (index, &x) in samples.iter().enumerate() {
        let time = first + ((index as i64) << 16);
        let (upper, lower) = (bound(upper, time), bound(lower, time));
        tested += u64::from(upper.is_some() || lower.is_some());
        let above = upper.is_some_and(|(level, of)| i128::from(x) * of > level);
        let below = lower.is_some_and(|(level, of)| i128::from(x) * of < level);
        if above || below {
            beyond.push((index as u64, above));
        }
    }
    (beyond, tested)
}

type Corners = Vec<(i64, i64)>;

/// Times of up to 40 samples, not all whole; levels about those of the samples.
fn corners(least: i64) -> impl Strategy<Value = Corners> {
    let step = prop_oneof![Just(0), 1..200_000_i64, Just(65536), Just(3 * 65536)];
    (prop::collection::vec((step, 0..300_i64), 2..8), -400_000..400_000_i64).prop_map(
        move |(steps, from)| {
            let mut time = from;
            let corner = |(step, level): (i64, i64)| {
                time += step;
                (time, level + least)
            };
            steps.into_iter().map(corner).collect()
        },
    )
}

fn agrees<T: Sample>(
    (upper, lower, samples, first, cut): &(Corners, Corners, Vec<u8>, i64, usize),
    of: impl Fn(u8) -> T,
) -> Result<(), TestCaseError> {
    let points = |corners: &Corners| -> Vec<MaskPoint<T::Wide>> {
        let point = |&(time, level): &(i64, i64)| MaskPoint {
            time,
            level: T::wide_from_f64(level as f64).unwrap(),
        };
        corners.iter().map(point).collect()
    };
    let (up, low) = (points(upper), points(lower));
    // Two bounds that cross are refused: then one alone.
    let (mask, lower) = match Mask::<T>::new(&up, &low) {
        Ok(mask) => (mask, lower.clone()),
        Err(_) => (Mask::new(&up, &[]).unwrap(), std::vec![]),
    };
    let converted: Vec<T> = samples.iter().map(|&x| of(x)).collect();
    let wide: Vec<i64> = samples.iter().map(|&x| x.into()).collect();
    let (beyond, tested) = naive(&wide, *first, upper, &lower);
    let whole = mask.test(&converted, *first);
    let mut test = MaskTest::new(mask, *first);
    for block in converted.chunks(*cut) {
        test.push(block);
    }
    prop_assert_eq!(test.verdict(), whole);
    prop_assert_eq!((whole.tested, whole.outside), (tested, beyond.len() as u64));
    let found = whole.first.map(|fault| (fault.index, fault.side == MaskSide::Above));
    prop_assert_eq!(found, beyond.first().copied());
    prop_assert_eq!(whole.margin.is_ok_and(|margin| margin < 0.0), !beyond.is_empty());
    prop_assert_eq!(whole.margin.is_ok(), tested > 0);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, ..ProptestConfig::default() })]
    #[test]
    fn masks_are_exact_whatever_the_blocks(
        upper in corners(40),
        lower in corners(-200),
        samples in prop::collection::vec(any::<u8>(), 0..60),
        first in -600_000..600_000_i64,
        cut in 1..20_usize,
    ) {
        let case = (upper, lower, samples, first, cut);
        agrees::<u8>(&case, |x| x)?;
        agrees::<i16>(&case, i16::from)?;
        agrees::<u16>(&case, u16::from)?;
        agrees::<i32>(&case, i32::from)?;
    }
}

#[test]
fn floating_point_samples_that_are_not_finite_do_not_pass() {
    let upper = [MaskPoint { time: 0, level: 1.0 }, MaskPoint { time: 3 << 16, level: 1.0 }];
    let mask = Mask::<f32>::new(&upper, &[]).unwrap();
    let found = mask.test(&[0.5, f32::NAN, 0.25, f32::INFINITY, f32::NAN], 0);
    assert_eq!((found.tested, found.non_finite, found.outside), (2, 2, 0));
    assert_eq!((found.margin, found.passed()), (Ok(0.5), false));
}

#[test]
fn a_mask_beside_the_record_tests_nothing() {
    let upper = [MaskPoint { time: 0, level: 9 }, MaskPoint { time: 9 << 16, level: 9 }];
    let mask = Mask::<u8>::new(&upper, &[]).unwrap();
    let found = mask.test(&[0; 10], 10 << 16);
    assert_eq!((found.tested, found.margin, found.passed()), (0, Err(Reason::Empty), false));
}

#[test]
fn the_longest_mask_between_the_farthest_levels_does_not_overflow() {
    let (far, reach) = (1_i64 << 40, 1_i64 << 47);
    let upper = [MaskPoint { time: -reach, level: far }, MaskPoint { time: reach, level: -far }];
    let mask = Mask::<i32>::new(&upper, &[]).unwrap();
    for first in [i64::MIN, -reach, 0, reach - 65536, i64::MAX] {
        let found = mask.test(&[i32::MAX, i32::MIN, 0], first);
        assert_eq!(
            found.tested,
            match first {
                i64::MIN | i64::MAX => 0,
                _ if first == reach - 65536 => 2,
                _ => 3,
            }
        );
    }
}
