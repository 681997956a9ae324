//! Sets `cfg(vectors)` where the target has vectors that the kernels are written for.
//!
//! Keep it the same as the condition of `fearless_simd` in Cargo.toml. A target of these
//! processors may be without vectors all the same: `x86_64-unknown-none` is.

use std::env::var;

fn main() {
    println!("cargo::rustc-check-cfg=cfg(vectors)");
    println!("cargo::rerun-if-changed=build.rs");
    let arch = var("CARGO_CFG_TARGET_ARCH").unwrap_or_default();
    let needed = match arch.as_str() {
        "x86" | "x86_64" => "sse2",
        "aarch64" => "neon",
        "wasm32" => "simd128",
        _ => return,
    };
    let features = var("CARGO_CFG_TARGET_FEATURE").unwrap_or_default();
    if features.split(',').any(|feature| feature == needed) {
        println!("cargo::rustc-cfg=vectors");
    }
}
