//! A recording as a board: the instrument fed from a file, as fast as it was recorded.

use std::convert::Infallible;
use std::io::{self, Read, Write};
use std::sync::mpsc::{Receiver, Sender, SyncSender, TryRecvError, channel, sync_channel};
use std::time::{Duration, Instant};

use embedded_io::{ErrorType, ReadReady, WriteReady};
use stillwave_app::{Capture, DIVISIONS_UP, FrontEnd, Settings, VOLTS_MV, store::Nothing};
use stillwave_link::Station;

use super::connection::Connection;
use crate::calibration::Calibration;
use crate::error::Error;
use crate::input::{Reader, Recording};
use crate::quantity::format_si;

/// Samples in the longest record.
const LONGEST: usize = 1 << 20;
/// Volts for a count where a recording does not say.
const UNSAID: f64 = 1e-3;
/// How often samples come.
const TICK: Duration = Duration::from_millis(5);
/// A board tells its counters twice a second: so long after the last sample it has told them all.
const COUNTED: Duration = Duration::from_millis(600);

/// Appends a recording's next samples; whether there were any.
type Blocks = Box<dyn FnMut(&mut Vec<u16>) -> Result<bool, Error> + Send>;

/// A recording that waits to be played.
pub struct Played {
    front: FrontEnd,
    next: Blocks,
    settings: Settings,
    is_scaled: bool,
}

impl std::fmt::Debug for Played {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Played").field("front", &self.front).finish_non_exhaustive()
    }
}

impl Played {
    /// The first channel of a recording of 8 or 16 bits. Where it has no scale, a count is a
    /// millivolt.
    ///
    /// # Errors
    /// No rate, or samples of another kind.
    pub fn new(recording: Recording, calibration: &Calibration) -> Result<Self, Error> {
        let name = recording.info().name.clone();
        let Some(rate) = calibration.rate else {
            return Err(Error::usage(format!("{name} has no sample rate"), "add --rate"));
        };
        if !(1.0..=1e9).contains(&rate) {
            return Err(Error::usage(
                format!(
                    "{name} is played at {}, which no board reaches",
                    format_si(rate, "S/s", 3)
                ),
                "give --rate from 1 to 1GS/s",
            ));
        }
        let own = recording.info().sample_type.kind.codes().map_or(0, |(lowest, _)| lowest as i32);
        let (lowest, highest) = calibration.codes.unwrap_or((0.0, f64::from(u16::MAX)));
        // A board's lowest code is 0; what lies below the converter's lowest is clipped.
        let lowest = own.max(lowest as i32);
        let next: Blocks = match recording {
            Recording::U8(reader) => blocks(reader, lowest),
            Recording::I8(reader) => blocks(reader, lowest),
            Recording::U16(reader) => blocks(reader, lowest),
            Recording::I16(reader) => blocks(reader, lowest),
            _ => {
                return Err(Error::usage(
                    format!("{name} has samples of more than 16 bits, which no board plays"),
                    "give a recording of 8- or 16-bit integers",
                ));
            }
        };
        let zero = f64::from(-lowest);
        let scale = match calibration.scale {
            Some(scale) => scale.with_zero(scale.zero + zero)?,
            None => stillwave::Scale::new(UNSAID, zero)?,
        };
        let highest = (highest + zero) as u16;
        let front = FrontEnd { rate: rate.round() as u32, highest, scale };
        Ok(Self { front, next, settings: all_of(&front), is_scaled: calibration.scale.is_some() })
    }

    /// Whether it is known what a count is in volts.
    pub fn is_scaled(&self) -> bool {
        self.is_scaled
    }

    /// Plays it from now on.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(super) fn start(self) -> io::Result<Ends> {
        let (to_board, orders) = channel();
        let (frames, from_board) = sync_channel(64);
        std::thread::Builder::new().name("played".to_owned()).spawn(move || {
            let last = frames.clone();
            if let Err(fault) = play(self, Port { orders, frames, held: Vec::new() }) {
                // Where nobody listens any more, nobody misses it.
                let _ = last.send(Err(fault));
            }
        })?;
        Ok(Ends { to_board, from_board, held: Vec::new() })
    }
}

/// Settings that show all that a converter can say, with the level in the middle of it.
fn all_of(front: &FrontEnd) -> Settings {
    let ends = [0.0, f64::from(front.highest)].map(|code| front.millivolts(code));
    let division = ends[0].abs_diff(ends[1]).div_ceil(DIVISIONS_UP);
    let volts_mv = VOLTS_MV.into_iter().find(|&volts| volts >= division);
    let volts_mv = volts_mv.unwrap_or(VOLTS_MV[VOLTS_MV.len() - 1]);
    let middle = front.millivolts(f64::from(front.highest) / 2.0);
    let hysteresis_mv = volts_mv / 5;
    Settings { level_mv: middle, centre_mv: middle, volts_mv, hysteresis_mv, ..Settings::default() }
}

/// Samples as a board's codes, from 0 for `lowest`.
fn blocks<T: stillwave::Sample + Into<i32> + Send>(mut reader: Reader<T>, lowest: i32) -> Blocks
where
    Reader<T>: Send + 'static,
{
    let mut planes = reader.planes();
    Box::new(move |samples| {
        let read = reader.read(&mut planes)?;
        let code = |x: T| (x.into() - lowest).clamp(0, u16::MAX.into()) as u16;
        samples.extend(planes.channel(0).iter().map(|&x| code(x)));
        Ok(read > 0)
    })
}

/// Plays all of it, or as far as it can be read.
fn play(played: Played, mut port: Port) -> Result<(), Error> {
    let Played { front, mut next, settings, .. } = played;
    let mut station = Station::<_, 65_536>::new(front, LONGEST, Nothing);
    station.set(settings);
    let (mut recording, mut shown) = (vec![0; LONGEST], vec![0; LONGEST]);
    let arrangement = station.bench().arrangement()?;
    let mut capture = Capture::new(arrangement, front.highest, &mut recording, &mut shown)?;
    let began = Instant::now();
    let (mut waiting, mut fed, mut more, mut outcome) = (Vec::new(), 0_u64, true, Ok(()));
    let mut last = Duration::ZERO;
    loop {
        let elapsed = began.elapsed();
        let due = (elapsed.as_secs_f64() * f64::from(front.rate)) as u64;
        while fed < due && (more || !waiting.is_empty()) {
            if waiting.is_empty() {
                more = next(&mut waiting).unwrap_or_else(|fault| {
                    outcome = Err(fault);
                    false
                });
                continue;
            }
            let count = waiting.len().min((due - fed) as usize);
            capture.push(&waiting[..count], |event| station.event(event));
            waiting.drain(..count);
            fed += count as u64;
            last = elapsed;
        }
        let Ok(()) =
            station.turn(elapsed.as_millis() as u64, 0, &mut port, |bench, wanted, back| {
                if let Some(shot) = back {
                    capture.give_back(shot);
                }
                (bench.meet(&mut capture, wanted), capture.counts())
            });
        // The other end has gone, or all is played and told.
        let all_told = elapsed.saturating_sub(last) > COUNTED && station.is_idle();
        if port.is_closed() || (!more && waiting.is_empty() && all_told) {
            return outcome;
        }
        std::thread::sleep(TICK);
    }
}

/// The board's end of the bytes.
struct Port {
    orders: Receiver<Vec<u8>>,
    frames: SyncSender<Result<Vec<u8>, Error>>,
    held: Vec<u8>,
}

impl Port {
    fn is_closed(&mut self) -> bool {
        match self.orders.try_recv() {
            Ok(bytes) => {
                self.held.extend(bytes);
                false
            }
            Err(TryRecvError::Empty) => false,
            Err(TryRecvError::Disconnected) => true,
        }
    }
}

impl ErrorType for Port {
    type Error = Infallible;
}

impl ReadReady for Port {
    fn read_ready(&mut self) -> Result<bool, Infallible> {
        if self.held.is_empty() {
            self.held.extend(self.orders.try_recv().unwrap_or_default());
        }
        Ok(!self.held.is_empty())
    }
}

impl embedded_io::Read for Port {
    fn read(&mut self, bytes: &mut [u8]) -> Result<usize, Infallible> {
        let count = bytes.len().min(self.held.len());
        bytes.iter_mut().zip(self.held.drain(..count)).for_each(|(place, byte)| *place = byte);
        Ok(count)
    }
}

impl WriteReady for Port {
    fn write_ready(&mut self) -> Result<bool, Infallible> {
        Ok(true)
    }
}

impl embedded_io::Write for Port {
    fn write(&mut self, bytes: &[u8]) -> Result<usize, Infallible> {
        // Full where the other end does not read: nothing is taken then.
        Ok(self.frames.try_send(Ok(bytes.to_vec())).map_or(0, |()| bytes.len()))
    }

    fn flush(&mut self) -> Result<(), Infallible> {
        Ok(())
    }
}

/// The computer's end of them.
pub(super) struct Ends {
    to_board: Sender<Vec<u8>>,
    from_board: Receiver<Result<Vec<u8>, Error>>,
    held: Vec<u8>,
}

impl Connection for Ends {}

impl Read for Ends {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        use std::sync::mpsc::RecvTimeoutError;
        if self.held.is_empty() {
            match self.from_board.recv_timeout(Duration::from_millis(10)) {
                Ok(Ok(come)) => self.held = come,
                Ok(Err(fault)) => return Err(io::Error::other(fault)),
                Err(RecvTimeoutError::Timeout) => return Err(io::ErrorKind::TimedOut.into()),
                Err(RecvTimeoutError::Disconnected) => return Ok(0),
            }
        }
        let count = bytes.len().min(self.held.len());
        bytes.iter_mut().zip(self.held.drain(..count)).for_each(|(place, byte)| *place = byte);
        Ok(count)
    }
}

impl Write for Ends {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let sent = self.to_board.send(bytes.to_vec());
        sent.map(|()| bytes.len()).map_err(|_| io::ErrorKind::BrokenPipe.into())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
