//! The tool on recordings of real signals: what `stillwave scan` prints is what plain loops in
//! Python find (`data/README.md` has the sources).

use serde_json::{Map, Value};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

// There is nothing here for a chip.
#[allow(dead_code)]
mod programs;
use programs::TOOL;

fn data() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data")
}

fn scan(file: &str, options: &str) -> Output {
    let mut command = Command::new(&*TOOL);
    command.arg("scan").arg(data().join(file)).args(options.split_whitespace());
    command.args(["--format", "json"]).output().expect("the tool runs")
}

/// One JSON object a line.
fn events(file: &str, options: &str) -> Vec<Map<String, Value>> {
    let output = scan(file, options);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{options}: {errors}");
    let lines = String::from_utf8(output.stdout).unwrap();
    lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// A recording with its answers.
struct Recording {
    file: &'static str,
    /// Options that every scan of it has.
    options: String,
    rate: f64,
    answers: Value,
}

impl Recording {
    fn new(file: &'static str, options: &str, rate: f64) -> Self {
        let text = std::fs::read_to_string(data().join("answers.json")).unwrap();
        let all: Value = serde_json::from_str(&text).unwrap();
        let answers = all[file.split('.').next().unwrap()].clone();
        let (level, hysteresis) = (&answers["level"], &answers["hysteresis"]);
        let options = format!("{options} --level {level} --hysteresis {hysteresis}");
        Self { file, options, rate, answers }
    }

    fn all() -> [Self; 3] {
        [
            Self::new("ecg.npy", "--rate 360", 360.0),
            Self::new("pulse.csv", "--rate 100S/s", 100.0),
            Self::new("drum.wav", "", 44100.0),
        ]
    }

    /// Events as the answers have them: position, lead, and the width of pulses.
    fn answer(&self, what: &str) -> Vec<Vec<u64>> {
        serde_json::from_value(self.answers[what].clone()).unwrap()
    }

    /// Scans and compares everything that an event has.
    fn check(&self, options: &str, expected: &[Vec<u64>], names: &[(&str, &str)]) {
        let options = format!("{} {options}", self.options);
        let found = events(self.file, &options);
        assert_eq!(found.len(), expected.len(), "{options}");
        for (event, numbers) in found.iter().zip(expected) {
            let context = format!("{event:?} of {} {options}", self.file);
            // Reading JSON may cost the last bit of a number.
            let near = |key: &str, value: f64| {
                let got = event[key].as_f64().expect(key);
                assert!((got - value).abs() <= 1e-12 * value, "{key} is not {value}: {context}");
            };
            let crossing = numbers[0] as f64 - numbers[1] as f64 / 65536.0;
            assert_eq!(event["position"].as_u64(), Some(numbers[0]), "{context}");
            near("crossing", crossing);
            near("time", crossing / self.rate);
            if let Some(width) = numbers.get(2) {
                near("width", *width as f64 / 65536.0 / self.rate);
            }
            for (key, name) in names {
                assert_eq!(event[*key], *name, "{context}");
            }
        }
    }
}

#[test]
fn edges_of_each_slope() {
    for recording in Recording::all() {
        for slope in ["rising", "falling"] {
            let expected = recording.answer(slope);
            assert!(!expected.is_empty());
            let names = [("kind", "edge"), ("slope", slope)];
            recording.check(&format!("--on edge --slope {slope}"), &expected, &names);
        }
        let mut both = [recording.answer("rising"), recording.answer("falling")].concat();
        both.sort();
        recording.check("--on edge --slope either", &both, &[("kind", "edge")]);
    }
}

#[test]
fn holdoff_in_samples_and_seconds() {
    for recording in Recording::all() {
        let (hold, expected) = (&recording.answers["hold"], recording.answer("rising held"));
        let seconds = hold.as_f64().unwrap() / recording.rate;
        recording.check(&format!("--holdoff {hold}sa"), &expected, &[]);
        recording.check(&format!("--holdoff {seconds}s"), &expected, &[]);
        recording.check(&format!("--holdoff {}ms", seconds * 1e3), &expected, &[]);
    }
}

#[test]
fn pulses_of_each_width() {
    for recording in Recording::all() {
        for polarity in ["positive", "negative"] {
            let all = recording.answer(polarity);
            let mut widths: Vec<u64> = all.iter().map(|event| event[2]).collect();
            widths.sort_unstable();
            // Bounds that pulses have exactly, given in samples with all their digits.
            let Some(&a) = widths.get(widths.len() / 3) else { continue };
            let b = widths[widths.len() * 2 / 3];
            let samples = |width: u64| format!("{}sa", width as f64 / 65536.0);
            let (from, to) = (samples(a), samples(b));
            let of = |holds: &dyn Fn(u64) -> bool| -> Vec<Vec<u64>> {
                all.iter().filter(|event| holds(event[2])).cloned().collect()
            };
            let names = [("kind", "pulse"), ("polarity", polarity)];
            for (asked, expected) in [
                (format!("--shorter-than {to}"), of(&|width| width < b)),
                (format!("--longer-than {from}"), of(&|width| width > a)),
                (format!("--within {from}..{to}"), of(&|width| a <= width && width <= b)),
                (format!("--outside {from}..{to}"), of(&|width| width < a || width > b)),
            ] {
                let options = format!("--on pulse --polarity {polarity} {asked}");
                recording.check(&options, &expected, &names);
            }
        }
    }
}

#[test]
fn levels_in_volts_are_levels_in_counts() {
    // The recording has 200 counts a unit around 1024; with volts as that unit, a count is
    // 20.48 V / 2^12 = 5 mV.
    let ecg = Recording::new("ecg.npy", "--rate 360", 360.0);
    let volts = "--rate 360 --bits 12 --vref 20.48V --zero 1024 --level 0.5V --hysteresis 595mV";
    let found = events(ecg.file, volts);
    let positions: Vec<_> = found.iter().map(|event| event["position"].as_u64().unwrap()).collect();
    let expected: Vec<_> = ecg.answer("rising").iter().map(|event| event[0]).collect();
    assert_eq!(positions.len(), 430);
    assert_eq!(positions, expected);
}

#[test]
fn what_cannot_be_asked_is_refused_with_one_message() {
    for options in [
        "--level 1124 --on pulse --shorter-than 1ms",
        "--level high",
        "--level 1124 --hysteresis -1",
        "--level 1124 --channel 2",
        "--level 1124 --on pulse --within 3sa..2sa",
    ] {
        let output = scan("ecg.npy", options);
        let message = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{options}: {message}");
        assert_eq!(message.matches("error:").count(), 1, "{options}: {message}");
        assert!(output.stdout.is_empty(), "{options}");
    }
}
