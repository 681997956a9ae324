//! Quantities as they are typed: what is read is a number in its range, and what is shown of it is
//! read as the same.

#![no_main]

use libfuzzer_sys::fuzz_target;
use std::fmt::Debug;
use std::str::FromStr;
use stillwave_cli::quantity::{
    Frequency, Level, Percent, Rate, Ratio, Span, Time, Voltage, format_si,
};

fn shown_is_read<Q: FromStr<Err: Debug> + Debug>(
    value: f64,
    unit: &str,
    number: impl Fn(Q) -> f64,
) {
    // 17 digits tell every double from its neighbours.
    let text = format_si(value, unit, 17);
    let read = number(text.parse().expect("what was shown"));
    assert_eq!(read, value, "shown as {text}");
    for digits in [0, 1, 4, 40] {
        format_si(value, unit, digits);
    }
}

fuzz_target!(|text: &str| {
    match text.parse() {
        Ok(Level::Volts(volts)) => shown_is_read(volts, "V", |Voltage(volts)| volts),
        Ok(Level::Counts(counts)) => assert!(counts.is_finite()),
        Err(_) => {}
    }
    match text.parse() {
        Ok(Time::Seconds(seconds)) => {
            assert!(seconds >= 0.0 && seconds.is_finite());
            shown_is_read(seconds, "s", |time| match time {
                Time::Seconds(seconds) => seconds,
                Time::Samples(_) => f64::NAN,
            });
        }
        Ok(Time::Samples(samples)) => assert!(samples >= 0.0 && samples.is_finite()),
        Err(_) => {}
    }
    if let Ok(Voltage(volts)) = text.parse() {
        assert!(volts.is_finite());
    }
    if let Ok(Rate(rate)) = text.parse() {
        assert!(rate > 0.0);
        // Thousandths of a sample a second are a slip for millions, and not read.
        if rate >= 1.0 {
            shown_is_read(rate, "S/s", |Rate(rate)| rate);
        }
    }
    if let Ok(Frequency(hertz)) = text.parse() {
        assert!(hertz > 0.0);
        shown_is_read(hertz, "Hz", |Frequency(hertz)| hertz);
    }
    if let Ok(Ratio(ratio)) = text.parse() {
        assert!(ratio > 0.0 && ratio.is_finite());
    }
    if let Ok(Percent(part)) = text.parse() {
        assert!(part >= 0.0 && part.is_finite());
    }
    let _ = text.parse::<Span<Time>>();
    let _ = text.parse::<Span<Level>>();
});
