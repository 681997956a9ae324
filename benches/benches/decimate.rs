//! Decimators on 64 Mi samples, beside the read limit and what one would use instead: iterators,
//! and the crate `argminmax` for the envelope. Outputs are held to those of plain loops first.

use std::hint::black_box;
use std::time::Duration;

use argminmax::ArgMinMax;
use criterion::measurement::WallTime;
use criterion::{BenchmarkGroup, Criterion, SamplingMode, Throughput, criterion_group};
use stillwave::Sample;
use stillwave::decimate::{Boxcar, Cic, Counts, Decimator, Envelope, Every, Fir, LowPass};
use stillwave_benches::decimate::{STEP, Sums, checksum, plain_envelope, plain_sums};
use stillwave_benches::sample::Bench;
use stillwave_benches::signal::Signal;
use stillwave_benches::{limit, samples};

/// Samples handed over at once: what a file reader may have.
const BLOCK: usize = 1 << 16;

/// Sends samples through a decimator; gives something that depends on all outputs.
fn through<D: Decimator>(
    mut decimator: D,
    samples: &[D::Input],
    of: impl Fn(D::Output) -> u64,
) -> u64 {
    let mut sum = 0_u64;
    for block in samples.chunks(BLOCK) {
        decimator.push(block, |output| sum = sum.wrapping_add(of(output)));
    }
    sum
}

fn bench<T: Sample>(
    group: &mut BenchmarkGroup<'_, WallTime>,
    name: &str,
    samples: &[T],
    f: impl Fn(&[T]) -> u64,
) {
    group.bench_function(name, |b| b.iter(|| f(black_box(samples))));
}

fn all<T: Bench + Sums>(criterion: &mut Criterion)
where
    for<'a> &'a [T]: ArgMinMax,
{
    let samples = Signal::Noise.samples::<T>(samples());
    let samples = &samples[..samples.len() / STEP * STEP];
    let group = &mut criterion.benchmark_group(format!("decimate {}", T::NAME));
    group.throughput(Throughput::Elements(samples.len() as u64));
    // One pass a sample: the fastest of them is the one least disturbed by other programs.
    group.sampling_mode(SamplingMode::Flat).sample_size(20);
    group.warm_up_time(Duration::from_millis(100)).measurement_time(Duration::from_millis(10));
    group.bench_function("read limit", |b| b.iter(|| limit::maximum(black_box(samples))));

    let step = STEP as u32;
    let envelope = |samples: &[T]| through(Envelope::new(step).unwrap(), samples, checksum);
    let by_argminmax = |samples: &[T]| {
        samples.chunks(STEP).fold(0_u64, |sum, group| {
            let (least, largest) = group.argminmax();
            let extent =
                stillwave::decimate::Extent { minimum: group[least], maximum: group[largest] };
            sum.wrapping_add(checksum(extent))
        })
    };
    let expected = plain_envelope(samples);
    assert_eq!((envelope(samples), by_argminmax(samples)), (expected, expected), "{}", T::NAME);
    bench(group, "envelope", samples, envelope);
    bench(group, "envelope, plain", samples, plain_envelope);
    bench(group, "envelope, argminmax", samples, by_argminmax);

    let sums = |samples: &[T]| through(Boxcar::new(step).unwrap(), samples, T::bits);
    T::assert_near(samples, sums(samples));
    bench(group, "boxcar", samples, sums);
    bench(group, "boxcar, plain", samples, plain_sums);
    bench(group, "every", samples, |samples| {
        through(Every::new(step).unwrap(), samples, |x| {
            bytemuck::bytes_of(&x).iter().map(|&b| u64::from(b)).sum()
        })
    });
    let mut room = [T::Tap::default(); 200];
    let low_pass = LowPass::for_step(8, 60.0).unwrap();
    let taps = T::taps(low_pass, &mut room);
    bench(group, "low pass for 8", samples, |samples| {
        let memory = vec![T::default(); taps.len()];
        through(Fir::<T, _, _>::new(taps, 8, 2, memory).unwrap(), samples, T::bits)
    });
}

fn cic<T: Bench + Counts>(criterion: &mut Criterion) {
    let samples = Signal::Noise.samples::<T>(samples());
    let group = &mut criterion.benchmark_group(format!("decimate {}", T::NAME));
    group.throughput(Throughput::Elements(samples.len() as u64));
    group.sampling_mode(SamplingMode::Flat).sample_size(20);
    group.warm_up_time(Duration::from_millis(100)).measurement_time(Duration::from_millis(10));
    bench(group, "cic of order 3", &samples, |samples| {
        through(Cic::<T, i32>::new(3, 8).unwrap(), samples, |output| output as u64)
    });
}

criterion_group!(
    benches, all::<u8>, cic::<u8>, all::<i16>, cic::<i16>, all::<u16>, cic::<u16>, all::<f32>
);

fn main() {
    benches();
    Criterion::default().configure_from_args().final_summary();
}
