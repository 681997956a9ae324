//! UART, I²C and SPI on lines that say anything, against the oracle.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stillwave::{BitOrder, Parity, Side, Slope, Span, SpiFormat, UartFormat, UartWhen};
use stillwave_fuzz::core_input::{Bound, Cuts, Lost, Threshold, Type, Wave, breaks, side_by_side};
use stillwave_fuzz::for_type;
use stillwave_tests::kind::Kind;
use stillwave_tests::scene::{by_engine, by_oracle};
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
    breaks: Vec<(u16, Option<Lost>)>,
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
    let lines = input.lines.iter().zip(&levels);
    let channels = side_by_side(lines.map(|((_, wave), &(level, by))| (wave, level, by)));
    let case = SerialCase::<T> { protocol, levels, channels, lengths: input.cuts.lengths() };
    if case.composition().build().is_err() {
        return;
    }
    let breaks = breaks(&input.breaks);
    assert_eq!(by_engine(&case, &breaks), by_oracle(&case, &breaks));
}
