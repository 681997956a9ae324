// rising or falling edge on channel 2 through 1000 counts, hysteresis 0 counts less than 3.000 µs (3 samples) before or 2.000 µs (2 samples) after a rising edge through 1000 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::SetupHold(stillwave::SetupHoldConfig {
    clock: stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Rising,
        level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    }),
    data: stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Either,
        level: stillwave::Level { level: 1000, hysteresis: 0, channel: 1 },
    }),
    setup: stillwave::Span::from_parts(196608),
    hold: stillwave::Span::from_parts(131072),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
