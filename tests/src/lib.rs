//! Shared by the tests: plain oracles of the trigger rules.
