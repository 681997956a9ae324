//! This PC and other processors: the same answers to many cases out of one seed.
//!
//! `STILLWAVE_SEED` chooses the seed, `STILLWAVE_CASES` how many cases there are. Without the chips'
//! tools (`tools/install-emulation`) the tests on chips are skipped with a note on standard error;
//! with `STILLWAVE_CHIP=required` in the environment they then fail. `STILLWAVE_TARGETS` names other
//! targets to test, as `tools/targets` does: `"s390x-unknown-linux-gnu wasm32-wasip1+simd128"`.

use std::collections::BTreeMap;
use std::env;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use differential::{Answer, HEAD, Kind, Preface, RECORD_ROOM, Wire, answer};
use stillwave_tests::differential::{Cases, Job};
use stillwave_tests::kind;

// There is no tool to compare with here.
#[allow(dead_code)]
mod programs;
use programs::{build_firmware, root, succeed};

/// Cases in one run: more runs do not take longer, and less of the disk.
const TOGETHER: u64 = 2000;

/// A number of the environment.
fn setting(name: &str, default: u64) -> u64 {
    env::var(name).map_or(default, |text| text.parse().unwrap_or_else(|_| panic!("{name}={text}")))
}

/// What is to be answered, encoded: a case each.
struct Expected {
    cases: Vec<(String, Vec<u8>)>,
    tally: BTreeMap<&'static str, u64>,
}

#[test]
fn cortex_m4_and_pc_answer_alike() {
    alike("m4", "thumbv7em-none-eabihf", "qemu-system-arm");
}

#[test]
fn cortex_m0_and_pc_answer_alike() {
    alike("m0", "thumbv6m-none-eabi", "qemu-system-arm");
}

#[test]
fn risc_v_and_pc_answer_alike() {
    alike("riscv", "riscv32imac-unknown-none-elf", "qemu-system-riscv32");
}

#[test]
fn targets_and_pc_answer_alike() {
    let Ok(targets) = env::var("STILLWAVE_TARGETS") else {
        let _ = writeln!(std::io::stderr(), "skipped, other targets: see tools/targets");
        return;
    };
    for target in targets.split_whitespace() {
        let cargo = |verb: &str| {
            let mut cargo = Command::new(root().join("tools/target-cargo"));
            cargo.args([target, verb, "--locked", "--quiet", "--release", "--example", "answer"]);
            cargo.args(["--manifest-path", "firmware-example/differential/Cargo.toml"]);
            cargo
        };
        succeed(cargo("build"));
        compare_runs(target, |cases, answers| {
            let mut run = cargo("run");
            run.arg("--").arg(cases).arg(answers);
            run
        });
    }
}

/// A comparison that finds no difference would prove nothing.
#[test]
#[should_panic(expected = "case 7: there (left), PC (right)")]
fn a_difference_is_found_and_named() {
    let (mut cases, mut bytes) = (Cases::new(3), vec![]);
    let mut expected = Expected { cases: vec![], tally: BTreeMap::new() };
    for _ in 0..9 {
        one(&cases.deal::<u16>(), &mut bytes, &mut expected);
    }
    let mut said: Vec<_> = expected.cases.iter().map(|(_, answers)| answers.clone()).collect();
    // Before the last two, which are the end of the case and of a number.
    let last = said[7].len() - 2;
    said[7][last] ^= 1;
    compare(&expected.cases, &said.concat(), "nobody", 0);
}

fn alike(board: &str, target: &str, emulator: &str) {
    let missing = format!("{emulator} is missing");
    let tool = (emulator, "--version", missing.as_str());
    let Some(firmware) = build_firmware("differential", target, &[tool]) else { return };
    compare_runs(board, |cases, answers| {
        let mut chip = Command::new(root().join("tools/chip-run"));
        chip.arg(board).arg(&firmware).arg(cases).arg(answers);
        chip
    });
}

/// Compares what the program that `run` starts on a file of cases answers with what this PC does.
fn compare_runs(whose: &str, run: impl Fn(&Path, &Path) -> Command) {
    let (seed, total) = (setting("STILLWAVE_SEED", 1), setting("STILLWAVE_CASES", 1200));
    let mut cases = Cases::new(seed);
    let mut tally = BTreeMap::new();
    let mut seconds = 0.0;
    let mut done = 0;
    while done < total {
        let now = TOGETHER.min(total - done);
        let file = path(&format!("{whose}.cases"));
        let expected = write(&mut cases, done..done + now, &file);
        let answers = file.with_extension("answers");
        let began = Instant::now();
        succeed(run(&file, &answers));
        seconds += began.elapsed().as_secs_f64();
        let said = fs::read(&answers).expect("answers");
        compare(&expected.cases, &said, &format!("{whose}, seed {seed}"), done);
        for (what, count) in expected.tally {
            *tally.entry(what).or_insert(0) += count;
        }
        fs::remove_file(&file).and_then(|()| fs::remove_file(&answers)).expect("files to remove");
        done += now;
    }
    let counts: Vec<_> = tally.iter().map(|(what, count)| format!("{count} {what}")).collect();
    let words = counts.join(", ");
    // Past the capture of a passing test's output.
    let said = format!("{whose}: seed {seed}, {total} cases in {seconds:.0} s: {words}");
    let _ = writeln!(std::io::stderr(), "{said}");
    // In a hundred cases.
    let least = [
        ("cases with events", 50),
        ("events", 500),
        ("records", 100),
        ("measurements", 500),
        ("decimated", 5000),
    ];
    for (what, least) in least {
        assert!(tally.get(what).is_some_and(|&n| n * 100 > least * total), "too few {what}");
    }
}

/// Writes the next cases to a file, and gives what the PC answers.
fn write(cases: &mut Cases, numbers: std::ops::Range<u64>, file: &Path) -> Expected {
    let mut bytes = vec![];
    let mut expected = Expected { cases: vec![], tally: BTreeMap::new() };
    for number in numbers {
        match Kind::ALL[number as usize % Kind::ALL.len()] {
            Kind::U8 => one(&cases.deal::<u8>(), &mut bytes, &mut expected),
            Kind::I16 => one(&cases.deal::<i16>(), &mut bytes, &mut expected),
            Kind::U16 => one(&cases.deal::<u16>(), &mut bytes, &mut expected),
            Kind::I32 => one(&cases.deal::<i32>(), &mut bytes, &mut expected),
            Kind::F32 => one(&cases.deal::<f32>(), &mut bytes, &mut expected),
        }
    }
    fs::write(file, bytes).expect("a file of cases");
    expected
}

fn one<T: kind::Kind + Wire>(job: &Job<T>, bytes: &mut Vec<u8>, expected: &mut Expected) {
    let samples = job.channels.concat();
    let head = postcard::to_stdvec(&job.case).expect("a case");
    assert!(head.len() <= HEAD, "{} bytes", head.len());
    let size = size_of_val(&samples[..]);
    let preface: Preface = [T::KIND as u32, head.len() as u32, size as u32];
    bytes.extend(preface.iter().flat_map(|word| word.to_le_bytes()));
    bytes.extend(&head);
    bytes.extend_from_slice(bytemuck::cast_slice(&samples));

    let (mut answers, mut events) = (vec![], false);
    let mut room = vec![T::default(); RECORD_ROOM * 4 / size_of::<T>()];
    answer(&job.case, &samples, &mut room, &mut |answer| {
        *expected.tally.entry(named(answer)).or_insert(0) += 1;
        events |= matches!(answer, Answer::Event(_));
        answers.extend(postcard::to_stdvec(answer).expect("an answer"));
    });
    *expected.tally.entry("cases with events").or_insert(0) += u64::from(events);
    expected.cases.push((format!("{:?}: {:?}", T::KIND, job.case), answers));
}

fn named(answer: &Answer<'_>) -> &'static str {
    match answer {
        Answer::Refused(..) => "refusals",
        Answer::Event(_) => "events",
        Answer::Record(..) => "records",
        Answer::Samples(_) => "channels of records",
        Answer::Measured(_, Ok(_)) => "measurements",
        Answer::Measured(_, Err(_)) => "measurements without value",
        Answer::Decimated(_) => "decimated",
        Answer::Counted(..) => "counts",
        Answer::End => "ends",
    }
}

/// Compares what was answered there with what the PC answers; names the first answer that differs.
fn compare(expected: &[(String, Vec<u8>)], mut said: &[u8], whose: &str, first: u64) {
    for (number, (case, answers)) in expected.iter().enumerate() {
        if let Some(rest) = said.strip_prefix(&answers[..]) {
            said = rest;
            continue;
        }
        let mut answers = &answers[..];
        while !answers.is_empty() {
            let (pc, pc_rest) =
                postcard::take_from_bytes::<Answer<'_>>(answers).expect("an answer");
            let chip = postcard::take_from_bytes::<Answer<'_>>(said);
            let number = first + number as u64;
            let Ok((chip, chip_rest)) = chip else {
                panic!("{whose}, case {number}: no answer; the PC has {pc:?}\n{case}");
            };
            assert_eq!(chip, pc, "{whose}, case {number}: there (left), PC (right)\n{case}");
            (answers, said) = (pc_rest, chip_rest);
        }
    }
    assert!(said.is_empty(), "{whose}: {} bytes more than the PC", said.len());
}

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(name)
}
