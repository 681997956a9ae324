//! Every decimator gives the same on the chip as on a PC, to the bit: the firmware in the emulator
//! and this process do the same with the same samples.
//!
//! Without the chip's tools (`tools/install-emulation`) the test is skipped with a word on standard
//! error; with `STILLWAVE_CHIP=required` in the environment it then fails.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;

use differential::decimation;
use stillwave_tests::dice::Dice;

// There is no tool to compare with here.
#[allow(dead_code)]
mod programs;
use programs::{build_firmware, root, succeed};

const TARGET: &str = "thumbv7em-none-eabihf";

const WHAT: [&str; 33] = [
    "every:7:u16",
    "every:7:f32",
    "envelope:100:u8",
    "envelope:333:u16",
    "envelope:33:i16",
    "envelope:100:i32",
    "envelope:100:f32",
    "boxcar:100:u8",
    "boxcar:333:u16",
    "boxcar:16:i16",
    "boxcar:100:i32",
    "boxcar:100:f32",
    "cic:10:u8",
    "cic:8:u16",
    "cic:17:i16",
    "cic:100:i32",
    "fir:2:u8",
    "fir:8:u16",
    "fir:16:u16",
    "fir:5:i16",
    "fir:4:i32",
    "fir:8:f32",
    "average:1:u8",
    "average:1:u16",
    "average:1:i32",
    "average:1:f32",
    "fading:1:u16",
    "fading:1:i16",
    "fading:1:f32",
    "sinx:1:u8",
    "sinx:1:i16",
    "sinx:1:i32",
    "sinx:1:f32",
];

/// 12 bits that wander, with some of 16.
fn samples() -> Vec<u16> {
    let mut dice = Dice::new(8);
    let mut value = 2_000_i64;
    (0..20_000)
        .map(|_| {
            value = (value + dice.below(201) as i64 - 100).clamp(0, 4_095);
            if dice.below(2_000) == 0 { dice.bits() as u16 } else { value as u16 }
        })
        .collect()
}

#[test]
fn chip_and_pc_agree_on_every_decimator() {
    let emulator = ("qemu-system-arm", "--version", "qemu-system-arm is missing");
    let Some(firmware) = build_firmware("qemu-m4", TARGET, &[emulator]) else { return };
    let samples = samples();
    let recording = Path::new(env!("CARGO_TARGET_TMPDIR")).join("decimate.u16le");
    let bytes: Vec<u8> = samples.iter().flat_map(|x| x.to_le_bytes()).collect();
    fs::write(&recording, bytes).expect("the recording can be written");
    for what in WHAT {
        let mut pc = String::new();
        let known = decimation::run(
            what,
            // Other blocks than the chip's: that must not matter.
            &mut |each| samples.chunks(997).for_each(&mut *each),
            &mut |[a, b]| writeln!(pc, "{a} {b}").expect("memory for a line"),
        );
        assert_eq!(known, Some(()), "{what}");
        assert!(pc.lines().count() > 50, "too little to compare: {what}");
        let mut chip = Command::new(root().join("tools/chip-run"));
        chip.arg("m4").arg(&firmware).args(["block=333", &format!("decimate={what}")]);
        let chip = succeed({
            chip.arg(format!("file={}", recording.display()));
            chip
        });
        for (number, (pc, chip)) in pc.lines().zip(chip.lines()).enumerate() {
            assert_eq!(pc, chip, "{what}, output {number}");
        }
        assert_eq!(pc.lines().count(), chip.lines().count(), "{what}");
    }
}
