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

mod decimation;
mod error;
mod line;
mod log;
mod options;
mod sink;
mod source;

use core::panic::PanicInfo;

use cortex_m as _; // the critical section that logging needs
use cortex_m_rt::entry;
use semihosting::{eprintln, process};
use stillwave::{Input, Inputs, Trigger};

use error::Error;
use options::Options;
use sink::Sink;
use source::Source;

/// The most samples in a block.
const BLOCK: usize = 4096;

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

fn run(options: &Options) -> Result<(), Error> {
    let input = Input::Coupled { channel: 0, coupling: options.coupling };
    let condition = Inputs::new(options.setup.build()?, [input])?;
    let mut trigger = Trigger::new(condition, options.holdoff)?;
    let mut source = Source::open(options.file.as_ref())?;
    let mut sink = Sink::open(options.to.as_ref())?;
    let mut buffer = [0; BLOCK];
    let block = buffer.get_mut(..options.block).ok_or(Error::Block)?;
    log::begin(options.block);
    loop {
        let samples = source.read(block)?;
        if samples.is_empty() {
            break;
        }
        let mut written = Ok(());
        trigger.push(samples, |event| {
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

#[panic_handler]
fn panic(info: &PanicInfo<'_>) -> ! {
    eprintln!("{info}");
    process::exit(101)
}
