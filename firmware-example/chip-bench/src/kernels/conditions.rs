use core::hint::black_box;

use stillwave::{
    Band, Comparison, Condition, ConfigError, Dropout, Edge, Holdoff, Interval, Level, Polarity,
    Runt, Slope, Span, Transition, Trigger, Window, WindowWhen,
};

use crate::signal::{HYSTERESIS, LEVEL};

/// A kernel of one condition, set up anew for each block.
macro_rules! condition {
    ($(#[$doc:meta])* $name:ident, $make:expr) => {
        $(#[$doc])*
        #[inline(never)]
        pub fn $name(samples: &[u16]) -> u64 {
            run($make, samples).unwrap_or(0)
        }
    };
}

condition!(
    /// Intervals between rising edges.
    interval,
    Interval::new(Slope::Rising, level(), Comparison::LongerThan(Span::samples(3000)))
);
condition!(
    /// No rising edge for some time.
    dropout,
    Edge::new(Slope::Rising, level()).and_then(|edge| Dropout::new(edge, 3000))
);
condition!(
    /// The way from one level up to another.
    transition,
    Transition::new(Slope::Rising, band(), Comparison::LongerThan(Span::samples(100)))
);
condition!(
    /// Pulses that do not reach the upper level.
    runt,
    Runt::new(Polarity::Positive, band(), None)
);
condition!(
    /// Leaving a band.
    window,
    Window::new(Band { low: 100, ..band() }, WindowWhen::Leaves)
);

fn level() -> Level<u16> {
    Level { level: LEVEL.into(), hysteresis: HYSTERESIS.into(), channel: 0 }
}

/// From a little under the middle to a little over it.
fn band() -> Band<u16> {
    let (low, high) = (i32::from(LEVEL) - 200, i32::from(LEVEL) + 200);
    Band { low, high, hysteresis: HYSTERESIS.into(), channel: 0 }
}

fn run<C: Condition<Sample = u16>>(
    condition: Result<C, ConfigError>,
    samples: &[u16],
) -> Result<u64, ConfigError> {
    let mut trigger = Trigger::new(condition?, Holdoff::None)?;
    trigger.push(samples, |event| {
        black_box(event);
    });
    Ok(trigger.events())
}
