//! Samples that lie in a file as numbers of a fixed size.
//!
//! The formats differ in their headers alone; each reads its own and hands over a [`Layout`].

use bytemuck::cast_slice_mut;

use super::decode::{Native, pick, to_native_order};
use super::info::MAX_CHANNELS;
use super::planes::Planes;
use super::reader::{Blocks, Reader};
use super::sample_type::{Kind, SampleType};
use super::source::Source;
use super::{Info, OpenOptions, Recording};
use crate::error::{Error, Place};
use crate::quantity::{be, counted};

/// How many bytes are converted at a time: they should stay in the cache nearby.
const PIECE: usize = 64 * 1024;

/// How the samples of several channels follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Order {
    /// Sample by sample.
    Interleaved,
    /// Channel by channel, each whole.
    Planar,
}

/// Where the samples lie in a file.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    pub(super) order: Order,
    /// The first byte of the data.
    pub(super) start: u64,
    /// How many bytes of data the header promises; without a promise they go on to the end.
    pub(super) bytes: Option<u64>,
}

/// Makes a recording of a source whose header has been read.
pub(super) fn open(
    mut source: Source,
    mut info: Info,
    layout: &Layout,
    options: &OpenOptions,
) -> Result<Recording, Error> {
    let width = info.channels.len();
    if width == 0 || width > MAX_CHANNELS {
        return Err(Error::input(
            info.name,
            Place::Whole,
            match width {
                0 => "0 channels are stated".to_owned(),
                _ => format!("more than {MAX_CHANNELS} channels are stated"),
            },
            format!("1 to {MAX_CHANNELS} can be read; check the header and --channels"),
        ));
    }
    let frame = (width * info.sample_type.kind.bytes()) as u64;
    let held = source.length().map(|length| length.saturating_sub(layout.start));
    if let (Some(promised), Some(held)) = (layout.bytes, held)
        && held < promised
    {
        return Err(truncated(&info, layout, promised - held));
    }
    let extent = layout.bytes.or(held);
    if let Some(rest) = extent.map(|bytes| bytes % frame).filter(|rest| *rest > 0) {
        info.notices.push(odd_bytes(rest));
    }
    info.frames = extent.map(|bytes| bytes / frame);
    if info.frames == Some(0) {
        return Err(no_samples(&info.name));
    }
    if info.sample_type.kind.is_narrowed() {
        info.notices.push(format!(
            "{} samples are rounded to 32-bit floating-point (7 digits)",
            info.sample_type
        ));
    }
    if layout.order == Order::Planar && width > 1 && !source.is_file() {
        return Err(Error::input(
            info.name,
            Place::Whole,
            "the channels lie one after the other, which a stream cannot be read by",
            "save the recording in a file and read that",
        ));
    }
    source.go_to(layout.start)?;
    let selected = info.select(options)?;
    Ok(match info.sample_type.kind {
        Kind::U8 => Recording::U8(reader(source, info, layout, selected)),
        Kind::I8 => Recording::I8(reader(source, info, layout, selected)),
        Kind::U16 => Recording::U16(reader(source, info, layout, selected)),
        Kind::I16 => Recording::I16(reader(source, info, layout, selected)),
        Kind::U32 => Recording::U32(reader(source, info, layout, selected)),
        Kind::I24 | Kind::I32 => Recording::I32(reader(source, info, layout, selected)),
        Kind::F16 | Kind::F32 | Kind::F64 | Kind::I64 | Kind::U64 => {
            Recording::F32(reader(source, info, layout, selected))
        }
    })
}

/// The error for a file without a single sample.
pub(super) fn no_samples(name: &str) -> Error {
    Error::input(
        name,
        Place::Whole,
        "there are no samples in it",
        "check that the recording was written",
    )
}

fn odd_bytes(count: u64) -> String {
    format!("{} after the last whole frame {} left out", counted(count, "byte"), be(count))
}

fn truncated(info: &Info, layout: &Layout, missing: u64) -> Error {
    let rate = info.rate.map_or(String::new(), |rate| format!(" --rate {rate}"));
    Error::input(
        info.name.clone(),
        Place::Whole,
        format!("the data end early: {} {} missing", counted(missing, "byte"), be(missing)),
        format!(
            "copy the file again, or read what is there with --input-format raw \
             --skip-bytes {} --sample-type {} --channels {}{rate}",
            layout.start,
            info.sample_type,
            info.channels.len()
        ),
    )
}

fn reader<T: Native>(
    source: Source,
    info: Info,
    layout: &Layout,
    selected: Vec<usize>,
) -> Reader<T> {
    let frame = info.channels.len() * info.sample_type.kind.bytes();
    let body = Binary {
        source,
        sample: info.sample_type,
        channels: info.channels.len(),
        selected: selected.clone(),
        layout: layout.clone(),
        frames: info.frames,
        done: 0,
        partial: 0,
        // Space for whole frames, and for their bytes where those are wider than a T.
        scratch: vec![T::default(); (PIECE / frame).max(1) * frame.div_ceil(size_of::<T>())],
    };
    Reader::new(info, selected, Box::new(body))
}

struct Binary<T> {
    source: Source,
    sample: SampleType,
    channels: usize,
    selected: Vec<usize>,
    layout: Layout,
    /// How many frames there are, where that is known.
    frames: Option<u64>,
    done: u64,
    /// How many bytes of a frame came before an early end.
    partial: u64,
    scratch: Vec<T>,
}

impl<T: Native> Blocks<T> for Binary<T> {
    fn read(&mut self, planes: &mut Planes<T>, info: &mut Info) -> Result<usize, Error> {
        let left = self.frames.map_or(u64::MAX, |frames| frames - self.done);
        let room = left.min(planes.capacity() as u64) as usize;
        if room == 0 {
            return Ok(0);
        }
        let got = if self.layout.order == Order::Planar && self.channels > 1 {
            self.read_planar(planes.memory(), room)?
        } else {
            self.read_interleaved(planes.memory(), room, info)?
        };
        self.done += got as u64;
        if got == 0
            && let Some(frames) = self.frames
        {
            let frame = (self.channels * self.sample.kind.bytes()) as u64;
            return Err(truncated(info, &self.layout, (frames - self.done) * frame - self.partial));
        }
        Ok(got)
    }

    fn fork(&self, frames: u64) -> Option<Box<dyn Blocks<T> + Send>> {
        self.frames?;
        let mut fork = Self {
            source: self.source.fork()?,
            selected: self.selected.clone(),
            layout: self.layout.clone(),
            scratch: self.scratch.clone(),
            ..*self
        };
        fork.skip(frames);
        Some(Box::new(fork))
    }

    fn skip(&mut self, frames: u64) {
        self.done = self.done.saturating_add(frames).min(self.frames.unwrap_or(u64::MAX));
    }
}

impl<T: Native> Binary<T> {
    fn read_interleaved(
        &mut self,
        planes: &mut [Vec<T>],
        room: usize,
        info: &mut Info,
    ) -> Result<usize, Error> {
        let frame = self.channels * self.sample.kind.bytes();
        if self.source.is_file() {
            self.source.go_to(self.layout.start + self.done * frame as u64)?;
        }
        let mut filled = 0;
        while filled < room {
            let wanted;
            let got;
            if let ([plane], 1, true) = (&mut *planes, self.channels, self.is_native()) {
                // Straight into place.
                wanted = (room - filled) * frame;
                let run = &mut plane[filled..room];
                got = self.source.read_units(cast_slice_mut(run), frame)?;
                to_native_order(&mut run[..got / frame], self.sample.big_endian);
            } else {
                wanted = (room - filled).min((PIECE / frame).max(1)) * frame;
                let bytes: &mut [u8] = cast_slice_mut(&mut self.scratch);
                got = self.source.read_units(&mut bytes[..wanted], frame)?;
                self.spread(planes, filled, got / frame);
            }
            filled += got / frame;
            self.partial += (got % frame) as u64;
            if got % frame > 0 && self.frames.is_none() {
                info.notices.push(odd_bytes(self.partial));
            }
            // The end, or a stream that has no more for now.
            if got < wanted || !self.source.is_file() {
                break;
            }
        }
        Ok(filled)
    }

    /// Moves whole frames from the scratch space to the planes, from frame `at` on.
    fn spread(&mut self, planes: &mut [Vec<T>], at: usize, frames: usize) {
        let native = self.is_native();
        if native {
            to_native_order(&mut self.scratch[..frames * self.channels], self.sample.big_endian);
        }
        let width = self.sample.kind.bytes();
        for (plane, channel) in planes.iter_mut().zip(&self.selected) {
            let out = &mut plane[at..at + frames];
            if native {
                pick(&self.scratch, self.channels, *channel, out);
            } else {
                let bytes = bytemuck::cast_slice(&self.scratch);
                T::convert(self.sample, bytes, self.channels * width, channel * width, out);
            }
        }
    }

    fn read_planar(&mut self, planes: &mut [Vec<T>], room: usize) -> Result<usize, Error> {
        let width = self.sample.kind.bytes();
        let frames = self.frames.unwrap_or(0);
        let mut least = room;
        for (plane, channel) in planes.iter_mut().zip(&self.selected) {
            let first = (*channel as u64 * frames + self.done) * width as u64;
            self.source.go_to(self.layout.start + first)?;
            let mut filled = 0;
            while filled < least {
                let count = (least - filled).min(self.scratch.len() * size_of::<T>() / width);
                let out = &mut plane[filled..filled + count];
                let got = if T::KIND == self.sample.kind {
                    let got = self.source.read_full(cast_slice_mut(out))? / width;
                    to_native_order(&mut out[..got], self.sample.big_endian);
                    got
                } else {
                    let bytes: &mut [u8] = cast_slice_mut(&mut self.scratch);
                    let bytes = &mut bytes[..count * width];
                    let got = self.source.read_full(bytes)? / width;
                    T::convert(self.sample, bytes, width, 0, &mut out[..got]);
                    got
                };
                filled += got;
                if got < count {
                    break;
                }
            }
            least = filled;
        }
        Ok(least)
    }

    fn is_native(&self) -> bool {
        T::KIND == self.sample.kind
    }
}
