// start on an I2C bus, clock channel 1 (level 1000 counts), data channel 2 (level 1000 counts)
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::I2c(stillwave::I2cConfig {
    clock: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    data: stillwave::Level { level: 1000, hysteresis: 0, channel: 1 },
    when: stillwave::I2cWhen::Start,
    spikes: stillwave::Span::from_parts(0),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
