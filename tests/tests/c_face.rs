//! Stillwave in C and C++: compiled by gcc and g++ for this machine and by arm-none-eabi-gcc for a
//! Cortex-M4 in the emulator, and held to what the tool says of the same samples.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{LazyLock, Mutex};

use serde_json::Value;
use stillwave_tests::dice::Dice;

// There is no firmware here.
#[allow(dead_code)]
mod programs;
use programs::{TOOL, chip_tools, root, run, succeed, text};

const TARGET: &str = "thumbv7em-none-eabihf";

/// What the standard library of this machine's archive is linked with.
const LIBRARIES: [&str; 5] = ["-lpthread", "-ldl", "-lm", "-lgcc_s", "-lc"];

/// Options of the tool, and the same as settings in C; times are in 1/65536 of a sample there.
const SETTINGS: [(&str, &str); 13] = [
    ("--on edge --slope rising", "condition=0 way=0"),
    ("--on edge --slope falling --holdoff 300sa", "condition=0 way=1 holdoff=300"),
    ("--on edge --slope either --every 3", "condition=0 way=2 every=3"),
    ("--on pulse --shorter-than 60sa", "condition=1 comparison=1 time=3932160"),
    (
        "--on pulse --polarity negative --longer-than 20sa",
        "condition=1 way=1 comparison=2 time=1310720",
    ),
    (
        "--on pulse --polarity either --within 5sa..90sa",
        "condition=1 way=2 comparison=3 time=327680 time_to=5898240",
    ),
    ("--on pulse --outside 5sa..90sa", "condition=1 comparison=4 time=327680 time_to=5898240"),
    ("--on interval --longer-than 50sa", "condition=2 comparison=2 time=3276800"),
    ("--on dropout --after 150sa", "condition=3 after=150"),
    (
        "--on transition --slope either --longer-than 8sa",
        "condition=4 way=2 comparison=2 time=524288",
    ),
    ("--on runt --polarity either", "condition=5 way=2"),
    ("--on window --when enters", "condition=6 way=0"),
    (
        "--on window --when stays-outside --shorter-than 40sa",
        "condition=6 way=3 comparison=1 time=2621440",
    ),
];

/// A way to compile a program, and to run it.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Machine {
    C,
    Cpp,
    Chip,
}

impl Machine {
    const ALL: [Self; 3] = [Self::C, Self::Cpp, Self::Chip];

    /// The program of a source file; `None` where there is no compiler for the chip.
    fn build(self, source: &str) -> Option<PathBuf> {
        let (compiler, standard) = match self {
            Self::C => ("gcc", &["-std=c99"][..]),
            Self::Cpp => ("g++", &["-xc++", "-std=c++11"][..]),
            Self::Chip => ("arm-none-eabi-gcc", &["-std=c99"][..]),
        };
        let archive = if self == Self::Chip { CHIP_ARCHIVE.as_ref()? } else { &*ARCHIVE };
        let face = root().join("c-face");
        let source = face.join(source);
        let name = source.file_stem().expect("a name").to_string_lossy().into_owned();
        let program = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}-{self:?}"));
        // Once: another test may be running it.
        let mut programs = BUILT.lock().expect("no test failed meanwhile");
        if programs.contains(&program) {
            return Some(program);
        }
        let mut build = Command::new(compiler);
        build.args(standard).args(["-Wall", "-Wextra", "-Werror", "-pedantic", "-O2", "-I"]);
        build.arg(face.join("include")).arg(&source);
        if self == Self::Chip {
            build.args(["-mcpu=cortex-m4", "-mthumb", "-mfloat-abi=hard", "-mfpu=fpv4-sp-d16"]);
            build.arg(face.join("tests/vectors.c"));
            build.args(["--specs=rdimon.specs", "-ffunction-sections", "-Wl,--gc-sections"]);
            // Of newlib's start-up code, which does not say whether its stack is to be executed.
            build.args(["-Wl,--no-warn-execstack", "-T"]).arg(face.join("tests/mps2-an386.ld"));
        }
        build.arg("-xnone").arg(archive);
        match self {
            Self::Chip => build.arg("-lm"),
            _ => build.args(LIBRARIES),
        };
        build.arg("-o").arg(&program);
        succeed(build);
        programs.push(program.clone());
        Some(program)
    }

    fn run(self, program: &Path, words: &[&str]) -> Command {
        let mut command = match self {
            Self::Chip => {
                let mut chip = Command::new(root().join("tools/chip-run"));
                chip.arg("m4").arg(program);
                chip
            }
            _ => Command::new(program),
        };
        command.args(words);
        command
    }
}

/// The programs that are built.
static BUILT: Mutex<Vec<PathBuf>> = Mutex::new(vec![]);

/// The library for this machine.
static ARCHIVE: LazyLock<PathBuf> = LazyLock::new(|| {
    let mut build = Command::new(env!("CARGO"));
    build.args(["build", "--quiet", "--package", "stillwave-c", "--lib", "--profile", "test"]);
    build.args(["--message-format", "json-render-diagnostics"]);
    let messages = succeed(build);
    let archive = messages.lines().rev().find_map(|line| {
        let message: Value = serde_json::from_str(line).ok()?;
        let files = message.get("filenames")?.as_array()?.iter().filter_map(Value::as_str);
        files.map(PathBuf::from).find(|file| file.extension().is_some_and(|end| end == "a"))
    });
    archive.expect("cargo names the archive it built")
});

/// The library for the chip.
static CHIP_ARCHIVE: LazyLock<Option<PathBuf>> = LazyLock::new(|| {
    let tools = [
        ("qemu-system-arm", "--version", "qemu-system-arm is missing"),
        ("arm-none-eabi-gcc", "--version", "arm-none-eabi-gcc is missing"),
    ];
    chip_tools("stillwave-c", TARGET, &tools).then(|| {
        let mut build = Command::new(root().join("tools/chip-cargo"));
        build.args(["build", "--locked", "--quiet", "--release", "--lib"]);
        build.args(["--manifest-path", "../c-face/Cargo.toml", "--target", TARGET]);
        succeed(build);
        root().join(format!("firmware-example/target/{TARGET}/release/libstillwave_c.a"))
    })
});

/// Pulses of many widths and heights, with slopes and some noise: 16 bits, some of them clipped.
fn samples() -> Vec<u16> {
    let mut dice = Dice::new(11);
    let (mut target, mut level, mut left) = (0_i64, 0_i64, 0);
    (0..30_000)
        .map(|_| {
            if left == 0 {
                target = [5000, 24_000, 40_000, 65_300][dice.below(4) as usize];
                left = 1 + dice.below(200);
            }
            left -= 1;
            level += (target - level).clamp(-4000, 4000);
            (level + dice.below(480) as i64).min(65535) as u16
        })
        .collect()
}

fn recording() -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("c-face.u16le");
    let bytes: Vec<u8> = samples().into_iter().flat_map(u16::to_le_bytes).collect();
    fs::write(&path, bytes).expect("the recording can be written");
    path
}

/// The fields of a line of flat JSON, as they are written; of two with one name the first. No string
/// in it holds a comma or a colon.
type Row = BTreeMap<String, String>;

fn rows(text: &str) -> Vec<Row> {
    let row = |line: &str| {
        let mut row = Row::new();
        for field in line.split([',', '{', '}']) {
            if let Some((name, value)) = field.split_once(':') {
                row.entry(name.trim_matches('"').into()).or_insert(value.trim_matches('"').into());
            }
        }
        row
    };
    text.lines().map(row).collect()
}

fn tool(verb: &str, recording: &Path, options: &str) -> Vec<Row> {
    let mut tool = Command::new(&*TOOL);
    tool.arg(verb).arg(recording).args(["--sample-type", "u16le", "--format", "json"]);
    tool.args(["--rate", "1"]).args(options.split_whitespace());
    rows(&succeed(tool))
}

/// An event of the tool as the program in C prints it.
fn in_c(row: &Row) -> Row {
    let one_of = |key: &str, names: &[&str]| {
        row.get(key).and_then(|text| names.iter().position(|name| name == text))
    };
    let kinds = ["edge", "pulse", "interval", "dropout", "transition", "runt", "window"];
    let kind = one_of("kind", &kinds).expect("a kind that C programs know");
    let way = one_of("slope", &["rising", "falling"])
        .or_else(|| one_of("polarity", &["positive", "negative"]))
        .or_else(|| one_of("what", &["entered", "left", "stayed-inside", "stayed-outside"]));
    let times = ["width_samples", "interval_samples", "duration_samples"];
    let time = times.iter().find_map(|key| row.get(*key).filter(|text| *text != "null"));
    let mut row = row.clone();
    row.insert("condition".into(), kind.to_string());
    row.insert("way".into(), way.unwrap_or(0).to_string());
    row.insert("time_samples".into(), time.map_or("0", String::as_str).into());
    row
}

/// Whether all that `c` has is as `tool` has it, numbers by their value.
fn same(c: &Row, tool: &Row) -> bool {
    c.iter().all(|(key, value)| {
        let Some(other) = tool.get(key) else { return false };
        match (value.parse::<f64>(), other.parse::<f64>()) {
            (Ok(a), Ok(b)) => a == b,
            _ => value == other,
        }
    })
}

#[test]
fn programs_in_c_and_the_tool_say_the_same() {
    let recording = recording();
    let file = recording.to_string_lossy();
    for machine in Machine::ALL {
        let Some(program) = machine.build("tests/program.c") else { continue };
        let (mut compared, mut clipped) = ([0; 2], 0);
        for (options, words) in SETTINGS {
            let two = ["runt", "transition", "window"].iter().any(|name| options.contains(name));
            let (level, in_c_too) = if two {
                ("--low 16000 --high 48000 --hysteresis 1600", "level=16000 upper_level=48000")
            } else {
                ("--level 32000 --hysteresis 1600", "level=32000")
            };
            let words =
                format!("{file} {words} {in_c_too} hysteresis=1600 pre=40 post=160 block=333");
            let words: Vec<_> = words.split(' ').collect();
            let said = rows(&succeed(machine.run(&program, &words)));
            let (records, events): (Vec<_>, Vec<_>) =
                said[..said.len() - 1].iter().partition(|row| row.contains_key("record"));
            let options = format!("{options} {level}");
            let scanned: Vec<_> = tool("scan", &recording, &options).iter().map(in_c).collect();
            let shape = format!("{options} --pre 40sa --post 160sa");
            let measured = tool("measure", &recording, &shape);
            assert_eq!(events.len(), scanned.len(), "{machine:?}, {options}");
            assert_eq!(records.len(), measured.len(), "{machine:?}, {options}");
            let pairs = events.iter().zip(&scanned).chain(records.iter().zip(&measured));
            for (c, tool) in pairs {
                assert!(same(c, tool), "{machine:?}, {options}:\n{c:?}\n{tool:?}");
            }
            compared = [compared[0] + events.len(), compared[1] + records.len()];
            clipped += records.iter().filter(|record| record["maximum"] == "null").count();
        }
        assert!(compared[0] > 600 && compared[1] > 500, "too little to compare: {compared:?}");
        assert!(clipped > 50 && clipped < compared[1] - 50, "{clipped} of {compared:?} clipped");
    }
}

#[test]
fn misuse_is_refused() {
    let mut first = None;
    for machine in Machine::ALL {
        let Some(program) = machine.build("tests/program.c") else { continue };
        let said = run(machine.run(&program, &["misuse"]));
        let said_text = text(&said.stdout);
        assert!(said.status.success(), "{machine:?}: {said_text}{}", text(&said.stderr));
        assert!(said_text.contains("condition is 77: it must be from STILLWAVE_EDGE"));
        assert!(said_text.contains("time_to is 65536: it must be time or more"), "{said_text}");
        assert!(said_text.contains("from a callback: called from its own callback"), "{said_text}");
        assert_eq!(&said_text, first.get_or_insert_with(|| said_text.clone()), "{machine:?}");
    }
}

#[test]
fn the_example_stands_still() {
    for machine in Machine::ALL {
        let Some(program) = machine.build("examples/still.c") else { continue };
        let said = succeed(machine.run(&program, &[]));
        let first = "record 0 at sample 526: period 125.000 samples, 4000 counts from peak to peak";
        assert_eq!(said.lines().next(), Some(first), "{machine:?}");
    }
}

/// The handler of panics is not even linked.
#[test]
fn no_program_in_c_can_panic() {
    let Some(program) = Machine::Chip.build("tests/program.c") else { return };
    let mut names = Command::new("arm-none-eabi-nm");
    let names = succeed({
        names.arg(&program);
        names
    });
    assert!(names.contains("stillwave_push"), "{names}");
    // The handler's own name is `rust_begin_unwind`.
    let of_a_panic = |name: &&str| name.contains("panic") || name.contains("begin_unwind");
    let panics: Vec<_> = names.lines().filter(of_a_panic).collect();
    assert!(panics.is_empty(), "{panics:?}");
}
