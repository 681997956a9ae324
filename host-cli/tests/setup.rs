//! Setup files: read, overridden, written, and turned into constants that compile.

mod program;

use program::program;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A recording of three channels at 1 MS/s, in a folder of its own.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("setup-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    let wave = |n: u32, period: u32| if n % period < period / 3 { 3000_u16 } else { 500 };
    let samples = (0..6000).flat_map(|n| [wave(n, 60), wave(n, 100), wave(n, 47)]);
    let bytes: Vec<u8> = samples.flat_map(u16::to_le_bytes).collect();
    fs::write(folder.join("recording.raw"), bytes).unwrap();
    folder
}

fn stillwave(folder: &Path, command: &str, options: &str) -> Output {
    Command::new(program())
        .current_dir(folder)
        .args([command, "recording.raw", "--sample-type", "u16le", "--rate", "1MS/s"])
        .args(["--channels", "3"])
        .args(options.split_whitespace())
        .output()
        .expect("the tool starts")
}

fn done(folder: &Path, command: &str, options: &str) -> String {
    let output = stillwave(folder, command, options);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{options}: {errors}");
    String::from_utf8(output.stdout).unwrap()
}

fn refused(folder: &Path, text: &str, options: &str) -> String {
    fs::write(folder.join("bad.toml"), text).unwrap();
    let output = stillwave(folder, "scan", &format!("--setup bad.toml {options}"));
    assert_eq!(output.status.code(), Some(2), "{text}");
    assert!(output.stdout.is_empty(), "{text}");
    String::from_utf8(output.stderr).unwrap()
}

/// Every condition, with options of every kind.
const TRIGGERS: [(&str, &str); 18] = [
    ("edge", "--level 1.65V --hysteresis 50mV --slope either --holdoff 20us --bits 12 --vref 3.3V"),
    (
        "coupled",
        "--level 0V --coupling ac --corner 2kHz --every 3 --channel 2 --bits 12 --vref 3.3V",
    ),
    ("pulse", "--on pulse --level 1000 --within 30us..50us --polarity negative"),
    ("interval", "--on interval --level 1000 --within 59.5us..60.5us"),
    ("dropout", "--on dropout --level 1000 --after 45us"),
    ("transition", "--on transition --low 600 --high 2900 --faster-than 3sa"),
    ("runt", "--on runt --low 600 --high 3500 --polarity either --longer-than 2us"),
    ("window", "--on window --low 600 --high 3500 --when stays-inside --longer-than 10us"),
    ("delay", "--on delay --level 1000 --to 2:falling@1200 --shorter-than 20us --channel 3"),
    ("count", "--on count --level 1000 --events 1 --since 2"),
    ("gated", "--on count --level 1000 --events 1 --quiet 10us --while 2:low@1200"),
    ("sequence", "--on sequence --level 1000 --then 2 --reset 3:falling --timeout 1ms --delay 2us"),
    ("pattern", "--on pattern --level 1000 --lines 1:high,2:low,3:rising"),
    ("setup-hold", "--on setup-hold --level 1000 --data 2 --setup-time 3us --hold-time 2us"),
    ("uart", "--on uart --level 1000 --baud 60000 --parity even --what break --longer-than 15us"),
    ("i2c", "--on i2c --level 1000 --data 2 --what start"),
    ("video", "--on video --level 1000 --standard 625/50 --line 24 --polarity positive"),
    ("spi", "--on spi --level 1000 --data 2 --select 3:low --word-bits 1 --value 0x1 --mask 0x1"),
];

#[test]
fn what_is_saved_is_found_again() {
    let folder = folder("again");
    for (name, options) in TRIGGERS {
        let scan = done(&folder, "scan", &format!("{options} --save-setup {name}.toml"));
        let again = done(&folder, "scan", &format!("--setup {name}.toml"));
        assert_eq!(scan, again, "{name}");
        // There is no picture in the recording.
        assert!(name == "video" || scan.lines().count() > 3, "{name} finds something: {scan}");
        // A file read and written is the same file.
        done(&folder, "scan", &format!("--setup {name}.toml --save-setup {name}-2.toml"));
        let read = |name: &str| fs::read_to_string(folder.join(name)).unwrap();
        assert_eq!(read(&format!("{name}.toml")), read(&format!("{name}-2.toml")));
    }
    let edge = fs::read_to_string(folder.join("edge.toml")).unwrap();
    let expected = "[scale]\nbits = 12\nvref = \"3.3V\"\n\n[trigger]\nlevel = \"1.65V\"\n\
                    hysteresis = \"50mV\"\nslope = \"either\"\nholdoff = \"20us\"\n";
    assert_eq!(edge, expected);
}

/// The constants, which `tests/tests/setup_constants.rs` compiles and runs.
#[test]
fn constants_for_firmware() {
    let folder = folder("constants");
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/data/setups");
    for (name, options) in TRIGGERS {
        done(&folder, "measure", &format!("{options} --post 20us --save-setup {name}.rs"));
        let written = fs::read_to_string(folder.join(format!("{name}.rs"))).unwrap();
        let file = kept.join(format!("{name}.rs"));
        if std::env::var_os("STILLWAVE_BLESS").is_some() {
            fs::write(&file, &written).unwrap();
        }
        let expected = fs::read_to_string(&file).unwrap_or_default();
        assert_eq!(written, expected, "{}: STILLWAVE_BLESS=1 writes it anew", file.display());
    }
}

#[test]
fn the_command_line_goes_before_the_file() {
    let folder = folder("before");
    let text = "[trigger]\non = \"pulse\"\nlevel = 1000\nshorter-than = \"50us\"\nholdoff = \"1ms\"\n\
                [record]\npost = \"2ms\"\n";
    fs::write(folder.join("pulse.toml"), text).unwrap();
    let trigger = |options: &str| {
        let said = done(&folder, "measure", &format!("--setup pulse.toml {options}"));
        said.lines().find(|line| line.starts_with("trigger")).unwrap().to_owned()
    };
    let plain = trigger("");
    assert!(plain.contains("positive pulse shorter than 50.00 µs"), "{plain}");
    assert!(plain.contains("holdoff 1.000 ms"), "{plain}");
    let other = trigger("--level 900 --longer-than 10us --every 2");
    assert!(other.contains("positive pulse longer than 10.00 µs"), "{other}");
    assert!(other.contains("through 900 counts") && other.contains("one event in 2"), "{other}");
    // A scan makes no records, and keeps what is said of them.
    done(&folder, "scan", "--setup pulse.toml --level 901 --save-setup kept.toml");
    let kept = fs::read_to_string(folder.join("kept.toml")).unwrap();
    assert!(kept.contains("level = 901") && kept.contains("[record]\npost = \"2ms\""), "{kept}");
}

#[test]
fn a_file_is_not_lost() {
    let folder = folder("lost");
    done(&folder, "scan", "--level 1000 --save-setup a.toml");
    let again = stillwave(&folder, "scan", "--level 1001 --save-setup a.toml");
    assert_eq!(again.status.code(), Some(2));
    assert!(fs::read_to_string(folder.join("a.toml")).unwrap().contains("1000"));
    // The file itself may be changed.
    done(&folder, "scan", "--setup a.toml --level 1001 --save-setup a.toml");
    assert!(fs::read_to_string(folder.join("a.toml")).unwrap().contains("1001"));
    let nameless = stillwave(&folder, "scan", "--level 1000 --save-setup a");
    assert_eq!(nameless.status.code(), Some(2));
}

#[test]
fn errors_name_file_and_line() {
    let folder = folder("errors");
    for (text, options, said) in [
        ("[trigger]\nlevel = 5\nlevl = 3\n", "", "bad.toml: line 3: [trigger] has no key \"levl\""),
        ("[trigger]\nhysteresys = 3\n", "", "did you mean hysteresis?"),
        (
            "[trigger]\nlevel = \"3.3 parsecs\"\n",
            "",
            "bad.toml: line 2: invalid value '3.3 parsecs'",
        ),
        ("[trigger]\nlevel = 2000\n\nholdoff = 20\n", "", "bad.toml: line 4: invalid value '20'"),
        ("[trigger]\non = \"edges\"\n", "", "possible values: edge, pulse"),
        ("[triggers]\n", "", "bad.toml: line 1: there is no \"triggers\" in a setup file"),
        ("level = 3\n", "", "bad.toml: line 1: there is no \"level\" in a setup file"),
        ("trigger = 3\n", "", "bad.toml: line 1: \"trigger\" is not a table"),
        ("[trigger]\nlevel = \n", "", "bad.toml: line 2: "),
        ("[trigger]\nlevel = 1\nlevel = 2\n", "", "bad.toml: line 3: "),
        ("[trigger]\nlevel = { volts = 3 }\n", "", "bad.toml: line 2: level has no such value"),
        // Combinations.
        ("[trigger]\nlevel = 9\nholdoff = \"1ms\"\nevery = 2\n", "", "bad.toml: line 3: "),
        (
            "[trigger]\non = \"edge\"\nlevel = 9\nhigh = 10\n",
            "",
            "bad.toml: line 4: --high has no use",
        ),
        ("[trigger]\nlevel = 9\nhysteresis = -1\n", "", "bad.toml: line 3: --hysteresis is -1"),
        ("[trigger]\nlevel = \"1V\"\n", "", "bad.toml: line 2: --level needs to know"),
        (
            "[trigger]\non = \"pulse\"\nlevel = 9\n",
            "",
            "bad.toml: line 2: --on pulse needs a width",
        ),
        (
            "[trigger]\nlevel = 9\ncorner = \"1MHz\"\ncoupling = \"ac\"\n",
            "",
            "bad.toml: line 3: --corner",
        ),
        ("[scale]\nbits = 12\n", "--level 9", "bad.toml: line 2: the following required arguments"),
        (
            "[trigger]\nsetup = \"other.toml\"\n",
            "",
            "bad.toml: line 2: [trigger] has no key \"setup\"",
        ),
    ] {
        let message = refused(&folder, text, options);
        assert!(message.contains(said), "{text:?}: {message}");
        assert_eq!(message.lines().count(), 1, "{message}");
    }
    let missing = stillwave(&folder, "scan", "--setup nowhere.toml");
    assert!(String::from_utf8_lossy(&missing.stderr).contains("nowhere.toml: cannot be opened"));
    // What is wrong on the command line is not blamed on the file.
    let own = refused(&folder, "[trigger]\nlevel = 9\n", "--high 3");
    assert!(own.starts_with("error: --high has no use"), "{own}");
}
