//! What the `stillwave` program is made of: files in, tables and pictures out.

pub mod acquire;
pub mod args;
pub mod calibration;
pub mod commands;
pub mod decimate;
pub mod demo;
pub mod error;
pub mod expect;
pub mod explain;
pub mod export;
pub mod input;
pub mod interrupt;
pub mod live;
pub mod measured;
pub mod note;
pub mod plan;
pub mod progress;
pub mod quantity;
pub mod reach;
pub mod report;
mod settings;
pub mod setup;
pub mod stream;
pub mod suggest;
pub mod survey;
pub mod transform;
pub mod view;
