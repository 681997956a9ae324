//! Recordings of real signals against what plain loops in Python find in them (`data/README.md`
//! has their sources). The answers spelled out here were found by brute force on their own.

use serde_json::Value;
use std::path::PathBuf;
use stillwave::measure::Statistics;
use stillwave::{
    Comparison, Condition, Edge, Event, Holdoff, Level, Polarity, Pulse, Sample, Slope, Span,
    Trigger,
};
use stillwave_tests::engine::found;
use stillwave_tests::oracle::What;

fn read(name: &str) -> Vec<u8> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("data").join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// NPY 1.0: magic, version, the length of the header, the header, little-endian counts.
fn ecg() -> Vec<u16> {
    let file = read("ecg.npy");
    assert_eq!(&file[..8], b"\x93NUMPY\x01\x00");
    let data = 10 + usize::from(u16::from_le_bytes([file[8], file[9]]));
    assert!(String::from_utf8_lossy(&file[..data]).contains("'<u2'"));
    file[data..].as_chunks().0.iter().map(|&bytes| u16::from_le_bytes(bytes)).collect()
}

/// One count a line.
fn pulse() -> Vec<i32> {
    let file = String::from_utf8(read("pulse.csv")).unwrap();
    file.lines().map(|line| line.trim().parse().unwrap()).collect()
}

/// WAV with nothing but a format of 16 bytes and the data.
fn drum() -> Vec<i16> {
    let file = read("drum.wav");
    assert_eq!((&file[8..16], &file[36..40]), (&b"WAVEfmt "[..], &b"data"[..]));
    file[44..].as_chunks().0.iter().map(|&bytes| i16::from_le_bytes(bytes)).collect()
}

fn answers(name: &str) -> Value {
    let all: Value = serde_json::from_slice(&read("answers.json")).unwrap();
    all[name].clone()
}

/// Events as the answers have them: position, lead, and the width of pulses.
fn numbers(event: Event) -> Vec<u64> {
    let found = found(event);
    let mut numbers = vec![found.position, u64::from(found.lead)];
    if let What::Positive(width) | What::Negative(width) = found.what {
        numbers.push(width);
    }
    numbers
}

fn events<C: Condition>(condition: C, holdoff: Holdoff, samples: &[C::Sample]) -> Vec<Vec<u64>> {
    let mut trigger = Trigger::new(condition, holdoff).unwrap();
    let mut events = Vec::new();
    // Blocks as a half-full DMA buffer would give them.
    for block in samples.chunks(1000) {
        trigger.push(block, |event| events.push(numbers(event)));
    }
    events
}

/// Statistics and every condition of the answers on a recording; gives the positions of rising edges.
fn check<T: Sample>(name: &str, samples: &[T]) -> Vec<u64>
where
    T::Wide: TryFrom<i64, Error: std::fmt::Debug>,
{
    let answers = answers(name);
    let number = |what: &str| answers[what].as_i64().unwrap();
    let list =
        |what: &str| -> Vec<Vec<u64>> { serde_json::from_value(answers[what].clone()).unwrap() };
    let wide = |what: &str| T::Wide::try_from(number(what)).unwrap();
    let count = samples.len() as f64;
    assert_eq!(samples.len() as i64, number("samples"));
    let statistics = Statistics::of(samples).unwrap();
    assert_eq!(statistics.minimum, number("min") as f64);
    assert_eq!(statistics.maximum, number("max") as f64);
    assert_eq!(statistics.mean, number("sum") as f64 / count);
    assert_eq!(statistics.rms, (number("squares") as f64 / count).sqrt());

    let level = Level::<T>::new(wide("level"), wide("hysteresis")).unwrap();
    let edge = |slope| Edge::new(slope, level).unwrap();
    let any = Comparison::within(Span::ZERO, Span::MAX).unwrap();
    let pulse = |polarity| Pulse::new(polarity, level, any).unwrap();
    let hold = Holdoff::Samples(number("hold") as u64);

    let rising = events(edge(Slope::Rising), Holdoff::None, samples);
    assert_eq!(rising, list("rising"));
    assert_eq!(events(edge(Slope::Rising), hold, samples), list("rising held"));
    assert_eq!(events(edge(Slope::Falling), Holdoff::None, samples), list("falling"));
    assert_eq!(events(pulse(Polarity::Positive), Holdoff::None, samples), list("positive"));
    assert_eq!(events(pulse(Polarity::Negative), Holdoff::None, samples), list("negative"));
    rising.iter().map(|event| event[0]).collect()
}

#[test]
fn an_electrocardiogram() {
    let samples = ecg();
    let beats = check("ecg", &samples);
    // A sample at or under 1004 arms, the first at or over 1124 fires.
    assert_eq!(beats.len(), 430);
    assert_eq!(beats[..5], [120, 338, 548, 746, 941]);
    assert_eq!(beats[429], 107_867);
    // Events fewer than 72 samples (0.2 s) after the last are dropped.
    assert_eq!(answers("ecg")["rising held"].as_array().unwrap().len(), 426);
    let statistics = Statistics::of(&samples).unwrap();
    assert_eq!((statistics.minimum, statistics.maximum), (327.0, 1754.0));
    assert_eq!(statistics.mean, 107_025_651.0 / 108_000.0);
}

#[test]
fn an_electrocardiogram_in_every_wider_type() {
    let samples = ecg();
    let positions = check("ecg", &samples);
    assert_eq!(check("ecg", &samples.iter().map(|&x| x as i16).collect::<Vec<_>>()), positions);
    assert_eq!(check("ecg", &samples.iter().map(|&x| u32::from(x)).collect::<Vec<_>>()), positions);
    assert_eq!(check("ecg", &samples.iter().map(|&x| i32::from(x)).collect::<Vec<_>>()), positions);
}

#[test]
fn an_optical_heart_sensor() {
    let beats = check("pulse", &pulse());
    assert_eq!(beats.len(), 24);
    assert_eq!(beats[..3], [56, 159, 257]);
}

#[test]
fn a_drum_is_hit_once() {
    assert_eq!(check("drum", &drum()), [1207]);
}
