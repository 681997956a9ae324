//! Every condition, behind a holdoff. Those of several channels see the same samples in each.

use core::hint::black_box;

use stillwave::{
    Band, Comparison, Condition, ConfigError, Corner, Count, Coupling, Delay, Dropout, Edge,
    EitherEdge, Holdoff, I2c, I2cWhen, Input, Inputs, Interval, Level, LineState, Pattern,
    PatternLine, PatternWhen, Polarity, Pulse, Qualified, Runt, Sample, Sequence, SetupHold, Side,
    Slope, Span, Spi, SpiFormat, Transition, Trigger, Uart, UartFormat, UartWhen, Video,
    VideoFormat, VideoStandard, VideoWhen, Wait, Window, WindowWhen,
};

use super::Kernel;
use crate::signal::{HYSTERESIS, LEVEL};

/// A kernel of each condition that a function of [`make`] of that name makes.
macro_rules! kernels {
    ($($name:ident),+ $(,)?) => {
        pub(super) const ALL: &[Kernel] = &[$({
            #[inline(never)]
            fn run(samples: &[u16]) -> u64 {
                push(make::$name(), samples).unwrap_or(0)
            }
            Kernel::new(stringify!($name), run, state(make::$name))
        },)+
            Kernel::of_bytes("edge8", edge8, state(rising::<u8>)),
        ];
    };
}

kernels!(
    edge, either, pulse, interval, dropout, transition, runt, window, delay, count, sequence,
    pattern, setup_hold, qualified, uart, i2c, spi, video, coupled
);

mod make {
    #[allow(clippy::wildcard_imports)] // whatever conditions are made of
    use super::*;

    type Made<C> = Result<C, ConfigError>;

    pub(super) fn edge() -> Made<impl Condition<Sample = u16>> {
        rising::<u16>()
    }

    pub(super) fn either() -> Made<impl Condition<Sample = u16>> {
        EitherEdge::new(level())
    }

    pub(super) fn pulse() -> Made<impl Condition<Sample = u16>> {
        Pulse::new(Polarity::Positive, level(), Comparison::ShorterThan(Span::samples(100)))
    }

    pub(super) fn interval() -> Made<impl Condition<Sample = u16>> {
        Interval::new(Slope::Rising, level(), Comparison::LongerThan(Span::samples(3000)))
    }

    pub(super) fn dropout() -> Made<impl Condition<Sample = u16>> {
        Dropout::new(rising::<u16>()?, 3000)
    }

    pub(super) fn transition() -> Made<impl Condition<Sample = u16>> {
        Transition::new(Slope::Rising, band(), Comparison::LongerThan(Span::samples(100)))
    }

    pub(super) fn runt() -> Made<impl Condition<Sample = u16>> {
        Runt::new(Polarity::Positive, band(), None)
    }

    pub(super) fn window() -> Made<impl Condition<Sample = u16>> {
        Window::new(Band { low: 100, ..band() }, WindowWhen::Leaves)
    }

    pub(super) fn delay() -> Made<impl Condition<Sample = u16>> {
        Delay::new(rising()?, falling(1)?, Comparison::LongerThan(Span::samples(100)))
    }

    pub(super) fn count() -> Made<impl Condition<Sample = u16>> {
        Count::since_quiet(rising()?, 3, 1000)
    }

    pub(super) fn sequence() -> Made<impl Condition<Sample = u16>> {
        Sequence::new(rising()?, falling(1)?, Wait { events: 3, ..Wait::default() })
    }

    pub(super) fn pattern() -> Made<impl Condition<Sample = u16>> {
        let high = PatternLine { state: LineState::High, level: level() };
        let low = PatternLine { state: LineState::Low, level: level().on_channel(1) };
        Pattern::new([high, low], PatternWhen::Enters)
    }

    pub(super) fn setup_hold() -> Made<impl Condition<Sample = u16>> {
        let data = EitherEdge::new(level().on_channel(1))?;
        Ok(SetupHold::new(rising()?, data, Span::samples(2), Span::samples(2)))
    }

    pub(super) fn qualified() -> Made<impl Condition<Sample = u16>> {
        Qualified::new(rising()?, level().on_channel(1), Side::High)
    }

    pub(super) fn uart() -> Made<impl Condition<Sample = u16>> {
        // 8 samples a bit.
        Uart::new(level(), UartFormat::new(62_500.0, 500_000.0)?, UartWhen::Any)
    }

    pub(super) fn i2c() -> Made<impl Condition<Sample = u16>> {
        I2c::new(level(), level().on_channel(1), I2cWhen::Any)
    }

    pub(super) fn spi() -> Made<impl Condition<Sample = u16>> {
        let select = Level { level: 5000, ..level() }.on_channel(2);
        Spi::new(level(), level().on_channel(1), select, SpiFormat::default())
    }

    pub(super) fn video() -> Made<impl Condition<Sample = u16>> {
        Video::new(level(), VideoFormat::new(VideoStandard::Lines625, 2e6)?, VideoWhen::AnyLine)
    }

    pub(super) fn coupled() -> Made<impl Condition<Sample = u16>> {
        let edge = Edge::<u16>::new(Slope::Rising, Level { level: u16::MIDDLE.into(), ..level() })?;
        // 10 Hz at 500 kS/s.
        let coupling = Coupling::Ac(Corner::from_parts(269_860));
        Inputs::new(edge, [Input::Coupled { channel: 0, coupling }])
    }
}

fn level() -> Level<u16> {
    Level { level: LEVEL.into(), hysteresis: HYSTERESIS.into(), channel: 0 }
}

/// From a little under the middle to a little over it.
fn band() -> Band<u16> {
    let (low, high) = (i32::from(LEVEL) - 200, i32::from(LEVEL) + 200);
    Band { low, high, hysteresis: HYSTERESIS.into(), channel: 0 }
}

fn falling(channel: u8) -> Result<Edge<u16>, ConfigError> {
    Edge::new(Slope::Falling, level().on_channel(channel))
}

/// The same in the upper 8 of 12 bits where samples are bytes.
fn rising<T: Sample<Wide = i32>>() -> Result<Edge<T>, ConfigError> {
    let shift = if T::BITS == 8 { 4 } else { 0 };
    Edge::new(Slope::Rising, Level::new((LEVEL >> shift).into(), (HYSTERESIS >> shift).into())?)
}

#[inline(never)]
fn edge8(samples: &[u8]) -> u64 {
    push(rising::<u8>(), samples).unwrap_or(0)
}

#[inline]
fn push<C: Condition>(
    condition: Result<C, ConfigError>,
    samples: &[C::Sample],
) -> Result<u64, ConfigError> {
    let mut trigger = Trigger::new(condition?, Holdoff::Samples(100))?;
    trigger.push_channels(&[samples; 3], |event| {
        black_box(event);
    });
    Ok(trigger.events())
}

/// What a trigger of the condition keeps.
const fn state<C: Condition>(_: fn() -> Result<C, ConfigError>) -> usize {
    size_of::<Trigger<C>>()
}
