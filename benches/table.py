#!/usr/bin/env python3
"""Prints what `cargo bench -p stillwave-benches` has measured as two tables, of triggers and of
decimators: speeds as ratios to the read limit of the same run.

Of each benchmark the fastest of its samples counts: on a shared machine, that is the one least
disturbed by others. Usage: table.py [TARGET_DIRECTORY]
"""

import json
import os
import sys
from pathlib import Path

TYPES = ["u8", "i16", "u16", "f32"]
SIGNALS = ["quiet", "sine of 1000", "edge every 4", "white noise", "random runs"]
COLUMNS = [
    "count",
    "list",
    "list, pulled",
    "list with instants",
    "wait for a pulse",
    "naive count",
    "naive list",
    "naive list with instants",
    "monitor",
    "memchr",
]
DECIMATORS = [
    "envelope",
    "envelope, plain",
    "envelope, argminmax",
    "boxcar",
    "boxcar, plain",
    "every",
    "cic of order 3",
    "low pass for 8",
]


def fastest(directory):
    """Seconds an iteration, or None where there is no such benchmark."""
    try:
        sample = json.loads((directory / "new" / "sample.json").read_text())
    except FileNotFoundError:
        return None
    return min(time / n for time, n in zip(sample["times"], sample["iters"])) * 1e-9


def table(root, first, rows, columns):
    """Prints a row for each group of benchmarks that was measured."""
    print(f"| {first} | read limit, G samples/s | " + " | ".join(columns) + " |")
    print("|---" * len(first.split("|")) + "|" + "---:|" * (len(columns) + 1))
    for head, group in rows:
        limit = fastest(root / group / "read limit")
        if limit is None:
            continue
        benchmark = json.loads((root / group / "read limit/new/benchmark.json").read_text())
        speed = benchmark["throughput"]["Elements"] / limit / 1e9
        times = [fastest(root / group / name) for name in columns]
        cells = [f"{limit / time:.2f}" if time else "" for time in times]
        print(f"| {head} | {speed:.1f} | " + " | ".join(cells) + " |")


def main():
    target = sys.argv[1] if len(sys.argv) > 1 else os.environ.get("CARGO_TARGET_DIR", "target")
    root = Path(target) / "criterion"
    rows = [(f"{kind} | {signal}", f"{kind} {signal}") for kind in TYPES for signal in SIGNALS]
    table(root, "samples | signal", rows, COLUMNS)
    print()
    table(root, "samples", [(kind, f"decimate {kind}") for kind in TYPES], DECIMATORS)


main()
