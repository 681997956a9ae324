//! Spectra and what stands on them, on samples the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use no_panic as _;
use stillwave::{
    Sample,
    measure::{Reason, Spectrum, Window},
};

#[cortex_m_rt::entry]
fn main() -> ! {
    black_box(all::<u8>(0).is_ok());
    black_box(all::<u16>(0).is_ok());
    black_box(all::<i32>(0).is_ok());
    black_box(all::<f32>(0.0).is_ok());
    loop {
        cortex_m::asm::wfi();
    }
}

fn all<T: Sample>(sample: T) -> Result<(), Reason> {
    let samples = [sample; 64];
    let mut buffer = [0.0; 64];
    let buffer = black_box(&mut buffer[..]);
    let spectrum = Spectrum::of(black_box(&samples), black_box(Window::Hann), buffer)?;
    black_box(spectrum.level(black_box(1)));
    black_box(spectrum.frequency(black_box(1)));
    let found = spectrum.distortion()?;
    let _ = black_box(found.enob());
    let power = black_box([0.0; 33]);
    let _ = black_box(Spectrum::new(&power, black_box(64), Window::FlatTop)?.distortion());
    Ok(())
}
