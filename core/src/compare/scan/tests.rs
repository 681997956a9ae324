//! Both scans, at every level of vectors, against a loop over the samples.

use super::words::Words;
use super::{Bounds, Scannable, narrow, wide};
use crate::{Block, Sample, Slope};
use fearless_simd::Level;
use proptest::prelude::*;
use std::vec::Vec;

/// Positions of all wanted crossings, and where the signal is first on a side.
fn naive<T: Sample>(bounds: Bounds<T>, samples: &[T]) -> (Vec<u64>, Option<(u64, Slope)>) {
    let (mut found, mut first, mut side) = (Vec::new(), None, None);
    for (i, &x) in samples.iter().enumerate() {
        let now = if !x.is_finite() {
            continue;
        } else if x >= bounds.high {
            Slope::Rising
        } else if x <= bounds.low {
            Slope::Falling
        } else {
            continue;
        };
        if side.is_some_and(|side| side != now) && bounds.wanted.is_none_or(|w| w == now) {
            found.push(i as u64);
        }
        first = first.or(Some(i as u64));
        side = Some(now);
    }
    (found, first.zip(side))
}

/// How a block is looked at.
#[derive(Clone, Copy, Debug)]
enum Face {
    Next,
    ForEach,
    Count,
    /// One crossing, then all the others.
    NextForEach,
    NextCount,
}

fn face() -> impl Strategy<Value = Face> {
    use Face::{Count, ForEach, Next, NextCount, NextForEach};
    prop::sample::select(&[Next, ForEach, Count, NextForEach, NextCount][..])
}

macro_rules! check_scan {
    ($scan:expr, $bounds:expr, $samples:expr, $start:expr, $cuts:expr) => {{
        let (mut scan, bounds, samples, start) = ($scan, $bounds, $samples, $start);
        let (expected, settled) = naive(bounds, samples);
        let (mut found, mut at) = (Vec::new(), 0_usize);
        let cuts = $cuts.iter().copied().chain([(usize::MAX, Face::Next)]);
        for (len, face) in cuts {
            let end = samples.len().min(at.saturating_add(len));
            let (block, block_start) = (&samples[at..end], start + at as u64);
            let mut told = Vec::new();
            let mut count = 0;
            if let Face::Next | Face::NextForEach | Face::NextCount = face {
                while let Some(index) = scan.next(bounds, block_start, block) {
                    told.push(index);
                    if !matches!(face, Face::Next) {
                        break;
                    }
                }
            }
            match face {
                Face::Next => {}
                Face::ForEach | Face::NextForEach => {
                    scan.for_each(bounds, block_start, block, |index| told.push(index));
                }
                Face::Count | Face::NextCount => count = scan.count(bounds, block_start, block),
            }
            prop_assert_eq!(scan.next(bounds, block_start, block), None);
            found.extend(told.iter().map(|&index| (at + index) as u64));
            // What was only counted cannot be compared by itself.
            found.extend_from_slice(&expected[found.len()..][..count as usize]);
            at = end;
        }
        prop_assert_eq!(&found, &expected);
        prop_assert_eq!(scan.settled(), settled.map(|(at, side)| (start + at, side)));
    }};
}

/// Every level of vectors this processor has.
fn levels() -> Vec<Level> {
    let best = Level::try_detect().unwrap_or(Level::baseline());
    #[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
    let between = [best.as_avx2().map(Level::Avx2), best.as_sse4_2().map(Level::Sse4_2)];
    #[cfg(not(any(target_arch = "x86", target_arch = "x86_64")))]
    let between = [None; 2];
    [Level::baseline(), best].into_iter().chain(between.into_iter().flatten()).collect()
}

/// Runs of values on, next to and far from the bounds: long ones, which a scan may skip, between
/// short ones.
fn signal<T: Sample>(values: Vec<T>) -> impl Strategy<Value = Vec<T>> {
    let len = prop_oneof![4 => Just(1), 2 => 1..5_usize, 1 => 1..90_usize, 1 => 1..900_usize];
    let run = (prop::sample::select(values), len);
    prop::collection::vec(run, 0..60)
        .prop_map(|runs| runs.iter().flat_map(|&(x, len)| std::iter::repeat_n(x, len)).collect())
}

fn cuts() -> impl Strategy<Value = Vec<(usize, Face)>> {
    let len = prop_oneof![0..4_usize, 0..130_usize, 0..2000_usize];
    prop::collection::vec((len, face()), 0..20)
}

fn wanted() -> impl Strategy<Value = Option<Slope>> {
    prop::sample::select(&[None, Some(Slope::Rising), Some(Slope::Falling)][..])
}

/// One sample is looked for from bound to bound, beyond either, and beyond one of them.
macro_rules! check_search {
    ($bounds:expr, $samples:expr) => {{
        let (Bounds { low, high, .. }, samples) = ($bounds, $samples);
        let before = |hits: &dyn Fn(_) -> bool| {
            samples.iter().position(|&x| x.is_finite() && hits(x)).unwrap_or(samples.len())
        };
        let inside = before(&|x| x >= low && x <= high);
        prop_assert_eq!(Words::before_inside(samples, low, high), inside);
        prop_assert_eq!(Scannable::before_inside(samples, low, high), inside);
        let outside = before(&|x| x < low || x > high);
        prop_assert_eq!(Words::before_outside(samples, low, high), outside);
        prop_assert_eq!(Scannable::before_outside(samples, low, high), outside);
        let over = before(&|x| x >= high);
        prop_assert_eq!(Words::before_beyond(samples, Slope::Rising, high), over);
        prop_assert_eq!(Scannable::before_beyond(samples, Slope::Rising, high), over);
        let under = before(&|x| x <= low);
        prop_assert_eq!(Words::before_beyond(samples, Slope::Falling, low), under);
        prop_assert_eq!(Scannable::before_beyond(samples, Slope::Falling, low), under);
    }};
}

macro_rules! scans_agree {
    ($($name:ident: $sample:ty, $low:expr, $high:expr, $($value:expr),*;)*) => {$(
        proptest! {
            #[test]
            fn $name(
                samples in signal::<$sample>(std::vec![
                    $low, $high, $low, $high, Sample::successor($low), Sample::predecessor($high),
                    <$sample>::MIN, <$sample>::MAX, <$sample>::default(), $($value),*
                ]),
                skipped in 0..70_usize,
                cuts in cuts(),
                start in 0..5_u64,
                wanted in wanted(),
            ) {
                let bounds = Bounds { high: $high, low: $low, wanted };
                let samples = samples.get(skipped..).unwrap_or(&[]);
                for rest in [samples, samples.get(samples.len() / 2..).unwrap_or(&[])] {
                    check_search!(bounds, rest);
                }
                check_scan!(narrow::Scan::new(), bounds, samples, start, cuts);
                for level in levels() {
                    check_scan!(wide::Scan::at_level(level), bounds, samples, start, cuts);
                }
            }
        }
    )*};
}

scans_agree! {
    u8_scans_agree: u8, 119, 128,;
    u8_scans_agree_without_hysteresis: u8, 127, 128,;
    u8_scans_agree_at_the_ends: u8, 0, 255,;
    i8_scans_agree: i8, -3, 5, -1;
    u16_scans_agree: u16, 32_700, 40_000, 32_767;
    i16_scans_agree: i16, -9, 0, -1;
    u32_scans_agree: u32, 7, 1 << 31, 1 << 30;
    i32_scans_agree: i32, -70_000, 70_000, 0;
    f32_scans_agree: f32, -0.0, 0.5, 0.25, f32::NAN, f32::INFINITY, f32::NEG_INFINITY;
    f32_scans_agree_at_the_ends: f32, f32::MIN, f32::MAX, 1.0, f32::NAN, f32::INFINITY,
        f32::NEG_INFINITY;
}

#[test]
fn a_gap_takes_back_what_was_looked_ahead_to() {
    let bounds = Bounds { high: 128_u8, low: 100, wanted: None };
    let samples: Vec<u8> = (0..1000).map(|i| if i % 4 < 2 { 0 } else { 255 }).collect();
    let (mut wide, mut narrow) = (wide::Scan::new(), narrow::Scan::new());
    for round in 0..50 {
        for _ in 0..round % 3 {
            let index = wide.next(bounds, 7, &samples);
            assert_eq!(index, narrow.next(bounds, 7, &samples));
        }
        wide.gap();
        narrow.gap();
    }
    let rest = |next: &mut dyn FnMut() -> Option<usize>| std::iter::from_fn(next).count();
    for _ in 0..2 {
        let left = rest(&mut || narrow.next(bounds, 7, &samples));
        assert_eq!(rest(&mut || wide.next(bounds, 7, &samples)), left);
        wide.reset();
        narrow.reset();
    }
}

#[test]
fn the_only_side_is_told_from_the_first_sample_on_it() {
    let (mut wide, mut narrow) = (wide::Scan::new(), narrow::Scan::new());
    for (start, block) in [(5, [1_u8, 2]), (6, [2, 3]), (8, [9, 9])] {
        wide.settle(start, &block, Slope::Rising, 3);
        narrow.settle(start, &block, Slope::Rising, 3);
    }
    assert_eq!(wide.settled(), Some((7, Slope::Rising)));
    assert_eq!(narrow.settled(), wide.settled());
}

#[test]
fn no_position_overflows() {
    let bounds = Bounds { high: 128_u8, low: 100, wanted: None };
    let samples: Vec<u8> = (0..600).map(|i| if i % 4 < 2 { 0 } else { 255 }).collect();
    for level in levels() {
        for start in [u64::MAX - 700, u64::MAX - 300, u64::MAX] {
            // Blocks end at the last position.
            let channels = [&samples[..]];
            let samples = Block::new(start, &channels).channel(0);
            let mut scan = wide::Scan::at_level(level);
            while scan.next(bounds, start, samples).is_some() {}
            scan.for_each(bounds, start, samples, |_| ());
            scan.count(bounds, start, samples);
        }
    }
}
