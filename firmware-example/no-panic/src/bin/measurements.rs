//! Every measurement, on samples the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use stillwave::{
    ConfigError, Sample, Scale,
    measure::{Config, Meter, StateLevels, Statistics, ac_rms, mean, rms},
};

/// Linked, never run.
#[no_panic::entry]
fn main() -> ! {
    black_box(all::<u8>(0).is_ok());
    black_box(all::<u16>(0).is_ok());
    black_box(all::<i16>(0).is_ok());
    black_box(all::<i32>(0).is_ok());
    black_box(all::<f32>(0.0).is_ok());
    loop {
        core::hint::spin_loop();
    }
}

fn all<T: Sample>(sample: T) -> Result<(), ConfigError> {
    let samples = [sample; 4];
    let samples = black_box(&samples[..]);
    let meter = Meter::new(black_box(Config::default()))?;
    let scale = Scale::new(black_box(1.0), black_box(0.0))?;
    let found = meter.measure(samples);
    black_box(meter.uncertainty(samples, &found).scaled(scale).timed(black_box(1.0))?);
    black_box(found.scaled(scale).timed(black_box(1.0))?);
    black_box(meter.spread(samples).timed(black_box(1.0))?);
    let _ = black_box(StateLevels::of(samples));
    let _ = black_box(Statistics::of(samples));
    for single in [mean, rms, ac_rms] {
        let _ = black_box(single(samples));
    }
    Ok(())
}
