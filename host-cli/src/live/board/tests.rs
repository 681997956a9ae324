use super::*;
use std::io::Write;
use std::net::{TcpListener, TcpStream};

fn listening() -> (TcpListener, Board) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let line = Line::named(&format!("tcp://{}", listener.local_addr().unwrap()));
    let board = Board::connect(line, true).unwrap();
    (listener, board)
}

#[test]
fn what_does_not_answer_holds_up_nothing() {
    let (listener, mut board) = listening();
    drop(listener.accept().unwrap());
    // Where calls wait to be taken there is room for so many; more are not answered.
    let address = listener.local_addr().unwrap();
    let call = || TcpStream::connect_timeout(&address, Duration::from_millis(200));
    let waiting: Vec<TcpStream> = (0..500).map_while(|_| call().ok()).collect();
    let began = Instant::now();
    while began.elapsed() < 2 * AGAIN {
        let before = Instant::now();
        board.poll();
        assert!(before.elapsed() < AGAIN, "{} calls wait", waiting.len());
    }
    assert!(!board.is_connected());
}

#[test]
fn a_board_is_counted_once_it_speaks() {
    let (listener, mut board) = listening();
    // What takes a call, says nothing and goes; twice.
    for _ in 0..2 {
        drop(listener.accept().unwrap());
        while board.connection.is_some() {
            board.poll();
        }
        board.next_try = Instant::now();
        while board.connection.is_none() {
            board.poll();
        }
    }
    assert_eq!((board.connections(), board.is_connected()), (0, false));
    let (mut stream, _) = listener.accept().unwrap();
    let counters = FromBoard::Counters(Counters::default());
    stream.write_all(Encoder::default().encode(&counters, &mut [0; LONGEST_FRAME])).unwrap();
    while board.connections() == 0 {
        board.poll();
    }
    assert_eq!((board.connections(), board.is_connected()), (1, true));
}

#[test]
fn hellos_are_due_until_they_come() {
    let (listener, mut board) = listening();
    let (mut stream, _) = listener.accept().unwrap();
    board.order(ToBoard::Hello);
    assert_eq!(board.hellos_due(), 2);
    let hello = Hello { rate: 1, highest: 9, longest: 1, volts_per_count: 1.0, zero: 0.0 };
    let hello = FromBoard::Hello(hello);
    stream.write_all(Encoder::default().encode(&hello, &mut [0; LONGEST_FRAME])).unwrap();
    while board.connections() == 0 {
        board.poll();
    }
    assert_eq!(board.hellos_due(), 1);
    // One that never comes is not waited for.
    std::thread::sleep(AGAIN);
    assert_eq!(board.hellos_due(), 0);
}
