//! A case through the engine.

use core::cell::RefCell;

use stillwave::{
    Acquisition, Condition, ConfigError, Coupling, Input, Inputs, Monitor, Record, Trigger,
};

use crate::{Act, Answer, CHANNELS, Case, Wire, decimation, measures};

/// Takes answers.
type Out<'a> = RefCell<&'a mut dyn FnMut(&Answer<'_>)>;

/// Runs a case on its samples, one channel after the other, with `room` for records, and gives
/// every answer in order; the last is [`Answer::End`].
pub fn answer<T: Wire>(
    case: &Case<T>,
    samples: &[T],
    room: &mut [T],
    out: &mut dyn FnMut(&Answer<'_>),
) {
    let length = samples.len().checked_div(case.channels.into()).unwrap_or(0);
    let mut channels: [&[T]; CHANNELS] = [&[]; CHANNELS];
    for (channel, own) in channels.iter_mut().zip(samples.chunks_exact(length.max(1))) {
        *channel = own;
    }
    let channels = channels.get(..case.channels.into()).unwrap_or_default();
    let out = RefCell::new(out);
    let give = |answer: &Answer<'_>| (out.borrow_mut())(answer);
    if let Err(error) = acquire(case, channels, length, room, &out) {
        give(&error.into());
    }
    decimate(case, channels, length, &out);
    give(&Answer::End);
}

fn acquire<T: Wire>(
    case: &Case<T>,
    channels: &[&[T]],
    length: usize,
    room: &mut [T],
    out: &Out<'_>,
) -> Result<(), ConfigError> {
    // Channels that the signal has not are its last.
    let last = channels.len().saturating_sub(1);
    let mut inputs: [_; CHANNELS] = core::array::from_fn(|channel| Input::Coupled {
        channel: channel.min(last) as u8,
        coupling: Coupling::Dc,
    });
    inputs[0] = Input::Coupled { channel: 0, coupling: case.coupling };
    let condition = Inputs::new(case.composition.build()?, inputs)?;
    let trigger = Trigger::new(condition, case.holdoff)?;
    let count = channels.len();
    let mut acquisition = Acquisition::with_channels(trigger, case.shape, case.mode, count, room)?;
    let mut monitor = Monitor::new(T::MIN, T::MAX)?;
    let mut measured = 0;
    acquisition.gap(case.start);
    let mut acts = case.acts.iter().peekable();
    cut(case, length, |block| {
        while let Some((_, act)) = acts.next_if(|(place, _)| *place as usize <= block.start) {
            perform(*act, &mut acquisition, out);
        }
        let mut slices: [&[T]; CHANNELS] = [&[]; CHANNELS];
        for (slice, channel) in slices.iter_mut().zip(channels) {
            *slice = channel.get(block.clone()).unwrap_or_default();
        }
        monitor.push(slices[0]);
        let give = |answer: &Answer<'_>| (out.borrow_mut())(answer);
        acquisition.push_channels(
            slices.get(..count).unwrap_or_default(),
            |event| give(&Answer::Event(event)),
            |record| {
                give(&Answer::Record(
                    record.number,
                    record.at,
                    record.start,
                    record.event.is_some(),
                ));
                for channel in 0..record.channels() {
                    give(&Answer::Samples(bytemuck::cast_slice(record.channel(channel))));
                }
                if measured < case.measured.0 {
                    measured += 1;
                    measure(&record, case.measured.1, out);
                }
            },
        );
    });
    let quality = monitor.quality();
    let counted = Answer::Counted(acquisition.counters(), quality.clipped, quality.non_finite);
    (out.borrow_mut())(&counted);
    Ok(())
}

/// Cuts so many samples into the blocks of a case; one ends where something happens.
fn cut<T: Wire>(case: &Case<T>, length: usize, mut each: impl FnMut(core::ops::Range<usize>)) {
    let mut at = 0;
    for &block in case.blocks.iter().cycle() {
        let end = at + usize::from(block);
        let places = case.acts.iter().map(|(place, _)| *place as usize);
        let end = places.filter(|&place| place > at).fold(end.min(length), usize::min);
        each(at..end);
        at = end;
        if at >= length {
            break;
        }
    }
}

fn perform<C: Condition, B: AsRef<[C::Sample]> + AsMut<[C::Sample]>>(
    act: Act,
    acquisition: &mut Acquisition<C, B>,
    out: &Out<'_>,
) {
    let done = match act {
        Act::Gap(lost) => {
            acquisition.gap(lost);
            Ok(())
        }
        Act::Run => {
            acquisition.run();
            Ok(())
        }
        Act::Stop => {
            acquisition.stop();
            Ok(())
        }
        Act::Holdoff(holdoff) => acquisition.set_holdoff(holdoff),
        Act::Shape(shape) => acquisition.set_shape(shape),
        Act::Mode(mode) => acquisition.set_mode(mode),
    };
    if let Err(error) = done {
        (out.borrow_mut())(&error.into());
    }
}

fn measure<T: Wire>(record: &Record<'_, T>, all: bool, out: &Out<'_>) {
    let give = &mut |name: &str, value: stillwave::measure::Value| {
        (out.borrow_mut())(&Answer::Measured(name, value.map(f64::to_bits)));
    };
    let samples = record.samples();
    // With one channel alone, the record against itself.
    let other = record.channel(record.channels().min(2).saturating_sub(1));
    let middle = samples.first().map_or(0.0, |&first| T::wide_to_f64(first.widen()));
    measures::of_record(samples, other, middle, give);
    if all {
        measures::fits(samples, other, give);
    }
}

fn decimate<T: Wire>(case: &Case<T>, channels: &[&[T]], length: usize, out: &Out<'_>) {
    let signal = channels.first().copied().unwrap_or_default();
    let known = decimation::run(
        &case.decimate,
        &mut |each| {
            cut(case, length, |block| {
                for some in signal.get(block).unwrap_or_default().chunks(64) {
                    let mut words = [0_u16; 64];
                    words.iter_mut().zip(some).for_each(|(word, x)| *word = low_word(x));
                    each(words.get(..some.len()).unwrap_or_default());
                }
            });
        },
        &mut |output| (out.borrow_mut())(&Answer::Decimated(output)),
    );
    if known.is_none() {
        (out.borrow_mut())(&Answer::Refused("decimate", 0, ""));
    }
}

/// The lowest 16 bits.
fn low_word<T: Wire>(x: &T) -> u16 {
    let bytes = bytemuck::bytes_of(x);
    let mut from_low = bytes.iter().enumerate().map(|(i, _)| {
        let i = if cfg!(target_endian = "big") { bytes.len() - 1 - i } else { i };
        bytes.get(i).copied().unwrap_or(0)
    });
    u16::from_le_bytes([from_low.next().unwrap_or(0), from_low.next().unwrap_or(0)])
}
