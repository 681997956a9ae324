//! Conditions on several channels and of serial lines on the command line: what they find, what
//! they say, what they refuse.

mod program;

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

use program::program;
use serde_json::{Value, json};

/// Scans channels of one byte a sample, a thousand a second: `_` is 0, `#` is 200.
fn scan(lines: &[&str], options: &str) -> Output {
    let level = |line: &str, i: usize| if line.as_bytes()[i] == b'#' { 200 } else { 0 };
    let samples: Vec<u8> =
        (0..lines[0].len()).flat_map(|i| lines.iter().map(move |line| level(line, i))).collect();
    pipe(&samples, &format!("--rate 1kS/s --channels {} {options}", lines.len()))
}

/// Scans samples of one byte.
fn pipe(samples: &[u8], options: &str) -> Output {
    let mut tool = Command::new(program())
        .args(["scan", "-", "--sample-type", "u8"])
        .args(options.split_whitespace())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the tool starts");
    // Where the options are refused nothing is read.
    let _ = tool.stdin.take().expect("a pipe").write_all(samples);
    tool.wait_with_output().expect("the tool ends")
}

fn text(lines: &[&str], options: &str) -> String {
    let output = scan(lines, options);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{options}: {errors}");
    String::from_utf8(output.stdout).unwrap()
}

/// What JSON says of each event.
fn events(lines: &[&str], options: &str) -> Vec<Value> {
    let lines = text(lines, &format!("{options} --format json"));
    lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

fn positions(lines: &[&str], options: &str) -> Vec<u64> {
    events(lines, options).iter().map(|event| event["position"].as_u64().unwrap()).collect()
}

/// The message of a refusal.
fn refused(options: &str) -> String {
    let output = scan(&["____", "____", "____"], options);
    assert_eq!(output.status.code(), Some(2), "{options}");
    assert!(output.stdout.is_empty(), "{options}");
    let message = String::from_utf8(output.stderr).unwrap();
    assert_eq!(message.matches("error:").count(), 1, "{options}: {message}");
    message
}

#[test]
fn pictures() {
    // 2 MS/s, 128 samples a line: lines 308 to 310, the pulses of the even field, and more lines.
    let pulse = |width, rest| [vec![0_u8; width], vec![90; rest]].concat();
    let (line, narrow, broad) = (pulse(9, 119), pulse(5, 59), pulse(55, 9));
    let field = [vec![90; 50], line.repeat(3), narrow.repeat(5), broad.repeat(5), narrow.repeat(5)];
    let samples = [&field.concat()[..], &[90; 64], &line.repeat(20)].concat();
    let found = |samples: &[u8], options: &str| {
        let video = "--on video --standard 625/50 --level 45 --hysteresis 10 --rate 2MS/s";
        let output = pipe(samples, &format!("{video} {options} --format json"));
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        let text = String::from_utf8(output.stdout).unwrap();
        text.lines().map(|line| serde_json::from_str(line).unwrap()).collect::<Vec<Value>>()
    };
    let all = found(&samples, "");
    // Those behind the first broad pulse, in the middle of line 313; then one a line.
    assert_eq!(all[0]["line"], 314);
    assert_eq!(all.last().unwrap()["line"], 338);
    let one = found(&samples, "--line 325");
    assert_eq!(one.len(), 1);
    assert_eq!(one[0]["position"], 50 + 17 * 128);
    assert_eq!((&one[0]["kind"], &one[0]["field"]), (&json!("video"), &json!("even")));
    let inverted: Vec<u8> = samples.iter().map(|x| 90 - x).collect();
    assert_eq!(found(&inverted, "--polarity positive --line 325")[0]["line"], 325);
    assert!(refused("--on video --level 9").contains("--standard"));
    assert!(refused("--on video --level 9 --standard 525/60").contains("too low for a picture"));
}

#[test]
fn delays() {
    let lines = ["_##______##___", "__________##__", "____####______"];
    let found = events(&lines, "--on delay --level 100 --to 3:falling@50 --within 1ms..9ms");
    // From half way between 0 and 1 to three quarters between 7 and 8.
    let expected = json!({
        "position": 8, "crossing": 7.75, "time": 0.00775, "kind": "delay",
        "duration": 0.00725, "duration_samples": 7.25,
    });
    assert_eq!(found, [expected]);
    let delay = "--on delay --channel 3 --slope falling --level 100 --to 2 --shorter-than 4sa";
    assert_eq!(positions(&lines, delay), [10]);
}

#[test]
fn counts() {
    let lines = ["_#_#_#____#_#_#_#", "___#___________#_"];
    let count = |options: &str| positions(&lines, &format!("--on count --level 100 {options}"));
    assert_eq!(count("--events 4"), [10]);
    assert_eq!(count("--events 2 --quiet 5ms"), [12]);
    assert_eq!(count("--events 2 --since 2"), [10]);
    assert_eq!(count("--events 1 --since 2 --slope falling"), [4]);
    let found = events(&lines, "--on count --level 100 --events 4");
    let expected = json!({
        "position": 10, "crossing": 9.5, "time": 0.0095, "kind": "count", "events": 4,
    });
    assert_eq!(found, [expected]);
}

#[test]
fn sequences() {
    let lines = ["_#______________#__", "__#_#_#_#_______#_#", "_____#_____________"];
    let sequence =
        |options: &str| positions(&lines, &format!("--on sequence --level 100 {options}"));
    assert_eq!(sequence("--then 2"), [2, 18]);
    assert_eq!(sequence("--then 2 --events 2"), [4]);
    assert_eq!(sequence("--then 2 --delay 4ms"), [6]);
    assert_eq!(sequence("--then 2 --delay 4ms --timeout 5ms"), [0; 0]);
    assert_eq!(sequence("--then 2:falling --reset 3 --delay 4ms"), [5]);
    assert_eq!(sequence("--then 2:falling --reset 3 --delay 5ms"), [0; 0]);
    let found = events(&lines, "--on sequence --level 100 --then 2 --events 2");
    assert_eq!((&found[0]["kind"], &found[0]["duration"]), (&json!("sequence"), &json!(0.003)));
}

#[test]
fn patterns() {
    let lines = ["__####__##__", "##_________#"];
    let pattern = |options: &str| positions(&lines, &format!("--on pattern {options}"));
    let both = "--lines 1:high,2:low --level 100";
    assert_eq!(pattern(both), [2, 8]);
    assert_eq!(pattern(&format!("{both} --when leaves")), [6, 10]);
    assert_eq!(pattern(&format!("{both} --when stays --longer-than 3ms")), [5]);
    assert_eq!(pattern(&format!("{both} --when stays --shorter-than 3ms")), [10]);
    assert_eq!(pattern("--lines 1:falling@20,2:low@150"), [6, 10]);
    let found = events(&lines, &format!("--on pattern {both} --when stays --longer-than 3ms"));
    let expected = json!({
        "position": 5, "crossing": 5.0, "time": 0.005, "kind": "pattern", "what": "stayed",
        "duration": 0.0035, "duration_samples": 3.5,
    });
    assert_eq!(found, [expected]);
}

#[test]
fn setup_and_hold() {
    let lines = ["____##____##__", "__###______###"];
    let check = |options: &str| {
        let found = events(&lines, &format!("--on setup-hold --level 100 --data 2 {options}"));
        let kinds = found.iter().map(|event| (event["position"].clone(), event["kind"].clone()));
        kinds.collect::<Vec<_>>()
    };
    assert_eq!(
        check("--setup-time 3ms --hold-time 1.5ms"),
        [(json!(4), json!("setup")), (json!(5), json!("hold")), (json!(11), json!("hold"))]
    );
    assert_eq!(check("--setup-time 1ms"), []);
}

#[test]
fn gates() {
    let lines = ["_#_#_#_#", "___####_"];
    let edges = |gate: &str| positions(&lines, &format!("--level 100 --while {gate}"));
    assert_eq!(edges("2:high"), [3, 5]);
    assert_eq!(edges("2:low@20"), [1, 7]);
    let pulses = "--on pulse --level 100 --shorter-than 2ms --while 2:high";
    assert_eq!(positions(&lines, pulses), [4, 6]);
    // The gate is asked at the event; what led to it may have been before.
    let gated = |options: &str| positions(&lines, &format!("--level 100 --while 2:high {options}"));
    assert_eq!(gated("--on count --events 3"), [5]);
    assert_eq!(gated("--on count --events 1"), [0; 0]);
    assert_eq!(gated("--on sequence --then 1:falling"), [4, 6]);
    assert_eq!(gated("--on delay --to 1:falling --longer-than 0.5ms"), [4, 6]);
    assert_eq!(gated("--on dropout --after 2ms"), [0; 0]);
    let words = text(&lines, "--on count --events 3 --level 100 --while 2:high");
    assert!(words.contains("while channel 2 (level 100 counts) is high"), "{words}");
}

#[test]
fn a_line_is_read_while_another_is_high() {
    let twice =
        "##########".to_owned() + &character(b'A', true, true) + &character(b'B', true, true);
    let select = "_".repeat(twice.len() / 2) + &"#".repeat(twice.len() - twice.len() / 2);
    let values = |gate: &str| {
        let uart = "--on uart --level 100 --baud 200 --parity even --what character --while";
        let events = events(&[&twice, &select], &format!("{uart} 2:{gate}"));
        events.iter().map(|event| event["value"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(values("high"), [json!(66)]);
    assert_eq!(values("low"), [json!(65)]);
}

/// A character of 8 data bits and even parity, 5 samples a bit.
fn character(value: u8, right: bool, stop: bool) -> String {
    let data = (0..8).map(|n| value >> n & 1 == 1);
    let parity = (value.count_ones() % 2 == 1) == right;
    let bits = [false].into_iter().chain(data).chain([parity, stop]);
    bits.map(|one| if one { "#####" } else { "_____" }).collect::<String>() + "##########"
}

#[test]
fn characters() {
    let line = "##########".to_owned()
        + &character(b'A', true, true)
        + &character(b'b', false, true)
        + &character(b'C', true, false)
        + &"_".repeat(80)
        + "######";
    let uart = |options: &str| {
        let uart = "--on uart --level 100 --baud 200 --parity even";
        events(&[&line], &format!("{uart} {options}"))
    };
    let all: Vec<_> =
        uart("").iter().map(|event| (event["what"].clone(), event["value"].clone())).collect();
    assert_eq!(
        all,
        [
            (json!("character"), json!(0x41)),
            (json!("parity-error"), json!(0x62)),
            (json!("framing-error"), json!(0x43))
        ]
    );
    let position = 10 + 52;
    assert_eq!(uart("--value 0x40..0x5F")[0]["position"], position);
    assert_eq!(uart("--value 66"), [0; 0].map(|_: i32| Value::Null));
    assert_eq!(uart("--what start").len(), 4);
    assert_eq!(uart("--what parity-error").len(), 1);
    let breaks = uart("--what break --longer-than 80ms");
    assert_eq!(breaks.len(), 1);
    assert_eq!((&breaks[0]["kind"], &breaks[0]["what"]), (&json!("uart"), &json!("break")));
}

#[test]
fn buses() {
    // A start, address 0x50 for reading, acknowledged, and the byte 0x81, not acknowledged.
    let (mut clock, mut data) = ("##_".to_owned(), "#__".to_owned());
    for bit in [1, 0, 1, 0, 0, 0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0, 1, 1] {
        clock += "_#_";
        data += if bit == 1 { "###" } else { "___" };
    }
    let (clock, data) = (clock + "_##", data + "__#");
    let bus = |options: &str| {
        events(&[&clock, &data], &format!("--on i2c --level 100 --data 2 {options}"))
    };
    let whats: Vec<_> = bus("").iter().map(|event| event["what"].clone()).collect();
    assert_eq!(whats, ["start", "address", "data", "stop"]);
    let address = bus("--address 0x50 --direction read");
    let expected = json!({
        "position": 28, "crossing": 27.5, "time": 0.0275, "kind": "i2c", "what": "address",
        "address": 80, "read": true, "acknowledged": true,
    });
    assert_eq!(address, [expected]);
    assert_eq!(bus("--address 0x50 --direction write").len(), 0);
    let missing = bus("--what missing-acknowledge");
    assert_eq!((&missing[0]["value"], missing.len()), (&json!(0x81), 1));
    let csv = text(&[&clock, &data], "--on i2c --level 100 --data 2 --format csv");
    let rows: Vec<_> = csv.lines().collect();
    assert!(rows[0].ends_with("what,address,read,value,acknowledged"), "{csv}");
    assert!(rows[1].ends_with(",start,,,,"), "{csv}");
    assert!(rows[2].ends_with(",address,80,true,,true"), "{csv}");
    assert!(rows[3].ends_with(",data,,,129,false"), "{csv}");
    let table = text(&[&clock, &data], "--on i2c --level 100 --data 2");
    assert!(table.contains("address 0x50 read"), "{table}");
    assert!(table.contains("data 0x81 not acknowledged"), "{table}");
    // A dip of the data at rest.
    let (clock, data) = ("##########", "###_####__");
    let starts = |options: &str| {
        positions(&[clock, data], &format!("--on i2c --level 100 --data 2 --what start {options}"))
    };
    assert_eq!(starts(""), [3, 8]);
    assert_eq!(starts("--spikes 1ms"), [9]);
}

#[test]
fn words() {
    let mut lines = ["_".to_owned(), "_".to_owned(), "#".to_owned()];
    for bit in [1, 0, 1, 0, 0, 1, 0, 1] {
        lines[0] += "_#";
        lines[1] += if bit == 1 { "##" } else { "__" };
        lines[2] += "__";
    }
    let lines = lines.each_ref().map(String::as_str);
    let spi = |options: &str| {
        events(&lines, &format!("--on spi --level 100 --data 2 --select 3 {options}"))
    };
    assert_eq!((spi("").len(), &spi("")[0]["value"]), (1, &json!(0xA5)));
    assert_eq!(spi("--value 0x05 --mask 0x0F").len(), 1);
    assert_eq!(spi("--value 0x05").len(), 0);
    assert_eq!(spi("--word-bits 4 --order lsb")[1]["value"], 0b1010);
}

#[test]
fn what_is_used_is_said() {
    let lines = ["____", "____", "____"];
    let said = |options: &str| text(&lines, options).lines().nth(1).unwrap().to_owned();
    assert_eq!(
        said("--on delay --level 100 --to 3:falling@50 --longer-than 2ms"),
        "trigger    longer than 2.000 ms (2 samples) from a rising edge through 100 counts, \
         hysteresis 0 counts to a falling edge on channel 3 through 50 counts, hysteresis 0 counts"
    );
    assert_eq!(
        said("--on pattern --lines 1:high@1,2:rising@2"),
        "trigger    entering channel 1 (level 1 count) high and channel 2 (level 2 counts) rising"
    );
    assert_eq!(
        said("--on uart --level 9 --baud 100 --value 0x41"),
        "trigger    character 0x41 on channel 1 (level 9 counts), 10.00 ms (10 samples) a bit"
    );
    assert_eq!(
        said("--level 9 --while 2:low"),
        "trigger    rising edge through 9 counts, hysteresis 0 counts, while channel 2 (level 9 \
         counts) is low"
    );
}

/// A trigger on channels that are not recorded, in a record of one that it does not look at.
#[test]
fn records_of_other_channels() {
    let folder = tempfile::tempdir().unwrap();
    let (gate, edges) = ([0, 0, 0, 0, 200, 200, 200, 200], [0, 200, 0, 200, 0, 200, 0, 200]);
    let samples: Vec<u8> = (0..8).flat_map(|i| [edges[i], gate[i], i as u8]).collect();
    let recording = folder.path().join("three.u8");
    std::fs::write(&recording, samples).unwrap();
    let output = Command::new(program())
        .arg("capture")
        .arg(&recording)
        .args(["--sample-type", "u8", "--channels", "3", "--rate", "1kS/s", "--level", "100"])
        .args("--while 2:high --record 3 --pre 2sa --post 1sa --out".split(' '))
        .arg(folder.path().join("record"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let record = |n: u32| std::fs::read(folder.path().join(format!("record-{n:04}.wav"))).unwrap();
    let holds = |record: Vec<u8>, samples: [u8; 3]| record.windows(3).any(|w| w == samples);
    assert!(holds(record(1), [3, 4, 5]) && holds(record(2), [5, 6, 7]));
}

#[test]
fn refusals_name_the_option() {
    for (options, needle) in [
        ("--on delay --level 9 --longer-than 1ms", "--to"),
        ("--on delay --level 9 --to 2", "--longer-than"),
        ("--on delay --level 9 --to 9 --longer-than 1ms", "channel 9"),
        ("--on delay --level 9 --to 0 --longer-than 1ms", "--to 0"),
        ("--on delay --level 9 --to 2:high --longer-than 1ms", "rising or falling or either"),
        ("--on count --level 9", "--events"),
        ("--on count --level 9 --events 0", "--events"),
        ("--on sequence --level 9", "--then"),
        ("--on sequence --level 9 --then 2 --delay 5ms --timeout 5ms", "--timeout"),
        ("--on pattern --level 9", "--lines"),
        ("--on pattern --lines 1:high", "--level"),
        ("--on pattern --level 9 --lines 1", "1:high"),
        ("--on pattern --level 9 --lines 1:rising --when leaves", "--when"),
        ("--on pattern --level 9 --lines 1:high --when stays", "--longer-than"),
        ("--on pattern --level 9 --lines 1:high --when stays-inside", "stays"),
        ("--on window --low 1 --high 2 --when stays", "stays-inside"),
        ("--on setup-hold --level 9 --data 2", "--setup-time"),
        ("--on setup-hold --level 9 --data 2:high --setup-time 1ms", "has no use"),
        ("--on edge --level 9 --to 2", "--on delay"),
        ("--on pattern --level 9 --lines 1:high --while 2:high", "--while"),
        ("--level 9 --while 2", "2:high"),
        ("--on uart --level 9", "--baud"),
        ("--on uart --level 9 --baud 300", "4 samples a bit"),
        ("--on uart --level 9 --baud 100 --data-bits 4", "data_bits"),
        ("--on uart --level 9 --baud 100 --what stop", "--what"),
        ("--on uart --level 9 --baud 100 --what break", "--longer-than"),
        ("--on uart --level 9 --baud 100 --longer-than 1ms", "--what break"),
        ("--on uart --level 9 --baud 100 --value x", "0x41"),
        ("--on i2c --level 9", "--data"),
        ("--on i2c --level 9 --data 2 --address 128", "7-bit"),
        ("--on i2c --level 9 --data 2 --what break", "--what"),
        ("--on i2c --level 9 --data 2 --direction read", "--what address"),
        ("--on spi --level 9 --data 2", "--select"),
        ("--on spi --level 9 --data 2 --select 3 --slope either", "--slope"),
        ("--on spi --level 9 --data 2 --select 3 --value 0x100", "0xFF"),
        ("--on spi --level 9 --data 2 --select 3 --mask 1", "--value"),
        ("--on spi --level 9 --data 2 --select 3 --word-bits 33", "32"),
    ] {
        let message = refused(options);
        assert!(message.contains(needle), "{options}: {message}");
    }
}
