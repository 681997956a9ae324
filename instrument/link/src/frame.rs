//! Frames: version, number, message, CRC; in COBS, ended by a 0.

use crc::{CRC_32_ISO_HDLC, Crc};
use serde::{Deserialize, Serialize};

use crate::message::CHUNK;

/// The version of the format; a frame of another is not read.
pub const VERSION: u8 = 1;

/// Before the message: the version and the frame's number (`u16`).
const HEAD: usize = 3;
/// After it: the CRC (`u32`).
const TAIL: usize = 4;
/// The longest message: a chunk of samples with three numbers of at most five bytes and a tag.
const LONGEST_MESSAGE: usize = 2 * CHUNK + 16;
const LONGEST_PLAIN: usize = HEAD + LONGEST_MESSAGE + TAIL;
/// Bytes of the longest frame: COBS adds one for every 254 begun, and the 0.
pub const LONGEST_FRAME: usize = LONGEST_PLAIN + LONGEST_PLAIN / 254 + 2;

/// CRC-32 as in IEEE 802.3 (from memory; check value 0xCBF43926 for "123456789").
static CRC: Crc<u32> = Crc::<u32>::new(&CRC_32_ISO_HDLC);

/// Makes frames, and numbers them.
#[derive(Clone, Debug, Default)]
pub struct Encoder {
    number: u16,
}

impl Encoder {
    /// The next frame. A number is used up whether or not the frame is then sent, so that the
    /// other end sees that it is missing.
    pub fn encode<'b>(
        &mut self,
        message: &impl Serialize,
        frame: &'b mut [u8; LONGEST_FRAME],
    ) -> &'b [u8] {
        let mut plain = [0; LONGEST_PLAIN];
        let number = self.number;
        self.number = number.wrapping_add(1);
        let len = fill(&mut plain, number, message).unwrap_or(0);
        let plain = plain.get(..len).unwrap_or_default();
        // The frame is long enough for the longest by its type.
        let len = cobs::encode(plain, frame);
        // The encoder may have written one byte more than it says.
        if let Some(end) = frame.get_mut(len) {
            *end = 0;
        }
        frame.get(..=len).unwrap_or_default()
    }
}

/// `None` where a message is longer than the longest: there is none such.
fn fill(plain: &mut [u8; LONGEST_PLAIN], number: u16, message: &impl Serialize) -> Option<usize> {
    let [low, high] = number.to_le_bytes();
    plain.get_mut(..HEAD)?.copy_from_slice(&[VERSION, low, high]);
    let room = plain.get_mut(HEAD..LONGEST_PLAIN - TAIL)?;
    let end = HEAD + postcard::to_slice(message, room).ok()?.len();
    let crc = CRC.checksum(plain.get(..end)?);
    plain.get_mut(end..end + TAIL)?.copy_from_slice(&crc.to_le_bytes());
    Some(end + TAIL)
}

/// What has come in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Received {
    /// Whole frames.
    pub frames: u64,
    /// Stretches between two zeros that were no frame: cut, damaged, of another version.
    pub damaged: u64,
    /// Frames that never came, by the numbers of those that did; damaged ones are among them.
    pub missing: u64,
}

/// Finds frames in bytes.
#[derive(Clone, Debug)]
pub struct Receiver {
    buffer: [u8; LONGEST_FRAME],
    len: usize,
    /// More came than the longest frame has: nothing is read up to the next 0.
    too_long: bool,
    next: Option<u16>,
    received: Received,
}

impl Default for Receiver {
    fn default() -> Self {
        Self {
            buffer: [0; LONGEST_FRAME],
            len: 0,
            too_long: false,
            next: None,
            received: Received::default(),
        }
    }
}

impl Receiver {
    /// Takes the next byte; gives the message of the frame that it ends.
    pub fn push<'a, M: Deserialize<'a>>(&'a mut self, byte: u8) -> Option<M> {
        if byte != 0 {
            match self.buffer.get_mut(self.len) {
                Some(place) => {
                    *place = byte;
                    self.len += 1;
                }
                None => self.too_long = true,
            }
            return None;
        }
        let (len, too_long) = (self.len, self.too_long);
        (self.len, self.too_long) = (0, false);
        // Zeros side by side: a sender may begin with one, to end what noise began.
        if len == 0 && !too_long {
            return None;
        }
        let Self { buffer, next, received, .. } = self;
        let stretch = if too_long { None } else { buffer.get_mut(..len) };
        let found = stretch.and_then(read);
        let Some((number, message)) = found else {
            received.damaged += 1;
            return None;
        };
        received.frames += 1;
        if let Some(expected) = *next {
            let gap = number.wrapping_sub(expected);
            // A number from behind: the other end has begun anew.
            received.missing += if gap < 1 << 15 { u64::from(gap) } else { 0 };
        }
        *next = Some(number.wrapping_add(1));
        Some(message)
    }

    /// What has come in so far.
    pub fn received(&self) -> Received {
        self.received
    }

    /// The other end begins anew: its numbers may jump.
    pub fn restart(&mut self) {
        (self.len, self.too_long, self.next) = (0, false, None);
    }
}

/// The number and the message of a stretch between two zeros; `None` where it is no frame.
fn read<'a, M: Deserialize<'a>>(stretch: &'a mut [u8]) -> Option<(u16, M)> {
    let len = cobs::decode_in_place(stretch).ok()?;
    let plain: &'a [u8] = stretch.get(..len)?;
    let (checked, crc) = plain.split_last_chunk::<TAIL>()?;
    if CRC.checksum(checked) != u32::from_le_bytes(*crc) {
        return None;
    }
    let (&[version, low, high], message) = checked.split_first_chunk::<HEAD>()?;
    if version != VERSION {
        return None;
    }
    let (message, rest) = postcard::take_from_bytes(message).ok()?;
    rest.is_empty().then_some((u16::from_le_bytes([low, high]), message))
}

#[cfg(test)]
mod tests {
    use super::{CRC, Encoder, LONGEST_FRAME, Received, Receiver};
    use crate::message::CHUNK;
    use crate::{FromBoard, ToBoard};

    #[test]
    fn the_crc_is_the_usual_one() {
        assert_eq!(CRC.checksum(b"123456789"), 0xCBF4_3926);
    }

    #[test]
    fn the_longest_message_fits_and_comes_back() {
        let bytes = [0xFF; 2 * CHUNK];
        let message = FromBoard::Samples { number: u32::MAX, first: u32::MAX, bytes: &bytes };
        let mut frame = [0; LONGEST_FRAME];
        let frame = Encoder::default().encode(&message, &mut frame).to_vec();
        assert!(frame.len() > 2 * CHUNK);
        let mut receiver = Receiver::default();
        let (last, before) = frame.split_last().unwrap();
        assert!(before.iter().all(|&byte| receiver.push::<FromBoard>(byte).is_none()));
        assert_eq!(receiver.push(*last), Some(message));
    }

    #[test]
    fn every_length_and_place_of_a_zero_comes_back() {
        let (mut encoder, mut receiver) = (Encoder::default(), Receiver::default());
        for len in 0..=2 * CHUNK {
            for zero in 0..=len {
                let mut bytes = [0xAA; 2 * CHUNK];
                bytes[zero.min(2 * CHUNK - 1)] = if zero < len { 0 } else { 0xAA };
                let message = FromBoard::Samples { number: 999, first: 999, bytes: &bytes[..len] };
                let mut frame = [0; LONGEST_FRAME];
                let found = encoder.encode(&message, &mut frame).iter().fold(0, |found, &byte| {
                    found + usize::from(receiver.push::<FromBoard>(byte) == Some(message))
                });
                assert_eq!(found, 1, "{len} bytes, a zero at {zero}");
            }
        }
    }

    #[test]
    fn losses_are_counted_and_the_next_frame_is_found() {
        let mut encoder = Encoder::default();
        let mut frames: Vec<Vec<u8>> = (0..6)
            .map(|_| encoder.encode(&ToBoard::Run, &mut [0; LONGEST_FRAME]).to_vec())
            .collect();
        frames[1].clear();
        frames[2][3] ^= 1;
        frames[4].truncate(3);
        let mut receiver = Receiver::default();
        let bytes = frames.concat();
        let found = bytes.iter().filter_map(|&byte| receiver.push::<ToBoard>(byte)).count();
        // The fifth, cut, has taken the sixth with it.
        assert_eq!(found, 2);
        assert_eq!(receiver.received(), Received { frames: 2, damaged: 2, missing: 2 });
        let next = encoder.encode(&ToBoard::Stop, &mut [0; LONGEST_FRAME]).to_vec();
        let found = next.iter().find_map(|&byte| receiver.push::<ToBoard>(byte));
        assert_eq!(found, Some(ToBoard::Stop));
        assert_eq!(receiver.received(), Received { frames: 3, damaged: 2, missing: 4 });
    }

    #[test]
    fn the_bytes_of_link_md() {
        let frame =
            Encoder::default().encode(&ToBoard::Records(true), &mut [0; LONGEST_FRAME]).to_vec();
        assert_eq!(frame, [0x02, 0x01, 0x01, 0x07, 0x04, 0x01, 0x3F, 0x2B, 0x29, 0xE8, 0x00]);
    }
}
