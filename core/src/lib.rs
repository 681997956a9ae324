//! Stub.
#![no_std]
