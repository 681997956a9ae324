// no rising edge for 45.00 µs (45 samples) through 1000 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Setup<u16> = stillwave::Setup::Dropout(stillwave::DropoutConfig {
    slope: stillwave::EdgeSlope::Rising,
    level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    after: 45,
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
