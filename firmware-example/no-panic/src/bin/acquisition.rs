//! The way from samples to records, with samples and settings the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use stillwave::{
    Acquisition, ConfigError, EdgeConfig, EdgeSlope, Event, Holdoff, Level, Mode, Monitor, Record,
    RecordShape, Sample, Scale, Setup, Span, Trigger, whole_samples,
};

/// Room for a record: any length will do.
const RECORD: usize = 100;

/// Linked, never run.
#[no_panic::entry]
fn main() -> ! {
    black_box(acquire::<u8>(0, 0).is_ok());
    black_box(acquire::<u16>(0, 0).is_ok());
    black_box(acquire::<i32>(0, 0).is_ok());
    black_box(acquire::<f32>(0.0, 0.0).is_ok());
    black_box(units(black_box(0.0)).is_ok());
    loop {
        core::hint::spin_loop();
    }
}

/// Everything that can be asked of an acquisition, in an order the optimiser cannot foresee.
fn acquire<T: Sample>(sample: T, level: T::Wide) -> Result<(), ConfigError> {
    let samples = [sample; 4];
    let samples = black_box(&samples[..]);
    let level = Level::<T>::new(black_box(level), black_box(level))?;
    let edge = || Setup::Edge(EdgeConfig { slope: black_box(EdgeSlope::Either), level }).build();

    let trigger = Trigger::new(edge()?, black_box(Holdoff::None))?;
    let shape = || RecordShape::new(black_box(1), black_box(1));
    let buffer = [sample; RECORD];
    let (mode, channels) = (black_box(Mode::Normal), black_box(1));
    let mut acquisition = Acquisition::with_channels(trigger, shape()?, mode, channels, buffer)?;
    let mut monitor = Monitor::new(black_box(sample), black_box(sample))?;

    while black_box(true) {
        monitor.push(samples);
        acquisition.push(samples, on_record);
        acquisition.push_channels(black_box(&[samples, samples]), on_event, on_record);
        match black_box(0) {
            0 => acquisition.gap(black_box(0)),
            1 => acquisition.run(),
            2 => acquisition.stop(),
            3 => acquisition.set_mode(black_box(Mode::Single))?,
            4 => acquisition.set_shape(shape()?)?,
            5 => acquisition.set_holdoff(black_box(Holdoff::None))?,
            6 => acquisition.set_condition(edge()?),
            _ => {
                black_box((acquisition.counters(), acquisition.is_running(), monitor.quality()));
            }
        }
    }
    Ok(())
}

fn on_event(event: Event) {
    black_box((event, event.at.samples()));
}

fn on_record<T: Sample>(record: Record<'_, T>) {
    let record = black_box(record);
    black_box(record.channel(black_box(0)));
    black_box((record.trigger_index(), record.offset(black_box(0))));
}

/// Volts and seconds.
fn units(value: f64) -> Result<(), ConfigError> {
    let scale = Scale::of_converter(black_box(12), value)?.with_zero(value)?;
    let scale = scale.with_attenuation(value)?;
    black_box((scale.volts(value), scale.counts(value), scale.count_difference(value)));
    black_box((Span::from_seconds(value, value), whole_samples(value, value)));
    Ok(())
}
