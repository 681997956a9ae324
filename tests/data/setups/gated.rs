// event 1 since 10.00 µs (10 samples) without one: a rising edge through 1000 counts, hysteresis 0 counts, while channel 2 (level 1200 counts) is low
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::Qualified(stillwave::QualifiedConfig {
    of: stillwave::Qualifiable::Count(stillwave::CountConfig {
        of: stillwave::Setup::Edge(stillwave::EdgeConfig {
            slope: stillwave::EdgeSlope::Rising,
            level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
        }),
        events: 1,
        since: stillwave::CountSince::Quiet(10),
    }),
    gate: stillwave::Level { level: 1200, hysteresis: 0, channel: 1 },
    side: stillwave::Side::Low,
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
