//! Options of every command that makes records.

use clap::Args;

use super::{InputArgs, RecordArgs, ScaleArgs, TriggerArgs};

/// Options of every command that makes records.
#[derive(Debug, Args)]
pub struct JobArgs {
    #[command(flatten)]
    #[allow(missing_docs)]
    pub input: InputArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub scale: ScaleArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub trigger: TriggerArgs,
    #[command(flatten)]
    #[allow(missing_docs)]
    pub record: RecordArgs,
}
