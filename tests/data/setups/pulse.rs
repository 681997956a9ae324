// negative pulse from 30.00 µs (30 samples) to 50.00 µs (50 samples) through 1000 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Setup<u16> = stillwave::Setup::Pulse(stillwave::PulseConfig {
    polarity: stillwave::PulsePolarity::Negative,
    level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    width: stillwave::Comparison::Within(
        stillwave::Span::from_parts(1966080),
        stillwave::Span::from_parts(3276800),
    ),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
