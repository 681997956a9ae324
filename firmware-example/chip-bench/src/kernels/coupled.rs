use core::hint::black_box;

use stillwave::{
    ConfigError, Corner, Coupling, Edge, Holdoff, Input, Inputs, Level, Sample, Slope, Trigger,
};

use crate::signal::HYSTERESIS;

/// The engine's rising edge through the mean, set up anew for each block.
#[inline(never)]
pub fn coupled(samples: &[u16]) -> u64 {
    run(samples).unwrap_or(0)
}

fn run(samples: &[u16]) -> Result<u64, ConfigError> {
    let level = Level::new(u16::MIDDLE.into(), HYSTERESIS.into())?;
    let edge = Edge::<u16>::new(Slope::Rising, level)?;
    // 10 Hz at 500 kS/s.
    let coupling = Coupling::Ac(Corner::from_parts(269_860));
    let input = Input::Coupled { channel: 0, coupling };
    let mut trigger = Trigger::new(Inputs::new(edge, [input])?, Holdoff::None)?;
    trigger.push(samples, |event| {
        black_box(event);
    });
    Ok(trigger.events())
}
