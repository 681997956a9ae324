use super::*;
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
