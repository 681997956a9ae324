//! `live --scpi`: who may reach it, and lines of any kind over TCP. `tools/scpi` drives it as
//! programs for instruments do.

mod program;

use program::program;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use std::{fs, thread};

use stillwave_app::Settings;
use stillwave_link::{Encoder, FromBoard, Hello, LONGEST_FRAME};

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// The program, played a square wave of 100 Hz, 0 and 2 V, at 10 kS/s.
struct Server {
    program: Child,
    address: String,
    folder: PathBuf,
}

impl Server {
    fn new(name: &str, seconds: usize, options: &[&str]) -> Self {
        let folder = folder(name);
        let file = folder.join("square.u16le");
        let code = |i: usize| if i % 100 < 50 { 3_000_u16 } else { 1_000 };
        let bytes: Vec<u8> = (0..seconds * 10_000).flat_map(|i| code(i).to_le_bytes()).collect();
        fs::write(&file, bytes).unwrap();
        let play = ["--sample-type", "u16le", "--rate", "10kS/s", "--play", "square.u16le"];
        Self::with(folder, &[&play, options].concat())
    }

    fn with(folder: PathBuf, options: &[&str]) -> Self {
        let mut command = Command::new(program());
        command.args(["live", "--headless", "--scpi", "127.0.0.1:0"]).args(options);
        command.current_dir(&folder).stdout(Stdio::null()).stderr(Stdio::piped());
        let mut program = command.spawn().unwrap();
        let mut line = String::new();
        BufReader::new(program.stderr.as_mut().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("note: SCPI at ").expect(&line).to_owned();
        Self { program, address, folder }
    }

    fn talk(&self) -> Talk {
        let stream = TcpStream::connect(&self.address).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
        Talk(BufReader::new(stream))
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
        let _ = fs::remove_dir_all(&self.folder);
    }
}

struct Talk(BufReader<TcpStream>);

impl Talk {
    fn say(&mut self, bytes: &[u8]) {
        self.0.get_mut().write_all(bytes).unwrap();
    }

    fn line(&mut self) -> String {
        let mut line = String::new();
        self.0.read_line(&mut line).unwrap();
        line.trim_end().to_owned()
    }

    fn ask(&mut self, message: &str) -> String {
        self.say(format!("{message}\n").as_bytes());
        self.line()
    }
}

#[test]
fn lines_of_any_kind_over_tcp() {
    let server = Server::new("scpi-lines", 30, &[]);
    let mut talk = server.talk();
    // Several messages in one go, and one in parts.
    talk.say(b"*IDN?\nTRIG:LEV?\r\n*ESR?;*OPC?\n");
    assert!(talk.line().starts_with("Stillwave,"));
    assert_eq!((talk.line(), talk.line()), ("32.768".to_owned(), "0;1".to_owned()));
    for part in ["TRIG:LE", "V 2", ".0\nTRI", "G:LEV", "?\n"] {
        talk.say(part.as_bytes());
        thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(talk.line(), "2");
    talk.say(b"SWE:TIME 40 ms\n");
    assert_eq!(talk.ask("MEAS:FREQ?"), "1.00000000E+02");
    assert_eq!(talk.ask("FETC:VOLT:AMPL?;HIGH?"), "2.00000000E+00;3.00000000E+00");

    // A megabyte without an end, and bytes that mean nothing.
    talk.say(&vec![b'x'; 1 << 20]);
    talk.say(b"\n\x00\xFF\xFE;;\n\n;\n");
    let error = "-363,\"Input buffer overrun\"";
    assert_eq!(talk.ask("SYST:ERR?"), error);
    assert_eq!(talk.ask("SYST:ERR?"), "-101,\"Invalid character\"");
    assert_eq!(talk.ask("SYST:ERR?"), "0,\"No error\"");

    // One that waits for what never comes, and goes, is no burden to the others.
    let mut waits = server.talk();
    assert_eq!(waits.ask("*RST;:TRIG:LEV 60;:INIT;*ESR?"), "0");
    waits.say(b"*OPC?\n");
    drop(waits);
    assert_eq!(talk.ask("TRIG:LEV 2;:SWE:TIME 40 ms;:MEAS:FREQ?"), "1.00000000E+02");
    // What nobody asked for is not written.
    assert_eq!(fs::read_dir(&server.folder).unwrap().count(), 1);
}

#[test]
fn a_program_that_says_no_more_gets_its_answers() {
    let server = Server::new("scpi-half", 30, &[]);
    let mut talk = server.talk();
    talk.say(b"TRIG:LEV 2;:SWE:TIME 40 ms\nMEAS:FREQ?\nSYST:ERR?\n");
    talk.0.get_mut().shutdown(Shutdown::Write).unwrap();
    assert_eq!(talk.line(), "1.00000000E+02");
    assert_eq!(talk.line(), "0,\"No error\"");
}

#[test]
fn a_board_that_is_away_is_said_to_be() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = format!("tcp://{}", listener.local_addr().unwrap());
    let server = Server::with(folder("scpi-away"), &[&port]);
    let (mut board, _) = listener.accept().unwrap();
    let mut encoder = Encoder::default();
    let hello = Hello { rate: 1, highest: 9, longest: 100, volts_per_count: 1.0, zero: 0.0 };
    let settings = Settings::DEFAULT;
    for message in [FromBoard::Hello(hello), FromBoard::Settings { settings, running: true }] {
        board.write_all(encoder.encode(&message, &mut [0; LONGEST_FRAME])).unwrap();
    }
    let mut talk = server.talk();
    assert_eq!(talk.ask("TRIG:LEV 1;LEV?"), "1");
    drop((board, listener));
    thread::sleep(Duration::from_millis(500));
    assert_eq!(talk.ask("TRIG:LEV 2;:SYST:ERR?"), "-241,\"Hardware missing\"");
    // What it had not confirmed went with it.
    assert_eq!(talk.ask("TRIG:LEV?;:SYST:ERR?"), "0;0,\"No error\"");
}

#[test]
fn more_programs_than_there_is_room_for_are_sent_away() {
    let server = Server::new("scpi-many", 30, &[]);
    let mut talks: Vec<Talk> = (0..16).map(|_| server.talk()).collect();
    for talk in &mut talks {
        assert_eq!(talk.ask("*TST?"), "0");
    }
    let mut rest = String::new();
    server.talk().0.read_to_string(&mut rest).unwrap();
    let refused = "refused: 16 programs are connected, and none has been silent for 60 s\n";
    assert_eq!(rest, refused);
    talks.pop();
    thread::sleep(Duration::from_millis(200));
    assert_eq!(server.talk().ask("*TST?"), "0");
}

/// As a page from anywhere can have a browser do.
#[test]
fn a_web_page_turns_no_knob() {
    let server = Server::new("scpi-page", 30, &[]);
    let mut talk = server.talk();
    assert_eq!(talk.ask("TRIG:LEV 1.5;:TRIG:LEV?"), "1.5");
    for head in ["POST / HTTP/1.1\r\nContent-Type: text/plain\r\n", "x\r\nHost: 127.0.0.1\r\n"] {
        let mut page = server.talk();
        // It may be sent away before it has said all.
        let _ = page.0.get_mut().write_all(format!("{head}\r\nTRIG:LEV 0.25\r\n").as_bytes());
        let _ = page.0.read_to_end(&mut Vec::new());
    }
    assert_eq!(talk.ask("TRIG:LEV?"), "1.5");
}

#[test]
fn it_ends_with_the_recording_and_writes_what_is_wanted() {
    let mut server = Server::new("scpi-end", 2, &["--out", "kept", "--save-as", "npy"]);
    let mut talk = server.talk();
    assert_eq!(talk.ask("TRIG:LEV 2;:SWE:TIME 40 ms;:MEAS:FREQ?"), "1.00000000E+02");
    talk.say(b"*RST;:TRIG:LEV 60;:INIT;*OPC?\n");
    assert_eq!(talk.line(), "");
    assert!(server.program.wait().unwrap().success());
    assert!(fs::read_dir(&server.folder).unwrap().count() >= 2);
}

#[test]
fn other_computers_do_not_reach_it() {
    let folder = folder("scpi-who");
    let file = folder.join("none.u8");
    fs::write(&file, [0; 100]).unwrap();
    let run = |address: &str, more: &[&str]| {
        let mut command = Command::new(program());
        command.args(["live", "--headless", "--sample-type", "u8", "--rate", "1kS/s", "--play"]);
        let output = command.arg(&file).args(["--scpi", address]).args(more).output().unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    for address in ["0.0.0.0:0", "[::]:0", "192.0.2.1:5025"] {
        let (status, said) = run(address, &[]);
        assert_eq!(status, Some(2), "{address}");
        assert!(said.contains("add --scpi-anywhere"), "{said}");
    }
    let (status, said) = run("0.0.0.0:0", &["--scpi-anywhere"]);
    assert_eq!(status, Some(0), "{said}");
    for address in ["nonsense", "127.0.0.1", "127.0.0.1:99999"] {
        let (status, said) = run(address, &[]);
        assert_eq!(status, Some(2), "{address}: {said}");
        assert!(said.contains(&format!("--scpi {address}")), "{said}");
    }
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let (status, said) = run(&taken.local_addr().unwrap().to_string(), &[]);
    assert_eq!(status, Some(2));
    assert!(said.contains("in use"), "{said}");
    fs::remove_dir_all(&folder).unwrap();
}
