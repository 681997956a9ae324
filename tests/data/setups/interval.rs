// interval of rising edges from 59.50 µs (59.5 samples) to 60.50 µs (60.5 samples) through 1000 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Setup<u16> = stillwave::Setup::Interval(stillwave::IntervalConfig {
    slope: stillwave::EdgeSlope::Rising,
    level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    time: stillwave::Comparison::Within(
        stillwave::Span::from_parts(3899392),
        stillwave::Span::from_parts(3964928),
    ),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
