//! Limits and masks, on samples and corners the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use stillwave::{
    ConfigError, Sample,
    expect::{Limit, Mask, MaskPoint, MaskTest},
    measure::measure,
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
    let corners = [MaskPoint { time: black_box(0), level: T::ZERO }; 4];
    let corners = black_box(&corners[..]);
    let mask = Mask::<T>::new(corners, corners)?;
    black_box(mask.test(samples, black_box(0)));
    let mut test = MaskTest::new(mask, black_box(0));
    test.push(samples);
    black_box(test.verdict());
    let found = measure(samples);
    for limit in [
        Limit::nominal(black_box(1.0), black_box(0.1))?,
        Limit::at_least(black_box(1.0))?,
        Limit::at_most(black_box(1.0))?,
    ] {
        black_box(limit.check(found.mean));
    }
    Ok(())
}
