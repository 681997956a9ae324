#!/usr/bin/env python3
"""Checks the tool on recordings whose licence (GPL-2) keeps them out of this folder.

    outside.py path/to/stillwave

Fetches Debian's alsa-utils with apt-get, and needs nothing beyond Python's own library.
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import wave

import loops

# Recording, level, hysteresis, and what brute force found: how many rising edges, and the first.
RECORDINGS = [
    ("Noise.wav", 1000, 1999, 419, [216, 342]),
    ("Front_Center.wav", 1000, 1999, 793, []),
]


def main(stillwave):
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["apt-get", "download", "-qq", "alsa-utils"], cwd=folder, check=True)
        (archive,) = pathlib.Path(folder).glob("*.deb")
        subprocess.run(["dpkg-deb", "-x", archive, folder], check=True)
        sounds = pathlib.Path(folder) / "usr/share/sounds/alsa"
        for name, level, hysteresis, count, first in RECORDINGS:
            path = sounds / name
            expected = [[i, i - lead / 65536] for i, lead in loops.edges(samples(path), level, hysteresis)]
            assert len(expected) == count
            assert first == [event[0] for event in expected[: len(first)]]
            found = scan(stillwave, path, level, hysteresis)
            assert found == expected, f"{name}: {len(found)} events instead of {len(expected)}"
            print(f"{name}: {len(found)} events agree")


def samples(path):
    """16 bits, one channel."""
    with wave.open(str(path)) as file:
        assert (file.getsampwidth(), file.getnchannels()) == (2, 1)
        data = file.readframes(file.getnframes())
    return [int.from_bytes(data[i : i + 2], "little", signed=True) for i in range(0, len(data), 2)]


def scan(stillwave, path, level, hysteresis):
    options = ["--level", str(level), "--hysteresis", str(hysteresis), "--format", "json"]
    output = subprocess.run([stillwave, "scan", path, *options], check=True, capture_output=True, text=True)
    events = [json.loads(line) for line in output.stdout.splitlines()]
    return [[event["position"], event["crossing"]] for event in events]


if __name__ == "__main__":
    main(sys.argv[1])
