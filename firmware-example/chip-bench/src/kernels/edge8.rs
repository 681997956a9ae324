use core::hint::black_box;

use stillwave::{ConfigError, Edge, Holdoff, Level, Slope, Trigger};

use crate::signal::{HYSTERESIS, LEVEL};

/// The engine's rising edge behind a holdoff, set up anew for each block.
#[inline(never)]
pub fn edge8(samples: &[u8]) -> u64 {
    run(samples).unwrap_or(0)
}

fn run(samples: &[u8]) -> Result<u64, ConfigError> {
    let level = Level::new((LEVEL >> 4).into(), (HYSTERESIS >> 4).into())?;
    let edge = Edge::<u8>::new(Slope::Rising, level)?;
    let mut trigger = Trigger::new(edge, Holdoff::Samples(100))?;
    trigger.push(samples, |event| {
        black_box(event);
    });
    Ok(trigger.events())
}
