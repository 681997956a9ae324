//! A trigger as constants in Rust, for firmware.

use std::fmt::Write as _;

use serde::Serialize;
use stillwave::{Composition, Coupling, Holdoff, Input, RecordShape, Sample};

use super::constant;
use crate::args::TriggerArgs;
use crate::error::Error;
use crate::plan::TriggerPlan;

/// The constants, with how they are used.
pub(super) fn text<T: Sample>(
    plan: &TriggerPlan<T>,
    args: &TriggerArgs,
    shape: Option<RecordShape>,
) -> Result<String, Error> {
    let board = plan.for_board(args)?;
    let sample = std::any::type_name::<T>();
    let mut text = String::new();
    let _ = writeln!(text, "// {}", plan.describe());
    if let Some(rate) = plan.rate() {
        let _ =
            writeln!(text, "// Times are counted in samples, of which there are {rate} a second.");
    }
    let (kind, condition) = match &board.setup {
        Composition::Single(setup) => (format!("stillwave::Setup<{sample}>"), of(setup)?),
        other => (format!("stillwave::Composition<{sample}>"), of(other)?),
    };
    text += &constant("CONDITION", &kind, "What makes an event.", &condition);
    let inputs = board.inputs();
    let as_it_is = |(n, input): (usize, &Input)| *input == Input::Channel(n as u8);
    let seen = !inputs.iter().enumerate().all(as_it_is);
    if seen {
        let kind = format!("[stillwave::Input; {}]", inputs.len());
        let doc = "Which channels of the stream the condition sees, counted from 0.";
        text += &constant("INPUTS", &kind, doc, &of_slice(&inputs)?);
    }
    if board.holdoff != Holdoff::None {
        let doc = "Which events are accepted.";
        text += &constant("HOLDOFF", "stillwave::Holdoff", doc, &of(&board.holdoff)?);
    }
    if let Some(shape) = shape {
        let doc = "The samples of a record.";
        text += &constant("SHAPE", "stillwave::RecordShape", doc, &of(&shape)?);
    }
    let condition =
        if seen { "Inputs::new(CONDITION.build()?, INPUTS)?" } else { "CONDITION.build()?" };
    let holdoff = if board.holdoff == Holdoff::None { "Holdoff::None" } else { "HOLDOFF" };
    let _ = writeln!(text, "// let trigger = Trigger::new({condition}, {holdoff})?;");
    Ok(text)
}

fn of<V: Serialize>(value: &V) -> Result<constant::Node, Error> {
    constant::node(value).map_err(|error| Error::usage(error.to_string(), "save it as .toml"))
}

fn of_slice(inputs: &[Input]) -> Result<constant::Node, Error> {
    let items = inputs.iter().map(|input| {
        // A channel just as it comes needs no filter.
        match input {
            Input::Coupled { channel, coupling: Coupling::Dc } => of(&Input::Channel(*channel)),
            other => of(other),
        }
    });
    Ok(constant::Node::array(items.collect::<Result<_, _>>()?))
}

fn constant(name: &str, kind: &str, doc: &str, value: &constant::Node) -> String {
    let head = format!("pub const {name}: {kind} = ");
    format!("/// {doc}\n{head}{};\n", value.render(head.len() + 1, 0))
}
