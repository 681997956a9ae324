//! The engine from samples to records of 256, a quarter of them before the event.

use core::hint::black_box;

use stillwave::{
    Acquisition, AnyCondition, Comparison, Condition, ConfigError, Counters, Edge, EdgeSlope,
    Holdoff, Level, Mode, Polarity, Pulse, PulsePolarity, RecordShape, Setup, Slope, Span, Trigger,
};

use super::Kernel;
use crate::signal::{HYSTERESIS, LEVEL};

const RECORD: usize = 256;

pub(super) const ALL: &[Kernel] = &[
    Kernel::new("acquire", acquire, state::<Edge<u16>>()),
    Kernel::new("both", both, state::<Pulse<u16>>()),
    Kernel::new("catalogue", catalogue, state::<AnyCondition<u16>>()),
];

/// Records of a rising edge.
#[inline(never)]
fn acquire(samples: &[u16]) -> u64 {
    records(Edge::new(Slope::Rising, level()), samples)
}

/// Of an edge or of a pulse, whichever is wanted.
#[inline(never)]
fn both(samples: &[u16]) -> u64 {
    if black_box(true) {
        records(Edge::new(Slope::Rising, level()), samples)
    } else {
        records(Pulse::new(Polarity::Positive, level(), shorter()), samples)
    }
}

/// Of any condition of the catalogue, chosen at run time.
#[inline(never)]
fn catalogue(samples: &[u16]) -> u64 {
    let setup = if black_box(true) {
        Setup::Edge { slope: EdgeSlope::Rising, level: level() }
    } else {
        Setup::Pulse { polarity: PulsePolarity::Positive, level: level(), width: shorter() }
    };
    records(black_box(setup).build(), samples)
}

fn level() -> Level<u16> {
    Level { level: LEVEL.into(), hysteresis: HYSTERESIS.into(), channel: 0 }
}

fn shorter() -> Comparison {
    Comparison::ShorterThan(Span::samples(100))
}

fn records<C: Condition<Sample = u16>>(condition: Result<C, ConfigError>, samples: &[u16]) -> u64 {
    run(condition, samples).map_or(0, |counters| counters.records)
}

fn run<C: Condition<Sample = u16>>(
    condition: Result<C, ConfigError>,
    samples: &[u16],
) -> Result<Counters, ConfigError> {
    let trigger = Trigger::new(condition?, Holdoff::Samples(100))?;
    let shape = RecordShape::new(RECORD / 4, RECORD - RECORD / 4)?;
    let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0; RECORD])?;
    acquisition.push(samples, |record| {
        black_box(record.samples());
    });
    Ok(acquisition.counters())
}

/// What an acquisition keeps beside its memory for records.
const fn state<C: Condition>() -> usize {
    size_of::<Acquisition<C, [C::Sample; 0]>>()
}
