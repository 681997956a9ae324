#!/usr/bin/env python3
"""Prints one table of what `cargo bench -p stillwave-benches` has measured: for each signal, the
speed as a ratio to the read limit of the same run.

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


def fastest(directory):
    """Seconds an iteration, or None where there is no such benchmark."""
    try:
        sample = json.loads((directory / "new" / "sample.json").read_text())
    except FileNotFoundError:
        return None
    return min(time / n for time, n in zip(sample["times"], sample["iters"])) * 1e-9


def main():
    target = sys.argv[1] if len(sys.argv) > 1 else os.environ.get("CARGO_TARGET_DIR", "target")
    root = Path(target) / "criterion"
    print("| samples | signal | read limit, G samples/s | " + " | ".join(COLUMNS) + " |")
    print("|---|---|" + "---:|" * (len(COLUMNS) + 1))
    for kind in TYPES:
        for signal in SIGNALS:
            group = root / f"{kind} {signal}"
            limit = fastest(group / "read limit")
            if limit is None:
                continue
            benchmark = json.loads((group / "read limit/new/benchmark.json").read_text())
            speed = benchmark["throughput"]["Elements"] / limit / 1e9
            times = [fastest(group / name) for name in COLUMNS]
            cells = [f"{limit / time:.2f}" if time else "" for time in times]
            print(f"| {kind} | {signal} | {speed:.1f} | " + " | ".join(cells) + " |")


main()
