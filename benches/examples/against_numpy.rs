//! The engine's side of `numpy_compare.py`: writes every signal to a directory as raw samples, and
//! tells the time it takes itself to list the edges in it, and to decimate it, the best of some.
//!
//! Lines of `type;signal;level;under;events`, then seconds: `to write so many positions`; `to
//! read;to count;to list;for the envelope;for the sums` (of every thousand samples), from memory and
//! from the cache.

use std::hint::black_box;
use std::path::Path;
use std::time::Instant;
use std::{env, fs};

use stillwave::decimate::{Boxcar, Decimator, Envelope, Extent};
use stillwave::{Edge, Holdoff, Level, Slope, Trigger};
use stillwave_benches::buffer::Buffer;
use stillwave_benches::decimate::STEP;
use stillwave_benches::sample::Bench;
use stillwave_benches::signal::Signal;
use stillwave_benches::{limit, naive, samples};

/// How many samples stay in the cache nearby.
const PIECE: usize = 64 * STEP;

fn seconds(f: impl FnOnce()) -> f64 {
    let begin = Instant::now();
    f();
    begin.elapsed().as_secs_f64()
}

fn best(f: impl FnMut() -> f64) -> f64 {
    std::iter::repeat_with(f).take(7).fold(f64::INFINITY, f64::min)
}

/// From memory, and piece by piece, each gone through once before it is timed.
fn both<T>(samples: &[T], mut f: impl FnMut(&[T])) -> [f64; 2] {
    let whole = best(|| seconds(|| f(black_box(samples))));
    let pieces = best(|| {
        let pieces = samples.chunks_exact(PIECE);
        pieces.map(|piece| (f(piece), seconds(|| f(black_box(piece)))).1).sum()
    });
    [whole, pieces]
}

/// Fills memory from its start on.
fn filler<T: Copy>(memory: &mut [T]) -> impl FnMut(T) {
    let mut places = memory.iter_mut();
    move |value| {
        if let Some(place) = places.next() {
            *place = value;
        }
    }
}

fn signals<T: Bench>(directory: &Path) {
    for signal in Signal::ALL {
        let samples = signal.samples::<T>(samples());
        let edge = Edge::new(Slope::Rising, Level::<T>::new(T::LEVEL, T::HYSTERESIS).unwrap());
        let trigger = Trigger::new(edge.unwrap(), Holdoff::None).unwrap();
        let events = naive::count(&samples);
        assert_eq!(trigger.clone().count(&samples), events);

        let read = both(&samples, |samples| {
            black_box(limit::maximum(samples));
        });
        let count = both(&samples, |samples| {
            black_box(trigger.clone().count(samples));
        });
        // A list as numpy makes one: of all positions, in memory. It is ours, and used again.
        let mut list = Buffer::<u64>::zeros(events as usize);
        let write = best(|| seconds(|| limit::fill(black_box(&mut list))));
        let list = both(&samples, |samples| {
            let mut put = filler(&mut list);
            trigger.clone().push(samples, |event| put(event.at.position));
        });
        let step = STEP as u32;
        let mut extents = vec![Extent::EMPTY; samples.len() / STEP];
        let envelope = both(&samples, |samples| {
            Envelope::new(step).unwrap().push(samples, filler(&mut extents));
        });
        let mut sums = vec![T::Wide::default(); samples.len() / STEP];
        let boxcar = both(&samples, |samples| {
            Boxcar::new(step).unwrap().push(samples, filler(&mut sums));
        });
        let path = directory.join(format!("{}-{}.raw", T::NAME, signal.name()));
        fs::write(path, bytemuck::cast_slice(&samples)).expect("the directory can be written to");
        let under = T::saturating_sub(T::LEVEL, T::HYSTERESIS);
        print!("{};{};{};{under};{events};{write}", T::NAME, signal.name(), T::LEVEL);
        for i in 0..2 {
            for seconds in [read, count, list, envelope, boxcar] {
                print!(";{}", seconds[i]);
            }
        }
        println!();
    }
}

fn main() {
    let directory = env::args().nth(1).expect("a directory to write signals to");
    let directory = Path::new(&directory);
    signals::<u8>(directory);
    signals::<i16>(directory);
    signals::<f32>(directory);
}
