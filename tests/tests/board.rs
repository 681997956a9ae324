//! The instrument on an emulated RP2040: triggers, knobs, modes, display, link, flash. What is
//! looked at stands in `tools/rp2040/board.test.mjs`.
//!
//! Without the emulator and a toolchain for the chip (`tools/install-emulation`) it is skipped with
//! a word on standard error; with `STILLWAVE_CHIP=required` in the environment it then fails.

use std::process::Command;

mod programs;
use programs::{TOOL, build_firmware, root, succeed};

#[test]
fn the_board_does_what_it_should() {
    let modules = root().join("tools/rp2040/node_modules/rp2040js/package.json");
    let modules = modules.to_str().expect("a path in UTF-8");
    let tools = [
        ("node", "--version", "node is missing"),
        ("ls", modules, "the emulator is not installed in tools/rp2040"),
    ];
    let Some(firmware) = build_firmware("rp2040", "thumbv6m-none-eabi", &tools) else { return };
    let mut node = Command::new("node");
    node.arg("--test").arg(root().join("tools/rp2040/board.test.mjs"));
    node.env("FIRMWARE", firmware).env("STILLWAVE", &*TOOL);
    eprintln!("{}", succeed(node));
}
