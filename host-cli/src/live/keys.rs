//! Keys that turn knobs.

use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use stillwave_app::Action;

/// What a key means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// What a knob does.
    Knob(Action),
    /// The holdoff, by so many steps.
    Holdoff(i32),
    /// The voltage in the middle, by so many steps.
    Position(i32),
    /// Count anew what is as expected.
    Recount,
    /// Write the record.
    Save,
    /// End.
    Quit,
}

/// What keys do.
pub(super) const HELP: [&str; 11] = [
    "↑↓ level",
    "←→ time",
    "+- volts",
    "PgUp PgDn position",
    "[ ] holdoff",
    "s slope",
    "m mode",
    "space run",
    "a auto set-up",
    "w write",
    "q quit",
];

/// What one of them does where records are held against what is expected.
pub(super) const HELP_RECOUNT: &str = "c count anew";

/// What they do when a recording has ended.
pub(super) const HELP_AT_END: [&str; 2] = ["w write", "q quit"];

/// What a key means, if anything.
pub fn key(event: KeyEvent) -> Option<Key> {
    if event.kind == KeyEventKind::Release {
        return None;
    }
    let control = event.modifiers.contains(KeyModifiers::CONTROL);
    let fast = if event.modifiers.contains(KeyModifiers::SHIFT) { 10 } else { 1 };
    Some(match event.code {
        KeyCode::Char('c') if control => Key::Quit,
        KeyCode::Up => Key::Knob(Action::Level(fast)),
        KeyCode::Down => Key::Knob(Action::Level(-fast)),
        KeyCode::Right => Key::Knob(Action::Time(1)),
        KeyCode::Left => Key::Knob(Action::Time(-1)),
        KeyCode::Char('+' | '=') => Key::Knob(Action::Volts(1)),
        KeyCode::Char('-') => Key::Knob(Action::Volts(-1)),
        KeyCode::PageUp => Key::Position(1),
        KeyCode::PageDown => Key::Position(-1),
        KeyCode::Char(']') => Key::Holdoff(1),
        KeyCode::Char('[') => Key::Holdoff(-1),
        KeyCode::Char('s') => Key::Knob(Action::Slope),
        KeyCode::Char('m') => Key::Knob(Action::Mode),
        KeyCode::Char(' ') => Key::Knob(Action::RunStop),
        KeyCode::Char('a') => Key::Knob(Action::Automatic),
        KeyCode::Char('c') => Key::Recount,
        KeyCode::Char('w') => Key::Save,
        KeyCode::Char('q') | KeyCode::Esc => Key::Quit,
        _ => return None,
    })
}
