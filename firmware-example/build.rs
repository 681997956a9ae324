//! Tells the linker a program's memories and the scripts of the crates in use: the build script of
//! every member that is a program.
//!
//! `memory/` has a file for each chip: a board's name begins with its chip's. What runs in an
//! emulator alone has the memories of its target.

use std::{env, fs, path::PathBuf};

fn main() {
    println!("cargo:rerun-if-changed=../build.rs");
    let variable = |name| env::var(name).unwrap_or_else(|_| panic!("cargo sets {name}"));
    // A PC needs none.
    if variable("CARGO_CFG_TARGET_OS") != "none" {
        return;
    }
    let (package, target) = (variable("CARGO_PKG_NAME"), variable("TARGET"));
    let chip = package.split('-').next().unwrap_or_default();
    let files = [chip, &target].map(|name| PathBuf::from(format!("../memory/{name}.x")));
    let memory = files.iter().find(|file| file.exists()).expect("a file for the chip in memory/");
    let out = PathBuf::from(variable("OUT_DIR"));
    fs::copy(memory, out.join("memory.x")).expect("OUT_DIR can be written");
    println!("cargo:rerun-if-changed={}", memory.display());
    println!("cargo:rustc-link-search={}", out.display());
    println!("cargo:rustc-link-arg-bins=--nmagic");
    if target.starts_with("riscv") {
        println!("cargo:rustc-link-arg-bins=-Tmemory.x");
    }
    println!("cargo:rustc-link-arg-bins=-Tlink.x");
    if env::var_os("CARGO_FEATURE_LOG").is_some() {
        println!("cargo:rustc-link-arg-bins=-Tdefmt.x");
    }
}
