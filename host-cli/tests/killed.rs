//! Whatever ends the program, and whenever: a file that it writes is the old one or the new one,
//! whole.
//!
//! Each kind of output is written over one that is there, and where there is none; the program is
//! killed at random moments, and, by strace, at every call that gives a file a name or takes one.
//! No other call changes what is seen under a file's own name. For recordings of two files, the disk
//! is also full from each write on, and each name is refused. Asked to end (SIGTERM) at random, it
//! leaves files that can be read and nothing half-written. Whether anybody reads the standard output
//! changes neither files nor status.
#![cfg(target_os = "linux")]

#[path = "program/other.rs"]
mod other;
mod program;

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use program::program;
use tempfile::TempDir;

/// What writes each kind of output; of `a|b` the first run takes `a`, the second `b`.
const KINDS: [(&str, &str); 19] = [
    ("records in WAV", "capture RAW TRIGGER --post 100sa|90sa --out x --save-as wav"),
    ("records in CSV", "capture RAW TRIGGER --post 100sa|90sa --out x --save-as csv"),
    ("records in NPY", "capture RAW TRIGGER --post 100sa|90sa --out x --save-as npy"),
    ("records in SigMF", "capture RAW TRIGGER --post 100sa|90sa --out x --save-as sigmf"),
    ("WAV", "decimate RAW --by 2|3 --out x.wav"),
    ("CSV", "decimate RAW --by 2|3 --out x.csv"),
    ("NPY", "decimate RAW --by 2|3 --out x.npy"),
    ("SigMF", "decimate RAW --by 2|3 --out x.sigmf"),
    ("a picture", "view RAW TRIGGER --post 100sa|90sa --png x.png --svg x.svg"),
    ("a spectrum", "view RAW TRIGGER --post 100sa|90sa --spectrum --png x.png"),
    ("a histogram", "measure RAW TRIGGER --post 100sa|90sa --histogram mean --png x.png"),
    ("a survey", "survey RAW --steps 11|13 --png x.png"),
    ("an explanation", "explain RAW --level 9000|8900 --png x.png"),
    ("a setup file", "scan RAW --level 2000|2001 --save-setup x.toml"),
    ("constants", "scan RAW --level 2000|2001 --save-setup x.rs"),
    ("an expectation", "expect RAW TRIGGER --post 100sa|90sa --out x.toml"),
    (
        "a check",
        "check RAW TRIGGER --post 100sa|90sa --expect FOLDER/e.toml --junit x.xml --png x.png --keep kept --save-as npy",
    ),
    ("a demo", "demo --folder .|./."),
    (
        "live records",
        "live --play FOLDER/x.raw --sample-type u16le --rate 100kS/s --bits 12 --vref 3.3V --zero 2048 --headless --time 0.3s|0.4s --out x",
    ),
];

/// How often each is killed at random; more by `STILLWAVE_KILLS=1000`.
fn kills() -> u32 {
    std::env::var("STILLWAVE_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(10)
}

/// A recording and an expectation that fails, in a folder of their own.
fn given() -> TempDir {
    let folder = TempDir::new().unwrap();
    let samples = (0..30_000_u32).flat_map(|n| ((n % 300 * 13) as u16).to_le_bytes());
    fs::write(folder.path().join("x.raw"), samples.collect::<Vec<u8>>()).unwrap();
    fs::write(folder.path().join("e.toml"), "maximum = \"0..1\"\n").unwrap();
    folder
}

/// The words of the first run, or of the second.
fn words(line: &str, given: &Path, second: bool) -> Vec<String> {
    let line = line
        .replace("RAW", "FOLDER/x.raw --sample-type u16le --rate 100kS/s")
        .replace("TRIGGER", "--level 2000")
        .replace("FOLDER", &given.display().to_string());
    let choose = |word: &str| match word.split_once('|') {
        Some((first, then)) => if second { then } else { first }.to_owned(),
        None => word.to_owned(),
    };
    line.split_whitespace().map(choose).chain(["--overwrite".to_owned()]).collect()
}

fn quiet(command: &mut Command) -> &mut Command {
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null())
}

fn command(folder: &Path, words: &[String]) -> Command {
    let mut command = Command::new(program());
    quiet(&mut command).current_dir(folder).args(words);
    command
}

/// Runs to the end, and how long that takes.
fn done(folder: &Path, words: &[String]) -> Duration {
    let began = Instant::now();
    let status = command(folder, words).status().unwrap();
    // A check that fails has status 1.
    assert!(matches!(status.code(), Some(0 | 1)), "{words:?}: {status}");
    began.elapsed()
}

type Files = BTreeMap<String, Vec<u8>>;

/// The files in a folder and below, but for temporary ones.
fn files(folder: &Path) -> Files {
    let mut files = Files::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let name = entry.file_name().into_string().unwrap();
        if entry.file_type().unwrap().is_dir() {
            files.extend(
                self::files(&entry.path()).into_iter().map(|(n, c)| (format!("{name}/{n}"), c)),
            );
        } else if !name.starts_with(".stillwave-") {
            files.insert(name, fs::read(entry.path()).unwrap());
        }
    }
    files
}

/// What a recording of two files holds, by the tool itself.
fn events(folder: &Path) -> Option<Vec<u8>> {
    if !folder.join("x.sigmf-meta").exists() {
        return None;
    }
    let mut command = Command::new(program());
    command.current_dir(folder).args("scan x.sigmf-meta --level 2000 --format json".split(' '));
    let output = command.output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(output.stdout)
}

/// A kind of output, as it is before and after.
struct Kind {
    name: &'static str,
    words: Vec<String>,
    old: TempDir,
    new: Files,
    /// Of two files.
    events: [Option<Vec<u8>>; 2],
    takes: Duration,
}

impl Kind {
    fn of((name, line): (&'static str, &str), given: &Path) -> Self {
        let (old, new) = (TempDir::new().unwrap(), TempDir::new().unwrap());
        done(old.path(), &words(line, given, false));
        let words = words(line, given, true);
        let takes = done(new.path(), &words);
        let seen = [events(old.path()), events(new.path())];
        let kind = Self { name, words, old, new: files(new.path()), events: seen, takes };
        assert!(!kind.new.is_empty(), "{name}");
        kind
    }

    /// A folder with the old files, or an empty one.
    fn folder(&self, is_there: bool) -> TempDir {
        let folder = TempDir::new().unwrap();
        for (name, content) in if is_there { files(self.old.path()) } else { Files::new() } {
            let path = folder.path().join(name);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, content).unwrap();
        }
        folder
    }

    /// Every file is the old one or the new one; and what is left does not stand in the way.
    fn hold(&self, folder: &Path, is_there: bool, what: &str) {
        let name = self.name;
        let old = if is_there { files(self.old.path()) } else { Files::new() };
        let found = files(folder);
        let is_pair = self.events[1].is_some();
        for (file, content) in found.iter().filter(|_| !is_pair) {
            let is_whole = [old.get(file), self.new.get(file)].contains(&Some(content))
                || self.is_like_live(content);
            assert!(is_whole, "{name}, {what}: {file} is neither the old one nor the new one");
        }
        assert!(old.keys().all(|file| found.contains_key(file)), "{name}, {what}: a file is gone");
        if is_pair {
            let found = events(folder);
            let before = if is_there { &self.events[0] } else { &None };
            let is_whole = found == *before || found == self.events[1];
            assert!(is_whole, "{name}, {what}: data and metadata are not of one recording");
            assert!(found.is_some() || files(folder).is_empty(), "{name}, {what}: a half is there");
        }
        done(folder, &self.words);
        // Records of a longer run before may be there too.
        let after = files(folder);
        let is_done = |(file, content)| after.get(file) == Some(content);
        assert!(self.is_live() || self.new.iter().all(is_done), "{name}");
    }

    /// Which records a live run has depends on when it begins.
    fn is_live(&self) -> bool {
        self.name == "live records"
    }

    /// Whether it is a live record like another: with as many lines, all whole.
    fn is_like_live(&self, content: &[u8]) -> bool {
        let lines = |text: &[u8]| text.split(|byte| *byte == b'\n').count();
        let other = self.new.values().next().map(|other| lines(other));
        self.is_live() && content.ends_with(b"\n") && other == Some(lines(content))
    }
}

#[test]
fn a_kill_at_random_leaves_files_whole() {
    let given = given();
    let mut parts = parts();
    for kind in KINDS {
        let kind = Kind::of(kind, given.path());
        for kill in 0..kills() {
            let part = parts.next().unwrap();
            let is_there = kill % 2 == 0;
            let folder = kind.folder(is_there);
            let mut child = command(folder.path(), &kind.words).spawn().unwrap();
            std::thread::sleep(kind.takes.mul_f64(part));
            child.kill().unwrap();
            child.wait().unwrap();
            kind.hold(folder.path(), is_there, &format!("killed after {part:.3} of its time"));
        }
    }
}

/// Numbers from 0 to 1 without an order.
fn parts() -> impl Iterator<Item = f64> {
    let next = |bits: &u64| {
        Some(bits.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407))
    };
    std::iter::successors(Some(1_u64), next).map(|bits| (bits >> 40) as f64 / f64::from(1 << 24))
}

#[test]
fn a_request_to_end_at_random_leaves_files_that_can_be_read() {
    let given = given();
    let mut parts = parts();
    for kind in KINDS {
        let kind = Kind::of(kind, given.path());
        for request in 0..kills() {
            let is_there = request % 2 == 0;
            let folder = kind.folder(is_there);
            let mut child = command(folder.path(), &kind.words).spawn().unwrap();
            let part = parts.next().unwrap();
            std::thread::sleep(kind.takes.mul_f64(part));
            let pid = child.id().to_string();
            // It may have ended by itself.
            let _ = quiet(Command::new("kill").args(["-s", "TERM", &pid])).status();
            let status = child.wait().unwrap();
            let what = format!("{}, asked to end after {part:.3} of its time: {status}", kind.name);
            // Before it listens, the request itself ends it.
            let ended = matches!(status.code(), Some(0 | 1 | 143)) || status.signal() == Some(15);
            assert!(ended, "{what}");
            let old = if is_there { files(kind.old.path()) } else { Files::new() };
            let found = files(folder.path());
            assert!(old.keys().all(|file| found.contains_key(file)), "{what}: a file is gone");
            for (file, content) in &found {
                let is_known = [old.get(file), kind.new.get(file)].contains(&Some(content));
                assert!(is_known || can_be_read(&folder.path().join(file)), "{what}: {file}");
            }
            if status.code().is_some() {
                let names = fs::read_dir(folder.path()).unwrap();
                let parts = names
                    .filter(|name| {
                        let name = name.as_ref().unwrap().file_name();
                        name.to_string_lossy().starts_with(".stillwave-")
                    })
                    .count();
                assert_eq!(parts, 0, "{what}: parts are left");
            }
        }
    }
}

/// Whether a file is whole, as what its name says.
fn can_be_read(path: &Path) -> bool {
    let content = fs::read(path).unwrap();
    let ends = |end: &str| content.trim_ascii_end().ends_with(end.as_bytes());
    match path.extension().and_then(|ending| ending.to_str()) {
        Some("png") => content.windows(4).rev().take(16).any(|bytes| bytes == b"IEND"),
        Some("svg") => ends("</svg>"),
        Some("xml") => ends("</testsuites>"),
        Some("toml" | "rs") => content.ends_with(b"\n"),
        // Read with the other one.
        Some("sigmf-data") => path.with_extension("sigmf-meta").exists(),
        _ => {
            let words = ["scan", &path.display().to_string(), "--rate", "1", "--level", "1"];
            let status = quiet(Command::new(program()).args(words)).status().unwrap();
            status.code() == Some(0)
        }
    }
}

#[test]
fn whether_anybody_reads_what_is_printed_changes_neither_files_nor_status() {
    let given = given();
    for (name, line) in KINDS {
        let words = words(line, given.path(), false);
        let run = |is_read: bool| {
            let folder = TempDir::new().unwrap();
            let mut command = command(folder.path(), &words);
            let (reader, writer) = std::io::pipe().unwrap();
            let reader = is_read.then_some(reader);
            let mut child = command.stdout(writer).spawn().unwrap();
            drop(command);
            if let Some(mut reader) = reader {
                std::io::copy(&mut reader, &mut std::io::sink()).unwrap();
            }
            (child.wait().unwrap().code(), files(folder.path()))
        };
        let (read, unread) = (run(true), run(false));
        assert_eq!(read.0, unread.0, "{name}");
        // Which records a live run has depends on when it begins.
        let is_alike =
            if name == "live records" { !unread.1.is_empty() } else { read.1 == unread.1 };
        assert!(is_alike, "{name}: files are others");
    }
}

/// What only prints, and ends at once where nobody reads that.
#[test]
fn printing_alone_ends_with_its_reader() {
    let given = given();
    for line in ["scan RAW --level 2000", "measure RAW TRIGGER --post 100sa", "suggest RAW"] {
        let mut words = words(line, given.path(), false);
        words.retain(|word| word != "--overwrite");
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let output = command(given.path(), &words)
            .stdout(writer)
            .stderr(Stdio::piped())
            .spawn()
            .and_then(std::process::Child::wait_with_output)
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{line}");
        assert!(!String::from_utf8_lossy(&output.stderr).contains("error"), "{line}");
    }
}

/// What gives a file a name, or takes one.
const CALLS: &str = "rename,renameat,renameat2,link,linkat,unlink,unlinkat";

/// Runs each kind of output that has `of` in its name under strace with that injection, for its
/// first, second … call until it succeeds; holds what each run leaves.
fn at_every_call(of: &str, calls: &str, injection: impl Fn(u32) -> String, most: u32, what: &str) {
    if !other::is_there("strace", what) {
        return;
    }
    let given = given();
    for kind in KINDS.into_iter().filter(|(name, _)| name.contains(of)) {
        let kind = Kind::of(kind, given.path());
        for is_there in [false, true] {
            for call in 1..=most {
                let folder = kind.folder(is_there);
                let status = quiet(&mut Command::new("strace"))
                    .current_dir(folder.path())
                    .args(["-f", "-qq", "-o", "/dev/null", "-e", &format!("trace={calls}"), "-e"])
                    .arg(format!("inject={calls}:{}", injection(call)))
                    .arg(program())
                    .args(&kind.words)
                    .status()
                    .unwrap();
                if matches!(status.code(), Some(0 | 1)) {
                    assert!(call > 1, "{}: {what} never came", kind.name);
                    break;
                }
                kind.hold(folder.path(), is_there, &format!("{what} {call}"));
            }
        }
    }
}

#[test]
fn a_kill_at_any_change_of_a_name_leaves_files_whole() {
    // One record more is the same again.
    let kill = |call| format!("signal=KILL:when={call}");
    at_every_call("", CALLS, kill, 11, "killed at change of a name");
}

#[test]
fn a_disk_that_is_full_leaves_two_files_as_one() {
    let full = |call| format!("error=ENOSPC:when={call}+");
    at_every_call("SigMF", "write", full, 40, "full from write");
}

#[test]
fn a_name_that_is_refused_leaves_two_files_as_one() {
    let names = "rename,renameat,renameat2,link,linkat";
    at_every_call("SigMF", names, |call| format!("error=EIO:when={call}"), 11, "refused name");
}
