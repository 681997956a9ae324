//! Parts of sentences that describe a trigger, and its levels for a picture.

use stillwave::{Band, Comparison, EdgeSlope, Level, PulsePolarity, Sample, Side, Span};

use super::{Mark, Need};
use crate::calibration::Calibration;

/// Under it a signal must have been before it rises.
pub(super) const ARMS_BELOW: &str = "arms below";
/// Over it a signal must have been before it falls.
pub(super) const ARMS_ABOVE: &str = "arms above";

/// `rising`, `falling`, `rising or falling`.
pub(super) fn slope(slope: EdgeSlope) -> &'static str {
    match slope {
        EdgeSlope::Rising => "rising",
        EdgeSlope::Falling => "falling",
        EdgeSlope::Either => "rising or falling",
    }
}

/// `positive`, `negative`, `positive or negative`.
pub(super) fn polarity(polarity: PulsePolarity) -> &'static str {
    match polarity {
        PulsePolarity::Positive => "positive",
        PulsePolarity::Negative => "negative",
        PulsePolarity::Either => "positive or negative",
    }
}

/// `high`, `low`.
pub(super) fn side(side: Side) -> &'static str {
    match side {
        Side::High => "high",
        Side::Low => "low",
    }
}

/// `shorter than 1.200 ms (120 samples)`.
pub(super) fn comparison(comparison: Comparison, calibration: &Calibration) -> String {
    let show = |time| span(time, calibration);
    match comparison {
        Comparison::ShorterThan(bound) => format!("shorter than {}", show(bound)),
        Comparison::LongerThan(bound) => format!("longer than {}", show(bound)),
        Comparison::Within(low, high) => format!("from {} to {}", show(low), show(high)),
        Comparison::Outside(low, high) => {
            format!("shorter than {} or longer than {}", show(low), show(high))
        }
    }
}

/// A time in seconds and samples.
pub(super) fn span(span: Span, calibration: &Calibration) -> String {
    calibration.show_time(span.to_samples())
}

/// `through 1.650 V (2048 counts), hysteresis …`.
pub(super) fn level<T: Sample>(level: &Level<T>, calibration: &Calibration) -> String {
    let passed = calibration.show_level(T::wide_to_f64(level.level));
    format!("through {passed}, {}", hysteresis(level, calibration))
}

/// `from … to …, hysteresis …`.
pub(super) fn band<T: Sample>(band: &Band<T>, calibration: &Calibration) -> String {
    let [low, high] = [band.low, band.high].map(|l| calibration.show_level(T::wide_to_f64(l)));
    format!("from {low} to {high}, {}", hysteresis(&band.lower(), calibration))
}

fn hysteresis<T: Sample>(level: &Level<T>, calibration: &Calibration) -> String {
    let hysteresis = calibration.show_difference(T::wide_to_f64(level.hysteresis));
    format!("hysteresis {hysteresis}")
}

/// A level, and where the signal arms it: under it for what rises, over it for what falls.
pub(super) fn level_marks<T: Sample>(level: &Level<T>, slope: EdgeSlope) -> Vec<Mark> {
    let [at, back] = [level.level, level.hysteresis].map(T::wide_to_f64);
    let mut marks = vec![mark("level", at, Need::Each)];
    marks.extend(arms(at, at, back, slope));
    marks
}

/// The level of a line, which is high or low.
pub(super) fn line_marks<T: Sample>(level: &Level<T>) -> Vec<Mark> {
    level_marks(level, EdgeSlope::Rising)
}

/// Two levels that a signal passes, and where it arms the first.
pub(super) fn band_marks<T: Sample>(band: &Band<T>, slope: EdgeSlope) -> Vec<Mark> {
    let [low, high, back] = [band.low, band.high, band.hysteresis].map(T::wide_to_f64);
    let mut marks =
        vec![mark("lower level", low, Need::Each), mark("upper level", high, Need::Each)];
    marks.extend(arms(low, high, back, slope));
    marks
}

/// The same of a pulse that begins with an edge of the slope, and passes the first level only.
pub(super) fn runt_marks<T: Sample>(band: &Band<T>, slope: EdgeSlope) -> Vec<Mark> {
    let mut marks = band_marks(band, slope);
    let needs = match slope {
        EdgeSlope::Rising => [Need::Each, Need::None],
        EdgeSlope::Falling => [Need::None, Need::Each],
        EdgeSlope::Either => [Need::Any; 2],
    };
    for (mark, need) in marks.iter_mut().zip(needs) {
        mark.need = need;
    }
    marks
}

/// Two levels, and where the signal is back between them.
pub(super) fn window_marks<T: Sample>(band: &Band<T>, need: Need) -> Vec<Mark> {
    let [low, high, back] = [band.low, band.high, band.hysteresis].map(T::wide_to_f64);
    vec![
        mark("lower level", low, need),
        mark("upper level", high, need),
        minor("inside from", low + back),
        minor("inside to", high - back),
    ]
}

/// Where a signal arms the level that it passes first.
fn arms(low: f64, high: f64, back: f64, slope: EdgeSlope) -> impl Iterator<Item = Mark> {
    let below = (slope != EdgeSlope::Falling).then(|| minor(ARMS_BELOW, low - back));
    let above = (slope != EdgeSlope::Rising).then(|| minor(ARMS_ABOVE, high + back));
    below.into_iter().chain(above)
}

fn mark(name: &str, counts: f64, need: Need) -> Mark {
    Mark { name: name.to_owned(), counts, minor: false, need }
}

fn minor(name: &str, counts: f64) -> Mark {
    Mark { minor: true, ..mark(name, counts, Need::None) }
}
