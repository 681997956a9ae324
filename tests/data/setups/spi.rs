// word 0x1 in the bits 0x1 on SPI, clock channel 1 (level 1000 counts), data channel 2 (level 1000 counts), while channel 3 (level 1000 counts) is low
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::Spi(stillwave::SpiConfig {
    clock: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    data: stillwave::Level { level: 1000, hysteresis: 0, channel: 2 },
    select: stillwave::Level { level: 1000, hysteresis: 0, channel: 1 },
    format: stillwave::SpiFormat {
        sampling: stillwave::Slope::Rising,
        active: stillwave::Side::Low,
        bits: 1,
        order: stillwave::BitOrder::MostSignificantFirst,
        word: 1,
        mask: 1,
    },
});
/// Which channels of the stream the condition sees, counted from 0.
pub const INPUTS: [stillwave::Input; 3] = [
    stillwave::Input::Channel(0),
    stillwave::Input::Channel(2),
    stillwave::Input::Channel(1),
];
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(Inputs::new(CONDITION.build()?, INPUTS)?, Holdoff::None)?;
