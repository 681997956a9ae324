// staying inside for longer than 10.00 µs (10 samples): a window from 600 counts to 3500 counts, hysteresis 0 counts
// Times are counted in samples, of which there are 1000000 a second.
/// What makes an event.
pub const CONDITION: stillwave::Setup<u16> = stillwave::Setup::Window(stillwave::WindowConfig {
    band: stillwave::Band { low: 600, high: 3500, hysteresis: 0, channel: 0 },
    when: stillwave::WindowWhen::StaysInside(stillwave::Stay::LongerThan(10)),
});
/// The samples of a record.
pub const SHAPE: stillwave::RecordShape = stillwave::RecordShape { pre: 2, post: 20 };
// let trigger = Trigger::new(CONDITION.build()?, Holdoff::None)?;
