// rising edge through 0.000 V (0 counts), hysteresis 0.000 V (0 counts), AC coupled from 2.000 kHz on (levels count from the mean; settles in 370 µs), one event in 3
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Setup<u16> = stillwave::Setup::Edge(stillwave::EdgeConfig {
    slope: stillwave::EdgeSlope::Rising,
    level: stillwave::Level { level: 32768, hysteresis: 0, channel: 0 },
});
/// Which channels of the stream the condition sees, counted from 0.
pub const INPUTS: [stillwave::Input; 1] = [stillwave::Input::Coupled {
    channel: 1,
    coupling: stillwave::Coupling::Ac(stillwave::Corner::from_parts(26817926)),
}];
/// Which events are accepted.
pub const HOLDOFF: stillwave::Holdoff = stillwave::Holdoff::Every(3);
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(Inputs::new(CONDITION.build()?, INPUTS)?, HOLDOFF)?;
