//! Every condition on one channel, with samples and settings the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use stillwave::near::{LevelMisses, Relaxed, Swings, TimeMisses};
use stillwave::{
    Band, Comparison, Composition, Condition, ConfigError, DropoutConfig, EdgeConfig, EdgeSlope,
    Holdoff, Instant, IntervalConfig, Level, PulseConfig, PulsePolarity, RuntConfig, Sample, Setup,
    Slope, Span, TransitionConfig, Trigger, WindowConfig, WindowWhen,
};

/// Linked, never run.
#[no_panic::entry]
fn main() -> ! {
    black_box(all::<u8>(0, 0).is_ok());
    black_box(all::<u16>(0, 0).is_ok());
    black_box(all::<i16>(0, 0).is_ok());
    black_box(all::<i32>(0, 0).is_ok());
    black_box(all::<f32>(0.0, 0.0).is_ok());
    loop {
        core::hint::spin_loop();
    }
}

fn all<T: Sample>(sample: T, level: T::Wide) -> Result<(), ConfigError> {
    let samples = [sample; 4];
    let samples = black_box(&samples[..]);
    let band = Band::new(black_box(level), black_box(level), black_box(level))?;
    let band = band.on_channel(black_box(0));
    let level = Level::new(black_box(level), black_box(level))?.on_channel(black_box(0));
    let slope = || black_box(EdgeSlope::Either);
    let time = || black_box(Comparison::Within(some_span(), some_span()));
    let setups = [
        Setup::Edge(EdgeConfig { slope: slope(), level }),
        Setup::Pulse(PulseConfig {
            polarity: black_box(PulsePolarity::Either),
            level,
            width: time(),
        }),
        Setup::Interval(IntervalConfig { slope: slope(), level, time: time() }),
        Setup::Dropout(DropoutConfig { slope: slope(), level, after: black_box(1) }),
        Setup::Transition(TransitionConfig { slope: slope(), band, time: time() }),
        Setup::Runt(RuntConfig {
            polarity: black_box(PulsePolarity::Either),
            band,
            width: black_box(Some(time())),
        }),
        Setup::Window(WindowConfig { band, when: black_box(WindowWhen::Enters) }),
    ];
    for setup in black_box(setups) {
        near(&Composition::Single(setup), level, samples)?;
        run(setup.build()?, samples)?;
    }
    Ok(())
}

/// Everything that explains a condition.
fn near<T: Sample>(
    composition: &Composition<T>,
    level: Level<T>,
    samples: &[T],
) -> Result<(), ConfigError> {
    if let Some(relaxed) = Relaxed::of(black_box(composition)) {
        black_box(relaxed.setup);
        let mut times = TimeMisses::new(
            relaxed.time.unwrap_or(black_box(Comparison::LongerThan(some_span()))),
        )?;
        while black_box(true) {
            times.see(black_box(Instant::at(0)), some_span());
        }
        black_box((times.nearest(), times.seen()));
    }
    let mut levels = LevelMisses::new(black_box(Slope::Rising), black_box(level))?;
    let mut swings = Swings::new(black_box(level.hysteresis));
    while black_box(true) {
        swings.push(black_box(0), black_box(samples), |swing| levels.see(swing));
        swings.gap();
    }
    black_box((swings.last(), swings.covered(), levels.nearest_short(), levels.nearest_unarmed()));
    Ok(())
}

/// Everything that a trigger does with a condition.
fn run<C: Condition>(condition: C, samples: &[C::Sample]) -> Result<(), ConfigError> {
    let mut trigger = Trigger::new(condition, black_box(Holdoff::None))?;
    while black_box(true) {
        trigger.push_channels(black_box(&[samples, samples]), |event| {
            black_box(event);
        });
        match black_box(0) {
            0 => trigger.gap(black_box(0)),
            1 => trigger.reset(),
            2 => trigger.set_holdoff(black_box(Holdoff::Every(1)))?,
            _ => {
                black_box((trigger.position(), trigger.events(), trigger.held_off()));
            }
        }
    }
    Ok(())
}

fn some_span() -> Span {
    Span::from_parts(black_box(0))
}
