//! Every decimator, on samples the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use stillwave::{
    ConfigError, Instant, Sample, Span,
    decimate::{
        Accumulator, Average, Boxcar, Cic, Counts, Decimator, Envelope, Every, Extent, Fir,
        LowPass, RecordEnvelope, SinX, Weight, linear, magnitude,
    },
};

/// Linked, never run.
#[no_panic::entry]
fn main() -> ! {
    black_box(all::<u8>(1, 1, 0).is_ok());
    black_box(all::<u16>(1, 1, 0).is_ok());
    black_box(all::<i16>(1, 1, 0).is_ok());
    black_box(all::<i32>(1, 1, 0).is_ok());
    black_box(all::<f32>(1.0, 1.0, 0.0).is_ok());
    black_box(cics::<u16, i32>(1).is_ok());
    black_box(cics::<i16, i64>(1).is_ok());
    black_box(cics::<i32, i64>(1).is_ok());
    black_box(designs().is_ok());
    loop {
        core::hint::spin_loop();
    }
}

fn all<T: Sample>(sample: T, tap: T::Tap, column: T::Fine) -> Result<(), ConfigError> {
    let samples = [sample; 40];
    let samples = black_box(&samples[..]);
    let step = black_box(3);
    through(Every::<T>::new(step)?, samples);
    let mut envelope = Envelope::<T>::new(step)?;
    envelope.push(samples, |extent| {
        black_box(extent);
    });
    black_box((envelope.finish(), envelope.non_finite()));
    through(envelope, samples);
    let boxcar = Boxcar::<T>::new(step)?;
    black_box((boxcar.gained_bits(), boxcar.mean(black_box(sample.widen()))));
    through(boxcar, samples);
    let (taps, mut memory) = ([tap; 5], [sample; 8]);
    let fir = Fir::<T, _, _>::new(black_box(&taps[..]), step, black_box(1), &mut memory[..])?;
    black_box(fir.mean(black_box(sample.widen())));
    through(fir, samples);

    let lead = black_box(7);
    let mut columns = [column; 50];
    let weight = black_box(Weight::Exponential { shift: 3 });
    let mut average = Average::<T, _>::new(weight, black_box(&mut columns[..]))?;
    average.push(samples, lead);
    black_box((average.value(black_box(2)), average.sample(black_box(2)), average.len()));
    let mut columns = [Extent::EMPTY; 50];
    let mut envelope = RecordEnvelope::<T, _>::new(black_box(&mut columns[..]));
    envelope.push(samples, lead);
    black_box(envelope.columns());
    black_box((
        linear(samples, black_box(1.5)),
        SinX::new(black_box(4))?.value(samples, black_box(1.5)),
    ));
    Ok(())
}

fn cics<T: Counts, A: Accumulator>(sample: T) -> Result<(), ConfigError> {
    let samples = [sample; 40];
    let cic = Cic::<T, A>::new(black_box(3), black_box(4))?;
    black_box((cic.gained_bits(), cic.mean(black_box(A::default()))));
    through(cic, black_box(&samples));
    Ok(())
}

fn through<D: Decimator>(mut decimator: D, samples: &[D::Input]) {
    let output = |output| {
        black_box(output);
    };
    decimator.push(samples, output);
    black_box(decimator.gap(black_box(5), output));
    decimator.push(samples, output);
    let grid = decimator.grid();
    black_box(grid.original(black_box(Instant { position: 3, lead: 9 })));
    black_box((grid.delay(), grid.original_span(black_box(Span::samples(3))), grid.rate(1e6)));
    black_box((decimator.output(), decimator.gain()));
    decimator.reset();
    black_box(&decimator);
}

fn designs() -> Result<(), ConfigError> {
    let (mut real, mut whole) = ([0.0; 99], [0; 99]);
    let low_pass = LowPass::for_step(black_box(4), black_box(50.0))?;
    black_box(
        LowPass::half_band(black_box(0.2), black_box(50.0))?.fill_q15(black_box(&mut whole[..]))?,
    );
    black_box((low_pass.ripple(), low_pass.taps()));
    let taps = low_pass.fill(black_box(&mut real[..]))?;
    black_box(magnitude(taps, black_box(0.1)));
    Ok(())
}
