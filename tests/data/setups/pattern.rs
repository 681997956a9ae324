// entering channel 1 (level 1000 counts) high and channel 2 (level 1000 counts) low and channel 3 (level 1000 counts) rising
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Composition<u16> = stillwave::Composition::Pattern(stillwave::PatternConfig {
    lines: [
        stillwave::PatternLine {
            state: stillwave::LineState::High,
            level: stillwave::Level { level: 1000, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Low,
            level: stillwave::Level { level: 1000, hysteresis: 0, channel: 1 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Rising,
            level: stillwave::Level { level: 1000, hysteresis: 0, channel: 2 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
        stillwave::PatternLine {
            state: stillwave::LineState::Ignored,
            level: stillwave::Level { level: 0, hysteresis: 0, channel: 0 },
        },
    ],
    when: stillwave::PatternWhen::Enters,
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
