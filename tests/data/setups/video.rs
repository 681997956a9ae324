// line 24 of a picture of 625 lines on channel 1 (level 1000 counts)
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::Video(stillwave::VideoConfig {
    level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
    format: stillwave::VideoFormat {
        standard: stillwave::VideoStandard::Lines625,
        half_line: stillwave::Span::from_parts(2097152),
        sync: stillwave::Side::High,
    },
    when: stillwave::VideoWhen::Line(24),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
