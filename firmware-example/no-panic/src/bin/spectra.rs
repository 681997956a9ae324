//! Spectra, ellipses, distributions and shapes, on samples the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use stillwave::{
    Sample, Scale, Slope,
    measure::{Distribution, Lissajous, Meter, Reason, SineFit, Spectrum, Window},
};

/// Linked, never run.
#[no_panic::entry]
fn main() -> ! {
    black_box(all::<u8>(0).is_ok());
    black_box(all::<u16>(0).is_ok());
    black_box(all::<i32>(0).is_ok());
    black_box(all::<f32>(0.0).is_ok());
    loop {
        core::hint::spin_loop();
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
    let _ = black_box(found.harmonic(black_box(3)));
    let ellipse = black_box(Lissajous::of(black_box(&samples), black_box(&samples)));
    let _ = black_box(ellipse.map(|ellipse| (ellipse.sine(), ellipse.point(black_box(0.1)))));
    let mut spread = Distribution::default();
    spread.push(black_box(Ok(1.0)));
    spread.push(black_box(Ok(-1e9)));
    black_box(spread.bins().map(|bin| bin.count).max());
    let meter = black_box(Meter::default());
    let shape = meter.edge_shape(black_box(&samples), Slope::Rising);
    black_box(shape.scaled(Scale::VOLTS).timed(black_box(1.0)).is_ok());
    let _ = black_box(SineFit::of(black_box(&samples)));
    let power = black_box([0.0; 33]);
    let _ = black_box(Spectrum::new(&power, black_box(64), Window::FlatTop)?.distortion());
    Ok(())
}
