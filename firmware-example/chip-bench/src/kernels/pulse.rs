use core::hint::black_box;

use stillwave::{Comparison, ConfigError, Holdoff, Level, Polarity, Pulse, Span, Trigger};

use crate::signal::{HYSTERESIS, LEVEL};

/// The engine's pulse width, set up anew for each block.
#[inline(never)]
pub fn pulse(samples: &[u16]) -> u64 {
    run(samples).unwrap_or(0)
}

fn run(samples: &[u16]) -> Result<u64, ConfigError> {
    let level = Level::new(LEVEL.into(), HYSTERESIS.into())?;
    let shorter = Comparison::ShorterThan(Span::samples(100));
    let pulse = Pulse::<u16>::new(Polarity::Positive, level, shorter)?;
    let mut trigger = Trigger::new(pulse, Holdoff::None)?;
    trigger.push(samples, |event| {
        black_box(event);
    });
    Ok(trigger.events())
}
