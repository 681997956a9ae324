//! Stillwave on a Cortex-M4F in the emulator, for comparing a chip with a PC.
//!
//! ```text
//! tools/chip-run m4 …/qemu-m4 on=edge slope=rising level=2048 hysteresis=32 file=FILE
//! ```
//! Samples come from a host file (`file=`) or from the recording in flash, block by
//! block; each accepted event goes out as the JSON line that `stillwave scan` prints.
//! [`options`] lists all words. Exit status: 0 done, 2 bad words or a bad file.

#![no_std]
#![no_main]

mod error;
mod limits;
mod line;
mod log;
mod options;
mod sink;
mod source;

use core::panic::PanicInfo;

use cortex_m as _; // the critical section that logging needs
use cortex_m_rt::entry;
use differential::decimation;
use semihosting::{eprintln, process};
use stillwave::{Coupling, Input, Inputs, Trigger};

use error::Error;
use limits::{BLOCK, CHANNELS};
use options::Options;
use sink::Sink;
use source::Source;

#[entry]
fn main() -> ! {
    let done = options::from_command_line().and_then(|options| match &options.decimate {
        Some(what) => decimate(&options, what),
        None => run(&options),
    });
    if let Err(error) = done {
        eprintln!("qemu-m4: {error}");
        process::exit(2);
    }
    process::exit(0)
}

// The emulated board has 4 MB of memory.
#[allow(clippy::large_stack_arrays)]
fn run(options: &Options) -> Result<(), Error> {
    // Those that the recording has not are its last.
    let last = options.channels.saturating_sub(1);
    let mut inputs: [_; CHANNELS] = core::array::from_fn(|channel| Input::Coupled {
        channel: channel.min(last) as u8,
        coupling: Coupling::Dc,
    });
    inputs[0] = Input::Coupled { channel: 0, coupling: options.coupling };
    let condition = Inputs::new(options.condition.build()?, inputs)?;
    let mut trigger = Trigger::new(condition, options.holdoff)?;
    let mut source = Source::open(options.file.as_ref())?;
    let mut sink = Sink::open(options.to.as_ref())?;
    let mut interleaved = [0; CHANNELS * BLOCK];
    let block = interleaved.get_mut(..options.channels * options.block).ok_or(Error::Block)?;
    let mut channels = [[0; BLOCK]; CHANNELS];
    log::begin(options.block);
    loop {
        let samples = source.read(block)?;
        if samples.is_empty() {
            break;
        }
        let slices = part(samples, options.channels, &mut channels);
        let slices = slices.get(..options.channels).unwrap_or_default();
        let mut written = Ok(());
        trigger.push_channels(slices, |event| {
            log::event(event);
            if written.is_ok() {
                written = line::line(event, options.style).and_then(|line| sink.write(&line));
            }
        });
        written?;
    }
    log::end(trigger.position(), trigger.events(), trigger.held_off());
    Ok(())
}

fn decimate(options: &Options, what: &str) -> Result<(), Error> {
    let mut source = Source::open(options.file.as_ref())?;
    let mut sink = Sink::open(options.to.as_ref())?;
    let mut buffer = [0; BLOCK];
    let block = buffer.get_mut(..options.block).ok_or(Error::Block)?;
    let (mut read, mut written) = (Ok(()), Ok(()));
    let known = decimation::run(
        what,
        &mut |each| {
            loop {
                match source.read(block) {
                    Ok([]) => break,
                    Ok(samples) => each(samples),
                    Err(error) => {
                        read = Err(error);
                        break;
                    }
                }
            }
        },
        &mut |output| {
            if written.is_ok() {
                written = line::numbers(output).and_then(|line| sink.write(&line));
            }
        },
    );
    known.ok_or(Error::BadValue("decimate"))?;
    read.and(written)
}

/// The channels of samples that follow each other one of each channel.
fn part<'c>(
    samples: &[u16],
    count: usize,
    channels: &'c mut [[u16; BLOCK]; CHANNELS],
) -> [&'c [u16]; CHANNELS] {
    for (index, channel) in channels.iter_mut().enumerate() {
        let own = samples.iter().skip(index).step_by(count.max(1));
        for (slot, sample) in channel.iter_mut().zip(own) {
            *slot = *sample;
        }
    }
    let length = samples.len().checked_div(count).unwrap_or(0);
    channels.each_ref().map(|channel| channel.get(..length).unwrap_or_default())
}

#[panic_handler]
fn panic(info: &PanicInfo<'_>) -> ! {
    eprintln!("{info}");
    process::exit(101)
}
