// event 1 since a rising edge on channel 2 through 1000 counts, hysteresis 0 counts: a rising edge through 1000 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::Count(stillwave::CountConfig {
    of: stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Rising,
        level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    }),
    events: 1,
    since: stillwave::CountSince::Other(stillwave::Setup::Edge(stillwave::EdgeConfig {
        slope: stillwave::EdgeSlope::Rising,
        level: stillwave::Level { level: 1000, hysteresis: 0, channel: 1 },
    })),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
