"""What `capture`, `decimate`, `scan` and `view` write, read by numpy, scipy, pandas, csv, SigMF's
validator, Pillow and an XML parser, and compared with the samples of which the recording was made."""

import csv
import functools
import io
import json
import xml.etree.ElementTree as xml

import numpy as np
import pandas
import sigmf
from PIL import Image
from scipy.io import wavfile

from program import FRAMES, PRE, RATE, FolderTest, Recording, run


class Type:
    """A type of samples: how the recording has it, and how the tool's files should have it."""

    def __init__(self, stored, kept, wav=None, zero=0, bytes_kept=None):
        # Numpy has no 24 bits: three bytes of 32 are `bytes_kept`.
        self.stored, self.kept, self.bytes_kept = np.dtype(stored), np.dtype(kept), bytes_kept
        # Floating point is in volts, but whole numbers that become floating point are counts.
        self.is_volts, self.is_float = self.stored.kind == "f", self.kept.kind == "f"
        if self.is_volts:
            # As at a probe, so that each sample has many digits.
            self.range = (-1.7, 2.3)
        else:
            # Beyond 53 bits the script itself would round.
            bits = {8: 50}.get(self.stored.itemsize, 24 if bytes_kept else 8 * self.stored.itemsize)
            half = 2 ** (bits - 1)
            self.range = (0, 2 * half - 1) if self.stored.kind == "u" else (-half, half - 1)
        # What WAV has in place of a type that it lacks, and its count for a count of 0.
        self.wav, self.zero = np.dtype(wav or kept), zero

    def bytes(self, samples):
        stored = samples.astype(self.stored)
        if self.bytes_kept is None:
            return stored.tobytes()
        return stored.view("u1").reshape(-1, 4)[:, self.bytes_kept].tobytes()


SIXTEEN, THIRTY_TWO = 2**15, 2**31
TYPES = {
    "u8": Type("u1", "u1"),
    "i8": Type("i1", "i1", wav="u1", zero=128),
    "u16le": Type("<u2", "u2", wav="i2", zero=-SIXTEEN),
    "u16be": Type(">u2", "u2", wav="i2", zero=-SIXTEEN),
    "i16le": Type("<i2", "i2"),
    "i16be": Type(">i2", "i2"),
    "i24le": Type("<i4", "i4", bytes_kept=slice(0, 3)),
    "i24be": Type(">i4", "i4", bytes_kept=slice(1, 4)),
    "u32le": Type("<u4", "u4", wav="i4", zero=-THIRTY_TWO),
    "u32be": Type(">u4", "u4", wav="i4", zero=-THIRTY_TWO),
    "i32le": Type("<i4", "i4"),
    "i32be": Type(">i4", "i4"),
    "u64le": Type("<u8", "f4"),
    "i64be": Type(">i8", "f4"),
    "f16le": Type("<f2", "f4"),
    "f16be": Type(">f2", "f4"),
    "f32le": Type("<f4", "f4"),
    "f32be": Type(">f4", "f4"),
    "f64le": Type("<f8", "f4"),
    "f64be": Type(">f8", "f4"),
}


def of_each_type(test):
    """Runs a test for recordings of each type of samples."""

    @functools.wraps(test)
    def run_all(self):
        for seed, (name, kind) in enumerate(TYPES.items()):
            with self.subTest(name):
                recording = Recording(*kind.range, kind.is_volts, seed)
                self.prepare(name, kind, recording)
                test(self, name, kind, recording)

    return run_all


class Written(FolderTest):
    def prepare(self, name, kind, recording):
        """Writes the recording as raw samples; the options that read and trigger it."""
        (self.folder / f"{name}.raw").write_bytes(kind.bytes(recording.samples))
        # As they were stored, and as the tool has them in memory.
        if kind.is_float:
            recording.samples = recording.samples.astype(kind.stored).astype("f4")
        recording.samples = recording.samples.astype(kind.kept)
        self.input = [f"{name}.raw", "--sample-type", name, "--rate", RATE, "--channels", 2]
        unit = "V" if kind.is_volts else ""
        self.trigger = [f"--level={recording.level}{unit}", f"--hysteresis={recording.hysteresis}{unit}"]

    def same(self, found, wanted):
        """Equal in shape, type and every sample."""
        self.assertEqual(found.dtype.newbyteorder("="), wanted.dtype.newbyteorder("="))
        np.testing.assert_array_equal(found, wanted)

    def in_wav(self, samples, kind):
        return samples if kind.is_float else (samples.astype("i8") + kind.zero).astype(kind.wav)

    def signal(self, meta):
        """A SigMF recording that its validator found valid."""
        signal = sigmf.fromfile(meta, autoscale=False)
        signal.validate()
        said = signal.get_global_info()
        self.assertEqual(said["core:sample_rate"], RATE)
        # The package's own samples are 32-bit floating point; its type and memory map are exact.
        samples = np.memmap(signal.data_file, sigmf.sigmffile.dtype_info(said["core:datatype"])["sample_dtype"])
        samples = samples.reshape(-1, said["core:num_channels"])
        np.testing.assert_array_equal(signal.read_samples(), np.squeeze(samples.astype("f4")))
        return signal, samples

    def csv(self, file):
        """The header and numbers of a CSV file, as `csv` and pandas read them."""
        with open(file, newline="", encoding="utf-8") as opened:
            head, *rows = csv.reader(opened, strict=True)
        numbers = np.array(rows, dtype="f8")
        table = pandas.read_csv(file)
        self.assertEqual(list(table.columns), head)
        np.testing.assert_array_equal(table.to_numpy("f8"), numbers)
        return head, numbers

    @of_each_type
    def test_records(self, name, kind, recording):
        wanted = recording.records()
        self.assertGreater(len(wanted), 10)
        record = ["--pre", f"{PRE}sa", "--post", "100sa"]
        for ending in ["npy", "wav", "csv", "sigmf"]:
            out = ["--out", f"{name}/pulse", "--save-as", ending]
            (self.folder / name).mkdir(exist_ok=True)
            run("capture", *self.input, *self.trigger, *record, *out, folder=self.folder)
        folder = self.folder / name
        for ending in ["npy", "wav", "csv"]:
            names = [f"pulse-{n:04}.{ending}" for n in range(1, len(wanted) + 1)]
            self.assertEqual(sorted(file.name for file in folder.glob(f"*.{ending}")), names)
        for n, (start, samples) in enumerate(wanted, 1):
            self.same(np.load(folder / f"pulse-{n:04}.npy"), samples)
            rate, found = wavfile.read(folder / f"pulse-{n:04}.wav")
            self.assertEqual(rate, RATE)
            self.same(found, self.in_wav(samples, kind))
            head, numbers = self.csv(folder / f"pulse-{n:04}.csv")
            unit = "V" if kind.is_volts else "counts"
            self.assertEqual(head, ["time (s)", f"channel 1 ({unit})", f"channel 2 ({unit})"])
            self.same(numbers[:, 1:].astype(kind.kept), samples)
            # The trigger instant is at 0, by linear interpolation before the sample PRE.
            before, after = samples[PRE - 1 : PRE + 1, 0].astype("f8")
            lead = (after - recording.level) / (after - before)
            times = (np.arange(len(samples)) - PRE + lead) / RATE
            np.testing.assert_allclose(numbers[:, 0], times, rtol=0, atol=2 / 65536 / RATE)
        signal, samples = self.signal(folder / "pulse.sigmf-meta")
        self.same(samples, np.concatenate([samples for _, samples in wanted]))
        captures = signal.get_captures()
        self.assertEqual([capture["core:global_index"] for capture in captures], [start for start, _ in wanted])
        length = len(wanted[0][1])
        firsts = [length * n for n in range(len(wanted))]
        self.assertEqual([capture["core:sample_start"] for capture in captures], firsts)
        annotated = [annotation["core:sample_start"] for annotation in signal.get_annotations()]
        self.assertEqual(annotated, [first + PRE for first in firsts])

    @of_each_type
    def test_a_whole_recording(self, name, kind, recording):
        for by in [1, 7]:
            self.whole(name, kind, ["every", by], recording.samples[::by], RATE / by)

    @of_each_type
    def test_sums_and_extremes(self, name, kind, recording):
        by = 8
        groups = recording.samples.reshape(-1, by, 2)
        extremes = np.stack([groups.min(1), groups.max(1)], axis=2).reshape(-1, 4)
        self.whole(name, kind, ["minmax", by], extremes, RATE / by)
        if kind.is_float or kind.kept.itemsize == 4:
            return
        # Narrow whole numbers: their sums have room in 32 bits.
        sums = groups.astype("i8").sum(1)
        file = f"{name}-sums.npy"
        run("decimate", *self.input, "--how", "boxcar", "--by", by, "--out", file, folder=self.folder)
        np.testing.assert_array_equal(np.load(self.folder / file), sums)

    def whole(self, name, kind, how, wanted, rate):
        how, by = how
        file = self.folder / f"{name}-{how}-{by}"
        # WAV states whole rates only.
        endings = ["npy", "csv", "sigmf"] + (["wav"] if rate == int(rate) else [])
        for ending in endings:
            out = ["--out", f"{file}.{ending}"]
            run("decimate", *self.input, "--how", how, "--by", by, *out, folder=self.folder)
        self.same(np.load(f"{file}.npy"), wanted)
        if "wav" in endings:
            stated, found = wavfile.read(f"{file}.wav")
            self.assertEqual(stated, rate)
            self.same(found, self.in_wav(wanted, kind))
        _, numbers = self.csv(f"{file}.csv")
        self.same(numbers[:, 1:].astype(kind.kept), wanted)
        signal = sigmf.fromfile(f"{file}.sigmf-meta", autoscale=False)
        signal.validate()
        self.assertAlmostEqual(signal.get_global_field("core:sample_rate"), rate, 9)
        stored = sigmf.sigmffile.dtype_info(signal.get_global_field("core:datatype"))["sample_dtype"]
        self.same(np.fromfile(f"{file}.sigmf-data", stored).reshape(wanted.shape), wanted)

    def test_counts_in_volts(self):
        """CSV has volts where the converter is known; the counts can be told from them."""
        recording = Recording(0, 4095, False, 7)
        (self.folder / "x.raw").write_bytes(recording.samples.astype("<u2").tobytes())
        options = ["x.raw", "--sample-type", "u16le", "--rate", RATE, "--channels", 2]
        options += ["--bits", 12, "--vref", "3.3V", "--zero", 2048]
        run("decimate", *options, "--by", 1, "--how", "every", "--out", "x.csv", folder=self.folder)
        head, numbers = self.csv(self.folder / "x.csv")
        self.assertEqual(head[1:], ["channel 1 (V)", "channel 2 (V)"])
        volts = (recording.samples - 2048) * 3.3 / 4096
        np.testing.assert_allclose(numbers[:, 1:], volts, rtol=0, atol=3.3 / 4096 / 1000)

    def test_one_channel(self):
        """One channel is one dimension."""
        recording = Recording(0, 65535, False, 8)
        (self.folder / "x.raw").write_bytes(recording.samples.astype("<u2").tobytes())
        options = ["x.raw", "--sample-type", "u16le", "--rate", RATE, "--channels", 2, "--channel", 2]
        for file in ["x.npy", "x.sigmf"]:
            run("decimate", *options, "--by", 1, "--how", "every", "--out", file, folder=self.folder)
        self.same(np.load(self.folder / "x.npy"), recording.samples[:, 1].astype("u2"))
        _, samples = self.signal(self.folder / "x.sigmf-meta")
        self.same(samples[:, 0], recording.samples[:, 1].astype("u2"))

    @of_each_type
    def test_records_that_a_check_keeps(self, name, kind, recording):
        (self.folder / "none.toml").write_text('maximum = { at_least = "9 GV" }\n')
        volts = [] if kind.is_volts else ["--bits", 8, "--vref", "1V"]
        job = ["check", *self.input, *self.trigger, *volts, "--pre", f"{PRE}sa", "--post", "100sa"]
        keep = ["--expect", "none.toml", "--keep", f"kept-{name}", "--save-as", "npy"]
        run(*job, *keep, folder=self.folder, status=1)
        kept = sorted((self.folder / f"kept-{name}").iterdir())
        self.assertEqual(len(kept), len(recording.records()))
        for file, (_, samples) in zip(kept, recording.records()):
            # A check looks at one channel. Floating point is written as volts: 1/256 V a count here.
            counted = kind.is_float and not kind.is_volts
            self.same(np.load(file), samples[:, 0] / np.float32(256) if counted else samples[:, 0])

    @of_each_type
    def test_events(self, _, kind, recording):
        edges = recording.rising_edges()
        scan = ["scan", *self.input, *self.trigger]
        lines = run(*scan, "--format", "json", folder=self.folder).splitlines()
        rows = [json.loads(line) for line in lines]
        events = [row for row in rows if "position" in row]
        self.assertEqual([event["position"] for event in events], edges)
        table = pandas.read_csv(io.StringIO(run(*scan, "--format", "csv", folder=self.folder)))
        self.assertEqual(list(table["position"]), edges)
        times = np.array([event["time"] for event in events])
        np.testing.assert_allclose(table["time"], times, rtol=0, atol=1e-9)
        samples = recording.samples[:, 0].astype("f8")
        before, after = samples[np.array(edges) - 1], samples[edges]
        # Level and samples are reals, or whole numbers: the crossing is in 1/65536 of a sample.
        crossing = np.array(edges) - (after - recording.level) / (after - before)
        np.testing.assert_allclose(times, crossing / RATE, rtol=0, atol=2 / 65536 / RATE)

    @of_each_type
    def test_measurements(self, _, kind, recording):
        job = [*self.input, *self.trigger, "--pre", f"{PRE}sa", "--post", "100sa", "--all"]
        rows = run("measure", *job, "--format", "json", folder=self.folder).splitlines()
        for row in rows:
            self.assertIsInstance(json.loads(row), dict)
        table = pandas.read_csv(io.StringIO(run("measure", *job, "--format", "csv", folder=self.folder)))
        self.assertGreater(len(table), 0)

    def test_pictures(self):
        recording = Recording(0, 4095, False, 9)
        (self.folder / "x.raw").write_bytes(recording.samples.astype("<u2").tobytes())
        job = ["x.raw", "--sample-type", "u16le", "--rate", RATE, "--channels", 2, "--level", 2048]
        job += ["--hysteresis", 400, "--pre", "20sa", "--post", "100sa", "--png", "x.png", "--svg", "x.svg"]
        run("view", *job, folder=self.folder)
        with Image.open(self.folder / "x.png") as picture:
            self.assertEqual(picture.format, "PNG")
            # All of it, with its checksums.
            picture.load()
            self.assertGreater(len(picture.convert("RGB").getcolors(1 << 24)), 2)
            width, height = picture.size
        root = xml.parse(self.folder / "x.svg").getroot()
        self.assertEqual(root.tag, "{http://www.w3.org/2000/svg}svg")
        self.assertGreater(width * height, 100_000)
