//! Gives the linker the memories of the board that stands for this target; a PC needs none.

use std::{env, fs, path::PathBuf};

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    if env::var("CARGO_CFG_TARGET_OS").is_ok_and(|os| os != "none") {
        return;
    }
    let target = env::var("TARGET").expect("cargo sets TARGET");
    let memory = format!("memory-{target}.x");
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets OUT_DIR"));
    fs::copy(&memory, out.join("memory.x")).expect("a memory-TARGET.x for each board");
    println!("cargo:rustc-link-search={}", out.display());
    if target.starts_with("riscv") {
        println!("cargo:rustc-link-arg-bins=-Tmemory.x");
    }
    println!("cargo:rustc-link-arg-bins=-Tlink.x");
    println!("cargo:rerun-if-changed={memory}");
}
