// rising transition shorter than 3.000 µs (3 samples), levels from 600 counts to 2900 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Setup<u16> = stillwave::Setup::Transition(stillwave::TransitionConfig {
    slope: stillwave::EdgeSlope::Rising,
    band: stillwave::Band { low: 600, high: 2900, hysteresis: 0, channel: 0 },
    time: stillwave::Comparison::ShorterThan(stillwave::Span::from_parts(196608)),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
