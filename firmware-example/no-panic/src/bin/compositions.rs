//! Conditions on several channels and made of others, with settings the optimiser cannot know.

#![no_std]
#![no_main]

use core::hint::black_box;

use stillwave::{
    Block, Comparison, Composition, Condition, ConfigError, Corner, CountConfig, CountSince,
    Coupling, DelayConfig, EdgeConfig, EdgeSlope, Holdoff, I2cConfig, I2cWhen, Input, Inputs,
    Level, LineState, PATTERN_LINES, PatternConfig, PatternLine, PatternWhen, QualifiedConfig,
    Sample, SequenceConfig, Setup, SetupHoldConfig, Side, Span, SpiConfig, SpiFormat, Stay,
    Trigger, UartConfig, UartFormat, UartWhen, VideoConfig, VideoFormat, VideoStandard, VideoWhen,
    Wait,
};

/// Linked, never run.
#[no_panic::entry]
fn main() -> ! {
    black_box(every_composition::<u8>(0, 0, 0).is_ok());
    black_box(every_composition::<u16>(0, 0, 0).is_ok());
    black_box(every_composition::<i32>(0, 0, 0).is_ok());
    black_box(every_composition::<f32>(0.0, 0.0, 0.0).is_ok());
    loop {
        core::hint::spin_loop();
    }
}

fn every_composition<T: Sample>(
    sample: T,
    level: T::Wide,
    hysteresis: T::Wide,
) -> Result<(), ConfigError> {
    let samples = [sample; 4];
    let samples = black_box(&samples[..]);
    let level = || -> Result<Level<T>, ConfigError> {
        Ok(Level::new(black_box(level), black_box(hysteresis))?.on_channel(black_box(0)))
    };
    let edge = || -> Result<Setup<T>, ConfigError> {
        Ok(Setup::Edge(EdgeConfig { slope: black_box(EdgeSlope::Either), level: level()? }))
    };
    let span = || Span::from_parts(black_box(0));
    let time = black_box(Comparison::Within(span(), span()));
    let wait = black_box(Wait::default());
    let since = black_box(CountSince::Quiet(0));
    let lines = black_box([PatternLine { state: LineState::High, level: level()? }; PATTERN_LINES]);
    let when = black_box(PatternWhen::Stays(Stay::LongerThan(0)));
    let (uart, spi) = (UartFormat::new(black_box(1.0), black_box(8.0))?, SpiFormat::default());
    let video = VideoFormat::new(black_box(VideoStandard::Lines625), black_box(1e6))?;
    let compositions = [
        Composition::Delay(DelayConfig { from: edge()?, to: edge()?, time }),
        Composition::Count(CountConfig { of: edge()?, events: 1, since }),
        Composition::Sequence(SequenceConfig {
            first: edge()?,
            then: edge()?,
            wait,
            reset: Some(edge()?),
        }),
        Composition::Pattern(PatternConfig { lines, when }),
        Composition::SetupHold(SetupHoldConfig {
            clock: edge()?,
            data: edge()?,
            setup: span(),
            hold: span(),
        }),
        Composition::Qualified(QualifiedConfig {
            of: edge()?.into(),
            gate: level()?,
            side: black_box(Side::High),
        }),
        Composition::Uart(UartConfig {
            level: level()?,
            format: uart,
            when: black_box(UartWhen::Any),
        }),
        Composition::I2c(I2cConfig {
            clock: level()?,
            data: level()?,
            when: I2cWhen::Any,
            spikes: span(),
        }),
        Composition::Video(VideoConfig {
            level: level()?,
            format: video,
            when: black_box(VideoWhen::AnyLine),
        }),
        Composition::Spi(SpiConfig {
            clock: level()?,
            data: level()?,
            select: level()?,
            format: spi,
        }),
    ];
    for composition in black_box(&compositions) {
        run(composition.build()?, samples)?;
        let coupling = Coupling::Ac(Corner::new(black_box(1.0), black_box(8.0))?);
        let inputs = [
            Input::Coupled { channel: 0, coupling: black_box(coupling) },
            Input::Bit { channel: 1, bit: black_box(0) },
        ];
        run(Inputs::new(composition.build()?, black_box(inputs))?, samples)?;
    }
    Ok(())
}

/// Everything that can be asked of a condition, in an order the optimiser cannot foresee.
fn run<C: Condition>(condition: C, samples: &[C::Sample]) -> Result<(), ConfigError> {
    let mut trigger = Trigger::new(condition, black_box(Holdoff::None))?;
    while black_box(true) {
        match black_box(0) {
            0 => trigger.gap(black_box(0)),
            1 => trigger.reset(),
            2 => trigger.push_channels(black_box(&[samples, samples]), |event| {
                black_box(event);
            }),
            _ => {
                let channels = [samples, samples];
                let block = Block::new(black_box(0), black_box(&channels));
                while let Some(event) = trigger.next(&block) {
                    black_box(event);
                }
            }
        }
    }
    Ok(())
}
