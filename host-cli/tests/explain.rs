//! `explain` on signals whose timing is laid down, as a 12-bit converter sees them, with one number
//! of the trigger 2 % wrong: it names the cause, and what it suggests finds the events.

mod program;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use program::program;
use serde_json::Value;

/// Counts of the two states of a line.
const LOW: f64 = 300.0;
const HIGH: f64 = 3700.0;

/// A line: at each time, in seconds, it goes to a count.
type Line = Vec<(f64, f64)>;

/// A recording of lines that rest at the first count of each, with slopes and noise.
struct Recording {
    path: PathBuf,
    rate: f64,
    channels: usize,
}

impl Recording {
    fn new(name: &str, rate: f64, seconds: f64, slope: f64, lines: &[(f64, Line)]) -> Self {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("explain-{name}.raw"));
        let mut seed = 1_u32;
        let mut noise = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(seed >> 16) / 65_536.0 * 60.0 - 30.0
        };
        let at = |(rest, changes): &(f64, Line), time: f64| {
            let mut value = *rest;
            for (when, to) in changes {
                let part = ((time - when) / slope + 0.5).clamp(0.0, 1.0);
                if part <= 0.0 {
                    break;
                }
                value += (to - value) * part;
            }
            value
        };
        // Only what is near in time matters.
        let mut bytes = Vec::new();
        let mut from = vec![0; lines.len()];
        let mut rests: Vec<f64> = lines.iter().map(|line| line.0).collect();
        for n in 0..(seconds * rate) as u64 {
            let time = n as f64 / rate;
            for (channel, (_, changes)) in lines.iter().enumerate() {
                while let Some((_, to)) =
                    changes.get(from[channel]).filter(|(when, _)| when + slope / 2.0 <= time)
                {
                    rests[channel] = *to;
                    from[channel] += 1;
                }
                let near = changes[from[channel]..].iter().take(2).copied().collect();
                let value = at(&(rests[channel], near), time) + noise();
                bytes.extend((value.round().clamp(0.0, 4095.0) as u16).to_le_bytes());
            }
        }
        fs::write(&path, bytes).unwrap();
        Self { path, rate, channels: lines.len() }
    }

    fn run(&self, command: &str, options: &str) -> Output {
        Command::new(program())
            .arg(command)
            .arg(&self.path)
            .args(["--sample-type", "u16le", "--bits", "12", "--vref", "4.096V"])
            .args(["--rate", &self.rate.to_string(), "--channels", &self.channels.to_string()])
            .args(options.split_whitespace())
            .output()
            .expect("the tool starts")
    }

    fn text(&self, command: &str, options: &str) -> String {
        let output = self.run(command, options);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{options}: {errors}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// The explanation holds each of `said`.
    fn explains(&self, options: &str, said: &[&str]) -> Value {
        let text = self.text("explain", options);
        for words in said {
            assert!(text.contains(words), "\"{words}\" is not in:\n{text}");
        }
        serde_json::from_str(&self.text("explain", &format!("{options} --format json"))).unwrap()
    }

    /// The option that an explanation begins its suggestion with finds so many events.
    fn takes(&self, explanation: &Value, rest: &str, events: usize) {
        let suggestion = explanation["suggestion"].as_str().expect("a suggestion");
        let option: Vec<_> = suggestion.split(' ').take(2).collect();
        let found = self.text("scan", &format!("{rest} {} --format json", option.join(" ")));
        assert_eq!(found.lines().count(), events, "{suggestion}");
    }
}

/// Pulses of a width, from a time on, so far apart.
fn pulses(first: f64, apart: f64, widths: &[f64]) -> Line {
    let pulse = |(n, width): (usize, &f64)| {
        let at = first + apart * n as f64;
        [(at, HIGH), (at + width, LOW)]
    };
    widths.iter().enumerate().flat_map(pulse).collect()
}

/// 8N1 characters, one at once after the other.
fn characters(first: f64, bit: f64, values: &[u8]) -> Line {
    let mut line = Vec::new();
    for (n, value) in values.iter().enumerate() {
        let start = first + bit * 10.5 * n as f64;
        line.push((start, LOW));
        for k in 0..8 {
            let high = value >> k & 1 == 1;
            line.push((start + bit * f64::from(k + 1), if high { HIGH } else { LOW }));
        }
        line.push((start + bit * 9.0, HIGH));
    }
    line
}

/// A servo's pulses of 1.5 ms every 20 ms (common practice), wanted over 1.53 ms.
#[test]
fn pulse_width() {
    let servo = [(LOW, pulses(0.005, 0.02, &[1.5e-3; 40]))];
    let recording = Recording::new("servo", 100e3, 0.82, 30e-6, &servo);
    let rest = "--on pulse --level 2V --hysteresis 0.4V";
    let said = ["40 pulses, from 1.50", "wanted longer than 1.530 ms: 40 too short; the nearest"];
    let explanation = recording.explains(&format!("{rest} --longer-than 1.53ms"), &said);
    assert_eq!(explanation["events"], 0);
    assert_eq!(explanation["time"]["too_short"], 40);
    assert_eq!(explanation["time"]["nearest"].as_array().unwrap().len(), 8);
    let nearest = &explanation["time"]["nearest"][0];
    assert!((nearest["time"].as_f64().unwrap() - 1.5e-3).abs() < 10e-6);
    assert!((nearest["lacked"].as_f64().unwrap() - 30e-6).abs() < 10e-6);
    recording.takes(&explanation, rest, 40);
}

#[test]
fn no_bar_begins_before_no_time() {
    let widths: Vec<f64> = (0..40).map(|n| [20e-6, 300e-6][n % 2]).collect();
    let lines = [(LOW, pulses(0.005, 0.02, &widths))];
    let recording = Recording::new("narrow", 100e3, 0.82, 0.0, &lines);
    let text = recording.text("explain", "--on pulse --level 2V --longer-than 310us");
    let bars: Vec<&str> = text.lines().filter(|line| line.contains('│')).collect();
    assert!(bars[0].trim_start().starts_with("0.000 s │"), "{text}");
}

/// The same through a level 2 % over the top of the signal.
#[test]
fn level_too_high() {
    let servo = [(LOW, pulses(0.005, 0.02, &[1.5e-3; 40]))];
    let recording = Recording::new("level", 100e3, 0.82, 30e-6, &servo);
    // The highest sample is 3730 counts.
    let said = [
        "no edge: 40 rises turn below the level of 3.805 V (3805 counts) on channel 1, the highest",
        "try        a level of 2.0",
        "level 3.805 V",
    ];
    let explanation = recording.explains("--level 3.805V --hysteresis 0.2V", &said);
    let short = explanation["levels"][0]["short_by"].as_f64().unwrap();
    assert!((0.07..0.1).contains(&short), "{short} V short");
    // Armed 2 % too far below.
    let said = [
        "40 rises pass the level of 2.000 V",
        "without having been below its hysteresis of 1.780 V",
    ];
    recording.explains("--level 2V --hysteresis 1.78V", &said);
}

/// IRIG-B (IRIG standard 200, from memory): markers of 8 ms, wanted over 8.16 ms.
#[test]
fn irig_b() {
    let widths: Vec<f64> =
        (0..200).map(|n| if n % 10 == 9 { 8e-3 } else { [2e-3, 5e-3][n % 2] }).collect();
    let line = [(LOW, pulses(0.004, 0.01, &widths))];
    let recording = Recording::new("irig", 48e3, 2.01, 100e-6, &line);
    let rest = "--on pulse --level 2V --hysteresis 0.4V";
    let said = ["200 pulses, from 2.0", "wanted longer than 8.160 ms: 200 too short"];
    let explanation = recording.explains(&format!("{rest} --longer-than 8.16ms"), &said);
    // The 20 markers, and nothing else.
    assert!(explanation["suggestion"].as_str().unwrap().contains("would take 20 of them"));
    recording.takes(&explanation, rest, 20);
}

/// DCF77 (PTB): no mark in the last second of a minute, a gap of 2 s, wanted over 2.04 s.
#[test]
fn dcf77() {
    let marks = (0..105).filter(|n| (n + 20) % 60 != 59);
    let line = marks.flat_map(|n| [(0.3 + f64::from(n), 450.0), (0.4 + f64::from(n), 3000.0)]);
    let recording = Recording::new("dcf77", 1000.0, 105.3, 0.02, &[(3000.0, line.collect())]);
    let rest = "--on dropout --slope falling --level 1.7V --hysteresis 0.5V";
    let said = [
        "gaps between edges, from 999.",
        "wanted longer than 2.040 s",
        "too short; the nearest, 2.0",
    ];
    let explanation = recording.explains(&format!("{rest} --after 2.04s"), &said);
    // Those of both minutes.
    recording.takes(&explanation, rest, 2);
}

/// DMX512-A (ANSI E1.11, from memory): breaks of 92 µs, wanted from 94 µs on.
#[test]
fn dmx_break() {
    let mut line = Vec::new();
    for packet in 0..20 {
        let at = 1e-3 + 3e-3 * f64::from(packet);
        line.extend([(at, LOW), (at + 92e-6, HIGH)]);
        line.extend(characters(at + 104e-6, 4e-6, &[0, 255, 17, 0, 3]));
    }
    let recording = Recording::new("dmx", 2e6, 0.062, 0.5e-6, &[(HIGH, line)]);
    let rest = "--on uart --baud 250000 --what break --level 2V --hysteresis 0.2V";
    let said = [
        "absences from rest, from 3.9",
        "wanted longer than 93.84 µs",
        "too short; the nearest, 91.9",
    ];
    let explanation = recording.explains(&format!("{rest} --longer-than 93.84us"), &said);
    assert!(explanation["suggestion"].as_str().unwrap().contains("would take 20 of them"));
    recording.takes(&explanation, rest, 20);
}

/// 9600 Bd, through a level 2 % over the line's high state; and a value that is not sent.
#[test]
fn uart() {
    let line = [(HIGH, characters(0.01, 1.0 / 9600.0, b"Stillwave. Stillwave."))];
    let recording = Recording::new("uart", 200e3, 0.04, 3e-6, &line);
    let said =
        ["no character or error", "turn below the level of 3.805 V", "try        a level of 2.0"];
    let explanation = recording.explains("--on uart --baud 9600 --level 3.805V", &said);
    assert_eq!(explanation["events"], 0);
    let options = "--on uart --baud 9600 --level 2V --hysteresis 0.2V --value 0x5A";
    let said = ["21 characters or errors, but none as asked for", "what came: 4 × character 0x6C"];
    recording.explains(options, &said);
}

/// A clock and data, the clock's level 2 % over its high state.
#[test]
fn i2c() {
    let (mut clock, mut data) = (vec![], vec![(1e-3 - 5e-6, LOW)]);
    for bit in 0..18 {
        let at = 1e-3 + 10e-6 * f64::from(bit);
        clock.extend([(at, LOW), (at + 5e-6, HIGH)]);
        data.push((at + 2e-6, if bit % 3 == 0 { HIGH } else { LOW }));
    }
    let lines = [(HIGH, clock), (HIGH, data)];
    let recording = Recording::new("i2c", 4e6, 1.5e-3, 0.3e-6, &lines);
    let options = "--on i2c --hysteresis 0.2V --data 2@2V --level 3.805V";
    let said = ["no start, stop or byte", "turn below the level of 3.805 V", "on channel 1"];
    recording.explains(options, &said);
    let good = recording.text("scan", "--on i2c --hysteresis 0.2V --data 2@2V --level 2V");
    assert!(good.contains("start"), "{good}");
}

/// Lines and the pulses of an even field of a 625/50 picture (ITU-R BT.470-6, from memory), through
/// a level 2 % below the noise on their tips; and a line that is not in the recording.
#[test]
fn picture() {
    let (tip, black, half) = (500.0, 1500.0, 32e-6);
    let narrow = |n: u32| (f64::from(n), 2.35e-6);
    let lines = |from: u32| (0..20).map(move |n| (f64::from(from + 2 * n), 4.7e-6));
    let pulses = lines(0)
        .chain((40..45).map(narrow))
        .chain((45..50).map(|n| (f64::from(n), 27.3e-6)))
        .chain((50..55).map(narrow))
        .chain(lines(56));
    let line = pulses.flat_map(|(n, width)| {
        let at = 20e-6 + n * half;
        [(at, tip), (at + width, black)]
    });
    let recording = Recording::new("video", 4e6, 3.1e-3, 0.3e-6, &[(black, line.collect())]);
    let rest = "--on video --standard 625/50 --hysteresis 0.1V";
    let said = ["no line or field", "turn above the level of 460.0 mV", "try        a level of"];
    let explanation = recording.explains(&format!("{rest} --level 0.46V"), &said);
    assert_eq!(explanation["events"], 0);
    let good = recording.text("scan", &format!("{rest} --level 1V --line 330"));
    assert!(good.contains("video line 330 even field"), "{good}");
    let said = ["but none as asked for", "what came:", "video line 314 even field"];
    recording.explains(&format!("{rest} --level 1V --line 24"), &said);
}

/// From a rise on one channel to one on the other 100 µs later, wanted under 98 µs.
#[test]
fn delay_and_setup_time() {
    let (first, second) = (pulses(1e-3, 1e-3, &[3e-4; 30]), pulses(1.1e-3, 1e-3, &[3e-4; 30]));
    let lines = [(LOW, first), (LOW, second)];
    let recording = Recording::new("delay", 1e6, 0.033, 2e-6, &lines);
    let rest = "--on delay --to 2 --level 2V --hysteresis 0.2V";
    let said = ["30 delays, ", "wanted shorter than 98.00 µs: 30 too long; the nearest, "];
    let explanation = recording.explains(&format!("{rest} --shorter-than 98us"), &said);
    recording.takes(&explanation, rest, 30);
    // Channel 1 changes 100 µs before channel 2 rises.
    let rest = "--on setup-hold --channel 2 --data 1 --level 2V --hysteresis 0.2V";
    let said = ["30 changes near a clock edge, ", "wanted shorter than 98.00 µs: 30 too long"];
    let explanation = recording.explains(&format!("{rest} --setup-time 98us"), &said);
    recording.takes(&explanation, rest, 30);
}

/// Slopes of 200 µs from 10 % to 90 % (160 µs), wanted slower than 163.2 µs; and a second level that
/// lies 2 % over the signal.
#[test]
fn transition_and_runt() {
    let line = [(LOW, pulses(2e-3, 2e-3, &[1e-3; 20]))];
    let recording = Recording::new("slope", 1e6, 0.043, 200e-6, &line);
    let band = "--low 0.64V --high 3.36V --hysteresis 0.1V";
    let rest = format!("--on transition {band}");
    let said =
        ["20 transitions, from 1", "wanted longer than 163.2 µs", "too short; the nearest, "];
    let explanation = recording.explains(&format!("{rest} --longer-than 163.2us"), &said);
    recording.takes(&explanation, &rest, 20);
    let options = "--on transition --low 0.64V --high 3.81V --hysteresis 0.1V --longer-than 1us";
    recording.explains(options, &["no transition: 20 rises turn below the level of 3.810 V"]);
    // Pulses that are as high as they should be are no runts.
    let said = ["no runt: 20 rises pass the level of 3.600 V", "20 rises pass the level of 0.640"];
    recording.explains("--on runt --low 640 --high 3600 --hysteresis 100", &said[..1]);
}

/// What fires is told as well, with what was held off.
#[test]
fn what_fires() {
    let servo = [(LOW, pulses(0.005, 0.02, &[1.5e-3; 40]))];
    let recording = Recording::new("fires", 100e3, 0.82, 30e-6, &servo);
    let said =
        ["it fires: 40 events, of which 26 were held off", "40 rises pass the level of 2.000 V"];
    recording.explains("--level 2V --hysteresis 0.2V --holdoff 50ms", &said);
    recording.explains(
        "--on pulse --level 2V --hysteresis 0.2V --longer-than 1ms",
        &["it fires: 40 events; all of 40 pulses as asked for"],
    );
    recording.explains(
        "--level 2V --while 1:low --hysteresis 0.2V",
        &["no edge: 40 events came while channel 1 was not low (--while)"],
    );
}

/// Where `--while` is the reason, it is named; where it is not, it is not.
#[test]
fn what_a_gate_lets_pass() {
    let servo = pulses(0.005, 0.02, &[1.5e-3; 40]);
    let open = vec![(0.0, HIGH)];
    // High in every other pulse.
    let half: Vec<(f64, f64)> = (0..20)
        .flat_map(|n| {
            let at = 0.002 + 0.04 * f64::from(n);
            [(at, HIGH), (at + 0.02, LOW)]
        })
        .collect();
    let lines = [(LOW, servo.clone()), (HIGH, open), (LOW, Vec::new()), (LOW, half)];
    let recording = Recording::new("gate", 100e3, 0.82, 30e-6, &lines);
    let level = "--level 2V --hysteresis 0.2V";
    let shut = |events: &str, channel: u8| format!("{events} came while channel {channel} was not");
    for (condition, events, half) in [
        ("--slope rising", "40 events", "20 events"),
        ("--on pulse --longer-than 1ms", "40 events", "20 events"),
        ("--on delay --to 1:falling --longer-than 1ms", "40 events", "20 events"),
        ("--on sequence --then 1:falling", "40 events", "20 events"),
        ("--on dropout --after 10ms", "40 events", "20 events"),
        ("--on count --events 1 --quiet 5ms", "40 events", "20 events"),
    ] {
        let with = |gate: &str| format!("{condition} {level} --while {gate}");
        recording.explains(&with("3:high"), &[&format!(": {}", shut(events, 3))]);
        recording.explains(&with("4:high"), &[&shut(half, 4), "it fires: 20 events"]);
        let said = recording.text("explain", &with("2:high"));
        assert!(said.contains("it fires: 40 events") && !said.contains("(--while)"), "{said}");
    }
    // The gate is open, and the cause is another.
    for (condition, cause) in [
        ("--on count --events 2 --quiet 5ms", "edge 2 is wanted"),
        ("--on pulse --longer-than 2ms", "40 too short"),
    ] {
        let said = recording.text("explain", &format!("{condition} {level} --while 2:high"));
        assert!(said.contains(cause) && !said.contains("(--while)"), "{said}");
    }
}

#[test]
fn pictures_and_refusals() {
    let servo = [(LOW, pulses(0.005, 0.02, &[1.5e-3; 10]))];
    let recording = Recording::new("picture", 100e3, 0.21, 30e-6, &servo);
    let png = Path::new(env!("CARGO_TARGET_TMPDIR")).join("explain.png");
    let _ = fs::remove_file(&png);
    let options = "--on pulse --level 2V --longer-than 1.53ms";
    recording.text("explain", &format!("{options} --png {}", png.display()));
    assert!(fs::read(&png).unwrap().starts_with(b"\x89PNG"));
    let again = recording.run("explain", &format!("{options} --png {}", png.display()));
    assert_eq!(again.status.code(), Some(2));
    let csv = recording.run("explain", &format!("{options} --format csv"));
    assert_eq!(csv.status.code(), Some(2));
}

/// Bits of 98 µs, read as 9600 Bd (104.2 µs).
#[test]
fn bits_of_another_length() {
    let line = [(HIGH, characters(0.01, 98e-6, b"Stillwave makes a waveform stand still."))];
    let recording = Recording::new("bits", 200e3, 0.1, 3e-6, &line);
    let said = ["the bits are 98.", " µs long, not 104 µs", "try        --baud 102"];
    let rest = "--on uart --level 2V --hysteresis 0.2V";
    let explanation = recording.explains(&format!("{rest} --baud 9600"), &said);
    let baud = explanation["suggestion"].as_str().unwrap();
    let found = recording.text("scan", &format!("{rest} {baud} --format json"));
    assert_eq!(found.lines().count(), 39);
    // At the right rate, and at one that is off by less than matters, there is nothing to say.
    for baud in ["10204", "10300"] {
        let explanation = recording.explains(&format!("{rest} --baud {baud} --value 0x5A"), &[]);
        assert_eq!(explanation["suggestion"], Value::Null, "{baud}");
    }
}

/// Bursts of 12, 20 and 7 edges; 30 are wanted.
#[test]
fn bursts_that_are_too_short() {
    let burst = |at: f64, edges: usize| pulses(at, 100e-6, &vec![50e-6; edges]);
    let line = [burst(0.01, 12), burst(0.02, 20), burst(0.03, 7)].concat();
    let recording = Recording::new("bursts", 200e3, 0.04, 3e-6, &[(LOW, line)]);
    let rest = "--on count --level 2V --hysteresis 0.2V --quiet 2ms";
    let said =
        ["3 counts, the longest of 20 edges, the last at sample 4381 (21.9", "edge 30 is wanted"];
    let explanation = recording.explains(&format!("{rest} --events 30"), &said);
    assert_eq!(explanation["events"], 0);
    recording.takes(&explanation, rest, 1);
    let since = "--on count --level 2V --hysteresis 0.2V --events 60";
    recording.explains(since, &["there are 39 edges, the last at sample"]);
}

/// The commonest mix-ups: far too fast, twice too fast, too slow.
#[test]
fn bits_of_quite_another_length() {
    let line =
        [(HIGH, characters(0.002, 1.0 / 9600.0, b"Stillwave makes a waveform stand still."))];
    let recording = Recording::new("quite", 500e3, 0.06, 2e-6, &line);
    let rest = "--on uart --level 2V --hysteresis 0.2V";
    for baud in ["115200", "57600", "19200", "4800", "1200"] {
        let explanation =
            recording.explains(&format!("{rest} --baud {baud}"), &["the bits are 104 µs"]);
        let baud = explanation["suggestion"].as_str().unwrap();
        let found = recording.text("scan", &format!("{rest} {baud} --format json"));
        assert_eq!(found.lines().count(), 39);
    }
    // Of one character alone nobody can tell.
    let line = [(HIGH, characters(0.002, 1.0 / 9600.0, &[0xF8; 30]))];
    let recording = Recording::new("alone", 500e3, 0.06, 2e-6, &line);
    let explanation = recording.explains(&format!("{rest} --baud 9600"), &[]);
    assert_eq!(explanation["suggestion"], Value::Null);
}
