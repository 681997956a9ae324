//! What is there is kept, and the message says how to replace it.

use crate::make::*;
use crate::{Case, case};

/// The rows.
pub(crate) const CASES: &[Case] = &[
    case(
        "a wav record where there is one",
        |at| {
            ramp(at);
            put(at, "x-0001.wav", "mine");
        },
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out x \
             --save-as wav",
        "x-0001.wav: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a csv record where there is one",
        |at| {
            ramp(at);
            put(at, "x-0001.csv", "mine");
        },
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out x \
             --save-as csv",
        "x-0001.csv: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a npy record where there is one",
        |at| {
            ramp(at);
            put(at, "x-0001.npy", "mine");
        },
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out x \
             --save-as npy",
        "x-0001.npy: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "SigMF where there are data",
        |at| {
            ramp(at);
            put(at, "x.sigmf-data", "mine");
        },
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out x \
             --save-as sigmf",
        "x.sigmf-data: there is such a file already; choose another name, or replace it \
             with --overwrite",
    ),
    case(
        "SigMF where there are metadata",
        |at| {
            ramp(at);
            put(at, "x.sigmf-meta", "mine");
        },
        "capture ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --out x \
             --save-as sigmf",
        "x.sigmf-meta: there is such a file already; choose another name, or replace it \
             with --overwrite",
    ),
    case(
        "a decimated wav where there is one",
        |at| {
            ramp(at);
            put(at, "x.wav", "mine");
        },
        "decimate ramp.raw --sample-type u16le --by 2 --out x.wav --rate 1000",
        "x.wav: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a decimated csv where there is one",
        |at| {
            ramp(at);
            put(at, "x.csv", "mine");
        },
        "decimate ramp.raw --sample-type u16le --by 2 --out x.csv --rate 1000",
        "x.csv: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a decimated npy where there is one",
        |at| {
            ramp(at);
            put(at, "x.npy", "mine");
        },
        "decimate ramp.raw --sample-type u16le --by 2 --out x.npy --rate 1000",
        "x.npy: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "decimated SigMF where there is metadata",
        |at| {
            ramp(at);
            put(at, "x.sigmf-meta", "mine");
        },
        "decimate ramp.raw --sample-type u16le --by 2 --out x.sigmf",
        "x.sigmf-meta: there is such a file already; choose another name, or replace it \
             with --overwrite",
    ),
    case(
        "a picture where there is one",
        |at| {
            ramp(at);
            put(at, "x.png", "mine");
        },
        "view ramp.raw --sample-type u16le --level 2000 --post 10sa --png x.png",
        "x.png: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a drawing where there is one",
        |at| {
            ramp(at);
            put(at, "x.svg", "mine");
        },
        "view ramp.raw --sample-type u16le --level 2000 --post 10sa --svg x.svg",
        "x.svg: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a spectrum where there is one",
        |at| {
            ramp(at);
            put(at, "x.png", "mine");
        },
        "view ramp.raw --sample-type u16le --level 2000 --post 10sa --rate 1000 --spectrum \
             --png x.png",
        "x.png: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a histogram where there is one",
        |at| {
            ramp(at);
            put(at, "x.png", "mine");
        },
        "measure ramp.raw --sample-type u16le --level 2000 --post 10sa --histogram mean \
             --png x.png",
        "x.png: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a survey where there is one",
        |at| {
            ramp(at);
            put(at, "x.png", "mine");
        },
        "survey ramp.raw --sample-type u16le --png x.png",
        "x.png: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a picture of an explanation where there is one",
        |at| {
            ramp(at);
            put(at, "x.png", "mine");
        },
        "explain ramp.raw --sample-type u16le --level 2000 --png x.png",
        "x.png: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a setup where there is one",
        |at| {
            ramp(at);
            put(at, "x.toml", "mine");
        },
        "scan ramp.raw --sample-type u16le --level 1 --save-setup x.toml",
        "x.toml: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "constants where there are some",
        |at| {
            ramp(at);
            put(at, "x.rs", "mine");
        },
        "scan ramp.raw --sample-type u16le --level 1 --save-setup x.rs",
        "x.rs: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a suggestion where there is one",
        |at| {
            ramp(at);
            put(at, "x.toml", "mine");
        },
        "suggest ramp.raw --sample-type u16le --save-setup x.toml",
        "x.toml: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a draft where there is one",
        |at| {
            ramp(at);
            put(at, "x.toml", "mine");
        },
        "expect ramp.raw --sample-type u16le --level 2000 --post 10sa --out x.toml",
        "x.toml: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "an outcome where there is one",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = \"0..9000\"\n");
            put(at, "x.xml", "mine");
        },
        "check ramp.raw --sample-type u16le --level 2000 --post 10sa --expect e.toml \
             --junit x.xml",
        "x.xml: there is such a file already; choose another name, or replace it with \
             --overwrite",
    ),
    case(
        "a record to keep where there is one",
        |at| {
            ramp(at);
            put(at, "e.toml", "mean = \"0..1\"\n");
            put(at, "record-0001.npy", "mine");
        },
        "check ramp.raw --sample-type u16le --rate 1000 --level 2000 --post 10sa --expect \
             e.toml --keep . --save-as npy",
        "./record-0001.npy: there is such a file already; choose another name, or replace \
             it with --overwrite",
    ),
    case(
        "a demo where there is one",
        |at| {
            ramp(at);
            put(at, "pulses.npy", "mine");
        },
        "demo --folder .",
        "./pulses.npy: there is such a file already; choose another name, or replace it \
             with --overwrite",
    ),
    case(
        "a live record where there is one",
        |at| {
            large(at);
            put(at, "x.sigmf-data", "mine");
        },
        "live --play large.raw --sample-type u16le --rate 100000 --bits 12 --vref 3.3V \
             --zero 2048 --headless --records 1 --save-as sigmf --out x",
        "x.sigmf-data: there is such a file already; choose another name, or replace it \
             with --overwrite",
    ),
];
