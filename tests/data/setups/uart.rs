// break of 15.00 µs (15 samples) on channel 1 (level 1000 counts), 16.67 µs (16.667 samples) a bit
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::Uart(stillwave::UartConfig {
    level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    format: stillwave::UartFormat {
        bit: stillwave::Span::from_parts(1092267),
        data_bits: 8,
        parity: stillwave::Parity::Even,
        idle: stillwave::Side::High,
    },
    when: stillwave::UartWhen::Break(stillwave::Span::from_parts(983040)),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
