//! A bench instrument on the Stillwave engine, for any board.
//!
//! ```text
//!  converter ─► blocks ─► Capture ─► Shot ─► Bench ─► screen
//!                            ▲                 ▲
//!                       Arrangement ◄──────────┤
//!  knobs, buttons ─► Panel ─► Action ──────────┘
//! ```
//!
//! A board hands every block of its converter to a [`Capture`], from the interrupt that the block
//! comes by; polls its knobs through a [`Panel`] once a millisecond; and in its main loop gives
//! actions and records to the [`Bench`], which says what to capture next and draws. The two sides
//! meet only where an [`Arrangement`] goes one way and a [`Shot`] the other, so that a board locks
//! for no longer than that. Nothing here knows a chip.
//!
//! | a board provides | as |
//! |---|---|
//! | samples | blocks of `u16` to [`Capture::push`], and [`Capture::gap`] for lost ones |
//! | knobs, buttons | `embedded_hal::digital::InputPin`, polled by [`Panel::poll`] |
//! | a display | `embedded_graphics::draw_target::DrawTarget`, to [`Bench::draw`] |
//! | time | milliseconds and microseconds, as numbers |
//! | memory that lasts | `embedded_storage_async::nor_flash::MultiwriteNorFlash` or any [`Keep`] |
#![cfg_attr(not(test), no_std)]

mod auto;
mod bench;
mod capture;
mod front_end;
mod knob;
mod load;
mod panel;
mod readings;
pub mod screen;
mod settings;
mod steps;
pub mod store;
mod trace;

pub use bench::{Bench, Status};
pub use capture::{Arrangement, Capture, Counts, Shot};
pub use front_end::FrontEnd;
pub use knob::{Knob, Turned};
pub use load::Load;
pub use panel::{Action, Panel};
pub use readings::Readings;
pub use settings::{FARTHEST_MV, Mode, Settings};
pub use steps::{DIVISIONS_ACROSS, DIVISIONS_BEFORE, DIVISIONS_UP};
pub use steps::{HOLDOFFS_US, TIMES_US, VOLTS_MV};
pub use store::Keep;
pub use trace::{COLUMNS, Column, Trace};
