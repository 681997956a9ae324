//! Configurations kept as text, and read back.

use stillwave::{
    Comparison, Composition, CountConfig, CountSince, DelayConfig, EdgeConfig, EdgeSlope,
    I2cConfig, I2cWhen, Level, LineState, PATTERN_LINES, PatternConfig, PatternLine, PatternWhen,
    QualifiedConfig, SequenceConfig, Setup, SetupHoldConfig, Side, Span, SpiConfig, SpiFormat,
    Stay, UartConfig, UartFormat, UartWhen, Wait,
};

#[test]
fn every_composition_survives_as_text() {
    let level = Level::<i16>::new(-20, 5).unwrap().on_channel(3);
    let edge = Setup::Edge(EdgeConfig { slope: EdgeSlope::Either, level });
    let mut lines = [PatternLine::default(); PATTERN_LINES];
    lines[3] = PatternLine { state: LineState::High, level };
    let compositions = [
        Composition::from(edge),
        Composition::Delay(DelayConfig {
            from: edge,
            to: edge,
            time: Comparison::LongerThan(Span::MAX),
        }),
        Composition::Count(CountConfig { of: edge, events: 2, since: CountSince::Start }),
        Composition::Count(CountConfig { of: edge, events: 2, since: CountSince::Quiet(7) }),
        Composition::Count(CountConfig { of: edge, events: 2, since: CountSince::Other(edge) }),
        Composition::Sequence(SequenceConfig {
            first: edge,
            then: edge,
            wait: Wait { delay: 1, events: 2, timeout: Some(3) },
            reset: Some(edge),
        }),
        Composition::Pattern(PatternConfig {
            lines,
            when: PatternWhen::Stays(Stay::LongerThan(3)),
        }),
        Composition::SetupHold(SetupHoldConfig {
            clock: edge,
            data: edge,
            setup: Span::ZERO,
            hold: Span::ZERO,
        }),
        Composition::Qualified(QualifiedConfig { of: edge.into(), gate: level, side: Side::Low }),
        Composition::Uart(UartConfig {
            level,
            format: UartFormat::midi(1e6).unwrap(),
            when: UartWhen::Character(1, 2),
        }),
        Composition::I2c(I2cConfig {
            clock: level,
            data: level,
            when: I2cWhen::Address { address: 80, read: None },
            spikes: Span::samples(3),
        }),
        Composition::Spi(SpiConfig {
            clock: level,
            data: level,
            select: level,
            format: SpiFormat::default(),
        }),
    ];
    for composition in compositions {
        let text = serde_json::to_string(&composition).unwrap();
        assert_eq!(serde_json::from_str::<Composition<i16>>(&text).unwrap(), composition, "{text}");
    }
}

#[test]
fn a_wait_is_as_short_as_it_can_be_said() {
    let wait: Wait = serde_json::from_str(r#"{ "delay": 5 }"#).unwrap();
    assert_eq!(wait, Wait { delay: 5, ..Wait::default() });
}
