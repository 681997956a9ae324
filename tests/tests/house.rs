//! How the code is laid out: a condition stands in one file of the core and one of the tool, and
//! beside these only where conditions and events are listed.

use std::fs;
use std::path::{Path, PathBuf};

/// Where a condition may be named: its two files, the lists of conditions of core and tool, the
/// list of events, and the names that people type.
const MOST: usize = 6;

/// Conditions whose names are the names of nothing else.
const NAMES: [&str; 7] = ["Dropout", "Runt", "SetupHold", "Uart", "I2c", "Spi", "Video"];

#[test]
fn a_condition_is_named_in_few_files() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut files = Vec::new();
    for product in ["core/src", "host-cli/src"] {
        sources(&root.join(product), &mut files);
    }
    assert!(files.len() > 200, "{} files", files.len());
    for name in NAMES {
        let named: Vec<_> = files.iter().filter(|(_, code)| names(code, name)).collect();
        let paths: Vec<_> = named.iter().map(|(path, _)| path).collect();
        assert!((4..=MOST).contains(&paths.len()), "{name}: {paths:#?}");
    }
}

/// The code of all Rust files under a folder, without comments and tests.
fn sources(folder: &Path, files: &mut Vec<(PathBuf, String)>) {
    for entry in fs::read_dir(folder).expect("a folder of the project") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, files);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            let text = fs::read_to_string(&path).expect("a source file");
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
            files.push((path.clone(), lines.collect::<Vec<_>>().join("\n")));
        }
    }
}

/// Whether code has a name as a word, alone or as the name of a configuration.
fn names(code: &str, name: &str) -> bool {
    let words = code.split(|c: char| !c.is_alphanumeric() && c != '_');
    let config = format!("{name}Config");
    words.into_iter().any(|word| word == name || word == config)
}
