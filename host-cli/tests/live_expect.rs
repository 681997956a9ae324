//! `live --expect`: every record and event held against a file, as `check` does.

mod program;

use program::program;
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Duration;
use std::{fs, thread};

use stillwave_link::{Encoder, EventAt, FromBoard, Hello, LONGEST_FRAME, RecordHead};

/// Pulses of 2 V and 1 ms every 10 ms, at 20 kS/s, for so many seconds; of every hundred one of 2 ms.
fn pulses(name: &str, seconds: usize) -> (PathBuf, PathBuf) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    let file = folder.join("pulses.u16le");
    let code = |i: usize| {
        let width = if i / 200 % 100 == 50 { 40 } else { 20 };
        if (100..100 + width).contains(&(i % 200)) { 3_000_u16 } else { 1_000 }
    };
    let bytes: Vec<u8> = (0..seconds * 20_000).flat_map(|i| code(i).to_le_bytes()).collect();
    fs::write(&file, bytes).unwrap();
    (folder, file)
}

/// The program in `folder`, with an expectation of that text.
fn live(folder: &Path, file: &Path, expected: &str, options: &[&str]) -> Output {
    fs::write(folder.join("expected.toml"), expected).unwrap();
    let mut command = Command::new(program());
    command.args(["live", "--headless", "--expect", "expected.toml", "--play"]).arg(file);
    command.args(["--sample-type", "u16le", "--rate", "20kS/s", "--zero", "2000"]);
    command.args(["--bits", "12", "--vref", "4.096V", "--save-as", "npy"]).args(options);
    command.current_dir(folder).output().unwrap()
}

fn lines(output: &Output) -> Vec<&str> {
    std::str::from_utf8(&output.stdout).unwrap().lines().collect()
}

const GOOD: &str = r#"
positive_width = { nominal = "1 ms", tolerance = "2 %" }
amplitude = "1.9 V..2.1 V"
[events]
apart = { nominal = "10 ms", tolerance = "1 ms" }
[mask]
lower = [["0.1 ms", "0.9 V"], ["0.8 ms", "0.9 V"]]
"#;

#[test]
fn what_is_as_expected_ends_with_0() {
    let (folder, file) = pulses("expect-good", 3);
    let output = live(&folder, &file, GOOD, &["--records", "5"]);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}");
    let found = lines(&output);
    let records: Vec<_> = found.iter().filter(|line| line.starts_with(r#"{"record":"#)).collect();
    assert_eq!(records.len(), 5);
    for record in records {
        assert!(record.contains(r#""passed":true,"checks":{"amplitude":{"#), "{record}");
    }
    let last = found.last().unwrap();
    assert!(last.starts_with(r#"{"records":5,"failed_records":0,"events":"#), "{last}");
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn what_is_not_as_expected_is_told_and_ends_with_1() {
    let (folder, file) = pulses("expect-bad", 3);
    let narrow = GOOD.replace("1 ms\", tolerance = \"2 %", "0.9 ms\", tolerance = \"2 %");
    let output = live(&folder, &file, &narrow, &["--records", "3"]);
    assert_eq!(output.status.code(), Some(1));
    let last = *lines(&output).last().unwrap();
    assert!(last.starts_with(r#"{"records":3,"failed_records":3,"#), "{last}");
    for (check, failed) in [("positive_width", 3), ("amplitude", 0), ("mask", 0)] {
        let of_it = last.split_once(&format!("\"{check}\":{{")).expect(check).1;
        let of_it = of_it.split_once('}').unwrap().0;
        assert!(of_it.contains(&format!("\"failed\":{failed},")), "{check}: {of_it}");
    }
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_rare_pulse_and_the_number_of_events_are_found() {
    let (folder, file) = pulses("expect-rare", 2);
    let expected = r#"
        [events]
        apart = { nominal = "10 ms", tolerance = "0.1 ms" }
        count = { at_least = 1000 }
    "#;
    let output = live(&folder, &file, expected, &[]);
    assert_eq!(output.status.code(), Some(1), "too few events");
    let last = *lines(&output).last().unwrap();
    let told: serde_json::Value = serde_json::from_str(last).unwrap();
    let count = |name: &str| told[name].as_u64().unwrap_or_else(|| panic!("no {name} in {last}"));
    let without = count("events_without_record");
    // The event of the first record may have been before events were asked for.
    let fewest = count("events") - count("records");
    assert!(fewest > 0 && [fewest, fewest + 1].contains(&without), "{last}");
    // All but the first few came, one period after the other.
    let apart = last.split_once(r#""events.apart":"#).expect(last).1;
    assert!(apart.contains(r#""failed":0"#), "{apart}");
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn an_expectation_that_is_none_is_said() {
    let (folder, file) = pulses("expect-none", 1);
    for (text, message) in [
        ("frequencies = \"1 Hz..2 Hz\"", "expected.toml"),
        ("frequency = ", "line 1"),
        ("frequency = \"1 V..2 V\"", "line 1"),
    ] {
        let output = live(&folder, &file, text, &["--records", "1"]);
        assert_eq!(output.status.code(), Some(2), "{text}");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(said.contains(message), "{said}");
    }
    fs::remove_dir_all(&folder).unwrap();
}

/// A board that was there before and one of another scale, the second and it may be the first with an
/// event and a record between 0 and 100 counts; then nothing more.
fn two_boards(listener: &TcpListener, volts_per_count: [f64; 2], sends: bool) {
    for (volts_per_count, sends) in volts_per_count.into_iter().zip([sends, true]) {
        let (mut stream, _) = listener.accept().unwrap();
        let mut encoder = Encoder::default();
        let mut say = |message: &FromBoard<'_>| {
            stream.write_all(encoder.encode(message, &mut [0; LONGEST_FRAME])).unwrap();
        };
        let bytes: Vec<u8> = (0..100_u16).flat_map(|n| (n % 10 / 5 * 100).to_le_bytes()).collect();
        let hello = Hello { rate: 1_000, highest: 4_095, longest: 100, volts_per_count, zero: 0.0 };
        say(&FromBoard::Hello(hello));
        if sends {
            say(&FromBoard::Event(EventAt { position: 5, lead: 0, rising: true }));
            say(&FromBoard::Record(RecordHead { number: 0, len: 100, start: 0, event: None }));
            say(&FromBoard::Samples { number: 0, first: 0, bytes: &bytes });
        }
        wait_for_the_end(&mut stream);
    }
}

/// Until nothing more is asked for a while, or the other end has gone.
fn wait_for_the_end(stream: &mut TcpStream) {
    stream.set_read_timeout(Some(Duration::from_millis(300))).unwrap();
    let _ = stream.read_to_end(&mut Vec::new());
}

#[test]
fn a_failure_is_remembered_when_another_board_comes() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("expect-boards");
    let run_for = |expected: &str, volts_per_count, sends: bool, options: &[&str]| {
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("tcp://{}", listener.local_addr().unwrap());
        let boards = thread::spawn(move || two_boards(&listener, volts_per_count, sends));
        fs::write(folder.join("expected.toml"), expected).unwrap();
        let mut command = Command::new(program());
        command.args(["live", &address, "--headless", "--expect", "expected.toml"]);
        command.args(["--records", if sends { "2" } else { "1" }, "--time", "20s"]).args(options);
        let output = command.current_dir(&folder).output().unwrap();
        boards.join().unwrap();
        let last = (*lines(&output).last().unwrap()).to_owned();
        (output.status.code(), last, String::from_utf8(output.stderr).unwrap())
    };
    let run = |volts_per_count, options: &[&str]| {
        run_for("maximum = \"0.9 V..1.1 V\"\n", volts_per_count, true, options)
    };
    let (status, last, said) = run([0.02, 0.01], &[]);
    assert_eq!(status, Some(1), "{said}");
    assert!(last.starts_with(r#"{"records":1,"failed_records":0,"#), "{last}");
    assert!(said.contains("another board (1 of 1 records failed before): counts anew"), "{said}");
    // Each in its own volts.
    let highest = |file: &str| {
        let text = fs::read_to_string(folder.join(file)).unwrap();
        let volts = text.lines().skip(1).map(|line| line.split_once(',').unwrap().1);
        volts.map(|volts| volts.parse::<f64>().unwrap()).fold(0.0, f64::max)
    };
    assert_eq!((highest("record-0001.csv"), highest("record-0002.csv")), (2.0, 1.0));
    let (status, _, said) = run([0.01, 0.01], &[]);
    assert_eq!(status, Some(0), "{said}");
    assert!(!said.contains("anew"), "{said}");

    // Each board has the events of its own, and one that had too few has failed.
    for (count, boards, passes) in [
        ("at_most = 1", [0.01, 0.011], true),
        ("at_least = 2", [0.01, 0.011], false),
        ("at_least = 2", [0.01, 0.01], true),
    ] {
        let (status, last, said) =
            run_for(&format!("[events]\ncount = {{ {count} }}\n"), boards, true, &[]);
        assert_eq!(status, Some(i32::from(!passes)), "{count} {boards:?}: {said} {last}");
    }

    // What sent nothing has not failed.
    let expected = "maximum = \"0.9 V..1.1 V\"\n[events]\ncount = { at_least = 1 }\n";
    let (status, last, said) = run_for(expected, [0.02, 0.01], false, &[]);
    assert_eq!(status, Some(0), "{said} {last}");

    // A recording of one rate and scale: what was written before is complete.
    let (status, _, said) = run([0.01, 0.011], &["--save-as", "sigmf"]);
    assert_eq!(status, Some(2), "{said}");
    assert!(said.contains("begin another by another --out"), "{said}");
    assert!(said.contains("(1 record)"), "{said}");
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_board_that_never_says_what_it_is_is_told() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("expect-silent");
    fs::create_dir_all(&folder).unwrap();
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("tcp://{}", listener.local_addr().unwrap());
    fs::write(folder.join("expected.toml"), GOOD).unwrap();
    let mut command = Command::new(program());
    command.args(["live", &address, "--headless", "--expect", "expected.toml", "--time", "0.3s"]);
    let output = command.current_dir(&folder).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("never said what it is, so nothing was checked; see that"), "{said}");
    fs::remove_dir_all(&folder).unwrap();
}
