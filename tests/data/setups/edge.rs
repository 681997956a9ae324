// edge of either slope through 1.650 V (2048 counts), hysteresis 49.95 mV (62 counts), holdoff 20.00 µs (20 samples)
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Setup<u16> = stillwave::Setup::Edge(stillwave::EdgeConfig {
    slope: stillwave::EdgeSlope::Either,
    level: stillwave::Level { level: 2048, hysteresis: 62, channel: 0 },
});
/// Which events are accepted.
pub const HOLDOFF: stillwave::Holdoff = stillwave::Holdoff::Samples(20);
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, HOLDOFF)?;
