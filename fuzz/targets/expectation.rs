//! Expectations: what is read is held against records, of a recording with and without volts and
//! seconds.

#![no_main]

use libfuzzer_sys::fuzz_target;
use stillwave::measure::Config;
use stillwave::{Acquisition, Edge, Holdoff, Level, Mode, RecordShape, Scale, Slope, Trigger};
use stillwave_cli::calibration::Calibration;
use stillwave_cli::expect::{Check, Expectation};
use stillwave_fuzz::{files, recorded};

fuzz_target!(|text: &[u8]| {
    let path = files::file("x.toml", text);
    let bare = Calibration {
        scale: None,
        is_counted: true,
        rate: None,
        start_time: 0.0,
        codes: None,
        origin: 0.0,
    };
    let known = Calibration {
        scale: Some(Scale { volts_per_count: -1e-3, zero: 100.0 }),
        rate: Some(100e3),
        codes: Some((-32768.0, 32767.0)),
        ..bare
    };
    for calibration in [bare, known] {
        match Expectation::read(&path, &calibration) {
            Ok(expectation) => check(expectation, &calibration),
            Err(error) => files::judged(&error),
        }
    }
});

fn check(expectation: Expectation, calibration: &Calibration) {
    let Ok(mut check) = Check::<i16>::new(expectation, calibration, Config::default()) else {
        return;
    };
    let mut reader = recorded::reader(Some(vec![0])).expect("the recording");
    let mut planes = reader.planes();
    reader.read(&mut planes).expect("samples");
    let edge = Edge::new(Slope::Rising, Level::new(0, 100).expect("a level")).expect("an edge");
    let trigger = Trigger::new(edge, Holdoff::None).expect("a trigger");
    let shape = RecordShape::new(10, 90).expect("a shape");
    let mut acquisition =
        Acquisition::new(trigger, shape, Mode::Normal, [0; 200]).expect("an acquisition");
    let mut events = vec![];
    acquisition.push_channels(
        &[planes.channel(0)],
        |event| events.push(event.at),
        |record| {
            for finding in check.record(record.samples(), record.first_time()) {
                let number = finding.found.unwrap_or(0.0);
                assert!(number.is_finite(), "{finding:?}");
            }
        },
    );
    for at in &events {
        check.event(*at);
    }
    let tested = check.finish(events.len() as u64);
    assert!(tested.failed_records <= tested.records);
    tested.passed();
}
