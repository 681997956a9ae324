use core::hint::black_box;

use stillwave::{ConfigError, Edge, Holdoff, Level, Slope, Trigger};

use crate::signal::{HYSTERESIS, LEVEL};

/// The engine's rising edge behind a holdoff, set up anew for each block.
#[inline(never)]
pub fn edge(samples: &[u16]) -> u64 {
    run(samples).unwrap_or(0)
}

fn run(samples: &[u16]) -> Result<u64, ConfigError> {
    let level = Level::new(LEVEL.into(), HYSTERESIS.into())?;
    let edge = Edge::<u16>::new(Slope::Rising, level)?;
    let mut trigger = Trigger::new(edge, Holdoff::Samples(100))?;
    trigger.push(samples, |event| {
        black_box(event);
    });
    Ok(trigger.events())
}
