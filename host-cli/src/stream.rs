//! A recording read to its end, block by block, by several cores where it is long.
//!
//! Reading takes a core longer than looking at what was read. So each of several threads reads every
//! n-th block, and looks at it when it is its turn, while it is still in its core's cache. What
//! looks goes from thread to thread, and sees every block in order as if there were one:
//!
//! ```text
//! thread 1: │ read 1    │ look at 1 │ read 3    │ look at 3 │
//! thread 2:       │ read 2    │ look at 2 │ read 4    │ look at 4 │
//! ```

use std::ops::ControlFlow;
use std::sync::mpsc::{self, Receiver, Sender};
use std::sync::{Mutex, PoisonError};
use std::{iter, thread};

use indicatif::ProgressBar;
use stillwave::{Monitor, Quality, Sample};

use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::{Planes, Reader};
use crate::{interrupt, note, progress};

/// How many blocks a recording must have for each thread.
const LONG: u64 = 32;

/// More threads than these would only wait for their turn.
const MOST_THREADS: usize = 8;

/// What was read.
#[derive(Debug, Clone, Copy, Default)]
pub struct Read {
    /// Samples in each channel.
    pub frames: u64,
    /// What the converter could not say, on the channels watched.
    pub quality: Quality,
}

/// What looks at a block of all channels. Behind a pointer, so that the threads are compiled once for
/// each type of sample and not once for each command too.
type Each<'e, T> = dyn FnMut(&[&[T]]) -> Result<ControlFlow<usize>, Error> + Send + 'e;

/// Gives every block to `each`, in order, until the end, Ctrl-C, or `each` wants no more: it then
/// says how many frames of its last block count. The reader is of no use afterwards.
///
/// Clipped and not finite samples are counted on channel `watched` of the blocks.
///
/// # Errors
/// As the reader, and as `each`.
pub fn blocks<T: Sample>(
    reader: &mut Reader<T>,
    calibration: &Calibration,
    watched: usize,
    each: &mut Each<'_, T>,
) -> Result<Read, Error> {
    let (lowest, highest) = end_codes::<T>(calibration);
    let monitor = Monitor::new(lowest, highest)?;
    note::all(reader.take_notices());
    // With --bits and --vref it is no matter of guessing.
    if !calibration.is_counted || calibration.scale.is_none() {
        reader.info().guesses(reader.selected()).into_iter().for_each(note::one);
    }
    let bar = progress::bar(reader.info().frames);
    let looker = Mutex::new(Looker { bar, read: Read::default(), outcome: Ok(()), each });
    let block = reader.block();
    let cores = thread::available_parallelism().map_or(1, usize::from).min(MOST_THREADS);
    let blocks = reader.info().frames.unwrap_or(0) / block as u64;
    let threads = (blocks / LONG).clamp(1, cores as u64);
    in_turn(reader, threads, block, watched, monitor, &looker);
    let looker = looker.into_inner().unwrap_or_else(PoisonError::into_inner);
    looker.bar.finish_and_clear();
    note::all(reader.take_notices());
    looker.outcome.map(|()| looker.read)
}

/// Reads blocks of so many frames by so many threads; by one where the recording is a stream.
fn in_turn<T: Sample>(
    reader: &mut Reader<T>,
    threads: u64,
    block: usize,
    watched: usize,
    monitor: Monitor<T>,
    looker: &Mutex<Looker<'_, T>>,
) {
    let mut helpers: Vec<_> =
        (1..threads).map_while(|number| reader.fork(number * block as u64)).collect();
    let skipped = (helpers.len() * block) as u64;
    let (mut next, turns): (Vec<_>, Vec<_>) = (0..=helpers.len()).map(|_| mpsc::channel()).unzip();
    // The first turn is that of the first; each hands on to the next, and the last to the first.
    let began = next[0].send(());
    debug_assert!(began.is_ok());
    next.rotate_left(1);
    let mut workers = iter::once(reader).chain(&mut helpers).zip(next).zip(turns).map(
        |((reader, next), turn)| {
            let planes = Planes::new(reader.selected().len(), block);
            Worker { reader, planes, skipped, watched, monitor, looker, turn, next }
        },
    );
    thread::scope(|scope| {
        let first = workers.next();
        for worker in workers {
            scope.spawn(|| worker.work());
        }
        if let Some(first) = first {
            first.work();
        }
    });
}

/// One of several that read every n-th block.
struct Worker<'a, 'e, T> {
    reader: &'a mut Reader<T>,
    planes: Planes<T>,
    /// How many frames the others read in between.
    skipped: u64,
    watched: usize,
    monitor: Monitor<T>,
    looker: &'a Mutex<Looker<'e, T>>,
    turn: Receiver<()>,
    next: Sender<()>,
}

impl<T: Sample> Worker<'_, '_, T> {
    /// Goes on until the end. Whoever comes to it hands nothing on, and so all others end as well.
    fn work(mut self) {
        loop {
            let read = (!interrupt::came()).then(|| self.reader.read(&mut self.planes));
            let watched = self.planes.channel(self.watched);
            let quality = |frames| {
                let mut monitor = self.monitor;
                monitor.push(watched.get(..frames).unwrap_or(watched));
                monitor.quality()
            };
            let whole = quality(watched.len());
            let Ok(()) = self.turn.recv() else { return };
            // Whoever panicked with it handed no turn on.
            let Ok(mut looker) = self.looker.lock() else { return };
            let more = looker.look(read, &self.planes, whole, quality);
            drop(looker);
            if !more || self.next.send(()).is_err() {
                return;
            }
            self.reader.skip(self.skipped);
        }
    }
}

/// What looks at the blocks, one after the other.
struct Looker<'e, T> {
    bar: ProgressBar,
    read: Read,
    outcome: Result<(), Error>,
    each: &'e mut Each<'e, T>,
}

impl<T: Sample> Looker<'_, T> {
    /// Looks at the next block, of this quality as a `whole` and `of` so many of its frames; whether
    /// more is wanted. One that was not `read` was interrupted.
    fn look(
        &mut self,
        read: Option<Result<usize, Error>>,
        planes: &Planes<T>,
        whole: Quality,
        of: impl Fn(usize) -> Quality,
    ) -> bool {
        let Some(read) = read else {
            note::one("interrupted: the rest of the recording was not read");
            return false;
        };
        let channels: Vec<&[T]> = planes.channels().collect();
        let more = read.and_then(|frames| {
            let flow = if frames > 0 { (self.each)(&channels)? } else { ControlFlow::Break(0) };
            let (frames, quality) = match flow {
                ControlFlow::Continue(()) => (frames, whole),
                ControlFlow::Break(counted) => (counted.min(frames), of(counted)),
            };
            self.read.frames += frames as u64;
            self.read.quality.clipped += quality.clipped;
            self.read.quality.non_finite += quality.non_finite;
            Ok(flow.is_continue())
        });
        self.bar.set_position(self.read.frames);
        more.unwrap_or_else(|error| {
            self.outcome = Err(error);
            false
        })
    }
}

/// The converter's end codes as samples; the largest numbers for floating point, which has none.
pub(crate) fn end_codes<T: Sample>(calibration: &Calibration) -> (T, T) {
    let sample = |code: f64| T::wide_from_f64(code).and_then(T::at_or_over);
    calibration
        .codes
        .and_then(|(lowest, highest)| Some((sample(lowest)?, sample(highest)?)))
        .unwrap_or((T::MIN, T::MAX))
}

#[cfg(test)]
mod tests {
    use std::io::Write;
    use std::ops::ControlFlow;
    use std::sync::Mutex;

    use indicatif::ProgressBar;
    use proptest::prelude::*;
    use stillwave::{
        Comparison, Event, Holdoff, Level, Monitor, Polarity, Pulse, Quality, Span, Trigger,
    };
    use tempfile::NamedTempFile;

    use super::{Looker, Read, in_turn};
    use crate::error::Error;
    use crate::input::{self, Format, OpenOptions, Recording};

    /// Everything that comes of bytes read by so many threads: pulses of the first of two channels,
    /// the frames and clipped samples, and the error, if any.
    fn seen(
        bytes: &[u8],
        shortened: usize,
        threads: u64,
        block: usize,
        blocks: usize,
    ) -> (Vec<Event>, u64, Quality, Option<String>) {
        let mut file = NamedTempFile::new().unwrap();
        file.write_all(&[0]).unwrap();
        file.write_all(bytes).unwrap();
        let options = OpenOptions {
            format: Some(Format::Raw),
            sample_type: Some("u8".parse().unwrap()),
            channel_count: Some(2),
            // What was looked at to tell the format is held, and not missed: it is let go.
            skip_bytes: 1,
            ..OpenOptions::default()
        };
        let Ok(Recording::U8(mut reader)) = input::open(file.path(), &options) else {
            panic!("it holds a frame at least");
        };
        file.as_file().set_len((1 + bytes.len() - shortened) as u64).unwrap();
        let width = Comparison::LongerThan(Span::samples(3));
        let pulse = Pulse::new(Polarity::Positive, Level::new(100, 50).unwrap(), width).unwrap();
        let mut trigger = Trigger::new(pulse, Holdoff::None).unwrap();
        let (mut events, mut left) = (Vec::new(), blocks);
        let mut each = |channels: &[&[u8]]| -> Result<ControlFlow<usize>, Error> {
            trigger.push_channels(channels, |event| events.push(event));
            left -= 1;
            // Of the last block, half.
            let half = channels[0].len() / 2;
            Ok(if left > 0 { ControlFlow::Continue(()) } else { ControlFlow::Break(half) })
        };
        let (bar, read) = (ProgressBar::hidden(), Read::default());
        let looker = Mutex::new(Looker { bar, read, outcome: Ok(()), each: &mut each });
        let monitor = Monitor::new(0, 255).unwrap();
        in_turn(&mut reader, threads, block, 0, monitor, &looker);
        let Looker { read, outcome, .. } = looker.into_inner().unwrap();
        let error = outcome.err().map(|error| {
            // Every run has a file of its own.
            error.to_string().replace(&file.path().display().to_string(), "it")
        });
        (events, read.frames, read.quality, error)
    }

    proptest! {
        #[test]
        fn threads_see_what_one_sees(
            bytes in prop::collection::vec(prop::sample::select(&[0_u8, 40, 90, 110, 255][..]), 2..600),
            shortened in prop_oneof![3 => Just(0_usize), 1 => 0..600_usize],
            threads in 2..7_u64,
            block in 1..40_usize,
            blocks in prop_oneof![Just(usize::MAX), 1..20_usize],
        ) {
            let shortened = shortened.min(bytes.len());
            let one = seen(&bytes, shortened, 1, block, blocks);
            let several = seen(&bytes, shortened, threads, block, blocks);
            if shortened == 0 && blocks == usize::MAX {
                prop_assert_eq!((one.1, &one.3), (bytes.len() as u64 / 2, &None));
            }
            prop_assert_eq!(several, one);
        }
    }

    #[test]
    #[should_panic = "a scoped thread panicked"]
    fn a_panic_in_a_thread_ends_all() {
        let mut file = NamedTempFile::new().unwrap();
        file.write_all(&[0; 64]).unwrap();
        let options =
            OpenOptions { sample_type: Some("u8".parse().unwrap()), ..OpenOptions::default() };
        let Ok(Recording::U8(mut reader)) = input::open(file.path(), &options) else {
            panic!("a file of bytes");
        };
        let mut blocks = 0;
        let mut each = |_: &[&[u8]]| -> Result<ControlFlow<usize>, Error> {
            blocks += 1;
            assert!(blocks < 3, "the third block");
            Ok(ControlFlow::Continue(()))
        };
        let (bar, read) = (ProgressBar::hidden(), Read::default());
        let looker = Mutex::new(Looker { bar, read, outcome: Ok(()), each: &mut each });
        in_turn(&mut reader, 3, 4, 0, Monitor::new(0, 255).unwrap(), &looker);
    }
}
