//! Stillwave's answers to a file of cases, on whatever chip this is built for:
//!
//! ```text
//! tools/chip-run m4|m0|riscv …/differential CASES ANSWERS
//! ```
//! Both are files of the host. Exit status: 0 done, 2 files that cannot be read or written.

#![no_std]
#![no_main]

#[cfg(target_arch = "arm")]
use cortex_m as _; // the critical section that semihosting's printing needs
#[cfg(target_arch = "arm")]
use cortex_m_rt::entry;
#[cfg(target_arch = "riscv32")]
use riscv_rt::entry;

use core::panic::PanicInfo;

use differential::{Answer, Case, HEAD, Kind, Preface, RECORD_ROOM, SAMPLE_ROOM, Wire, answer};
use heapless::CString;
use semihosting::{
    eprintln,
    experimental::env,
    fs::File,
    io::{Read, Write},
    process,
};

/// Bytes of answers written at once, all samples of a record among them: every write stops the chip
/// for the host.
const WRITTEN: usize = 8 * RECORD_ROOM;

/// Answers all cases.
#[entry]
fn main() -> ! {
    if let Err(fault) = run() {
        eprintln!("differential: {fault}");
        process::exit(2);
    }
    process::exit(0)
}

// The emulated boards have 4 MB of memory.
#[allow(clippy::large_stack_arrays)]
fn run() -> Result<(), &'static str> {
    let words = env::args::<1024>().map_err(|_| "no words, or too many")?;
    // The first is the program's own name.
    let mut words = (&words).skip(1).map(|word| word.map_err(|_| "a word that is no text"));
    let mut next = || path(words.next().ok_or("CASES and ANSWERS are wanted")??);
    let (cases, answers) = (next()?, next()?);
    let mut cases = File::open(&cases).map_err(|_| "the cases cannot be opened")?;
    let mut answers = Answers {
        file: File::create(&answers).map_err(|_| "the answers cannot be created")?,
        buffer: [0; WRITTEN],
        filled: 0,
        fault: false,
    };
    let (mut head, mut samples) = ([0; HEAD], [0_u32; SAMPLE_ROOM]);
    let mut room = [0_u32; RECORD_ROOM];
    let mut preface = Preface::default();
    while fill(&mut cases, bytemuck::bytes_of_mut(&mut preface))? {
        let [kind, length, size] = preface;
        let head = head.get_mut(..length as usize).ok_or("a case is too long")?;
        let bytes: &mut [u8] = bytemuck::cast_slice_mut(&mut samples);
        let samples = bytes.get_mut(..size as usize).ok_or("too many samples")?;
        if !fill(&mut cases, head)? | !(samples.is_empty() || fill(&mut cases, samples)?) {
            return Err("the cases end within one");
        }
        match Kind::of(kind).ok_or("an unknown kind of sample")? {
            Kind::U8 => one::<u8>(head, samples, &mut room, &mut answers),
            Kind::I16 => one::<i16>(head, samples, &mut room, &mut answers),
            Kind::U16 => one::<u16>(head, samples, &mut room, &mut answers),
            Kind::I32 => one::<i32>(head, samples, &mut room, &mut answers),
            Kind::F32 => one::<f32>(head, samples, &mut room, &mut answers),
        }?;
    }
    answers.flush();
    if answers.fault { Err("the answers cannot be written") } else { Ok(()) }
}

/// One case. In a frame of its own: those of other types need not be on the stack with it.
#[inline(never)]
fn one<T: Wire>(
    head: &[u8],
    samples: &[u8],
    room: &mut [u32],
    answers: &mut Answers,
) -> Result<(), &'static str> {
    let case: Case<T> = postcard::from_bytes(head).map_err(|_| "a case cannot be read")?;
    let samples = bytemuck::try_cast_slice(samples).map_err(|_| "half a sample")?;
    // As every machine has it, not as the case before left it.
    room.fill(0);
    answer(&case, samples, bytemuck::cast_slice_mut(room), &mut |answer| answers.write(answer));
    Ok(())
}

/// Answers on their way to the host.
struct Answers {
    file: File,
    buffer: [u8; WRITTEN],
    filled: usize,
    fault: bool,
}

impl Answers {
    fn write(&mut self, answer: &Answer<'_>) {
        // Behind what is there, or else in the whole buffer, which has room for any.
        for _ in 0..2 {
            let room = &mut self.buffer[self.filled..];
            if let Ok(bytes) = postcard::to_slice(answer, room) {
                self.filled += bytes.len();
                return;
            }
            self.flush();
        }
        self.fault = true;
    }

    fn flush(&mut self) {
        self.fault |= self.file.write_all(&self.buffer[..self.filled]).is_err();
        self.filled = 0;
    }
}

fn path(word: &str) -> Result<CString<512>, &'static str> {
    let mut path = CString::new();
    path.extend_from_bytes(word.as_bytes()).map_err(|_| "a path is too long")?;
    Ok(path)
}

/// Fills `bytes`; gives whether there was anything at all.
fn fill(file: &mut File, bytes: &mut [u8]) -> Result<bool, &'static str> {
    let mut filled = 0;
    while filled < bytes.len() {
        match file.read(&mut bytes[filled..]).map_err(|_| "the cases cannot be read")? {
            0 if filled == 0 => return Ok(false),
            0 => return Err("the cases end within one"),
            read => filled += read,
        }
    }
    Ok(true)
}

#[panic_handler]
fn panic(info: &PanicInfo<'_>) -> ! {
    eprintln!("{info}");
    process::exit(101)
}
