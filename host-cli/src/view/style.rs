//! How pictures look: warm paper, teal traces, rust for what was set by hand.

/// The whole sheet.
pub(super) const PAPER: &str = "#faf8f4";
/// Behind the traces.
pub(super) const FIELD: &str = "#ffffff";
pub(super) const GRID: &str = "#ebe7df";
pub(super) const FRAME: &str = "#b9b2a6";
/// Titles.
pub(super) const INK: &str = "#24302f";
/// Labels.
pub(super) const SOFT_INK: &str = "#5c6664";
/// All records.
pub(super) const TRACE: &str = "#1f9e8f";
/// The last record.
pub(super) const LAST: &str = "#0b4a45";
/// Records that are not as they should be.
pub(super) const OFFENCE: &str = "#d1345b";
/// Where records should not be.
pub(super) const FORBIDDEN: &str = "#8a8fb0";
/// Levels and the trigger instant.
pub(super) const MARK: &str = "#b4441a";
/// Thresholds that only arm.
pub(super) const MINOR_MARK: &str = "#a5683c";

pub(super) const FAMILY: &str = "Inter, Helvetica, Arial, sans-serif";
/// The size of labels, in pixels.
pub(super) const LABEL_SIZE: f64 = 13.0;
pub(super) const TITLE_SIZE: f64 = 18.0;

/// How wide a text is, within a few parts in a hundred: for layout alone.
pub(super) fn width(text: &str, size: f64) -> f64 {
    let letters = text.chars().map(|letter| match letter {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' | '·' => 0.28,
        'f' | 't' | 'r' | '(' | ')' | '/' | '-' => 0.38,
        'm' | 'w' | 'M' | 'W' | '…' => 0.86,
        '0'..='9' | '\u{2212}' | 'µ' => 0.63,
        'A'..='Z' => 0.68,
        ' '..='~' => 0.58,
        // Of whatever the font lacks, some is twice as wide.
        _ => 1.0,
    });
    letters.sum::<f64>() * size
}

/// A text that takes no more than `room`, cut short if it must be; empty where nothing fits.
pub(super) fn fit(text: &str, size: f64, room: f64) -> String {
    if width(text, size) <= room {
        return text.to_owned();
    }
    let mut short = text.to_owned();
    while short.pop().is_some() {
        let kept = format!("{}…", short.trim_end());
        if kept.chars().count() > 3 && width(&kept, size) <= room {
            return kept;
        }
    }
    String::new()
}
