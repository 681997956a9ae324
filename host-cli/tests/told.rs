//! What is told of settings that are no error, but perhaps a slip.

mod program;
#[path = "program/run.rs"]
mod run;

use std::fs;
use std::path::Path;
#[cfg(unix)]
use std::process::Command;

#[cfg(unix)]
use program::program;
use run::run;
use serde_json::Value;
use tempfile::TempDir;

/// 60 pulses of 60 samples, 200 apart, from 500 to 3000 counts; as 16-bit counts and as floats.
fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    let codes: Vec<u16> =
        (0..12_000).map(|i| if (100..160).contains(&(i % 200)) { 3000 } else { 500 }).collect();
    let bytes: Vec<u8> = codes.iter().flat_map(|x| x.to_le_bytes()).collect();
    fs::write(folder.path().join("codes.raw"), bytes).unwrap();
    let floats = codes.iter().flat_map(|&x| (f32::from(x) / 1000.0).to_le_bytes());
    fs::write(folder.path().join("floats.raw"), floats.collect::<Vec<_>>()).unwrap();
    folder
}

const CODES: &str = "codes.raw --sample-type u16le --rate 1MS/s --bits 12 --vref 4.096V";
const FLOATS: &str = "floats.raw --sample-type f32le --rate 1MS/s";

/// What is written and what is told; it succeeds.
fn stillwave(folder: &Path, words: &str) -> (String, String) {
    let (status, text, told) = run(folder, words);
    assert_eq!(status, Some(0), "{words}: {told}");
    (text, told)
}

#[test]
fn levels_that_may_be_slips() {
    let folder = folder();
    for (options, wanted) in [
        (
            format!("scan {CODES} --level 2"),
            "note: --level 2 has no unit, which means 2.000 mV (2 counts); for volts write 2V\n\
             note: the level, 2.000 mV (2 counts), is never crossed: the signal goes from \
             500.0 mV (500 counts) to 3.000 V (3000 counts)\n",
        ),
        (
            format!("scan {FLOATS} --level 1.5 --hysteresis 2"),
            "note: no rising edge is armed: with this hysteresis the signal must first go past \
             -500.0 mV, and it goes to 500.0 mV; give a smaller --hysteresis\n",
        ),
        (
            format!("scan {CODES} --level 1"),
            "note: --level 1 has no unit, which means 1.000 mV (1 count); for volts write 1V\n\
             note: the level, 1.000 mV (1 count), is never crossed: the signal goes from 500.0 mV \
             (500 counts) to 3.000 V (3000 counts)\n",
        ),
        (format!("scan {CODES} --level 1500"), ""),
        (
            format!("scan {CODES} --zero 500 --level 0 --hysteresis 1V"),
            "note: --level 0 has no unit, which means -500.0 mV (0 counts); for volts write 0V\n\
             note: the level, -500.0 mV (0 counts), is never crossed: the signal goes from 0.000 V \
             (500 counts) to 2.500 V (3000 counts)\n",
        ),
        (format!("scan {CODES} --level 1.5V --hysteresis 0.5V"), ""),
        (
            format!("scan {CODES} --level 1.5V --hysteresis 1V"),
            "note: no rising edge is armed: with this hysteresis the signal must first go past \
             500.0 mV (500 counts), and it goes to 500.0 mV (500 counts); give a smaller \
             --hysteresis\n",
        ),
        (
            format!("view {CODES} --level 1.5V --hysteresis 1.6V --slope falling --width 60"),
            "note: no falling edge is armed: with this hysteresis the signal must first go past \
             3.100 V (3100 counts), and it goes to 3.000 V (3000 counts); give a smaller \
             --hysteresis\n\
             note: there is no record to show; see what a scan finds, or add --mode auto\n",
        ),
        (
            format!("scan {FLOATS} --level 3.5"),
            "note: the level, 3.500 V, is never crossed: the signal goes from 500.0 mV to 3.000 V\n",
        ),
        (format!("scan {FLOATS} --level 1.5"), ""),
        (
            format!("scan {CODES} --level 5V"),
            "note: the level, 5.000 V (5000 counts), is outside the converter's range of 0.000 V (0 \
             counts) to 4.095 V (4095 counts); check it, --bits and --vref\n",
        ),
        (
            format!("scan {CODES} --level 500"),
            "note: no rising edge is armed: the signal must first go past 500.0 mV (500 counts), \
             and it goes to 500.0 mV (500 counts); give a higher level\n",
        ),
        (
            format!("scan {CODES} --level 3V --slope falling"),
            "note: no falling edge is armed: the signal must first go past 3.000 V (3000 counts), \
             and it goes to 3.000 V (3000 counts); give a lower level\n",
        ),
        // A runt passes one of its levels, and a signal that stays none.
        (format!("scan {CODES} --on runt --low 3.01V --high 3.5V --polarity negative"), {
            "note: the upper level, 3.500 V (3500 counts), is never crossed: the signal goes from \
             500.0 mV (500 counts) to 3.000 V (3000 counts)\n"
        }),
        (format!("scan {CODES} --on runt --low 0.3V --high 2V --shorter-than 9us"), {
            "note: the lower level, 300.0 mV (300 counts), is never crossed: the signal goes from \
             500.0 mV (500 counts) to 3.000 V (3000 counts)\n"
        }),
        (format!("scan {CODES} --on runt --low 1V --high 3.5V --shorter-than 9us"), ""),
        (
            format!(
                "scan {CODES} --on window --low 0.1V --high 3.5V --when stays-inside \
                 --shorter-than 9us"
            ),
            "",
        ),
        // Behind a filter levels count from a mean: nothing is known of them.
        (format!("scan {CODES} --level 3V --coupling ac --corner 1kHz"), ""),
    ] {
        assert_eq!(stillwave(folder.path(), &options).1, wanted, "{options}");
    }
}

#[test]
fn a_limit_counts_nothing_beyond_its_last_record() {
    let folder = folder();
    let job = "--level 1.5V --pre 50sa --post 20sa";
    let last = |text: &str| text.lines().rev().take(2).map(str::to_owned).collect::<Vec<_>>();
    for (more, found, records) in [
        ("--limit 3", "3 events, one in 173.3 µs on average, 0 held off, in 520", "3 records"),
        ("--mode single", "1 event, 0 held off, in 120", "1 record"),
        // Two of three events are held off.
        (
            "--limit 2 --holdoff 500sa",
            "2 events, one in 360.0 µs on average, 2 held off, in 720",
            "2 records",
        ),
        // One forced between two others.
        ("--limit 5 --mode auto --auto-after 100sa", "3 events", "5 records, 2 of them forced"),
    ] {
        let (text, _) = stillwave(folder.path(), &format!("measure {CODES} {job} {more}"));
        let last = last(&text);
        assert!(last[1].starts_with(&format!("found      {found}")), "{more}: {last:?}");
        assert_eq!(last[0], format!("records    {records}"), "{more}");
    }
    let (draft, _) = stillwave(folder.path(), &format!("expect {CODES} {job} --limit 7"));
    assert!(draft.contains("# count = 7\n"), "{draft}");
    let words = format!("measure {CODES} {job} --limit 2 --format json");
    let records: Vec<Value> = stillwave(folder.path(), &words)
        .0
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap()["record"].clone())
        .collect();
    assert_eq!(records, [1, 2], "as files are numbered");
}

/// Neither samples that are not what the voltage was, nor how far the signal goes.
#[test]
fn a_limit_judges_nothing_beyond_its_last_record() {
    let folder = folder();
    let mut samples: Vec<u8> = (0..5000).map(|i| if i % 100 < 50 { 50 } else { 200 }).collect();
    samples[3000..3100].fill(255);
    fs::write(folder.path().join("clipped.raw"), &samples).unwrap();
    let job = "clipped.raw --sample-type u8 --level 150 --post 20sa";
    let (text, told) = stillwave(folder.path(), &format!("measure {job} --limit 1"));
    assert!(text.contains("in 70 samples") && told.is_empty(), "{text}{told}");
    let job = job.replace("20sa", "60sa");
    let (_, told) = stillwave(folder.path(), &format!("measure {job} --limit 30"));
    assert!(told.starts_with("note: 10 samples are at the converter's end codes"), "{told}");
    samples[..100].fill(50);
    fs::write(folder.path().join("clipped.raw"), samples).unwrap();
    let auto = "--level 210 --mode auto --auto-after 100sa --limit 1";
    let (_, told) = stillwave(
        folder.path(),
        &format!("measure clipped.raw --sample-type u8 --post 20sa {auto}"),
    );
    assert!(told.contains("from 50 counts to 50 counts"), "{told}");
}

#[test]
fn what_is_no_number_is_no_end_of_a_signal() {
    let folder = folder();
    let samples = [0.0, f32::INFINITY, 1.0, f32::NEG_INFINITY, 0.0, f32::NAN, 1.0];
    let bytes: Vec<u8> = samples.iter().flat_map(|x: &f32| x.to_le_bytes()).collect();
    fs::write(folder.path().join("gaps.raw"), bytes).unwrap();
    let (_, told) = stillwave(folder.path(), "scan gaps.raw --sample-type f32le --level 10");
    assert!(told.contains("never crossed: the signal goes from 0.000 V to 1.000 V\n"), "{told}");
    assert!(told.contains("3 samples are not finite"), "{told}");
}

/// A file that is read anew for each look is judged to its end.
#[test]
fn a_long_file_is_judged_to_its_end() {
    let folder = folder();
    let samples = (0..9 << 20).map(|i| if i % 1000 < 500 { 50_u32 } else { 200 });
    let bytes: Vec<u8> = samples.chain([u32::MAX]).flat_map(u32::to_le_bytes).collect();
    fs::write(folder.path().join("long.raw"), bytes).unwrap();
    let (_, told) = stillwave(folder.path(), "suggest long.raw --sample-type u32le --rate 1MS/s");
    assert!(told.contains("1 sample is at the converter's end codes"), "{told}");
}

#[test]
fn records_that_do_not_fit() {
    let folder = folder();
    for (options, reason) in [
        (
            "--level 1.5V --pre 20ms",
            "one of 21000 samples is longer than the recording of 12000; give a shorter --pre or --post",
        ),
        (
            "--level 1.5V --pre 11960sa --post 10sa",
            "no event has so much before it; give a shorter --pre",
        ),
        (
            "--level 1.5V --slope falling --pre 11800sa --post 200sa",
            "the recording ends before it is full; give a shorter --post",
        ),
        (
            "--level 3.5V --mode auto --auto-after 11990sa",
            "the recording ends before one is forced and full; give a shorter --auto-after or --post",
        ),
    ] {
        let (_, told) = stillwave(folder.path(), &format!("view {CODES} {options} --width 60"));
        let last = told.lines().last().unwrap();
        assert_eq!(last, format!("note: there is no record to show: {reason}"), "{options}");
    }
    let (_, told) = stillwave(
        folder.path(),
        &format!("capture {CODES} --level 1.5V --pre 11960sa --post 10sa --out x"),
    );
    assert!(told.contains("no record to write: no event has so much before it"), "{told}");
}

#[test]
fn what_a_record_is_in_samples() {
    let folder = folder();
    for (options, wanted) in [
        (
            "--pre 12.3us --post 50sa",
            Some("13.00 µs (13 samples) before, 50.00 µs (50 samples) after"),
        ),
        ("--pre 12us --post 50sa", None),
        (
            "--pre 10sa --post 50sa --mode auto",
            Some(
                "10.00 µs (10 samples) before, 50.00 µs (50 samples) after, one forced after 120.0 \
                 µs (120 samples) without",
            ),
        ),
        ("--pre 10sa --post 50sa --mode auto --auto-after 30us", None),
    ] {
        let (text, _) =
            stillwave(folder.path(), &format!("measure {CODES} --level 1.5V {options}"));
        let line = text.lines().find_map(|line| line.strip_prefix("record     "));
        assert_eq!(line, wanted, "{options}");
    }
}

#[test]
fn numbers_of_text_are_counts_where_they_look_like_it() {
    let folder = folder();
    let lines = |head: &str, line: fn(u32) -> String| {
        head.to_owned() + &(0..400).map(line).collect::<String>()
    };
    let text = lines("t,ch1,ch2\n", |i| format!("{i},{},{i}\n", 200 + i / 50 % 2 * 2048));
    fs::write(folder.path().join("x.csv"), text).unwrap();
    let taken = "note: x.csv: column 2 holds whole numbers without a unit: taken for counts; for volts \
                 name it with the unit, such as \"mains (V)\"\n";
    let (_, told) = stillwave(folder.path(), "scan x.csv --level 1000");
    assert_eq!(told, taken);
    let (_, told) = stillwave(folder.path(), "scan x.csv --level 1V --bits 12 --vref 3.3V");
    assert_eq!(told, "");
    for options in ["--level 1V", "--level 1000 --hysteresis 20mV", "--level 9 --probe 10:1"] {
        let (status, _, told) = run(folder.path(), &format!("scan x.csv {options}"));
        let option = options.split(' ').rfind(|word| word.starts_with("--")).unwrap();
        let message = format!(
            "error: x.csv: {option} needs to know how many volts a count is: column 2 holds whole \
             numbers without a unit, taken for counts; for volts name it with its unit, such as \
             \"mains (V)\"; for counts add --bits and --vref, such as --bits 12 --vref 3.3V, or \
             give a level in counts\n"
        );
        assert_eq!((status, told), (Some(2), message));
    }
    for (text, wanted) in [
        (
            lines("ch1\n", |i| format!("{}\n", 200 + i / 50 % 2 * 2048)),
            "1000 counts, hysteresis 0 counts",
        ),
        (
            lines("ch1 (counts)\n", |i| format!("{}\n", i / 50 % 2 * 24)),
            "1000 counts, hysteresis 0 counts",
        ),
        (lines("ch1\n", |i| format!("{}\n", i / 50 % 2 * 24)), "1.000 kV, hysteresis 0.000 V"),
        (lines("ch1\n", |i| format!("{}.5\n", i / 50 % 2 * 2048)), "1.000 kV, hysteresis 0.000 V"),
        (
            lines("ch1 (mV)\n", |i| format!("{}\n", i / 50 % 2 * 2048)),
            "1.000 V, hysteresis 0.000 V",
        ),
    ] {
        fs::write(folder.path().join("x.csv"), text).unwrap();
        let (text, _) = stillwave(folder.path(), "scan x.csv --level 1000");
        assert!(text.contains(&format!("rising edge through {wanted}\n")), "{text}");
    }
    let (text, _) =
        stillwave(folder.path(), "scan x.csv --bits 12 --vref 3.3V --level 1V --hysteresis 100mV");
    assert!(
        text.contains("1.000 V (1241.21 counts), hysteresis 100.0 mV (124.121 counts)"),
        "{text}"
    );
    let text = lines("Zeit;Spannung\n", |i| format!("{};{}\n", i * 5, i % 3));
    fs::write(folder.path().join("x.csv"), text).unwrap();
    let (_, told) = stillwave(folder.path(), "scan x.csv --level 2 --channel 2");
    assert!(told.contains("column 1 rises evenly, as times do"), "{told}");
    let (_, told) = stillwave(folder.path(), "scan x.csv --level 2 --time-column 1");
    assert_eq!(told, "");
}

#[test]
fn a_name_tells_the_format() {
    let folder = folder();
    let job = format!("capture {CODES} --level 1.5V --post 50sa --limit 2 --out");
    let (text, told) = stillwave(folder.path(), &format!("{job} one.csv"));
    assert!(text.contains("written    one-0001.csv to one-0002.csv (2 records)"), "{text}");
    assert_eq!(told, "");
    let (text, told) = stillwave(folder.path(), &format!("{job} two"));
    assert!(text.contains("written    two-0001.wav to two-0002.wav"), "{text}");
    assert!(told.contains("NPY and SigMF keep counts"), "{told}");
}

#[test]
fn a_setup_that_ends_early_says_so() {
    let folder = folder();
    let text = "[trigger]\nlevel = 1500\n[record]\npost = \"50sa\"\nlimit = 4\n";
    fs::write(folder.path().join("s.toml"), text).unwrap();
    let (text, told) = stillwave(folder.path(), &format!("expect {CODES} --setup s.toml"));
    assert!(text.contains("drafted from 4 records"), "{text}");
    assert!(told.starts_with("note: s.toml: line 5: limit is 4\n"), "{told}");
    assert!(told.contains("from fewer than 10 records"), "{told}");
    let (_, told) = stillwave(folder.path(), &format!("scan {CODES} --setup s.toml"));
    assert_eq!(told, "");
}

#[test]
fn a_dead_signal_has_nothing_to_survey() {
    let folder = folder();
    fs::write(folder.path().join("dead.raw"), [0xD0, 0x07].repeat(5000)).unwrap();
    let options = "dead.raw --sample-type u16le --bits 12 --vref 4.096V";
    let (text, _) = stillwave(folder.path(), &format!("survey {options}"));
    assert!(text.contains("signal     nothing moves: it is 2.000 V all the time"), "{text}");
    let (text, told) = stillwave(folder.path(), &format!("survey {options} --format json"));
    assert!(text.is_empty() && told.contains("nothing moves"), "{text}{told}");
    let (text, told) =
        stillwave(folder.path(), &format!("survey {options} --format csv --png x.png"));
    assert_eq!(text, "level,events,steady\n");
    assert!(told.contains("nothing to draw: no picture is written"), "{told}");
    fs::write(folder.path().join("dead.raw"), [0xFF, 0x0F].repeat(5000)).unwrap();
    let (_, told) = stillwave(folder.path(), &format!("survey {options}"));
    assert!(told.contains("5000 samples are at the converter's end codes"), "{told}");
}

#[test]
fn what_has_no_filter_says_so() {
    let folder = folder();
    let (_, told) =
        stillwave(folder.path(), &format!("decimate {CODES} --by 10 --how every --out x.npy"));
    assert!(told.contains("what is over 50.00 kHz appears at a lower frequency"), "{told}");
}

/// What files say may command a terminal.
#[cfg(unix)]
#[test]
fn text_from_files_commands_no_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let name = "x\u{1b}[2J.csv";
    let rows = (0..100).map(|i| format!("{i},{}.5", i % 2)).collect::<Vec<_>>().join("\n");
    fs::write(folder.path().join(name), format!("time,out\u{1b}]0;title\u{7} (V)\n{rows}"))
        .unwrap();
    fs::write(folder.path().join("s.toml"), "[trigger]\n\"le\\u001bvel\" = 1\n").unwrap();
    for words in [
        ["scan", name, "--level", "1V"].as_slice(),
        &["view", name, "--level", "1V"],
        &["measure", name, "--level", "1V", "--format", "csv"],
        &["suggest", name],
        &["explain", name, "--level", "9V"],
        &["scan", name, "--level", "1V", "--channel", "7"],
        &["scan", name, "--setup", "s.toml"],
        &["scan", "no\u{9b}2J\u{1b}file", "--level", "1V"],
    ] {
        let output =
            Command::new(program()).current_dir(folder.path()).args(words).output().unwrap();
        for text in [&output.stdout, &output.stderr] {
            let text = String::from_utf8_lossy(text);
            let commands = |c: char| c.is_control() && c != '\n' && c != '\t';
            assert!(!text.contains(commands), "{words:?}: {text:?}");
        }
    }
}
