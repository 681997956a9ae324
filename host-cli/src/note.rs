//! Things the user should know that are no failures, on standard error.

use crate::printed::tell;

/// One of them.
pub fn one(text: impl std::fmt::Display) {
    tell(&format!("note: {text}"));
}

/// Several, in order.
pub fn all(texts: Vec<String>) {
    texts.into_iter().for_each(one);
}
