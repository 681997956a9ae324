//! Stillwave's answers to a file of cases, on a processor with an operating system:
//!
//! ```text
//! answer CASES ANSWERS
//! ```
//! Both files are little-endian, as `main.rs` reads and writes them on a chip.

use std::error::Error;
use std::fs::{read, write};

use differential::{Answer, Case, Kind, RECORD_ROOM, Wire, answer};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [cases, answers] = &words[..] else { return Err("usage: answer CASES ANSWERS".into()) };
    let cases = read(cases).map_err(|fault| format!("{cases}: {fault}"))?;
    let mut rest = &cases[..];
    let mut out = vec![];
    while !rest.is_empty() {
        let preface: [u32; 3] = [word(&mut rest)?, word(&mut rest)?, word(&mut rest)?];
        let head = take(&mut rest, preface[1])?;
        let samples = take(&mut rest, preface[2])?;
        match Kind::of(preface[0]).ok_or("an unknown kind of sample")? {
            Kind::U8 => one::<u8>(head, samples, &mut out),
            Kind::I16 => one::<i16>(head, samples, &mut out),
            Kind::U16 => one::<u16>(head, samples, &mut out),
            Kind::I32 => one::<i32>(head, samples, &mut out),
            Kind::F32 => one::<f32>(head, samples, &mut out),
        }?;
    }
    write(answers, out).map_err(|fault| format!("{answers}: {fault}"))?;
    Ok(())
}

fn take<'a>(rest: &mut &'a [u8], count: u32) -> Result<&'a [u8], &'static str> {
    let (taken, left) = rest.split_at_checked(count as usize).ok_or("the file ends in a case")?;
    *rest = left;
    Ok(taken)
}

fn word(rest: &mut &[u8]) -> Result<u32, Box<dyn Error>> {
    Ok(u32::from_le_bytes(take(rest, 4)?.try_into()?))
}

fn one<T: Wire>(head: &[u8], samples: &[u8], out: &mut Vec<u8>) -> Result<(), Box<dyn Error>> {
    let case: Case<T> = postcard::from_bytes(head)?;
    let own = in_order::<T>(samples);
    let mut aligned = vec![T::default(); own.len() / size_of::<T>()];
    bytemuck::cast_slice_mut(&mut aligned).copy_from_slice(&own);
    let mut room = vec![T::default(); RECORD_ROOM * 4 / size_of::<T>()];
    let mut buffer = vec![0; 8 * RECORD_ROOM];
    let mut fault = None;
    answer(&case, &aligned, &mut room, &mut |answer| {
        let own;
        let answer = match answer {
            Answer::Samples(bytes) => {
                own = in_order::<T>(bytes);
                Answer::Samples(&own)
            }
            other => *other,
        };
        match postcard::to_slice(&answer, &mut buffer) {
            Ok(bytes) => out.extend_from_slice(bytes),
            Err(error) => fault = Some(error),
        }
    });
    fault.map_or(Ok(()), |error| Err(error.into()))
}

/// Samples between little-endian and this machine's order, either way.
fn in_order<T>(bytes: &[u8]) -> Vec<u8> {
    let mut own = bytes.to_vec();
    if cfg!(target_endian = "big") {
        own.chunks_mut(size_of::<T>()).for_each(<[u8]>::reverse);
    }
    own
}
