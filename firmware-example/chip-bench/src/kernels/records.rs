//! The engine from samples to records of 256, a quarter of them before the event.

use core::hint::black_box;

use stillwave::{
    Acquisition, AnyCondition, Block, Comparison, Condition, ConfigError, Counters, Edge,
    EdgeConfig, EdgeSlope, Event, Holdoff, Level, Mode, Polarity, Pulse, PulseConfig,
    PulsePolarity, RecordShape, Setup, Slope, Span, Trigger,
};

use super::Kernel;
use crate::signal::{HYSTERESIS, LEVEL};

const RECORD: usize = 256;

/// The memory for records, where boards have it: in none of the program's own.
static mut ROOM: [u16; RECORD] = [0; RECORD];

pub(super) const ALL: &[Kernel] = &[
    Kernel::new("acquire", acquire, state::<Edge<u16>>()),
    Kernel::new("both", both, state::<EdgeOrPulse>()),
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
    let condition = if black_box(true) {
        Edge::new(Slope::Rising, level()).map(EdgeOrPulse::Edge)
    } else {
        Pulse::new(Polarity::Positive, level(), shorter()).map(EdgeOrPulse::Pulse)
    };
    records(condition, samples)
}

/// How a program that needs no more than two conditions chooses between them.
enum EdgeOrPulse {
    Edge(Edge<u16>),
    Pulse(Pulse<u16>),
}

impl Condition for EdgeOrPulse {
    type Sample = u16;

    fn next(&mut self, block: &Block<'_, u16>) -> Option<Event> {
        match self {
            Self::Edge(edge) => edge.next(block),
            Self::Pulse(pulse) => pulse.next(block),
        }
    }

    fn for_each(
        &mut self,
        block: &Block<'_, u16>,
        accept: impl FnMut(u64) -> bool,
        f: impl FnMut(Event),
    ) {
        match self {
            Self::Edge(edge) => edge.for_each(block, accept, f),
            Self::Pulse(pulse) => pulse.for_each(block, accept, f),
        }
    }

    fn gap(&mut self) {
        match self {
            Self::Edge(edge) => edge.gap(),
            Self::Pulse(pulse) => pulse.gap(),
        }
    }

    fn reset(&mut self) {
        match self {
            Self::Edge(edge) => edge.reset(),
            Self::Pulse(pulse) => pulse.reset(),
        }
    }
}

/// Of any condition of the catalogue, chosen at run time.
#[inline(never)]
fn catalogue(samples: &[u16]) -> u64 {
    let setup = if black_box(true) {
        Setup::Edge(EdgeConfig { slope: EdgeSlope::Rising, level: level() })
    } else {
        Setup::Pulse(PulseConfig {
            polarity: PulsePolarity::Positive,
            level: level(),
            width: shorter(),
        })
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
    let room = &raw mut ROOM;
    // SAFETY: kernels run one after another, each to its end.
    let room: &mut [u16] = unsafe { &mut *room };
    let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, room)?;
    acquisition.push(samples, |record| {
        black_box(record.samples());
    });
    Ok(acquisition.counters())
}

/// What an acquisition keeps beside its memory for records.
const fn state<C: Condition>() -> usize {
    size_of::<Acquisition<C, [C::Sample; 0]>>()
}
