//! The header is what cbindgen makes of the sources: `STILLWAVE_BLESS=1 cargo test -p stillwave-c
//! --test header` writes it anew.

use std::{env, fs, path::Path};

#[test]
fn the_header_is_up_to_date() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    let config =
        cbindgen::Config::from_file(folder.join("cbindgen.toml")).expect("a configuration");
    let bindings = cbindgen::generate_with_config(folder, config).expect("a header");
    let mut made = vec![];
    bindings.write(&mut made);
    let path = folder.join("include/stillwave.h");
    if env::var_os("STILLWAVE_BLESS").is_some() {
        fs::write(&path, &made).expect("the header can be written");
    }
    let committed = fs::read(&path).unwrap_or_default();
    assert!(committed == made, "include/stillwave.h is out of date: see the head of this file");
}
