//! Set bits as a list.

use fearless_simd::{Simd, SimdBase, SimdMask, SimdWiden, mask8x64, u8x64};

/// The most that a list holds.
pub(super) const CAPACITY: usize = 512;
/// Whole vectors are written at the end of the list, whatever they hold.
const ROOM: usize = CAPACITY + 64;

/// A list of offsets, in order, that is filled at once and taken from the front.
#[derive(Clone, Debug)]
pub struct Offsets {
    next: u16,
    end: u16,
    list: [u16; ROOM],
}

impl Offsets {
    pub(super) const fn new() -> Self {
        Self { next: 0, end: 0, list: [0; ROOM] }
    }

    #[inline(always)]
    pub(super) fn clear(&mut self) {
        (self.next, self.end) = (0, 0);
    }

    #[inline(always)]
    pub(super) fn len(&self) -> usize {
        usize::from(self.end)
    }

    /// Those not taken yet.
    #[inline(always)]
    pub(super) fn rest(&self) -> &[u16] {
        self.list.get(usize::from(self.next)..usize::from(self.end)).unwrap_or(&[])
    }

    /// The first one not taken yet.
    #[inline(always)]
    pub(super) fn peek(&self) -> Option<u16> {
        if self.next < self.end { self.list.get(usize::from(self.next)).copied() } else { None }
    }

    /// Takes the one that [`peek`](Self::peek) shows.
    #[inline(always)]
    pub(super) fn take(&mut self) {
        self.next += 1;
    }

    /// Takes all but the last `count`.
    #[inline(always)]
    pub(super) fn keep_last(&mut self, count: usize) {
        self.next = self.next.max(self.end.saturating_sub(count as u16));
    }

    /// Appends the place of every set bit, counted from `first` on.
    #[inline(always)]
    pub(super) fn push_bits<S: Simd>(&mut self, simd: S, first: u16, bits: u64) {
        let end = usize::from(self.end);
        // Only there is packing a vector by a mask one instruction.
        #[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
        let packs = matches!(simd.level(), fearless_simd::Level::Avx512(_));
        #[cfg(not(any(target_arch = "x86", target_arch = "x86_64")))]
        let packs = false;
        if packs {
            let places = u8x64::from_fn(simd, |i| i as u8);
            let (low, high) = places.compress(mask8x64::from_bitmask(simd, bits)).widen();
            let room = self.list.get_mut(end..).and_then(|l| l.first_chunk_mut::<64>());
            if let Some((room, _)) = room.map(|r| r.as_chunks_mut::<32>())
                && let [first_half, second_half] = room
            {
                *first_half = (low + first).to_array();
                *second_half = (high + first).to_array();
            }
        } else {
            // Eight at a time, needed or not: a branch for each would cost more.
            let (mut left, mut at) = (bits, end);
            while left != 0 {
                if let Some(room) = self.list.get_mut(at..).and_then(|l| l.first_chunk_mut::<8>()) {
                    for place in room {
                        *place = first.wrapping_add(left.trailing_zeros() as u16);
                        left &= left.wrapping_sub(1);
                    }
                }
                at += 8;
            }
        }
        self.end += bits.count_ones() as u16;
    }
}
