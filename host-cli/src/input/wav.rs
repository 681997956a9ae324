//! RIFF/WAVE: a header of chunks, then interleaved samples.
//!
//! RF64 and BW64 carry lengths beyond 4 GiB in a chunk of their own; RIFX has its bytes the
//! other way round.

use super::binary::{self, Layout, Order};
use super::sample_type::{Kind, SampleType};
use super::source::Source;
use super::{Format, Info, OpenOptions, Recording};
use crate::error::{Error, Place};
use crate::quantity::counted;

/// More chunks than this before the data are taken for a damaged file.
const MAX_CHUNKS: usize = 1000;

/// The length that stands for "see elsewhere" or "not known".
const UNKNOWN: u32 = u32::MAX;

pub(super) fn open(source: Source, options: &OpenOptions) -> Result<Recording, Error> {
    let mut chunks = Chunks::begin(source)?;
    let mut format = None;
    let mut long_length = None;
    for _ in 0..MAX_CHUNKS {
        let (id, size) = chunks.next()?;
        let start = chunks.source.position();
        match &id {
            b"ds64" => long_length = Some(chunks.read_long_length(size)?),
            b"fmt " => format = Some(chunks.read_format(size)?),
            b"data" => {
                let Some(format) = format else {
                    return Err(chunks.fault(start, "the data come before the format"));
                };
                return open_data(chunks, &format, start, size, long_length, options);
            }
            _ => {}
        }
        // Chunks of odd length are followed by a byte of padding.
        chunks.go_to(start + u64::from(size) + u64::from(size % 2))?;
    }
    let at = chunks.source.position();
    Err(chunks.fault(at, "there is no chunk of data"))
}

fn open_data(
    chunks: Chunks,
    format: &FormatChunk,
    start: u64,
    size: u32,
    long_length: Option<u64>,
    options: &OpenOptions,
) -> Result<Recording, Error> {
    let mut info = Info::new(&chunks.source, Format::Wav, format.sample_type, format.channels);
    info.rate = Some(format.rate);
    let bytes = match size {
        UNKNOWN if long_length.is_some() => long_length,
        0 if chunks.states_its_end_at(start) => Some(0),
        // What a program writes that could not go back and fill in the length.
        0 | UNKNOWN => {
            info.notices.push("the header states no length: read to the end of the file".into());
            None
        }
        // Or it states the largest that it can, less the header or some blocks.
        size if matches!(size | 0xFFF, 0x7FFF_FFFF | UNKNOWN)
            && chunks.source.length().is_none_or(|all| all < start + u64::from(size)) =>
        {
            info.notices.push(format!(
                "the header states {size} bytes, as programs do that do not know: read to the end"
            ));
            None
        }
        size => Some(u64::from(size)),
    };
    let layout = Layout { order: Order::Interleaved, start, bytes };
    binary::open(chunks.source, info, &layout, options)
}

struct FormatChunk {
    sample_type: SampleType,
    channels: usize,
    rate: f64,
}

struct Chunks {
    source: Source,
    big_endian: bool,
    riff_size: u32,
}

impl Chunks {
    fn begin(source: Source) -> Result<Self, Error> {
        let mut chunks = Self { source, big_endian: false, riff_size: 0 };
        let head: [u8; 12] = chunks.bytes()?;
        chunks.big_endian = head.starts_with(b"RIFX");
        let known = [b"RIFF", b"RIFX", b"RF64", b"BW64"].iter().any(|id| head.starts_with(*id));
        if !known || !head.ends_with(b"WAVE") {
            return Err(chunks.fault(0, "this is not a WAV file"));
        }
        chunks.riff_size = chunks.word([head[4], head[5], head[6], head[7]]);
        Ok(chunks)
    }

    fn next(&mut self) -> Result<([u8; 4], u32), Error> {
        let [a, b, c, d, size @ ..]: [u8; 8] = self.bytes()?;
        Ok(([a, b, c, d], self.word(size)))
    }

    fn read_long_length(&mut self, size: u32) -> Result<u64, Error> {
        if size < 24 {
            return Err(self.fault(self.source.position(), "the chunk ds64 is too short"));
        }
        let [_riff, data]: [[u8; 8]; 2] = [self.bytes()?, self.bytes()?];
        Ok(if self.big_endian { u64::from_be_bytes(data) } else { u64::from_le_bytes(data) })
    }

    fn read_format(&mut self, size: u32) -> Result<FormatChunk, Error> {
        let start = self.source.position();
        if size < 16 {
            return Err(self.fault(start, "the format chunk is too short"));
        }
        let [t0, t1, c0, c1, rate @ .., _, _, _, _, a0, a1, b0, b1]: [u8; 16] = self.bytes()?;
        let mut tag = u32::from(self.half([t0, t1]));
        let channels = usize::from(self.half([c0, c1]));
        let rate = self.word(rate);
        let frame = usize::from(self.half([a0, a1]));
        let bits = usize::from(self.half([b0, b1]));
        if tag == 0xfffe {
            if size < 40 {
                return Err(self.fault(start, "the extensible format chunk is too short"));
            }
            // The true tag leads the last 16 bytes, as a word of four.
            let extension: [u8; 24] = self.bytes()?;
            tag = self.word([extension[8], extension[9], extension[10], extension[11]]);
        }
        if channels == 0 {
            return Err(self.fault(start, "there are no channels"));
        }
        if rate == 0 {
            return Err(self.fault(start, "the sample rate is zero"));
        }
        let bytes = frame / channels;
        if frame % channels != 0 || bits == 0 || bits > bytes * 8 {
            return Err(self.fault(
                start,
                &format!(
                    "{} of {bits} bits do not make frames of {}",
                    counted(channels as u64, "channel"),
                    counted(frame as u64, "byte")
                ),
            ));
        }
        // Fewer bits than the bytes hold lie at the top, so the bytes are the number.
        let kind = match (tag, bytes) {
            (1, 1) => Kind::U8,
            (1, 2) => Kind::I16,
            (1, 3) => Kind::I24,
            (1, 4) => Kind::I32,
            (1, 8) => Kind::I64,
            (3, 4) => Kind::F32,
            (3, 8) => Kind::F64,
            (1 | 3, _) => {
                return Err(self.fault(start, &format!("samples of {bits} bits cannot be read")));
            }
            _ => {
                return Err(self.fault(
                    start,
                    &format!("the samples are compressed (tag {tag}); only plain ones can be read"),
                ));
            }
        };
        let sample_type = SampleType { kind, big_endian: self.big_endian };
        Ok(FormatChunk { sample_type, channels, rate: f64::from(rate) })
    }

    /// Whether the outermost chunk says that the file ends at `position`, and it does.
    fn states_its_end_at(&self, position: u64) -> bool {
        let stated = u64::from(self.riff_size) + 8;
        stated >= position && self.source.length() == Some(stated)
    }

    fn bytes<const N: usize>(&mut self) -> Result<[u8; N], Error> {
        let mut bytes = [0; N];
        let start = self.source.position();
        if self.source.read_full(&mut bytes)? < N {
            return Err(self.fault(start, "the file ends within its header"));
        }
        Ok(bytes)
    }

    fn go_to(&mut self, target: u64) -> Result<(), Error> {
        if self.source.length().is_some_and(|length| target > length) {
            return Err(self.fault(target, "the file ends before its data"));
        }
        self.source.go_to(target)
    }

    fn word(&self, bytes: [u8; 4]) -> u32 {
        if self.big_endian { u32::from_be_bytes(bytes) } else { u32::from_le_bytes(bytes) }
    }

    fn half(&self, bytes: [u8; 2]) -> u16 {
        if self.big_endian { u16::from_be_bytes(bytes) } else { u16::from_le_bytes(bytes) }
    }

    fn fault(&self, at: u64, problem: &str) -> Error {
        Error::input(
            self.source.name(),
            Place::Byte(at),
            problem,
            "convert it to plain WAV, or read it with --input-format raw --sample-type … --skip-bytes …",
        )
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{all, opened, refused, trickled, try_all};
    use super::*;
    use crate::input::Recording;

    fn chunk(id: &str, body: &[u8]) -> Vec<u8> {
        let mut bytes = id.as_bytes().to_vec();
        bytes.extend((body.len() as u32).to_le_bytes());
        bytes.extend(body);
        bytes.resize(bytes.len().next_multiple_of(2), 0);
        bytes
    }

    fn fmt(tag: u16, channels: u16, bits: u16) -> Vec<u8> {
        let frame = channels * bits.div_ceil(8);
        let mut body = tag.to_le_bytes().to_vec();
        body.extend(channels.to_le_bytes());
        body.extend(48_000_u32.to_le_bytes());
        body.extend((48_000 * u32::from(frame)).to_le_bytes());
        body.extend(frame.to_le_bytes());
        body.extend(bits.to_le_bytes());
        chunk("fmt ", &body)
    }

    fn wav(chunks: &[Vec<u8>]) -> Vec<u8> {
        let mut body = b"WAVE".to_vec();
        body.extend(chunks.concat());
        chunk("RIFF", &body)
    }

    fn read(bytes: &[u8]) -> Vec<Vec<f64>> {
        all(&mut opened(bytes, "x.wav", &OpenOptions::default()))
    }

    fn refusal(bytes: &[u8]) -> String {
        refused(bytes, "x.wav", &OpenOptions::default())
    }

    #[test]
    fn every_plain_type() {
        let file = |tag, bits, data: &[u8]| wav(&[fmt(tag, 1, bits), chunk("data", data)]);
        assert_eq!(read(&file(1, 8, &[0, 128, 255])), [[0.0, 128.0, 255.0]]);
        assert_eq!(read(&file(1, 16, &[0xff, 0xff, 1, 0])), [[-1.0, 1.0]]);
        assert_eq!(read(&file(1, 12, &[0xf0, 0xff, 16, 0])), [[-16.0, 16.0]]);
        assert_eq!(read(&file(1, 24, &[0xff, 0xff, 0xff, 1, 0, 0])), [[-1.0, 1.0]]);
        assert_eq!(read(&file(1, 32, &[0xfe, 0xff, 0xff, 0xff])), [[-2.0]]);
        assert_eq!(read(&file(1, 64, &(-2_i64).to_le_bytes())), [[-2.0]]);
        assert_eq!(read(&file(3, 32, &1.5_f32.to_le_bytes())), [[1.5]]);
        assert_eq!(read(&file(3, 64, &(-2.5_f64).to_le_bytes())), [[-2.5]]);
    }

    #[test]
    fn channels_rate_and_other_chunks() {
        let bytes = wav(&[
            chunk("LIST", b"odd"),
            fmt(1, 2, 16),
            chunk("data", &[1, 0, 2, 0, 3, 0, 4, 0]),
            chunk("cue ", b"xxxx"),
        ]);
        let mut recording = opened(&bytes, "anything", &OpenOptions::default());
        assert!(matches!(recording, Recording::I16(_)));
        assert_eq!(recording.info().rate, Some(48_000.0));
        assert_eq!(recording.info().frames, Some(2));
        assert_eq!(all(&mut recording), [[1.0, 3.0], [2.0, 4.0]]);
        let mut piped = trickled(&bytes, 5, &OpenOptions::default()).unwrap();
        assert_eq!(all(&mut piped), [[1.0, 3.0], [2.0, 4.0]]);
    }

    #[test]
    fn extensible_and_big_endian() {
        let mut body = fmt(0xfffe, 1, 16)[8..].to_vec();
        body.extend([22, 0, 16, 0, 4, 0, 0, 0, 1, 0]);
        body.extend([0; 14]);
        let bytes = wav(&[chunk("fmt ", &body), chunk("data", &[5, 0])]);
        assert_eq!(read(&bytes), [[5.0]]);
        let mut bytes = b"RIFX\0\0\0\x26WAVEfmt \0\0\0\x10\0\x01\0\x01\0\0\xbb\x80".to_vec();
        bytes.extend(b"\0\x01\x77\0\0\x02\0\x10data\0\0\0\x02\x01\x02");
        assert_eq!(read(&bytes), [[258.0]]);
        let mut bytes = b"RIFX\0\0\0\x3eWAVEfmt \0\0\0\x28\xff\xfe\0\x01\0\0\xbb\x80".to_vec();
        bytes.extend(b"\0\x01\x77\0\0\x02\0\x10\0\x16\0\x10\0\0\0\x04\0\0\0\x01");
        bytes.extend([0; 12]);
        bytes.extend(b"data\0\0\0\x02\x01\x03");
        assert_eq!(read(&bytes), [[259.0]]);
    }

    #[test]
    fn long_files_carry_their_length_apart() {
        let mut sizes = vec![0; 8];
        sizes.extend(2_u64.to_le_bytes());
        sizes.extend([0; 12]);
        let mut bytes = wav(&[chunk("ds64", &sizes), fmt(1, 1, 8), chunk("data", &[7, 8])]);
        bytes[..4].copy_from_slice(b"RF64");
        let at = bytes.len() - 6;
        bytes[at..at + 4].fill(0xff);
        bytes.extend(b"tail");
        assert_eq!(read(&bytes), [[7.0, 8.0]]);
    }

    #[test]
    fn a_missing_length_means_to_the_end() {
        for length in [0_u32, u32::MAX] {
            let mut bytes = wav(&[fmt(1, 1, 8), chunk("data", &[7, 8])]);
            bytes[4..8].copy_from_slice(&length.to_le_bytes());
            let at = bytes.len() - 6;
            bytes[at..at + 4].copy_from_slice(&length.to_le_bytes());
            let mut recording = opened(&bytes, "x.wav", &OpenOptions::default());
            assert_eq!(recording.take_notices().len(), 1);
            assert_eq!(all(&mut recording), [[7.0, 8.0]]);
        }
        let empty = wav(&[fmt(1, 1, 8), chunk("data", &[]), chunk("LIST", b"abcd")]);
        assert!(refusal(&empty).contains("no samples"));
    }

    #[test]
    fn truncated_data_are_refused_with_the_remedy() {
        let whole = wav(&[fmt(1, 2, 16), chunk("data", &[0; 100])]);
        let cut = &whole[..whole.len() - 9];
        let message = refusal(cut);
        assert!(message.contains("9 bytes are missing"), "{message}");
        assert!(message.contains("--skip-bytes 44 --sample-type i16le --channels 2 --rate 48000"));
        let mut piped = trickled(cut, 8, &OpenOptions::default()).unwrap();
        let message = try_all(&mut piped).unwrap_err().to_string();
        assert!(message.contains("9 bytes are missing"), "{message}");
    }

    #[test]
    fn a_length_that_stands_for_none_is_not_one() {
        for size in [0x7FFF_FFFF_u32, 0x7FFF_FFDB, 0x7FFF_F000, 0xFFFF_FFFE, 0xFFFF_F800] {
            let mut file = wav(&[fmt(1, 1, 8), chunk("data", &[1, 2, 3])]);
            let at = file.windows(4).position(|four| four == b"data").unwrap() + 4;
            file[at..at + 4].copy_from_slice(&size.to_le_bytes());
            file.truncate(at + 7);
            let mut piped = trickled(&file, 8, &OpenOptions::default()).unwrap();
            try_all(&mut piped).unwrap_or_else(|error| panic!("{size:x}: {error}"));
        }
    }

    #[test]
    fn damaged_headers_are_refused() {
        assert!(refusal(b"RIFF\0\0\0\0WAVE").contains("ends within its header"));
        assert!(refusal(b"RIFFxxxxAVI ").contains("not a WAV file"));
        let data = chunk("data", &[0; 4]);
        assert!(refusal(&wav(std::slice::from_ref(&data))).contains("before the format"));
        assert!(refusal(&wav(&[fmt(7, 1, 8), data.clone()])).contains("compressed (tag 7)"));
        assert!(refusal(&wav(&[fmt(1, 0, 8), data.clone()])).contains("no channels"));
        assert!(refusal(&wav(&[fmt(1, 1, 40), data.clone()])).contains("40 bits"));
        assert!(refusal(&wav(&[chunk("fmt ", &[0; 14]), data.clone()])).contains("too short"));
        let mut slow = fmt(1, 1, 8);
        slow[12..16].fill(0);
        assert!(refusal(&wav(&[slow, data.clone()])).contains("rate is zero"));
        let mut odd = fmt(1, 2, 8);
        odd[20] = 3;
        assert!(refusal(&wav(&[odd, data])).contains("frames of 3 bytes"));
        let mut endless = wav(&[fmt(1, 1, 8)]);
        endless.extend(b"LIST\xff\xff\xff\xff");
        assert!(refusal(&endless).contains("ends before its data"));
    }
}
