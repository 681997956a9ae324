// positive or negative runt longer than 2.000 µs (2 samples), levels from 600 counts to 3500 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Setup<u16> = stillwave::Setup::Runt(stillwave::RuntConfig {
    polarity: stillwave::PulsePolarity::Either,
    band: stillwave::Band { low: 600, high: 3500, hysteresis: 0, channel: 0 },
    width: Some(stillwave::Comparison::LongerThan(stillwave::Span::from_parts(131072))),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
