//! UART, I²C and SPI on lines that say anything, against the oracle.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stillwave::{
    BitOrder, Composition, Level, Parity, Side, Slope, Span, SpiFormat, UartFormat, UartWhen,
};
use stillwave_fuzz::core_input::{Bound, Cuts, Lost, Threshold, Type, Wave, acts};
use stillwave_fuzz::for_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::scene::{Act, by_engine, by_oracle};
use stillwave_tests::serial::{Protocol, SerialCase};

#[derive(Arbitrary, Debug)]
enum Said {
    Uart { bit: u32, data_bits: u8, parity: u8, idle_high: bool, when: Option<Bound>, start: bool },
    I2c,
    Spi { falling: bool, active_high: bool, bits: u8, least_first: bool },
}

#[derive(Arbitrary, Debug)]
struct Input {
    kind: Type,
    said: Said,
    lines: [(Threshold, Wave); 3],
    cuts: Cuts,
    acts: Vec<(u16, Option<Lost>)>,
}

fuzz_target!(|input: Input| for_type!(input.kind, check(&input)));

fn protocol(said: &Said) -> Protocol {
    let side = |high: bool| if high { Side::High } else { Side::Low };
    match *said {
        Said::Uart { bit, data_bits, parity, idle_high, when, start } => Protocol::Uart {
            format: UartFormat {
                bit: Span::from_parts((bit % (20 << 16)).into()),
                data_bits: data_bits % 12,
                parity: [Parity::None, Parity::Even, Parity::Odd][usize::from(parity % 3)],
                idle: side(idle_high),
            },
            when: match when {
                None if start => UartWhen::Start,
                None => UartWhen::Any,
                Some(pause) => UartWhen::Break(Span::from_parts(pause.parts())),
            },
        },
        Said::I2c => Protocol::I2c,
        Said::Spi { falling, active_high, bits, least_first } => Protocol::Spi(SpiFormat {
            sampling: if falling { Slope::Falling } else { Slope::Rising },
            active: side(active_high),
            bits: bits % 34,
            order: if least_first {
                BitOrder::LeastSignificantFirst
            } else {
                BitOrder::MostSignificantFirst
            },
            ..SpiFormat::default()
        }),
    }
}

fn check<T: Kind>(input: &Input) {
    let protocol = protocol(&input.said);
    let levels: Vec<_> = input
        .lines
        .iter()
        .map(|(threshold, _)| (threshold.level::<T>(), threshold.hysteresis::<T>()))
        .collect();
    let level = Level::<T> { level: levels[0].0, hysteresis: levels[0].1, channel: 0 };
    let asked = match protocol {
        Protocol::Uart { format, when } => Composition::Uart { level, format, when },
        Protocol::Spi(format) => {
            Composition::Spi { clock: level, data: level, select: level, format }
        }
        Protocol::I2c => {
            Composition::from(stillwave::Setup::Edge { slope: stillwave::EdgeSlope::Rising, level })
        }
    };
    if asked.build().is_err() {
        return;
    }
    let mut channels: Vec<Vec<T>> = input
        .lines
        .iter()
        .zip(&levels)
        .map(|((_, wave), &(level, hysteresis))| wave.samples(&[level], hysteresis))
        .collect();
    let length = channels.iter().map(Vec::len).max().unwrap_or(0);
    for channel in &mut channels {
        let last = channel.last().copied().unwrap_or(T::MIN);
        channel.resize(length, last);
    }
    let case = SerialCase { protocol, levels, channels, lengths: input.cuts.lengths() };
    let actions = acts(&input.acts, |act| match act {
        Some(lost) => Act::Gap(lost.samples()),
        None => Act::Reset,
    });
    assert_eq!(by_engine(&case, &actions), by_oracle(&case, &actions));
}
