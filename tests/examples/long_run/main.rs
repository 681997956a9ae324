//! A day of streaming: nothing lost, nothing invented.
//!
//! A generator makes a stream with edges, narrow pulses, runts, silences and gaps at places that it
//! knows. The engine looks for each of them, and takes a record of each edge; every event and every
//! record is held against the generator's own list, which is made from the rules and not from the
//! samples.
//!
//! ```text
//! cargo run --release -p stillwave-tests --example long_run                    24 h at 500 kS/s
//! cargo run --release -p stillwave-tests --example long_run -- 600 4200000000  10 min, from there on
//! ```

mod ledger;
mod stream;

use std::process::ExitCode;
use std::time::Instant;

use stillwave::{
    Acquisition, Band, Comparison, Dropout, Edge, Event, EventKind, Holdoff, Level, Mode, Polarity,
    Pulse, RecordShape, Runt, Slope, Span, Trigger,
};

use ledger::{HYSTERESIS, LEVEL, LOW, Ledger, NARROW, POST, PRE, Seen, Tally, WAIT};
use stream::Stream;

const RATE: u64 = 500_000;

fn main() -> ExitCode {
    let mut numbers = std::env::args().skip(1).map(|word| word.parse().expect("a number"));
    let seconds = numbers.next().unwrap_or(24 * 3600_u64);
    let first = numbers.next().unwrap_or(0);
    match run(first, seconds * RATE) {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("NOT as generated: {problem}");
            ExitCode::from(1)
        }
    }
}

/// Streams `samples` from position `first` on.
fn run(first: u64, samples: u64) -> Result<(), String> {
    let fault = |error: stillwave::ConfigError| error.to_string();
    let level = Level::<u16>::new(LEVEL, HYSTERESIS).map_err(fault)?;
    let band = Band::<u16>::new(LOW, LEVEL, HYSTERESIS).map_err(fault)?;
    let edge = Edge::new(Slope::Rising, level).map_err(fault)?;
    let narrow = Comparison::ShorterThan(Span::samples(NARROW));
    let pulse = Pulse::new(Polarity::Positive, level, narrow).map_err(fault)?;
    let runt = Runt::new(Polarity::Positive, band, None).map_err(fault)?;
    let dropout = Dropout::new(edge.clone(), WAIT).map_err(fault)?;
    let trigger = Trigger::new(edge, Holdoff::None).map_err(fault)?;
    let shape = RecordShape::new(PRE as usize, POST as usize).map_err(fault)?;
    let buffer = vec![0; 2 * shape.len()];
    let mut edges = Acquisition::new(trigger, shape, Mode::Normal, buffer).map_err(fault)?;
    let mut pulses = Trigger::new(pulse, Holdoff::None).map_err(fault)?;
    let mut runts = Trigger::new(runt, Holdoff::None).map_err(fault)?;
    let mut dropouts = Trigger::new(dropout, Holdoff::None).map_err(fault)?;

    let began = Instant::now();
    let mut ledger = Ledger::default();
    let mut stream = Stream::new(first, first + samples);
    let (mut delivered, mut gaps, mut lost) = (0, 0, 0);
    // Positions begin where they are asked to: as after a gap.
    let mut gap = first;
    while let Some(stretch) = stream.next_stretch(gap) {
        if gap > 0 {
            edges.gap(gap);
            pulses.gap(gap);
            runts.gap(gap);
            dropouts.gap(gap);
            (gaps, lost) = (gaps + 1, lost + gap);
        }
        ledger.begin(stretch);
        while let Some(block) = stream.next_block(&mut ledger) {
            delivered += block.samples.len() as u64;
            let mut wrong = 0;
            edges.push_channels(
                &[block.samples],
                |event| ledger.edges.found(seen(&event)),
                |record| {
                    let same = block.is(record.start, record.samples());
                    wrong += u64::from(!same || record.samples().len() as u64 != PRE + POST);
                    ledger.records.found(record.start);
                },
            );
            pulses.push(block.samples, |event| ledger.narrow.found(seen(&event)));
            runts.push(block.samples, |event| ledger.runts.found(seen(&event)));
            dropouts.push(block.samples, |event| ledger.dropouts.found(seen(&event)));
            ledger.wrong_records += wrong;
            ledger.check()?;
        }
        ledger.end();
        gap = stretch.lost;
    }
    ledger.finish()?;
    let counters = edges.counters();
    let counted = Tally {
        edges: counters.events,
        records: counters.records,
        unrecorded: counters.unrecorded,
        abandoned: counters.abandoned,
    };
    if counted != ledger.tally {
        return Err(format!("counted {counted:?}, generated {:?}", ledger.tally));
    }
    if (counters.gaps, counters.lost) != (gaps, lost) {
        return Err(format!("{gaps} gaps of {lost} samples, counted {counters:?}"));
    }
    let time = began.elapsed().as_secs_f64();
    let Tally { records, unrecorded, abandoned, .. } = counted;
    println!(
        "{delivered} samples at positions {first} to {}, {gaps} gaps of {lost} samples\n\
         as generated: {} edges, {} narrow pulses, {} runts, {} dropouts; {records} records to the \
         sample; {unrecorded} edges too near another or a gap, {abandoned} records given up\n\
         {time:.0} s, {:.0} times as fast as it was streamed",
        first + samples,
        ledger.edges.count(),
        ledger.narrow.count(),
        ledger.runts.count(),
        ledger.dropouts.count(),
        (samples / RATE) as f64 / time
    );
    Ok(())
}

/// Where an event is, and how long what it is about took, in 1/65536 of a sample.
fn seen(event: &Event) -> Seen {
    let time = match event.kind {
        EventKind::Pulse { width, .. } | EventKind::Runt { width, .. } => width.parts(),
        _ => 0,
    };
    Seen { position: event.at.position, lead: event.at.lead, time }
}
