use core::hint::black_box;

use stillwave::{
    Acquisition, Comparison, Condition, ConfigError, Counters, Edge, Holdoff, Level, Mode,
    Polarity, Pulse, RecordShape, Slope, Span, Trigger,
};

use crate::signal::{HYSTERESIS, LEVEL};

/// Samples in a record, a quarter of them before the event.
const RECORD: usize = 256;

/// An edge or a pulse trigger, whichever is wanted, with holdoff and records.
#[inline(never)]
pub fn both(samples: &[u16]) -> u64 {
    let level = Level { level: LEVEL.into(), hysteresis: HYSTERESIS.into(), channel: 0 };
    let counters = if black_box(true) {
        Edge::new(Slope::Rising, level).and_then(|edge| run(edge, samples))
    } else {
        let shorter = Comparison::ShorterThan(Span::samples(100));
        Pulse::new(Polarity::Positive, level, shorter).and_then(|pulse| run(pulse, samples))
    };
    counters.map_or(0, |counters| counters.records)
}

fn run<C: Condition<Sample = u16>>(condition: C, samples: &[u16]) -> Result<Counters, ConfigError> {
    let trigger = Trigger::new(condition, Holdoff::Samples(100))?;
    let shape = RecordShape::new(RECORD / 4, RECORD - RECORD / 4)?;
    let mut acquisition = Acquisition::new(trigger, shape, Mode::Normal, [0; RECORD])?;
    acquisition.push(samples, |record| {
        black_box(record.samples());
    });
    Ok(acquisition.counters())
}
