//! The board's end.

use embedded_io::{Read, ReadReady, Write, WriteReady};
use heapless::Deque;
use stillwave::Event;
use stillwave_app::{Settings, Shot, Status};

use crate::message::CHUNK;
use crate::{
    Counters, Encoder, FromBoard, Hello, LONGEST_FRAME, Received, Receiver, RecordHead, ToBoard,
};

/// How long a reader may take nothing before the record under way is given up, ms.
const STALL: u64 = 500;
/// How often counters are told, ms.
const COUNTERS: u64 = 500;

/// A board's end of the link: frames out as there is room, orders in.
///
/// `N` bytes wait to be sent; room for a few of the longest frames.
pub struct BoardLink<const N: usize> {
    hello: Hello,
    encoder: Encoder,
    receiver: Receiver,
    outgoing: Deque<u8, N>,
    /// Of the record being sent: how many samples are on their way.
    sending: Option<usize>,
    wants_records: bool,
    wants_events: bool,
    frames_dropped: u32,
    records_cut: u32,
    /// When a byte was last taken, and when counters were last told.
    moved: u64,
    told: u64,
}

impl<const N: usize> BoardLink<N> {
    /// The link of a board that is `hello`.
    pub fn new(hello: Hello) -> Self {
        let mut link = Self {
            hello,
            encoder: Encoder::default(),
            receiver: Receiver::default(),
            outgoing: Deque::new(),
            sending: None,
            wants_records: false,
            wants_events: false,
            frames_dropped: 0,
            records_cut: 0,
            moved: 0,
            told: 0,
        };
        // Ends whatever the line has said while nobody spoke.
        let _ = link.outgoing.push_back(0);
        link.say(&FromBoard::Hello(hello));
        link
    }

    /// Takes what has come and sends what may go, as far as neither makes it wait; tells of every
    /// order of the computer. The time is in ms.
    ///
    /// # Errors
    /// The port's.
    pub fn pump<P: Read + ReadReady + Write + WriteReady>(
        &mut self,
        port: &mut P,
        milliseconds: u64,
        mut on_order: impl FnMut(ToBoard),
    ) -> Result<(), P::Error> {
        let mut bytes = [0; 32];
        while port.read_ready()? {
            let count = port.read(&mut bytes)?;
            for &byte in bytes.get(..count).unwrap_or_default() {
                match self.receiver.push(byte) {
                    Some(ToBoard::Records(wanted)) => self.wants_records = wanted,
                    Some(ToBoard::Events(wanted)) => self.wants_events = wanted,
                    Some(ToBoard::Hello) => {
                        let hello = FromBoard::Hello(self.hello);
                        self.say(&hello);
                        on_order(ToBoard::Hello);
                    }
                    Some(order) => on_order(order),
                    None => {}
                }
            }
        }
        while !self.outgoing.is_empty() && port.write_ready()? {
            let (first, _) = self.outgoing.as_slices();
            let count = port.write(first)?;
            for _ in 0..count {
                self.outgoing.pop_front();
            }
            if count == 0 {
                break;
            }
            self.moved = milliseconds;
        }
        if self.outgoing.is_empty() {
            self.moved = milliseconds;
        }
        Ok(())
    }

    /// What is set now.
    pub fn settings(&mut self, settings: &Settings, running: bool) {
        self.say(&FromBoard::Settings { settings: *settings, running });
    }

    /// An accepted event.
    pub fn event(&mut self, event: Event) {
        if self.wants_events {
            self.say(&FromBoard::Event(event.into()));
        }
    }

    /// What was counted, where it is time to tell; `events_dropped` before they came here.
    pub fn counters(&mut self, status: &Status, events_dropped: u32, milliseconds: u64) {
        if milliseconds.saturating_sub(self.told) < COUNTERS {
            return;
        }
        self.told = milliseconds;
        let Received { damaged, missing, .. } = self.receiver.received();
        let (counts, engine) = (&status.counts, &status.counts.engine);
        let counters = Counters {
            position: counts.position,
            events: engine.events,
            held_off: engine.held_off,
            records: engine.records,
            forced: engine.forced,
            passed_over: counts.passed_over,
            overruns: engine.gaps,
            lost: engine.lost,
            clipped: counts.clipped,
            frames_dropped: self.frames_dropped,
            records_cut: self.records_cut,
            events_dropped,
            frames_damaged: damaged as u32,
            frames_missing: missing as u32,
            load: status.load,
        };
        self.say(&FromBoard::Counters(counters));
    }

    /// Sends as much of a record as there is room for; whether it is done with it. Where the
    /// reader has stalled it is: the record is cut, and counted.
    pub fn send(&mut self, shot: &Shot<'_>, milliseconds: u64) -> bool {
        if !self.wants_records {
            self.sending = None;
            return true;
        }
        if self.sending.is_none() {
            if !self.has_room_for_samples() {
                return self.cut_if_stalled(milliseconds);
            }
            self.say(&FromBoard::Record(RecordHead::from(shot)));
            self.sending = Some(0);
        }
        let samples = shot.samples();
        while let Some(sent) = self.sending {
            if sent >= samples.len() {
                self.sending = None;
                return true;
            }
            if !self.has_room_for_samples() {
                return self.cut_if_stalled(milliseconds);
            }
            let chunk = samples.iter().skip(sent).take(CHUNK);
            let mut bytes = [0; 2 * CHUNK];
            let (places, _) = bytes.as_chunks_mut::<2>();
            let mut count = 0;
            for (place, sample) in places.iter_mut().zip(chunk) {
                *place = sample.to_le_bytes();
                count += 1;
            }
            let bytes = bytes.get(..2 * count).unwrap_or_default();
            let (number, first) = (shot.number as u32, sent as u32);
            self.say(&FromBoard::Samples { number, first, bytes });
            self.sending = Some(sent + count);
        }
        true
    }

    fn cut_if_stalled(&mut self, milliseconds: u64) -> bool {
        let stalled = milliseconds.saturating_sub(self.moved) >= STALL;
        if stalled {
            self.sending = None;
            self.records_cut += 1;
        }
        stalled
    }

    /// Whether a record has begun to go out and has not ended.
    pub fn is_sending(&self) -> bool {
        self.sending.is_some()
    }

    /// Whether nothing waits to be sent.
    pub fn is_idle(&self) -> bool {
        self.outgoing.is_empty()
    }

    /// Whether a frame would find room now.
    pub fn has_room(&self) -> bool {
        N - self.outgoing.len() >= LONGEST_FRAME
    }

    /// Whether a part of a record may go: half the room is for all else.
    fn has_room_for_samples(&self) -> bool {
        N - self.outgoing.len() >= LONGEST_FRAME + N / 2
    }

    /// A frame on its way, or dropped and counted.
    fn say(&mut self, message: &FromBoard<'_>) {
        let mut frame = [0; LONGEST_FRAME];
        let frame = self.encoder.encode(message, &mut frame);
        if N - self.outgoing.len() < frame.len() {
            self.frames_dropped += 1;
            return;
        }
        for &byte in frame {
            let _ = self.outgoing.push_back(byte);
        }
    }
}
