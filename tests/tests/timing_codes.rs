//! Signals whose timing is laid down, as a 12-bit converter sees them: noise, slopes of finite
//! steepness, and a sample rate that someone would choose.

use stillwave::{
    Comparison, DropoutConfig, EdgeSlope, Event, EventKind, Holdoff, IntervalConfig, Level,
    PulseConfig, PulsePolarity, Setup, Span, Trigger,
};
use stillwave_tests::dice::Dice;

/// What a converter of 4096 counts sees of a line.
struct Line {
    /// Samples a second.
    rate: f64,
    /// How long the line takes from one level to the next, in seconds.
    slope: f64,
    /// Peak noise, in counts.
    noise: f64,
}

impl Line {
    /// The samples of a line that goes to a level (in counts) at each time (in seconds, at the
    /// middle of the slope), for `seconds`.
    fn samples(&self, start: f64, changes: &[(f64, f64)], seconds: f64) -> Vec<u16> {
        let (mut dice, mut from, mut changes) = (Dice::new(59), start, changes.iter().peekable());
        let mut noise = || {
            let sum: u64 = (0..4).map(|_| dice.below(1001)).sum();
            (sum as f64 / 2000.0 - 1.0) * self.noise
        };
        let mut sample = |n: u64| {
            let time = n as f64 / self.rate;
            while let Some((_, to)) = changes.next_if(|(at, _)| at + self.slope / 2.0 <= time) {
                from = *to;
            }
            let value = match changes.peek() {
                Some((at, to)) if time > at - self.slope / 2.0 => {
                    from + (to - from) * ((time - at) / self.slope + 0.5)
                }
                _ => from,
            };
            (value + noise()).round().clamp(0.0, 4095.0) as u16
        };
        (0..(seconds * self.rate) as u64).map(&mut sample).collect()
    }

    fn span(&self, seconds: f64) -> Span {
        Span::from_seconds(seconds, self.rate).unwrap()
    }

    fn within(&self, shortest: f64, longest: f64) -> Comparison {
        Comparison::within(self.span(shortest), self.span(longest)).unwrap()
    }

    /// When the events of a condition are, in seconds.
    fn times(&self, events: &[Event]) -> Vec<f64> {
        events.iter().map(|event| event.at.samples() / self.rate).collect()
    }
}

fn events(setup: Setup<u16>, samples: &[u16]) -> Vec<Event> {
    let mut trigger = Trigger::new(setup.build().unwrap(), Holdoff::None).unwrap();
    let mut events = Vec::new();
    for block in samples.chunks(512) {
        trigger.push(block, |event| events.push(event));
    }
    events
}

fn near(found: &[f64], expected: impl IntoIterator<Item = f64>, error: f64) {
    let expected: Vec<f64> = expected.into_iter().collect();
    assert_eq!(found.len(), expected.len(), "{found:?} for {expected:?}");
    let apart = found.iter().zip(&expected).all(|(a, b)| (a - b).abs() <= error);
    assert!(apart, "{found:?} are not within {error} of {expected:?}");
}

/// DCF77 (PTB): the carrier falls to 15 % for 0.1 s or 0.2 s at every second but the last of a
/// minute. (0.1 s for 0 and 0.2 s for 1 is from memory.)
#[test]
fn dcf77_has_no_mark_in_the_last_second_of_a_minute() {
    let line = Line { rate: 1000.0, slope: 0.02, noise: 120.0 };
    let (full, low) = (3000.0, 450.0);
    // The first mark of the recording is that of second 20 of a minute.
    let (first, seconds) = (0.3, 220);
    let mut dice = Dice::new(77);
    let marks = (0..seconds).filter(|n| (n + 20) % 60 != 59);
    let changes: Vec<_> = marks
        .flat_map(|n| {
            let at = first + f64::from(n);
            [(at, low), (at + dice.pick(&[0.1, 0.2]), full)]
        })
        .collect();
    let samples = line.samples(full, &changes, f64::from(seconds) + 3.0);
    // Half way between the amplitudes.
    let level = Level::new(1725, 500).unwrap();
    let after = stillwave::whole_samples(1.5, line.rate).unwrap();
    let dropout = Setup::Dropout(DropoutConfig { slope: EdgeSlope::Falling, level, after });
    // 1.5 s after the mark of second 58, half a second before the minute is full.
    let expected = [38, 98, 158, 218].map(|n| first + f64::from(n) + 1.5);
    near(&line.times(&events(dropout, &samples)), expected, 0.01);
}

/// IRIG-B, IRIG standard 200-04 (at second hand; 200-16 was not seen): 100 elements a second, each
/// high for 2 ms (0), 5 ms (1) or 8 ms (marker); elements 0, 9, 19 … 99 of a frame are markers, so
/// that two in succession begin it.
#[test]
fn irig_b_elements_are_told_by_their_width() {
    let line = Line { rate: 48_000.0, slope: 100e-6, noise: 100.0 };
    let (low, high) = (300.0, 3700.0);
    let mut dice = Dice::new(200);
    let is_marker = |element: u32| element.is_multiple_of(100) || element % 10 == 9;
    let elements: Vec<f64> =
        (0..300).map(|n| if is_marker(n) { 8e-3 } else { dice.pick(&[2e-3, 5e-3]) }).collect();
    let at = |n: usize| 0.004 + 0.01 * n as f64;
    let rises_and_falls = elements.iter().enumerate();
    let changes: Vec<_> =
        rises_and_falls.flat_map(|(n, width)| [(at(n), high), (at(n) + width, low)]).collect();
    let samples = line.samples(low, &changes, 3.01);
    let level = Level::new(2000, 400).unwrap();
    let found = |width: f64| {
        let within = line.within(width - 0.5e-3, width + 0.5e-3);
        let setup =
            Setup::Pulse(PulseConfig { polarity: PulsePolarity::Positive, level, width: within });
        line.times(&events(setup, &samples))
    };
    for width in [2e-3, 5e-3, 8e-3] {
        let these = elements.iter().enumerate().filter(|(_, w)| **w == width);
        near(&found(width), these.map(|(n, _)| at(n) + width), 50e-6);
    }
    // Two markers in succession end 10 ms apart: in the second of them the frame begins.
    let ends = found(8e-3);
    let starts = ends.windows(2).filter(|pair| pair[1] - pair[0] < 15e-3);
    let starts: Vec<f64> = starts.map(|pair| pair[1] - 8e-3).collect();
    near(&starts, [at(100), at(200)], 50e-6);
}

/// A servo's control signal (common practice): a pulse of 1 ms to 2 ms every 20 ms. Here one is too
/// narrow, and one is missing.
#[test]
fn a_servo_gets_pulses_of_1_to_2_ms_every_20_ms() {
    let line = Line { rate: 100_000.0, slope: 30e-6, noise: 90.0 };
    let (low, high) = (200.0, 3900.0);
    let width = |n: u32| match n {
        70 => 0.8e-3,
        _ => (1.5 + 0.5 * (f64::from(n) / 8.0).sin()) * 1e-3,
    };
    let at = |n: u32| 0.005 + 0.02 * f64::from(n);
    let pulses = (0..150).filter(|n| *n != 110);
    let changes: Vec<_> =
        pulses.clone().flat_map(|n| [(at(n), high), (at(n) + width(n), low)]).collect();
    let samples = line.samples(low, &changes, 3.0);
    let level = Level::new(2050, 500).unwrap();
    // The end is interpolated at the hysteresis below the level: 4 µs of the slope later.
    let tolerance = 15e-6;

    let pulse =
        |width| Setup::Pulse(PulseConfig { polarity: PulsePolarity::Positive, level, width });
    let good = events(pulse(line.within(1e-3 - tolerance, 2e-3 + tolerance)), &samples);
    let widths: Vec<f64> = good
        .iter()
        .map(|event| match event.kind {
            EventKind::Pulse { width, .. } => width.to_seconds(line.rate),
            other => panic!("{other:?} of pulses"),
        })
        .collect();
    near(&widths, pulses.filter(|n| *n != 70).map(width), tolerance);
    let bad = Comparison::outside(line.span(1e-3 - tolerance), line.span(2e-3 + tolerance));
    let bad = line.times(&events(pulse(bad.unwrap()), &samples));
    near(&bad, [at(70) + 0.8e-3], tolerance);

    let rising = EdgeSlope::Rising;
    let interval = |time| Setup::Interval(IntervalConfig { slope: rising, level, time });
    let regular = events(interval(line.within(19.98e-3, 20.02e-3)), &samples);
    // 149 pulses have 148 intervals, one of which is twice as long.
    assert_eq!(regular.len(), 147);
    let late = events(interval(Comparison::LongerThan(line.span(20.02e-3))), &samples);
    near(&line.times(&late), [at(111)], tolerance);
    // What is missing is known before the next comes: here 21 ms after the last.
    let missing = Setup::Dropout(DropoutConfig { slope: rising, level, after: 2100 });
    near(&line.times(&events(missing, &samples)), [at(109) + 21e-3], tolerance);
}
