//! Every condition on the command line: what it finds, what it says, what it refuses.

mod program;

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

use program::program;
use serde_json::{Value, json};

/// Scans samples of one byte, a thousand a second.
fn scan(samples: &[u8], options: &str) -> Output {
    let mut tool = Command::new(program())
        .args(["scan", "-", "--sample-type", "u8", "--rate", "1kS/s"])
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

fn text(samples: &[u8], options: &str) -> String {
    let output = scan(samples, options);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{options}: {errors}");
    String::from_utf8(output.stdout).unwrap()
}

/// What JSON says of each event.
fn events(samples: &[u8], options: &str) -> Vec<Value> {
    let lines = text(samples, &format!("{options} --format json"));
    lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// The message of a refusal.
fn refused(options: &str) -> String {
    let output = scan(&[0; 8], options);
    assert_eq!(output.status.code(), Some(2), "{options}");
    assert!(output.stdout.is_empty(), "{options}");
    let message = String::from_utf8(output.stderr).unwrap();
    assert_eq!(message.matches("error:").count(), 1, "{options}: {message}");
    message
}

#[test]
fn intervals() {
    let samples = [0, 200, 0, 0, 0, 200, 0, 200, 0];
    let found = events(&samples, "--on interval --level 100 --longer-than 3ms");
    let expected = json!({
        "position": 5, "crossing": 4.5, "time": 0.0045, "kind": "interval", "slope": "rising",
        "interval": 0.004, "interval_samples": 4.0,
    });
    assert_eq!(found, [expected]);
    let either = events(&samples, "--on interval --slope either --level 100 --within 1ms..9ms");
    let slopes: Vec<_> = either.iter().map(|event| event["slope"].as_str().unwrap()).collect();
    assert_eq!(slopes, ["rising", "falling", "rising", "falling"]);
}

#[test]
fn dropouts() {
    let samples = [0, 200, 0, 0, 0, 0, 0, 0, 0];
    // Rounded up to 5 samples.
    let found = events(&samples, "--on dropout --level 100 --after 4.2ms");
    let expected = json!({
        "position": 6, "crossing": 6.0, "time": 0.006, "kind": "dropout",
        "duration": 0.0055, "duration_samples": 5.5,
    });
    assert_eq!(found, [expected]);
    let falling = events(&samples, "--on dropout --slope falling --level 100 --after 5sa");
    assert_eq!(falling[0]["position"], 7);
}

#[test]
fn transitions() {
    let samples = [0, 40, 60, 80, 100, 200, 0];
    let levels = "--on transition --low 20 --high 90";
    let slow = events(&samples, &format!("{levels} --slower-than 1ms --slope either"));
    let expected = json!({
        "position": 4, "crossing": 3.5, "time": 0.0035, "kind": "transition", "slope": "rising",
        "duration": 0.003, "duration_samples": 3.0,
    });
    assert_eq!(slow, [expected]);
    let fast = events(&samples, &format!("{levels} --faster-than 1ms --slope either"));
    assert_eq!((&fast[0]["position"], &fast[0]["slope"]), (&json!(6), &json!("falling")));
}

#[test]
fn runts() {
    let samples = [0, 50, 50, 0, 255, 0, 255, 205, 255, 0];
    let levels = "--on runt --low 25 --high 230";
    let positive = events(&samples, levels);
    let expected = json!({
        "position": 3, "crossing": 2.5, "time": 0.0025, "kind": "runt", "polarity": "positive",
        "width": 0.002, "width_samples": 2.0,
    });
    assert_eq!(positive, [expected]);
    let either = events(&samples, &format!("{levels} --polarity either"));
    let positions: Vec<_> = either.iter().map(|event| event["position"].as_u64()).collect();
    assert_eq!(positions, [Some(3), Some(8)]);
    assert_eq!(events(&samples, &format!("{levels} --shorter-than 2ms")).len(), 0);
}

#[test]
fn windows() {
    let samples = [50, 150, 100, 100, 100, 50, 75, 100, 50];
    let window = |options: &str| {
        let band = "--on window --low 75 --high 125 --when";
        events(&samples, &format!("{band} {options}"))
    };
    let entered = json!({
        "position": 2, "crossing": 1.5, "time": 0.0015, "kind": "window", "what": "entered",
    });
    let enters = window("enters");
    assert_eq!(enters[0], entered);
    assert_eq!((enters.len(), &enters[1]["position"]), (2, &json!(6)));
    let positions: Vec<_> = window("leaves").iter().map(|e| e["position"].as_u64()).collect();
    assert_eq!(positions, [Some(5), Some(8)]);
    let stayed = json!({
        "position": 4, "crossing": 4.0, "time": 0.004, "kind": "window", "what": "stayed-inside",
        "duration": 0.0025, "duration_samples": 2.5,
    });
    assert_eq!(window("stays-inside --longer-than 2ms"), [stayed]);
    let outside = window("stays-outside --shorter-than 2ms");
    assert_eq!(outside.len(), 1);
    assert_eq!(outside[0]["what"], "stayed-outside");
    assert_eq!(outside[0]["duration_samples"], 1.5);
}

#[test]
fn tables_and_csv_name_what_they_show() {
    let samples = [0, 200, 0, 0, 0, 200, 0];
    let table = text(&samples, "--on interval --level 100 --hysteresis 2 --longer-than 3ms");
    let trigger = "trigger    interval of rising edges longer than 3.000 ms (3 samples) through \
                   100 counts, hysteresis 2 counts\n";
    assert!(table.contains(trigger), "{table}");
    assert!(table.contains("kind               interval\n"), "{table}");
    assert!(table.contains("rising interval    4.0000 ms\n"), "{table}");
    let csv = text(&samples, "--on interval --level 100 --longer-than 3ms --format csv");
    let expected = "position,crossing,time,kind,slope,polarity,width,width_samples,interval,\
                    interval_samples\n5,4.5,0.0045,interval,rising,,,,0.004,4\n";
    assert_eq!(csv, expected);
    let table = text(&samples, "--on window --low 50 --high 150 --when leaves --hysteresis 3");
    let trigger = "trigger    leaving a window from 50 counts to 150 counts, hysteresis 3 counts\n";
    assert!(table.contains(trigger), "{table}");
}

#[test]
fn levels_out_of_reach_are_told() {
    let output = scan(&[0, 200, 0], "--on window --low -1 --high 100 --when leaves --format json");
    let note = String::from_utf8(output.stderr).unwrap();
    assert!(note.contains("the lower level, -1 count, is outside the converter's range"), "{note}");
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn what_does_not_go_together_is_refused() {
    for (options, expected) in [
        ("--on edge", "--on edge needs --level"),
        ("--on window --low 1 --when leaves", "--on window needs --high"),
        ("--on window --low 1 --high 2", "--on window needs --when"),
        ("--on window --low 1 --high 2 --when stays-inside", "needs a time for a stay"),
        ("--on window --low 1 --high 2 --when enters --longer-than 1ms", "without a stay"),
        ("--on window --low 1 --high 2 --when leaves --within 1ms..2ms", "--within has no use"),
        ("--on window --low 1 --high 9 --hysteresis 5 --when leaves", "at most half the band"),
        ("--on dropout --level 1", "--on dropout needs a time; add --after"),
        ("--on dropout --level 1 --after 0s", "after is 0"),
        ("--on interval --level 1", "--on interval needs a time to compare"),
        ("--on pulse --level 1", "--on pulse needs a width to compare"),
        ("--on transition --low 2 --high 2 --longer-than 1ms", "high is 2: it must be over low"),
        ("--on runt --low 1 --high 2 --slope rising", "or choose --on edge or --on interval or"),
        ("--on edge --level 1 --polarity positive", "--polarity has no use with --on edge"),
        ("--on edge --level 1 --shorter-than 1ms", "--shorter-than has no use with --on edge"),
        ("--on transition --level 1 --longer-than 1ms", "--level has no use with --on transition"),
    ] {
        let message = refused(options);
        assert!(message.contains(expected), "{options}: {message}");
    }
}

#[test]
fn the_long_help_has_a_picture_of_each_condition() {
    let help = Command::new(program()).args(["scan", "--help"]).output();
    let help = String::from_utf8(help.unwrap().stdout).unwrap();
    for picture in [r"____!    \______!", r"__/ \_/ \______!_", r"____.--''", r"_/    \____/\!__"] {
        assert!(help.contains(picture), "{help}");
    }
}
