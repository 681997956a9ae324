//! A computer's end of the link: bytes from a line, and frames that are sound but say anything.

#![no_main]

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use serde::ser::{Serialize, SerializeTuple, Serializer};
use stillwave_cli::live::{News, heard};
use stillwave_link::{Assembler, Encoder, FromBoard, LONGEST_FRAME, Receiver, RecordHead};

#[derive(Arbitrary, Debug)]
enum Piece {
    /// As it stands.
    Bytes(Vec<u8>),
    /// A message of these bytes, in a frame with the right CRC.
    Framed(Vec<u8>),
    /// A message that a board might send, at a wrong moment.
    Head {
        number: u8,
        len: u8,
    },
    Samples {
        number: u8,
        first: u8,
        bytes: Vec<u8>,
    },
    /// The line breaks and is there again.
    Break,
}

/// Bytes that are a message as they are.
struct Plain<'a>(&'a [u8]);

impl Serialize for Plain<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut tuple = serializer.serialize_tuple(self.0.len())?;
        self.0.iter().try_for_each(|byte| tuple.serialize_element(byte))?;
        tuple.end()
    }
}

fn encoded(encoder: &mut Encoder, message: &impl Serialize) -> Vec<u8> {
    encoder.encode(message, &mut [0; LONGEST_FRAME]).to_vec()
}

fuzz_target!(|pieces: Vec<Piece>| {
    let (mut encoder, mut receiver) = (Encoder::default(), Receiver::default());
    let mut assembler = Assembler::new(Vec::new());
    let (mut zeros, mut records, mut found) = (0, 0, 0);
    for piece in pieces {
        let bytes = match piece {
            Piece::Bytes(bytes) => bytes,
            Piece::Framed(message) => encoded(&mut encoder, &Plain(&message)),
            Piece::Head { number, len } => {
                let (number, len) = (number.into(), len.into());
                let head = RecordHead { number, len, start: 0, event: None };
                encoded(&mut encoder, &FromBoard::Record(head))
            }
            Piece::Samples { number, first, bytes } => {
                let (number, first, bytes) = (number.into(), first.into(), &bytes[..]);
                encoded(&mut encoder, &FromBoard::Samples { number, first, bytes })
            }
            Piece::Break => {
                receiver.restart();
                assembler.break_off();
                continue;
            }
        };
        for byte in bytes {
            zeros += u64::from(byte == 0);
            let Some(message) = receiver.push::<FromBoard>(byte) else { continue };
            found += 1;
            same_again(&message);
            if let Some(News::Record(head, samples)) = heard(&mut assembler, &message) {
                assert_eq!(samples.len(), head.len as usize);
                records += 1;
            }
        }
    }
    let received = receiver.received();
    assert_eq!((assembler.whole(), received.frames), (records, found));
    assert!(received.frames + received.damaged <= zeros);
});

/// What was understood is understood again when it is sent on.
fn same_again(message: &FromBoard<'_>) {
    let sent = encoded(&mut Encoder::default(), message);
    let mut receiver = Receiver::default();
    let mut read = false;
    for &byte in &sent {
        if let Some(again) = receiver.push::<FromBoard>(byte) {
            // By its bytes: a number that is none is not even equal to itself.
            assert_eq!(encoded(&mut Encoder::default(), &again), sent);
            read = true;
        }
    }
    assert!(read, "{message:?}");
}
