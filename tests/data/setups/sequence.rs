// rising edge on channel 2 through 1000 counts, hysteresis 0 counts, after a rising edge through 1000 counts, hysteresis 0 counts and 2.000 µs (2 samples), within 1.000 ms (1000 samples), with no falling edge on channel 3 through 1000 counts, hysteresis 0 counts between
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::Sequence(stillwave::SequenceConfig {
    first: stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Rising,
        level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    }),
    then: stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Rising,
        level: stillwave::Level { level: 1000, hysteresis: 0, channel: 1 },
    }),
    wait: stillwave::Wait { delay: 2, events: 1, timeout: Some(1000) },
    reset: Some(stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Falling,
        level: stillwave::Level { level: 1000, hysteresis: 0, channel: 2 },
    })),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
