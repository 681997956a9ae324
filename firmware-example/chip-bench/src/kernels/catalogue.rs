use core::hint::black_box;

use stillwave::{
    Acquisition, Comparison, ConfigError, Counters, EdgeSlope, Holdoff, Level, Mode, PulsePolarity,
    RecordShape, Setup, Span, Trigger,
};

use crate::signal::{HYSTERESIS, LEVEL};

/// Samples in a record, a quarter of them before the event.
const RECORD: usize = 256;

/// The whole catalogue of conditions, any of them chosen at run time, with records.
#[inline(never)]
pub fn catalogue(samples: &[u16]) -> u64 {
    let level = Level { level: LEVEL.into(), hysteresis: HYSTERESIS.into(), channel: 0 };
    let setup = Setup::Pulse {
        polarity: PulsePolarity::Positive,
        level,
        width: Comparison::ShorterThan(Span::samples(100)),
    };
    let edge = Setup::Edge { slope: EdgeSlope::Rising, level };
    run(if black_box(true) { edge } else { setup }, samples).map_or(0, |counters| counters.records)
}

fn run(setup: Setup<u16>, samples: &[u16]) -> Result<Counters, ConfigError> {
    let trigger = Trigger::new(black_box(setup).build()?, Holdoff::Samples(100))?;
    let shape = RecordShape::new(RECORD / 4, RECORD - RECORD / 4)?;
    let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0; RECORD])?;
    acquisition.push(samples, |record| {
        black_box(record.samples());
    });
    Ok(acquisition.counters())
}
