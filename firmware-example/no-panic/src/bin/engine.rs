//! The engine's whole way, with samples and settings the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use no_panic as _;
use stillwave::{
    Acquisition, Comparison, Condition, ConfigError, EdgeSlope, Holdoff, Level, Mode, Monitor,
    Polarity, RecordShape, Sample, Scale, Setup, Span, Trigger, whole_samples,
};

/// Room for a record: any length will do.
const RECORD: usize = 100;

#[cortex_m_rt::entry]
fn main() -> ! {
    black_box(every_setup::<u8>(0, 0, 0).is_ok());
    black_box(every_setup::<u16>(0, 0, 0).is_ok());
    black_box(every_setup::<i16>(0, 0, 0).is_ok());
    black_box(every_setup::<i32>(0, 0, 0).is_ok());
    black_box(every_setup::<f32>(0.0, 0.0, 0.0).is_ok());
    black_box(units(black_box(0.0)).is_ok());
    loop {
        cortex_m::asm::wfi();
    }
}

fn every_setup<T: Sample>(
    sample: T,
    level: T::Wide,
    hysteresis: T::Wide,
) -> Result<(), ConfigError> {
    let samples = [sample; 4];
    let samples = black_box(&samples[..]);
    let level = Level::new(black_box(level), black_box(hysteresis))?.on_channel(black_box(0));
    let span = || Span::from_parts(black_box(0));
    let width = black_box(Comparison::Within(span(), span()));

    let edge = Setup::<T>::Edge { slope: black_box(EdgeSlope::Either), level };
    let pulse = Setup::Pulse { polarity: black_box(Polarity::Positive), level, width };
    run(black_box(edge).build()?, samples)?;
    run(black_box(pulse).build()?, samples)?;

    let mut monitor = Monitor::new(black_box(sample), black_box(sample))?;
    monitor.push(samples);
    black_box(monitor.quality());
    Ok(())
}

/// Everything that can be asked of an acquisition, in an order the optimiser cannot foresee.
fn run<C: Condition>(condition: C, samples: &[C::Sample]) -> Result<(), ConfigError> {
    let trigger = Trigger::new(condition, black_box(Holdoff::None))?;
    let shape = || RecordShape::new(black_box(1), black_box(1));
    let buffer = [C::Sample::default(); RECORD];
    let (mode, channels) = (black_box(Mode::Normal), black_box(1));
    let mut acquisition = Acquisition::with_channels(trigger, shape()?, mode, channels, buffer)?;

    while black_box(true) {
        acquisition.push_channels(
            black_box(&[samples, samples]),
            |event| {
                black_box((event, event.at.samples()));
            },
            |record| {
                black_box(record.channel(black_box(0)));
                black_box((record.trigger_index(), record.offset(black_box(0))));
            },
        );
        match black_box(0) {
            0 => acquisition.gap(black_box(0)),
            1 => acquisition.run(),
            2 => acquisition.stop(),
            3 => acquisition.set_mode(black_box(Mode::Single))?,
            4 => acquisition.set_shape(shape()?)?,
            5 => acquisition.set_holdoff(black_box(Holdoff::None))?,
            _ => {
                black_box((acquisition.counters(), acquisition.is_running()));
            }
        }
    }
    Ok(())
}

/// Volts and seconds.
fn units(value: f64) -> Result<(), ConfigError> {
    let scale = Scale::of_converter(black_box(12), value)?.with_zero(value)?;
    let scale = scale.with_attenuation(value)?;
    black_box((scale.volts(value), scale.counts(value), scale.count_difference(value)));
    black_box((Span::from_seconds(value, value), whole_samples(value, value)));
    Ok(())
}
