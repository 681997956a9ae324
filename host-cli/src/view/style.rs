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
/// Levels and the trigger instant.
pub(super) const MARK: &str = "#b4441a";
/// Thresholds that only arm.
pub(super) const MINOR_MARK: &str = "#d08a5f";

pub(super) const FAMILY: &str = "Inter, Helvetica, Arial, sans-serif";
/// The family of labels, in pixels.
pub(super) const LABEL_SIZE: f64 = 13.0;
pub(super) const TITLE_SIZE: f64 = 18.0;

/// About how wide a text is, for layout alone: the mean of the font's letters and digits.
pub(super) fn width(text: &str, size: f64) -> f64 {
    text.chars().count() as f64 * size * 0.58
}

/// A text that takes no more than `room`, cut short if it must be.
pub(super) fn fit(text: &str, size: f64, room: f64) -> String {
    if width(text, size) <= room {
        return text.to_owned();
    }
    let letters = ((room / (size * 0.58)) as usize).saturating_sub(1);
    let mut short: String = text.chars().take(letters).collect();
    short.truncate(short.trim_end().len());
    short.push('…');
    short
}
