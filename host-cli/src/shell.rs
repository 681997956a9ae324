//! Commands as they are typed.

/// Words as a shell takes them: in double quotes on Windows, where both kinds of shell take those (but
/// for words with `$`, `%` or a backtick), or else as a Unix shell wants them.
pub fn command<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let quoted = words.into_iter().map(|word| quote(word, cfg!(windows)));
    quoted.collect::<Vec<_>>().join(" ")
}

fn quote(word: &str, on_windows: bool) -> String {
    // A list and a splat for one kind of Windows shell.
    let special = |c: char| on_windows && ",@%".contains(c);
    let plain = |c: char| c.is_ascii_alphanumeric() || ("-_./:=+,@%".contains(c) && !special(c));
    if !word.is_empty() && word.chars().all(plain) {
        word.to_owned()
    } else if on_windows {
        // No file's name has such quotes there.
        format!("\"{word}\"")
    } else {
        format!("'{}'", word.replace('\'', r"'\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::quote;

    #[test]
    fn words_that_a_shell_would_part_are_quoted() {
        let words = ["view", "a file.wav", "it's", "--level", "1.65V", r"new\a.wav"];
        let typed = |on_windows| words.map(|word| quote(word, on_windows)).join(" ");
        assert_eq!(typed(false), r"view 'a file.wav' 'it'\''s' --level 1.65V 'new\a.wav'");
        assert_eq!(typed(true), r#"view "a file.wav" "it's" --level 1.65V "new\a.wav""#);
    }
}
