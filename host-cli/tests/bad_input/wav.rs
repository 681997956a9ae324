//! WAV files with faults.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "a WAV that ends in its first bytes",
        |at| put(at, "x.wav", &wav_of(8)[..7]),
        "scan x.wav --level 1",
        "x.wav: byte 0: the file ends within its header; convert it to plain WAV, or read \
             it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV that ends in its format",
        |at| put(at, "x.wav", &wav_of(8)[..30]),
        "scan x.wav --level 1",
        "x.wav: byte 20: the file ends within its header; convert it to plain WAV, or read \
             it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV that ends before its data",
        |at| put(at, "x.wav", &wav_of(8)[..36]),
        "scan x.wav --level 1",
        "x.wav: byte 36: the file ends within its header; convert it to plain WAV, or read \
             it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV that ends in the head of its data",
        |at| put(at, "x.wav", &wav_of(8)[..41]),
        "scan x.wav --level 1",
        "x.wav: byte 36: the file ends within its header; convert it to plain WAV, or read \
             it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV of another kind",
        |at| put(at, "x.wav", b"RIFF\x04\0\0\0AVI fmt "),
        "scan x.wav --level 1",
        "x.wav: byte 0: this is not a WAV file; convert it to plain WAV, or read it with \
             --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV with fewer samples than it says",
        |at| put(at, "x.wav", wav_of(20)),
        "scan x.wav --level 1",
        "x.wav: the data end early: 12 bytes are missing; copy the file again, or read what \
             is there with --input-format raw --skip-bytes 44 --sample-type i16le --channels 1 \
             --rate 8000",
    ),
    case(
        "a WAV that says 4 GB",
        |at| put(at, "x.wav", wav_of(0xFFF0_0000)),
        "scan x.wav --level 1",
        "x.wav: the data end early: 4293918712 bytes are missing; copy the file again, or \
             read what is there with --input-format raw --skip-bytes 44 --sample-type i16le \
             --channels 1 --rate 8000",
    ),
    case(
        "a WAV with a chunk of 4 GB before its data",
        |at| put(at, "x.wav", wav(&[fmt(1, 1, 2, 16), chunk(*b"LIST", u32::MAX - 1, &[0; 8])])),
        "scan x.wav --level 1",
        "x.wav: byte 4294967338: the file ends before its data; convert it to plain WAV, or \
             read it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV of nothing but chunks",
        |at| put(at, "x.wav", wav(&vec![chunk(*b"LIST", 0, &[]); 2000])),
        "scan x.wav --level 1",
        "x.wav: byte 8012: there is no chunk of data; convert it to plain WAV, or read it \
             with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV with data before their format",
        |at| put(at, "x.wav", wav(&[chunk(*b"data", 4, &[0; 4]), fmt(1, 1, 2, 16)])),
        "scan x.wav --level 1",
        "x.wav: byte 20: the data come before the format; convert it to plain WAV, or read \
             it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV with a format of 14 bytes",
        |at| put(at, "x.wav", wav(&[chunk(*b"fmt ", 14, &[0; 14]), chunk(*b"data", 4, &[0; 4])])),
        "scan x.wav --level 1",
        "x.wav: byte 20: the format chunk is too short; convert it to plain WAV, or read it \
             with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV with an extensible format of 16 bytes",
        |at| put(at, "x.wav", wav(&[fmt(0xfffe, 1, 2, 16), chunk(*b"data", 4, &[0; 4])])),
        "scan x.wav --level 1",
        "x.wav: byte 20: the extensible format chunk is too short; convert it to plain WAV, \
             or read it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV without channels",
        |at| put(at, "x.wav", wav(&[fmt(1, 0, 2, 16), chunk(*b"data", 4, &[0; 4])])),
        "scan x.wav --level 1",
        "x.wav: byte 20: there are no channels; convert it to plain WAV, or read it with \
             --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV of 65535 channels",
        |at| put(at, "x.wav", wav(&[fmt(1, 65535, 65535, 8), chunk(*b"data", 4, &[0; 4])])),
        "scan x.wav --level 1",
        "x.wav: more than 4096 channels are stated; 1 to 4096 can be read; check the header \
             and --channels",
    ),
    case(
        "a WAV whose frames are no multiple of its channels",
        |at| put(at, "x.wav", wav(&[fmt(1, 2, 5, 16), chunk(*b"data", 4, &[0; 4])])),
        "scan x.wav --level 1",
        "x.wav: byte 20: 2 channels of 16 bits do not make frames of 5 bytes; convert it to \
             plain WAV, or read it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV of 40-bit samples",
        |at| put(at, "x.wav", wav(&[fmt(1, 1, 5, 40), chunk(*b"data", 5, &[0; 5])])),
        "scan x.wav --level 1",
        "x.wav: byte 20: samples of 40 bits cannot be read; convert it to plain WAV, or \
             read it with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV that is compressed",
        |at| put(at, "x.wav", wav(&[fmt(85, 1, 2, 16), chunk(*b"data", 4, &[0; 4])])),
        "scan x.wav --level 1",
        "x.wav: byte 20: the samples are compressed (tag 85); only plain ones can be read; \
             convert it to plain WAV, or read it with --input-format raw --sample-type … \
             --skip-bytes …",
    ),
    case(
        "a WAV at no rate",
        |at| {
            put(at, "x.wav", {
                let mut bytes = wav_of(8);
                bytes[24..28].fill(0);
                bytes
            })
        },
        "scan x.wav --level 1",
        "x.wav: byte 20: the sample rate is zero; convert it to plain WAV, or read it with \
             --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a WAV without samples",
        |at| put(at, "x.wav", wav(&[fmt(1, 1, 2, 16), chunk(*b"data", 0, &[])])),
        "scan x.wav --level 1",
        "x.wav: there are no samples in it; check that the recording was written",
    ),
    case(
        "a long WAV whose length is too short",
        |at| {
            put(at, "x.wav", {
                let mut bytes = wav(&[chunk(*b"ds64", 8, &[0; 8])]);
                bytes[1] = b'F';
                bytes[2..4].copy_from_slice(b"64");
                bytes
            })
        },
        "scan x.wav --level 1",
        "x.wav: byte 20: the chunk ds64 is too short; convert it to plain WAV, or read it \
             with --input-format raw --sample-type … --skip-bytes …",
    ),
    case(
        "a long WAV that says 2^64 bytes",
        |at| put(at, "x.wav", long_wav(u64::MAX)),
        "scan x.wav --level 1",
        "x.wav: the data end early: 18446744073709551607 bytes are missing; copy the file \
             again, or read what is there with --input-format raw --skip-bytes 76 --sample-type \
             i16le --channels 1 --rate 8000",
    ),
];
