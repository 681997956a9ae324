// shorter than 20.00 µs (20 samples) from a rising edge through 1000 counts, hysteresis 0 counts to a falling edge on channel 2 through 1200 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::Delay(stillwave::DelayConfig {
    from: stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Rising,
        level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    }),
    to: stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Falling,
        level: stillwave::Level { level: 1200, hysteresis: 0, channel: 1 },
    }),
    time: stillwave::Comparison::ShorterThan(stillwave::Span::from_parts(1310720)),
});
/// Which channels of the stream the condition sees, counted from 0.
pub const INPUTS: [stillwave::Input; 2] = [
    stillwave::Input::Channel(2),
    stillwave::Input::Channel(1),
];
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(Inputs::new(CONDITION.build()?, INPUTS)?, Holdoff::None)?;
