use core::hint::black_box;

use stillwave::{
    Acquisition, ConfigError, Counters, Edge, Holdoff, Level, Mode, RecordShape, Slope, Trigger,
};

use crate::signal::{HYSTERESIS, LEVEL};

/// Samples in a record, a quarter of them before the event.
const RECORD: usize = 256;

/// The engine from samples to records of a rising edge.
#[inline(never)]
pub fn acquire(samples: &[u16]) -> u64 {
    run(samples).map_or(0, |counters| counters.records)
}

fn run(samples: &[u16]) -> Result<Counters, ConfigError> {
    let level = Level::new(LEVEL.into(), HYSTERESIS.into())?;
    let trigger = Trigger::new(Edge::<u16>::new(Slope::Rising, level)?, Holdoff::None)?;
    let shape = RecordShape::new(RECORD / 4, RECORD - RECORD / 4)?;
    let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0; RECORD])?;
    acquisition.push(samples, |record| {
        black_box(record.samples());
    });
    Ok(acquisition.counters())
}
