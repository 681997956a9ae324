//! `stillwave decimate`: what it writes, in every format, and what it says.

mod program;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use program::program;
use stillwave_cli::input::{self, OpenOptions, Recording};

/// 12-bit counts, with a spike of one sample.
fn samples() -> Vec<u16> {
    let mut samples: Vec<u16> = (0..10_007_u32).map(|i| (i * 37 % 4001) as u16).collect();
    samples[4321] = 4095;
    samples
}

fn recording(folder: &Path) {
    let bytes: Vec<u8> = samples().into_iter().flat_map(u16::to_le_bytes).collect();
    fs::write(folder.join("in.raw"), bytes).unwrap();
}

fn run(folder: &Path, options: &str) -> Output {
    let mut command = Command::new(program());
    command.current_dir(folder).args(["decimate", "in.raw", "--sample-type", "u16le"]);
    command.args(["--rate", "1MS/s"]).args(options.split_whitespace()).output().unwrap()
}

fn succeed(folder: &Path, options: &str) -> String {
    let output = run(folder, options);
    assert!(output.status.success(), "{options}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// All channels of a file as numbers, and its rate.
fn read(path: &Path) -> (Vec<Vec<f64>>, Option<f64>) {
    let mut recording = input::open(path, &OpenOptions::default()).unwrap();
    let rate = recording.info().rate;
    macro_rules! all {
        ($reader:expr) => {{
            let mut planes = $reader.planes();
            let mut channels = vec![vec![]; planes.width()];
            while $reader.read(&mut planes).unwrap() > 0 {
                for (all, some) in channels.iter_mut().zip(planes.channels()) {
                    all.extend(some.iter().map(|&x| f64::from(x)));
                }
            }
            channels
        }};
    }
    let channels = match &mut recording {
        Recording::U8(reader) => all!(reader),
        Recording::I8(reader) => all!(reader),
        Recording::U16(reader) => all!(reader),
        Recording::I16(reader) => all!(reader),
        Recording::U32(reader) => all!(reader),
        Recording::I32(reader) => all!(reader),
        Recording::F32(reader) => all!(reader),
    };
    (channels, rate)
}

fn sums(step: usize) -> Vec<f64> {
    let sum = |group: &[u16]| group.iter().map(|&x| f64::from(x)).sum();
    samples().chunks_exact(step).map(sum).collect()
}

#[test]
fn every_format_holds_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    recording(folder);
    for name in ["sums.npy", "sums.wav", "sums.sigmf-meta", "sums.csv"] {
        let said = succeed(folder, &format!("--by 10 --how boxcar --out {name}"));
        let (channels, rate) = read(&folder.join(name));
        match name.rsplit_once('.').unwrap().1 {
            // Its first column is the time.
            "csv" => assert_eq!(channels.last(), Some(&sums(10))),
            _ => assert_eq!(channels, [sums(10)], "{name}"),
        }
        if name != "sums.npy" {
            assert!(rate.is_some_and(|rate| (rate - 1e5).abs() < 1e-3), "{name}: {rate:?}");
        }
        for words in [
            "decimated  to 100.0 kS/s: sums of 10 samples, 4 bits gained: outputs are 10 times the counts",
            "delay      4.5 samples (4.500 µs)",
            "1000 samples of i32; 7 at the end are too few for another",
        ] {
            assert!(said.contains(words), "{said}");
        }
    }
    let text = fs::read_to_string(folder.join("sums.csv")).unwrap();
    assert!(text.lines().nth(1).unwrap().starts_with("0.0000045"), "{text:.60}");
    let meta = fs::read_to_string(folder.join("sums.sigmf-meta")).unwrap();
    assert_eq!(meta.matches("core:global_index").count(), 1, "{meta}");
    assert!(meta.contains("Decimated: sums of 10 samples"), "{meta}");
}

#[test]
fn a_spike_is_in_the_extremes_and_volts_stay_volts() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    recording(folder);
    succeed(folder, "--by 100 --how minmax --out extremes.npy");
    let (channels, _) = read(&folder.join("extremes.npy"));
    let group = |of: fn(&[u16]) -> u16| -> Vec<f64> {
        samples().chunks(100).map(|group| f64::from(of(group))).collect()
    };
    let least = group(|group| *group.iter().min().unwrap());
    let largest = group(|group| *group.iter().max().unwrap());
    assert_eq!(channels, [least, largest]);

    succeed(folder, "--by 10 --how boxcar --bits 12 --vref 4.096V --out volts.csv");
    let text = fs::read_to_string(folder.join("volts.csv")).unwrap();
    let volts: f64 = text.lines().nth(1).unwrap().split(',').nth(1).unwrap().parse().unwrap();
    assert!((volts - sums(10)[0] / 10.0 / 1000.0).abs() < 1e-6, "{volts}");
}

/// What the tool says, and notes, where it succeeds.
fn succeeds(folder: &Path, words: &str) -> (String, String) {
    let mut command = Command::new(program());
    command.current_dir(folder).args(words.split_whitespace());
    let output = command.output().unwrap();
    let [text, told] = [&output.stdout, &output.stderr].map(|t| String::from_utf8_lossy(t));
    assert!(output.status.success(), "{words}: {told}");
    (text.into_owned(), told.into_owned())
}

/// The options that it prints give the volts of what was, in every format.
#[test]
fn what_is_written_reads_back_with_what_is_printed() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let wave = |i: u32| if (i / 400).is_multiple_of(2) { 1000_u16 } else { 3000 };
    let unsigned: Vec<u8> = (0..20_000).flat_map(|i| wave(i).to_le_bytes()).collect();
    let signed = (0..20_000).flat_map(|i| (wave(i) as i16 - 2048).to_le_bytes());
    let signed: Vec<u8> = signed.collect();
    let stillwave = |words: &str| succeeds(folder, words);
    for (kind, bytes, taken, zero) in
        [("u16le", &unsigned, 0, 0), ("u16le", &unsigned, 0, 2048), ("i16le", &signed, 2048, -500)]
    {
        fs::write(folder.join("in.raw"), bytes).unwrap();
        for how in ["boxcar", "cic", "fir", "every", "minmax"] {
            for ending in ["npy", "wav", "sigmf-meta", "csv"] {
                let (said, _) = stillwave(&format!(
                    "decimate in.raw --sample-type {kind} --rate 1MS/s --bits 12 --vref 3.3V \
                     --zero {zero} --probe 10:1 --by 10 --how {how} --out x.{ending} --overwrite"
                ));
                let with = said.lines().find_map(|line| line.strip_prefix("read with  "));
                let with = with.unwrap_or_default();
                assert_eq!(with.is_empty(), ending == "csv", "{said}");
                let level = f64::from(2000 - taken - zero) * 33.0 / 4096.0;
                let (text, told) = stillwave(&format!(
                    "measure x.{ending} {with} --level {level}V --hysteresis 1V --post 60sa \
                     --format json --limit 1"
                ));
                let told: Vec<_> =
                    told.lines().filter(|line| !line.contains("end codes")).collect();
                assert!(told.is_empty(), "{how} {ending}: {told:?}");
                let found: serde_json::Value = serde_json::from_str(&text).unwrap();
                for (key, counts) in [("low", 1000), ("high", 3000)] {
                    let wanted = f64::from(counts - taken - zero) * 33.0 / 4096.0;
                    let value = found[key].as_f64().unwrap();
                    // A low pass rings.
                    let most = if how == "fir" { 0.3 } else { 0.02 };
                    assert!(
                        (value - wanted).abs() < most,
                        "{how} {ending} {with}: {value} {wanted}"
                    );
                }
                assert!(found["record"] == 1 && with.len() < 80, "{with}");
            }
        }
    }
}

/// Floating point is read as volts, so volts it is, whatever it was.
#[test]
fn floating_point_is_written_in_volts() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let high = |i: u32| !(i / 400).is_multiple_of(2);
    let line = |i: u32| {
        let (seconds, millivolts) = (f64::from(i) / 1e6, if high(i) { 3000 } else { 1000 });
        format!("{seconds},{millivolts},{}\n", f64::from(millivolts) / 1e3)
    };
    let lines: String = (0..20_000).map(line).collect();
    fs::write(folder.join("units.csv"), format!("time (s),ch (mV),other (V)\n{lines}")).unwrap();
    fs::write(folder.join("counts.csv"), format!("time (s),ch,other (V)\n{lines}")).unwrap();
    let floats = (0..20_000).flat_map(|i| (if high(i) { 3.0_f32 } else { 1.0 }).to_le_bytes());
    fs::write(folder.join("in.f32"), floats.collect::<Vec<_>>()).unwrap();
    let stillwave = |words: &str| succeeds(folder, words);
    let floats = "in.f32 --sample-type f32le --rate 1MS/s";
    for (input, [low, high]) in [
        ("units.csv".to_owned(), [1.0, 3.0]),
        ("units.csv --channel 2".to_owned(), [1.0, 3.0]),
        ("units.csv --probe 10:1".to_owned(), [10.0, 30.0]),
        ("counts.csv --bits 12 --vref 4.096V --zero 500".to_owned(), [0.5, 2.5]),
        (floats.to_owned(), [1.0, 3.0]),
        (format!("{floats} --probe 10:1"), [10.0, 30.0]),
        (format!("{floats} --bits 12 --vref 4096V --zero 1"), [0.0, 2.0]),
    ] {
        for ending in ["npy", "wav", "sigmf-meta", "csv"] {
            let (said, told) =
                stillwave(&format!("decimate {input} --by 10 --out x.{ending} --overwrite"));
            let with = said.lines().find_map(|line| line.strip_prefix("read with  "));
            assert_eq!(with, (ending == "npy").then_some("--rate 100000"), "{input}: {said}");
            assert_eq!(told, "", "{input}");
            let (text, told) = stillwave(&format!(
                "measure x.{ending} {} --level {}V --post 60sa --format json --limit 1",
                with.unwrap_or_default(),
                f64::midpoint(low, high)
            ));
            assert!(told.is_empty() || ending == "wav", "{input}: {told}");
            let found: serde_json::Value = serde_json::from_str(&text).unwrap();
            for (key, wanted) in [("low", low), ("high", high)] {
                let value = found[key].as_f64().unwrap();
                assert!((value - wanted).abs() < 1e-5, "{input} {ending}: {value} {wanted}");
            }
        }
    }
    // So it is in records.
    for (input, level, highest) in
        [("units.csv", "2V", 3.0), ("in.f32 --sample-type f32le --probe 10:1", "20V", 30.0)]
    {
        for ending in ["npy", "wav", "csv"] {
            let taken = format!("--rate 1MS/s --level {level} --limit 1");
            stillwave(&format!("capture {input} {taken} --pre 9sa --post 990sa --out r.{ending}"));
            let (text, _) = stillwave(&format!(
                "measure r-0001.{ending} {taken} --pre 1sa --post 900sa --format json"
            ));
            let found: serde_json::Value = serde_json::from_str(&text).unwrap();
            let value = found["high"].as_f64().unwrap();
            assert!((value - highest).abs() < 1e-5, "{input} {ending}: {value} {highest}");
            fs::remove_file(folder.join(format!("r-0001.{ending}"))).unwrap();
        }
    }
    let (_, told) = stillwave("decimate units.csv --by 10 --out names.csv");
    let text = fs::read_to_string(folder.join("names.csv")).unwrap();
    assert!(text.starts_with("time (s),ch (V),other (V)\r\n") && told.is_empty(), "{text:.60}");
    // Counts without a scale: text can say so.
    let taken = "note: counts.csv: column 2 holds whole numbers without a unit: taken for counts; for \
                 volts name it with the unit, such as \"mains (V)\"\n";
    let (_, told) = stillwave("decimate counts.csv --by 10 --out counted.csv");
    assert_eq!(told, taken);
    let text = fs::read_to_string(folder.join("counted.csv")).unwrap();
    assert!(text.starts_with("time (s),ch (counts),other (V)\r\n"), "{text:.60}");
    let (text, told) = stillwave("scan counted.csv --level 2000");
    assert!(text.contains("through 2000 counts") && told.is_empty(), "{text}{told}");
    let (_, told) = stillwave("decimate counts.csv --by 10 --out counted.npy");
    let note = "note: counted.npy: ch will be read as volts, though these are counts; write CSV, which \
                says so, or add --bits and --vref\n";
    assert_eq!(told, note.to_owned() + taken);
}

#[test]
fn filters_keep_a_constant_and_say_what_they_pass() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let bytes: Vec<u8> = std::iter::repeat_n(1234_u16, 20_000).flat_map(u16::to_le_bytes).collect();
    fs::write(folder.join("in.raw"), bytes).unwrap();
    let said = succeed(folder, "--by 16 --how fir --out fir.npy");
    let (channels, _) = read(&folder.join("fir.npy"));
    assert!(channels[0].len() > 1200 && channels[0].iter().all(|&y| y == 1234.0 * 4.0));
    assert!(said.contains("passes     to 25.00 kHz within 0.017 dB; from 37.50 kHz"), "{said}");
    let said = succeed(folder, "--by 100 --how cic --order 4 --out cic.npy");
    let (channels, _) = read(&folder.join("cic.npy"));
    // 100^4 is 27 bits: of 43 in all, 12 are rounded off.
    let scale = 1e8 / 4096.0;
    assert!(channels[0].iter().all(|&y| (y / scale - 1234.0).abs() < 1e-4), "{said}");
    assert!(said.contains("15 bits gained"), "{said}");
    let said = succeed(folder, "--by 1 --how boxcar --out one.npy");
    assert!(said.contains("sums of 1 sample, 0 bits gained"), "{said}");
    let said = succeed(folder, "--by 3 --how boxcar --out three.npy");
    assert!(said.contains("\ndelay      1 sample (1.000 µs), taken off"), "{said}");
    succeed(folder, "--by 7 --how every --out every.npy");
    assert_eq!(read(&folder.join("every.npy")).0, [vec![1234.0; 2858]]);
}

#[test]
fn what_cannot_be_done_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    recording(folder);
    for (options, message) in [
        ("--by 0 --out x.npy", "--by is 0"),
        ("--by 10 --out x", "the name does not say what to write"),
        ("--by 10 --order 2 --out x.npy", "--order is of no use here"),
        ("--by 10 --how cic --order 9 --out x.npy", "--order is 9: it must be 1 to 5"),
        ("--by 40000 --out x.npy", "--by is 40000"),
        ("--by 10 --how fir --attenuation 90 --out x.npy", "--attenuation is 90 dB"),
        ("--by 200000 --how fir --out x.npy", "decimate in two steps"),
        ("--by 10 --channel 2 --out x.npy", "there is no channel 2"),
        (
            "--by 20000 --out x.npy",
            "in.raw: 10007 samples are too few for one output of --by 20000",
        ),
        ("--by 20000 --out x.wav", "10007 samples are too few"),
        ("--by 20000 --out x.csv", "10007 samples are too few"),
        ("--by 20000 --out x.sigmf", "10007 samples are too few"),
        ("--by 10 --out in.raw --save-as npy", "there is such a file already"),
    ] {
        let output = run(folder, options);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{options}: {said}");
        assert!(said.contains(message), "{options}: {said}");
        assert_eq!(fs::read_dir(folder).unwrap().count(), 1, "{options}");
    }
}

/// Its own input would be gone before it is read; also by another name.
#[test]
fn an_output_that_is_the_input_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    recording(folder.path());
    fs::create_dir(folder.path().join("sub")).unwrap();
    let before = fs::read(folder.path().join("in.raw")).unwrap();
    #[cfg_attr(not(unix), allow(unused_mut))]
    let mut names = vec!["in.raw", "./in.raw", "sub/../in.raw"];
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("in.raw", folder.path().join("link")).unwrap();
        names.push("link");
    }
    for name in names {
        let output = run(folder.path(), &format!("--by 2 --save-as npy --out {name} --overwrite"));
        let told = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{name}: {told}");
        assert!(told.contains("is the recording that is read"), "{told}");
        assert_eq!(fs::read(folder.path().join("in.raw")).unwrap(), before);
    }
}
