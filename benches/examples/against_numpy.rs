//! The engine's side of `numpy_compare.py`: writes every signal to a directory as raw samples, and
//! tells the time it takes itself to list the edges in it, and to decimate it, the best of some.
//!
//! Lines of `type;signal;level;under;events`, then seconds: `to count;to list;for the envelope;for
//! the sums` (of every thousand samples).

use std::hint::black_box;
use std::path::Path;
use std::time::Instant;
use std::{env, fs};

use stillwave::decimate::{Boxcar, Decimator, Envelope};
use stillwave::{Edge, Holdoff, Level, Slope, Trigger};
use stillwave_benches::decimate::STEP;
use stillwave_benches::sample::Bench;
use stillwave_benches::signal::Signal;
use stillwave_benches::{naive, samples};

fn best_seconds(mut f: impl FnMut()) -> f64 {
    let seconds = (0..7).map(|_| {
        let begin = Instant::now();
        f();
        begin.elapsed().as_secs_f64()
    });
    seconds.fold(f64::INFINITY, f64::min)
}

fn signals<T: Bench>(directory: &Path) {
    for signal in Signal::ALL {
        let samples = signal.samples::<T>(samples());
        let edge = Edge::new(Slope::Rising, Level::<T>::new(T::LEVEL, T::HYSTERESIS).unwrap());
        let trigger = Trigger::new(edge.unwrap(), Holdoff::None).unwrap();
        let events = naive::count(&samples);
        assert_eq!(trigger.clone().count(&samples), events);

        let count = best_seconds(|| {
            black_box(trigger.clone().count(black_box(&samples)));
        });
        // A list as numpy makes one: of all positions, in memory.
        let mut list = Vec::with_capacity(events as usize);
        let seconds = best_seconds(|| {
            list.clear();
            trigger.clone().push(black_box(&samples), |event| list.push(event.at.position));
            black_box(&list);
        });
        let step = STEP as u32;
        let mut extents = Vec::with_capacity(samples.len() / STEP);
        let envelope = best_seconds(|| {
            extents.clear();
            let mut envelope = Envelope::new(step).unwrap();
            envelope.push(black_box(&samples), |extent| extents.push(extent));
            black_box(&extents);
        });
        let mut sums = Vec::with_capacity(samples.len() / STEP);
        let boxcar = best_seconds(|| {
            sums.clear();
            Boxcar::new(step).unwrap().push(black_box(&samples), |sum| sums.push(sum));
            black_box(&sums);
        });
        let path = directory.join(format!("{}-{}.raw", T::NAME, signal.name()));
        let bytes: Vec<u8> = samples.iter().flat_map(|x| x.bytes()).collect();
        fs::write(path, bytes).expect("the directory can be written to");
        let under = T::saturating_sub(T::LEVEL, T::HYSTERESIS);
        let (name, signal, level) = (T::NAME, signal.name(), T::LEVEL);
        print!("{name};{signal};{level};{under};{events};{count};{seconds};");
        println!("{envelope};{boxcar}");
    }
}

fn main() {
    let directory = env::args().nth(1).expect("a directory to write signals to");
    let directory = Path::new(&directory);
    signals::<u8>(directory);
    signals::<i16>(directory);
    signals::<f32>(directory);
}
