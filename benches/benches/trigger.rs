//! A rising edge with hysteresis, found in a buffer of 64 Mi samples, as fast as memory allows?
//!
//! For each sample type and signal: the read limit, the loop one would write, and the engine;
//! events counted, and listed, each position stored. All are held to the naive count first.

use std::hint::black_box;
use std::time::Duration;

use criterion::measurement::WallTime;
use criterion::{BenchmarkGroup, Criterion, SamplingMode, Throughput, criterion_group};
use stillwave::{Block, Comparison, Condition, Edge, Holdoff, Level, Monitor, Polarity, Pulse};
use stillwave::{Slope, Span, Trigger};
use stillwave_benches::sample::Bench;
use stillwave_benches::signal::Signal;
use stillwave_benches::{limit, naive, samples};

/// Where listed positions go: round and round, so that writing a list to memory, which is the
/// caller's affair, is not measured.
struct Positions {
    kept: Box<[u64; 1024]>,
    count: usize,
}

impl Positions {
    fn new() -> Self {
        Self { kept: Box::new([0; 1024]), count: 0 }
    }

    #[inline]
    fn push(&mut self, position: u64) {
        self.kept[self.count % 1024] = position;
        self.count += 1;
    }

    fn finish(self) -> u64 {
        black_box(self.kept);
        self.count as u64
    }
}

fn level<T: Bench>() -> Level<T> {
    Level::new(T::LEVEL, T::HYSTERESIS).expect("levels in range")
}

fn edge<T: Bench>() -> Edge<T> {
    Edge::new(Slope::Rising, level()).expect("levels in range")
}

fn trigger<C: Condition>(condition: C) -> Trigger<C> {
    Trigger::new(condition, Holdoff::None).expect("no holdoff")
}

fn engine_count<T: Bench>(samples: &[T]) -> u64 {
    trigger(edge()).count(samples)
}

fn engine_list<T: Bench>(samples: &[T]) -> u64 {
    let mut positions = Positions::new();
    trigger(edge::<T>()).push(samples, |event| positions.push(event.at.position));
    positions.finish()
}

/// With the fraction of a sample by which each edge comes before its position.
fn engine_instants<T: Bench>(samples: &[T]) -> u64 {
    let mut positions = Positions::new();
    trigger(edge::<T>()).push(samples, |event| {
        positions.push((event.at.position << 16) - u64::from(event.at.lead));
    });
    positions.finish()
}

fn engine_pull<T: Bench>(samples: &[T]) -> u64 {
    let (mut edge, mut positions) = (edge::<T>(), Positions::new());
    let channels = [samples];
    let block = Block::new(0, &channels);
    while let Some(event) = edge.next(&block) {
        positions.push(event.at.position);
    }
    positions.finish()
}

fn naive_list<T: Bench>(samples: &[T]) -> u64 {
    let mut positions = Positions::new();
    naive::for_each(samples, |i| positions.push(i as u64));
    positions.finish()
}

fn naive_instants<T: Bench>(samples: &[T]) -> u64 {
    let mut positions = Positions::new();
    let level = T::at_or_over(T::LEVEL).unwrap_or(T::MAX);
    naive::for_each(samples, |i| {
        let previous = i.checked_sub(1).map_or(level, |before| samples[before]);
        let lead = T::lead(previous, samples[i], level);
        positions.push(((i as u64) << 16) - u64::from(lead));
    });
    positions.finish()
}

/// Pulses that do not occur: what it costs to wait for a glitch.
fn engine_glitch<T: Bench>(samples: &[T]) -> u64 {
    let width = Comparison::LongerThan(Span::samples(1 << 32));
    let mut count = 0;
    let pulse = Pulse::new(Polarity::Positive, level::<T>(), width).expect("levels in range");
    trigger(pulse).push(samples, |_| count += 1);
    count
}

fn bench<T: Bench>(
    group: &mut BenchmarkGroup<'_, WallTime>,
    name: &str,
    samples: &[T],
    expected: Option<u64>,
    f: impl Fn(&[T]) -> u64,
) {
    if let Some(expected) = expected {
        assert_eq!(f(samples), expected, "{} {name}", T::NAME);
    }
    group.bench_function(name, |b| b.iter(|| f(black_box(samples))));
}

fn signals<T: Bench>(criterion: &mut Criterion) {
    for signal in Signal::ALL {
        let samples = signal.samples::<T>(samples());
        let samples = &samples[..];
        let events = Some(naive::count(samples));
        let group = &mut criterion.benchmark_group(format!("{} {}", T::NAME, signal.name()));
        group.throughput(Throughput::Elements(samples.len() as u64));
        // One pass a sample: the fastest of them is the one least disturbed by other programs.
        group.sampling_mode(SamplingMode::Flat).sample_size(20);
        group.warm_up_time(Duration::from_millis(100)).measurement_time(Duration::from_millis(10));

        group.bench_function("read limit", |b| b.iter(|| limit::maximum(black_box(samples))));
        bench(group, "count", samples, events, engine_count);
        bench(group, "list", samples, events, engine_list);
        bench(group, "list, pulled", samples, events, engine_pull);
        bench(group, "list with instants", samples, events, engine_instants);
        bench(group, "wait for a pulse", samples, Some(0), engine_glitch);
        bench(group, "naive count", samples, events, naive::count);
        bench(group, "naive list", samples, events, naive_list);
        bench(group, "naive list with instants", samples, events, naive_instants);
        group.bench_function("monitor", |b| {
            let mut monitor = Monitor::new(T::MIN, T::MAX).expect("end codes in order");
            b.iter(|| {
                monitor.push(black_box(samples));
                monitor.quality()
            });
        });
    }
}

/// The nearest thing there is for bytes: a search for one value, which is not there.
fn byte_search(criterion: &mut Criterion) {
    let samples = Signal::Quiet.samples::<u8>(samples());
    assert_eq!(memchr::memchr(255, &samples), None);
    let group = &mut criterion.benchmark_group("u8 quiet");
    group.throughput(Throughput::Elements(samples.len() as u64));
    group.bench_function("memchr", |b| b.iter(|| memchr::memchr(255, black_box(&samples))));
}

criterion_group!(
    benches,
    byte_search,
    signals::<u8>,
    signals::<i16>,
    signals::<u16>,
    signals::<f32>
);

fn main() {
    benches();
    Criterion::default().configure_from_args().final_summary();
}
