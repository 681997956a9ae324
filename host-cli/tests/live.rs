//! `live`: recordings played as a board would send them, a board that goes and comes back, and the
//! screen in a terminal.

#[path = "program/other.rs"]
mod other;
mod program;

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Duration;
use std::{fs, thread};

use program::program;
use stillwave_app::Settings;
use stillwave_link::{
    Counters, Encoder, EventAt, FromBoard, Hello, LONGEST_FRAME, Receiver, RecordHead, ToBoard,
};

const SCALE: [&str; 6] = ["--bits", "12", "--vref", "3.3V", "--zero", "2048"];
const RAW: [&str; 4] = ["--sample-type", "u16le", "--rate", "500kS/s"];

fn stillwave() -> Command {
    Command::new(program())
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// Seconds of a sine of 1 kHz with some unrest, of 12 bits.
fn sine(folder: &Path, seconds: u64) -> PathBuf {
    sine_around(2_048, folder, seconds)
}

/// The same around another code; negative ones are of signed samples.
fn sine_around(middle: i16, folder: &Path, seconds: u64) -> PathBuf {
    let file = folder.join("sine.raw");
    let code = |i: u64| {
        let phase = i as f64 / 500.0 * std::f64::consts::TAU;
        (2_048.0 + 1_000.0 * phase.sin()) as i16 + (i % 7) as i16 - 2_048 + middle
    };
    let bytes: Vec<u8> = (0..seconds * 500_000).flat_map(|i| code(i).to_le_bytes()).collect();
    fs::write(&file, bytes).unwrap();
    file
}

fn succeed(command: &mut Command) -> Output {
    let output = command.output().unwrap();
    assert!(output.status.success(), "{command:?}: {}", text(&output.stderr));
    output
}

#[test]
fn a_recording_played_gives_the_events_that_scan_finds() {
    plays_as_scanned("live-play", 2_048, &[&RAW[..], &SCALE].concat());
}

#[test]
fn a_signed_recording_begins_at_its_lowest_code() {
    let signed = ["--sample-type", "i16le", "--rate", "500kS/s", "--bits", "12", "--vref", "3.3V"];
    plays_as_scanned("live-signed", 0, &signed);
}

fn plays_as_scanned(name: &str, middle: i16, is: &[&str]) {
    let folder = folder(name);
    let file = sine_around(middle, &folder, 2);
    let played = succeed(
        stillwave()
            .args(["live", "--headless", "--play"])
            .arg(&file)
            .args(is)
            .arg("--out")
            .arg(folder.join("record")),
    );
    let level = ["--level", "0V", "--hysteresis", "200mV", "--format", "json"];
    let scanned = succeed(stillwave().arg("scan").arg(&file).args(is).args(level));
    let (found, wanted) = (text(&played.stdout), text(&scanned.stdout));
    // It begins with whatever comes first once the events are asked for.
    let begins = found.lines().next().expect("events");
    let wanted: Vec<&str> = wanted.lines().skip_while(|line| *line != begins).collect();
    assert!(wanted.len() > 1_500, "{} events", wanted.len());
    assert_eq!(found.lines().collect::<Vec<_>>(), wanted);
    let said = text(&played.stderr);
    assert!(
        said.contains(" 0 missing, 0 damaged, 0 records broken; on the board 0 overruns"),
        "{said}"
    );
    assert!(said.contains(" events have none); "), "{said}");
    // Eight divisions of a millisecond, and a sample more on either side.
    let record = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path());
    let mut records: Vec<_> =
        record.filter(|path| path.extension().is_some_and(|end| end == "csv")).collect();
    records.sort();
    // Not all come, but numbers have no gaps.
    let numbered = (1..=records.len()).map(|n| folder.join(format!("record-{n:04}.csv")));
    assert_eq!(records, numbered.collect::<Vec<_>>());
    let record = fs::read_to_string(records.first().expect("a record")).unwrap();
    let samples = record.lines().filter(|line| !line.starts_with('#')).count();
    assert!((4_002..=4_004).contains(&samples), "{samples} lines");
}

#[test]
fn a_time_beyond_all_clocks_is_no_end() {
    let folder = folder("live-long");
    let file = sine(&folder, 1);
    for time in ["1e19s", "1e300s"] {
        let mut live = stillwave();
        live.args(["live", "--headless", "--overwrite", "--time", time, "--play"]).arg(&file);
        succeed(live.args(RAW).args(SCALE).current_dir(&folder).args(["--records", "1"]));
    }
}

/// Changes a byte, and not to the 0 that would make two frames of one.
#[expect(clippy::ptr_arg, reason = "one of several that may also clear it")]
fn damage(frame: &mut Vec<u8>) {
    frame[5] = if frame[5] == 0x55 { 0x56 } else { 0x55 };
}

#[test]
fn a_board_that_goes_and_comes_back() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let board = thread::spawn(move || {
        let hello =
            Hello { rate: 1_000, highest: 4_095, longest: 8, volts_per_count: 0.001, zero: 0.0 };
        for round in 0..2_u32 {
            let (mut stream, _) = listener.accept().unwrap();
            let mut encoder = Encoder::default();
            let mut say = |message: &FromBoard<'_>, change: fn(&mut Vec<u8>)| {
                let mut frame = encoder.encode(message, &mut [0; LONGEST_FRAME]).to_vec();
                change(&mut frame);
                stream.write_all(&frame).unwrap();
            };
            let event = EventAt { position: 100, lead: 0x8000, rising: true };
            let head = RecordHead { number: round, len: 2, start: 99, event: Some(event) };
            say(&FromBoard::Hello(hello), |_| {});
            say(&FromBoard::Event(event), |_| {});
            say(&FromBoard::Event(event), Vec::clear);
            say(&FromBoard::Event(event), damage);
            say(&FromBoard::Record(head), |_| {});
            // Of the first round's record a part is damaged.
            let change: fn(&mut Vec<u8>) = if round == 0 { damage } else { |_| {} };
            let number = round;
            say(&FromBoard::Samples { number, first: 0, bytes: &[1, 2, 3, 4] }, change);
            say(&FromBoard::Hello(hello), |_| {});
            stream.set_read_timeout(Some(Duration::from_millis(500))).unwrap();
            let mut orders = Vec::new();
            let _ = stream.read_to_end(&mut orders);
            assert!(orders.len() > 20, "orders come");
        }
    });
    let folder = folder("live-tcp");
    let output = succeed(
        stillwave()
            .args(["live", &format!("tcp://{address}"), "--headless", "--records", "1"])
            .args(["--save-as", "npy", "--time", "20s", "--out"])
            .arg(folder.join("r")),
    );
    board.join().unwrap();
    let event = r#"{"position":100,"crossing":99.5,"time":0.0995,"kind":"edge","slope":"rising"}"#;
    assert_eq!(text(&output.stdout), format!("{event}\n{event}\n"));
    let said = text(&output.stderr);
    assert!(said.contains("it was closed") && said.contains("connected again"), "{said}");
    // An event that never came and one damaged in each round, and a part of the first record.
    assert!(said.contains("5 missing, 3 damaged, 1 records broken"), "{said}");
    let files: Vec<_> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    let [file] = files.as_slice() else { panic!("{files:?}") };
    let npy = fs::read(file).unwrap();
    assert!(npy.ends_with(&[1, 2, 3, 4]));
}

/// A board that a program has connected to.
struct Met {
    stream: TcpStream,
    encoder: Encoder,
    receiver: Receiver,
}

impl Met {
    fn by(listener: &TcpListener) -> Self {
        let (stream, _) = listener.accept().unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        Self { stream, encoder: Encoder::default(), receiver: Receiver::default() }
    }

    fn say(&mut self, message: &FromBoard<'_>) {
        let frame = self.encoder.encode(message, &mut [0; LONGEST_FRAME]).to_vec();
        self.stream.write_all(&frame).unwrap();
    }

    /// Orders up to the first `last`.
    fn orders(&mut self, last: ToBoard) -> Vec<ToBoard> {
        let mut orders = Vec::new();
        while orders.last() != Some(&last) {
            let mut byte = [0];
            self.stream.read_exact(&mut byte).expect("an order");
            orders.extend(self.receiver.push::<ToBoard>(byte[0]));
        }
        orders
    }
}

#[test]
fn a_board_is_asked_again_for_what_was_lost() {
    const HELLO: Hello =
        Hello { rate: 1_000, highest: 4_095, longest: 8, volts_per_count: 0.001, zero: 0.0 };
    const SET: FromBoard<'_> = FromBoard::Settings { settings: Settings::DEFAULT, running: false };
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let board = thread::spawn(move || {
        let mut board = Met::by(&listener);
        // What the line said before anyone spoke does not cost the first order.
        assert_eq!(board.receiver.push::<ToBoard>(0x55), None);
        let wanted = [ToBoard::Records(true), ToBoard::Events(true)];
        let meets = |board: &mut Met| {
            board.say(&FromBoard::Hello(HELLO));
            assert_eq!(board.orders(ToBoard::Events(true)), wanted);
            board.say(&SET);
        };
        assert_eq!(board.orders(ToBoard::Hello), [ToBoard::Hello]);
        meets(&mut board);
        board.encoder.encode(&SET, &mut [0; LONGEST_FRAME]);
        board.say(&FromBoard::Counters(Counters::default()));
        assert_eq!(board.orders(ToBoard::Hello), [ToBoard::Hello], "what is set was lost");
        meets(&mut board);
        // One that begins anew on a line that stays has forgotten what is wanted of it.
        board.encoder = Encoder::default();
        meets(&mut board);
        // Then nothing, without closing the line; and one that answers, and says nothing either.
        drop(listener.accept().unwrap());
        let mut again = Met::by(&listener);
        assert_eq!(again.orders(ToBoard::Hello), [ToBoard::Hello]);
        let head = RecordHead { number: 0, len: 1, start: 99, event: None };
        again.say(&FromBoard::Hello(HELLO));
        again.say(&FromBoard::Record(head));
        again.say(&FromBoard::Samples { number: 0, first: 0, bytes: &[1, 2] });
        let _ = again.stream.read_to_end(&mut Vec::new());
    });
    let folder = folder("live-lost");
    let mut live = stillwave();
    live.args(["live", &format!("tcp://{address}"), "--headless", "--records", "1"]);
    let output = succeed(live.args(["--time", "20s"]).current_dir(&folder));
    board.join().unwrap();
    let said = text(&output.stderr);
    assert!(said.contains("it says nothing any more"), "{said}");
    assert_eq!(said.matches("connected again").count(), 1, "{said}");
    assert!(!said.contains("it was closed"), "{said}");
}

#[test]
fn what_cannot_be_done_is_said() {
    let folder = folder("live-bad");
    let wide = folder.join("wide.f32le");
    fs::write(&wide, [0; 64]).unwrap();
    let gone = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
    let cases: [(&[&str], &str); 4] = [
        (&["tcp://127.0.0.1:9", "--headless", "--time", "5sa"], "--time is in samples"),
        (&[&format!("tcp://{gone}"), "--headless"], "cannot be reached"),
        (&["/dev/no-such-port", "--headless"], "/dev/no-such-port: cannot be reached"),
        (
            &[
                "--headless",
                "--play",
                wide.to_str().unwrap(),
                "--sample-type",
                "f32le",
                "--rate",
                "1000",
            ],
            "give a recording of 8- or 16-bit integers",
        ),
    ];
    for (options, message) in cases {
        let output = stillwave().arg("live").args(options).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{options:?}");
        let said = text(&output.stderr);
        assert!(said.contains(message), "{options:?}: {said}");
    }
    let file = sine(&folder, 1);
    let output = stillwave().args(["live", "--play"]).arg(file).args(RAW).output().unwrap();
    assert!(text(&output.stderr).contains("this is none; add --headless"));
}

/// A terminal that runs the screen, by tmux; ended with the test.
struct Terminal {
    socket: String,
}

impl Terminal {
    fn tmux(&self, arguments: &[&str]) -> String {
        let output =
            Command::new("tmux").args(["-L", &self.socket]).args(arguments).output().unwrap();
        text(&output.stdout)
    }

    fn screen(&self) -> String {
        self.tmux(&["capture-pane", "-p", "-t", "live"])
    }

    /// Presses a key, and waits for the screen to show what it should.
    fn press(&self, key: &str, shows: &str) -> String {
        if !key.is_empty() {
            self.tmux(&["send-keys", "-t", "live", key]);
        }
        for _ in 0..200 {
            let screen = self.screen();
            if screen.contains(shows) {
                return screen;
            }
            thread::sleep(Duration::from_millis(50));
        }
        panic!("after {key}: no {shows:?} in\n{}", self.screen());
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        self.tmux(&["kill-server"]);
    }
}

#[test]
fn the_screen_in_a_terminal() {
    if !other::is_there("tmux", "the screen in a terminal") {
        return;
    }
    let folder = folder("live-screen");
    let file = sine(&folder, 60);
    let terminal = Terminal { socket: format!("stillwave-{}", std::process::id()) };
    let program = program().into_string().unwrap();
    let live = format!(
        "{program} live --play {} {} {} --out {}; sleep 60",
        file.display(),
        RAW.join(" "),
        SCALE.join(" "),
        folder.join("kept").display()
    );
    // One session more, so that the others end without their server.
    terminal.tmux(&["new-session", "-d", "-s", "idle", "sleep 600"]);
    let new = |columns, rows, live: &str| {
        terminal.tmux(&["kill-session", "-t", "live"]);
        terminal.tmux(&["new-session", "-d", "-s", "live", "-x", columns, "-y", rows, live]);
    };
    new("100", "30", &live);
    let first = terminal.press("", "1.000 kHz");
    for label in
        ["auto, running", "level", "time/div", "volts/div", "overruns", "0 missing", "q quit", "▼"]
    {
        assert!(first.contains(label), "no {label} in\n{first}");
    }
    // A tenth of a division of 1 V: of five, they show what the converter can say.
    assert!(first.contains("volts/div  1.00 V"), "{first}");
    terminal.press("Up", "100 mV rising");
    terminal.press("Down", "0.00 V rising");
    terminal.press("s", "falling");
    terminal.press("s", "either");
    terminal.press("s", "rising");
    terminal.press("a", "500 mV");
    let set_up = terminal.press("", "500 µs");
    assert!(set_up.contains("amplitude"), "{set_up}");
    terminal.press("]", "10.0 µs");
    terminal.press("[", "holdoff    0.00 s");
    terminal.press("Right", "1.00 ms");
    terminal.press("Space", "stopped");
    // One of an earlier session is kept.
    fs::write(folder.join("kept-0001.csv"), "").unwrap();
    terminal.press("w", "kept-0002.csv written");
    assert!(fs::read_dir(&folder).unwrap().count() == 3);
    terminal.press("m", "normal, running");
    terminal.press("m", "stopped");
    terminal.tmux(&["send-keys", "-t", "live", "q"]);
    thread::sleep(Duration::from_millis(500));
    assert!(!terminal.screen().contains("volts/div"));

    // At the end of a short one nothing is left to be set.
    let brief = folder.join("brief");
    fs::create_dir(&brief).unwrap();
    let short = format!(
        "{program} live --play {} {} {}; sleep 60",
        sine(&brief, 1).display(),
        RAW.join(" "),
        SCALE.join(" ")
    );
    new("60", "24", &short);
    let narrow = terminal.press("", "space run");
    for label in ["PgUp PgDn position", "a auto set-up", "q quit", "busy"] {
        assert!(narrow.contains(label), "no {label} in\n{narrow}");
    }
    let ended = terminal.press("", "the recording · it has ended");
    assert!(ended.contains("its last picture") && !ended.contains("s slope"), "{ended}");
    // All of them are told, up to the last.
    assert!(ended.contains("999 events"), "{ended}");
    // Where nothing says what its counts are, it is set up by what comes, and all of the advice shows.
    let unscaled = format!("{program} live --play {} {}; sleep 60", file.display(), RAW.join(" "));
    new("80", "24", &unscaled);
    let unscaled = terminal.press("", "1.000 kHz");
    assert!(unscaled.replace('\n', " ").contains("1 mV: add --bits and --vref"), "{unscaled}");

    // Little room: the values are beneath, and how to quit is there. Much: no gaps in the trace.
    new("40", "12", &live);
    let small = terminal.press("", "1.000 kHz");
    for label in ["level 0.00 V rising", "1.00 ms/div", "q quit", "auto, running", "▼"] {
        assert!(small.contains(label), "no {label} in\n{small}");
    }
    new("220", "60", &live);
    let large = terminal.press("", "1.000 kHz");
    let dots = |at: usize| {
        let column = |line: &str| line.chars().nth(at).is_some_and(|c| ('⠁'..='⣿').contains(&c));
        large.lines().any(column)
    };
    let gaps: Vec<usize> = (2..188).filter(|&at| !dots(at)).collect();
    assert!(gaps.is_empty(), "nothing in columns {gaps:?} of\n{large}");
    let stopped = terminal.press("Space", "stopped");
    assert!(stopped.contains("events (still counted)"), "{stopped}");

    // A minute of samples is not left behind.
    fs::remove_dir_all(&folder).unwrap();
}
