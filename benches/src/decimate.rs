//! What decimators are held to: the loops one would write.

use stillwave::decimate::{Extent, LowPass};

use crate::sample::Bench;

/// Samples for one output.
pub const STEP: usize = 1000;

/// Something that depends on both ends.
pub fn checksum<T: Bench>(extent: Extent<T>) -> u64 {
    let bits =
        |x: T| bytemuck::bytes_of(&x).iter().fold(0, |bits, &byte| bits << 8 | u64::from(byte));
    bits(extent.minimum).wrapping_mul(3).wrapping_add(bits(extent.maximum))
}

/// The least and the largest of each group, by iterators.
pub fn plain_envelope<T: Bench + Sums>(samples: &[T]) -> u64 {
    samples.chunks(STEP).fold(0, |sum, group| {
        let (minimum, maximum) = T::plain_extremes(group);
        sum.wrapping_add(checksum(Extent { minimum, maximum }))
    })
}

/// The sum of each group, by iterators.
pub fn plain_sums<T: Bench + Sums>(samples: &[T]) -> u64 {
    samples.chunks(STEP).fold(0, |sum, group| sum.wrapping_add(T::bits(T::plain_sum(group))))
}

/// What one would write for a sample type.
pub trait Sums: Bench {
    /// The least and the largest.
    fn plain_extremes(group: &[Self]) -> (Self, Self);

    /// The sum.
    fn plain_sum(group: &[Self]) -> Self::Wide;

    /// A sum as bits.
    fn bits(sum: Self::Wide) -> u64;

    /// Panics where sums are not those of the plain loop.
    fn assert_near(samples: &[Self], sums: u64);

    /// The weights of a low pass.
    fn taps(low_pass: LowPass, room: &mut [Self::Tap; 200]) -> &[Self::Tap];
}

macro_rules! sums {
    ($($sample:ty)*) => {$(
        impl Sums for $sample {
            fn plain_extremes(group: &[Self]) -> (Self, Self) {
                (group.iter().min().copied().unwrap_or(0), group.iter().max().copied().unwrap_or(0))
            }

            fn plain_sum(group: &[Self]) -> i32 {
                group.iter().map(|&x| i32::from(x)).sum()
            }

            fn bits(sum: i32) -> u64 {
                sum as u64
            }

            fn assert_near(samples: &[Self], sums: u64) {
                assert_eq!(sums, plain_sums(samples));
            }

            fn taps(low_pass: LowPass, room: &mut [i16; 200]) -> &[i16] {
                low_pass.fill_q15(room).expect("room enough")
            }
        }
    )*};
}

sums!(u8 i16 u16);

impl Sums for f32 {
    fn plain_extremes(group: &[f32]) -> (f32, f32) {
        (
            group.iter().copied().fold(f32::INFINITY, f32::min),
            group.iter().copied().fold(f32::NEG_INFINITY, f32::max),
        )
    }

    fn plain_sum(group: &[f32]) -> f32 {
        group.iter().sum()
    }

    fn bits(sum: f32) -> u64 {
        u64::from(sum.to_bits())
    }

    fn assert_near(samples: &[f32], _: u64) {
        // Another order of additions has other last digits: compared one by one.
        let mut boxcar = stillwave::decimate::Boxcar::new(STEP as u32).expect("a step in range");
        let mut groups = samples.chunks(STEP);
        stillwave::decimate::Decimator::push(&mut boxcar, samples, |sum| {
            let exact: f64 = groups.next().unwrap_or(&[]).iter().map(|&x| f64::from(x)).sum();
            assert!((f64::from(sum) - exact).abs() < 1e-3, "{sum} {exact}");
        });
    }

    fn taps(low_pass: LowPass, room: &mut [f32; 200]) -> &[f32] {
        low_pass.fill(room).expect("room enough")
    }
}
