//! Records, put together from their frames.

use crate::{FromBoard, RecordHead};

/// A record whose every sample has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whole<'a> {
    /// All but the samples.
    pub head: RecordHead,
    /// The samples.
    pub samples: &'a [u16],
}

/// Puts records together. One of which a frame is missing is dropped, and counted.
#[derive(Clone, Debug)]
pub struct Assembler<B> {
    buffer: B,
    /// The record under way, and how many of its samples have come.
    under_way: Option<(RecordHead, usize)>,
    whole: u64,
    broken: u64,
}

impl<B: AsMut<[u16]>> Assembler<B> {
    /// With memory for the longest record.
    pub fn new(buffer: B) -> Self {
        Self { buffer, under_way: None, whole: 0, broken: 0 }
    }

    /// Takes the next message; gives the record that it completes.
    pub fn push(&mut self, message: &FromBoard<'_>) -> Option<Whole<'_>> {
        match *message {
            FromBoard::Record(head) => {
                self.break_off();
                self.under_way = Some((head, 0));
                None
            }
            FromBoard::Samples { number, first, bytes } => {
                let Some((head, come)) = &mut self.under_way else { return None };
                let (chunks, odd) = bytes.as_chunks::<2>();
                let end = *come + chunks.len();
                let fits = head.number == number
                    && first as usize == *come
                    && end <= head.len as usize
                    && odd.is_empty();
                let place = self.buffer.as_mut().get_mut(*come..end).filter(|_| fits);
                let Some(place) = place else {
                    self.break_off();
                    return None;
                };
                for (sample, bytes) in place.iter_mut().zip(chunks) {
                    *sample = u16::from_le_bytes(*bytes);
                }
                *come = end;
                let head = *head;
                if end < head.len as usize {
                    return None;
                }
                self.under_way = None;
                self.whole += 1;
                let samples = self.buffer.as_mut().get(..end)?;
                Some(Whole { head, samples })
            }
            _ => None,
        }
    }

    /// Gives it more memory, from a board that says what it needs.
    pub fn grow(&mut self, grow: impl FnOnce(&mut B)) {
        grow(&mut self.buffer);
    }

    /// Records that came whole.
    pub fn whole(&self) -> u64 {
        self.whole
    }

    /// Records that began and of which something was missing.
    pub fn broken(&self) -> u64 {
        self.broken
    }

    /// Drops the record under way: the link broke.
    pub fn break_off(&mut self) {
        self.broken += u64::from(self.under_way.take().is_some());
    }
}
