//! `live` on a serial port: one end of a pseudo terminal, which is unplugged and plugged in again.
#![cfg(unix)]

mod program;

use std::io::{ErrorKind, Read, Write};
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{fs, thread};

use program::program;
use serialport::{SerialPort, TTYPort};
use stillwave_link::{
    Encoder, EventAt, FromBoard, Hello, LONGEST_FRAME, Receiver, RecordHead, ToBoard,
};

/// A board behind a port that has a name for as long as it is plugged in.
struct Plugged {
    board: TTYPort,
    name: PathBuf,
    encoder: Encoder,
    receiver: Receiver,
}

impl Plugged {
    fn new(name: &Path) -> Self {
        let (mut board, port) = TTYPort::pair().unwrap();
        board.set_timeout(Duration::from_millis(50)).unwrap();
        symlink(port.name().expect("a name"), name).unwrap();
        let name = name.to_owned();
        // The port is the program's now.
        Self { board, name, encoder: Encoder::default(), receiver: Receiver::default() }
    }

    fn say(&mut self, message: &FromBoard<'_>) {
        let mut frame = [0; LONGEST_FRAME];
        let frame = self.encoder.encode(message, &mut frame);
        self.board.write_all(frame).unwrap();
    }

    /// Numbers a frame that is not sent.
    fn lose(&mut self, message: &FromBoard<'_>) {
        self.encoder.encode(message, &mut [0; LONGEST_FRAME]);
    }

    /// Orders, up to the first `last`.
    fn orders(&mut self, last: ToBoard) -> Vec<ToBoard> {
        let (mut orders, began) = (Vec::new(), Instant::now());
        while orders.last() != Some(&last) {
            assert!(began.elapsed() < Duration::from_secs(20), "{orders:?}, and no {last:?}");
            let mut byte = [0];
            match self.board.read(&mut byte) {
                Ok(_) => orders.extend(self.receiver.push::<ToBoard>(byte[0])),
                // Nobody has the other end open yet, or nobody speaks.
                Err(error) if error.kind() == ErrorKind::TimedOut => {}
                Err(_) => thread::sleep(Duration::from_millis(10)),
            }
        }
        orders
    }

    fn record(&mut self, number: u32, samples: &[u16]) {
        let event = EventAt { position: 1_001, lead: 0x8000, rising: true };
        let len = samples.len() as u32;
        self.say(&FromBoard::Event(event));
        self.say(&FromBoard::Record(RecordHead { number, len, start: 1_000, event: Some(event) }));
        for (index, samples) in samples.chunks(100).enumerate() {
            let bytes: Vec<u8> = samples.iter().flat_map(|x| x.to_le_bytes()).collect();
            let first = 100 * index as u32;
            self.say(&FromBoard::Samples { number, first, bytes: &bytes });
        }
    }
}

impl Drop for Plugged {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.name);
    }
}

const HELLO: Hello =
    Hello { rate: 1_000, highest: 0xFFFF, longest: 4_096, volts_per_count: 0.001, zero: 0.0 };

fn live(folder: &Path, port: &Path) -> Child {
    // The board's end must not be the program's as well, which would keep it plugged in.
    let close = "exec 3<&- 4<&- 5<&- 6<&- 7<&- 8<&- 9<&-; exec \"$0\" \"$@\"";
    let mut command = Command::new("sh");
    command.args(["-c", close]).arg(program()).arg("live").arg(port).args([
        "--headless",
        "--records",
        "3",
        "--time",
        "60s",
    ]);
    command.args(["--save-as", "npy", "--out", "r"]).current_dir(folder);
    command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

#[test]
fn a_port_that_is_unplugged_and_plugged_in_again() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("live-serial");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    let port = folder.join("port");
    // Every byte that a terminal might take for itself: ends of lines, stop and go, interrupts.
    let samples: Vec<u16> = (0..=255).flat_map(|x| [x, x << 8, 0x0A0D, 0x1311, 0x037F]).collect();

    let mut board = Plugged::new(&port);
    let program = live(&folder, &port);
    let wanted = [ToBoard::Records(true), ToBoard::Events(true)];
    assert_eq!(board.orders(ToBoard::Hello), [ToBoard::Hello]);
    board.say(&FromBoard::Hello(HELLO));
    assert_eq!(board.orders(ToBoard::Events(true)), wanted);
    board.record(0, &samples);
    // Unplugged in the middle of a record, and away for a while.
    let head = RecordHead { number: 1, len: 2, start: 5, event: None };
    board.say(&FromBoard::Record(head));
    thread::sleep(Duration::from_millis(300));
    drop(board);
    thread::sleep(Duration::from_millis(1_500));

    // A board that was without power numbers its records anew.
    for round in 1..=2 {
        let mut board = Plugged::new(&port);
        assert_eq!(board.orders(ToBoard::Hello), [ToBoard::Hello], "round {round}");
        board.say(&FromBoard::Hello(HELLO));
        assert_eq!(board.orders(ToBoard::Events(true)), wanted, "round {round}");
        board.lose(&FromBoard::Hello(HELLO));
        board.record(0, &samples);
        thread::sleep(Duration::from_millis(300));
    }

    let output = program.wait_with_output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{said}");
    assert_eq!(said.matches("connected again").count(), 2, "{said}");
    assert!(said.contains("3 events, 3 records;"), "{said}");
    assert!(said.contains(" 2 missing, 0 damaged, 1 records broken;"), "{said}");
    assert_eq!(String::from_utf8(output.stdout).unwrap().lines().count(), 3);
    let bytes: Vec<u8> = samples.iter().flat_map(|x| x.to_le_bytes()).collect();
    let files: Vec<_> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert_eq!(files.len(), 3, "{files:?}");
    for file in files {
        assert!(fs::read(&file).unwrap().ends_with(&bytes), "{}", file.display());
    }
    fs::remove_dir_all(&folder).unwrap();
}
