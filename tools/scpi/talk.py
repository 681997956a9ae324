"""Drives `stillwave live --scpi` by PyVISA, over a recording that is known. See `run`."""

import math
import os
import tempfile
import unittest
from pathlib import Path

import pyvisa

from server import Server

RATE = 50_000
SECONDS = 60
FREQUENCY = 997
# In codes of a converter of 12 bits over 3.3 V.
ZERO, MEAN, AMPLITUDE = 2048, 2248, 1000
VOLT = 4096 / 3.3


def codes():
    """A sine with some unrest, so that no two stretches of it are the same."""
    seed = 1
    for n in range(SECONDS * RATE):
        seed = seed * 48271 % 2147483647
        sine = math.sin(2 * math.pi * FREQUENCY * n / RATE)
        yield round(MEAN + AMPLITUDE * sine) + seed % 5 - 2


class Talk(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        file = Path(cls.folder.name, "sine.u16le")
        cls.recording = b"".join(code.to_bytes(2, "little") for code in codes())
        file.write_bytes(cls.recording)
        options = ["--sample-type", "u16le", "--rate", str(RATE)]
        options += ["--bits", "12", "--vref", "3.3V", "--zero", str(ZERO)]
        command = [os.environ["STILLWAVE"], "live", "--headless", "--scpi", "127.0.0.1:0"]
        cls.server = Server([*command, "--play", file, *options], cls.folder.name)
        cls.port = cls.server.port
        cls.manager = pyvisa.ResourceManager("@py")

    @classmethod
    def tearDownClass(cls):
        cls.server.stop()
        cls.folder.cleanup()

    def setUp(self):
        name = f"TCPIP::127.0.0.1::{self.port}::SOCKET"
        self.board = self.manager.open_resource(
            name, read_termination="\n", write_termination="\n", timeout=3000
        )
        self.board.write("*RST;*CLS")

    def tearDown(self):
        self.assertEqual(self.board.query("SYST:ERR?"), '0,"No error"')
        self.board.close()

    def near(self, question, wanted, error):
        found = float(self.board.query(question))
        self.assertLessEqual(abs(found - wanted), error, f"{question} {found}, not {wanted}")

    def test_it_says_what_it_is(self):
        maker, model, serial, version = self.board.query("*IDN?").split(",")
        self.assertEqual((maker, model, serial), ("Stillwave", "Bench instrument", "0"))
        self.assertRegex(version, r"^\d+\.\d+\.\d+$")
        self.assertEqual(self.board.query("SYST:VERS?"), "1999.0")

    def test_a_trigger_is_set(self):
        self.board.write("TRIGger:LEVel 250 mV;SLOPe NEGative;HYSTeresis 20mV;HOLDoff 1.5 ms")
        settings = self.board.query("TRIG:LEV?;SLOP?;HYST?;HOLD?")
        self.assertEqual(settings, "0.25;NEG;0.02;0.0015")

    def test_records_are_those_of_the_recording(self):
        for slope in ["POS", "NEG"]:
            self.board.write(f"TRIG:LEV 0.3;SLOP {slope};:SWE:TIME 10 ms;:INIT")
            self.assertEqual(self.board.query("*OPC?"), "1")
            points, before = map(int, self.board.query("SWE:POIN?;OREF:POIN?").split(";"))
            record = self.board.query_binary_values("FETC?", datatype="H", is_big_endian=True)
            self.assertEqual(len(record), points)
            at = self.recording.find(b"".join(code.to_bytes(2, "little") for code in record))
            self.assertTrue(at >= 0 and at % 2 == 0, "a stretch of the recording")
            # The event is where the signal passes the level.
            level = ZERO + round(0.3 * VOLT)
            last, event = record[before - 1 : before + 1]
            self.assertTrue(last < level <= event if slope == "POS" else last > level >= event)
            self.board.write("FORM REAL")
            volts = self.board.query_binary_values("FETC?", datatype="f", is_big_endian=True)
            for code, volt in zip(record, volts):
                self.assertAlmostEqual(volt, (code - ZERO) / VOLT, places=6)
            self.board.write("FORM UINT")

    def test_long_records_come_whole(self):
        self.board.write("SWE:TIME 1 s;:TRIG:LEV 0.2")
        self.board.timeout = 5000
        self.board.write("INIT")
        self.assertEqual(self.board.query("*OPC?"), "1")
        record = self.board.query_binary_values("FETC?", datatype="H", is_big_endian=True)
        self.assertEqual(len(record), 50_002)
        self.assertIn(b"".join(code.to_bytes(2, "little") for code in record), self.recording)

    def test_measurements_are_those_of_the_signal(self):
        self.board.write("TRIG:LEV 0.16;HYST 20 mV;:SWE:TIME 20 ms")
        amplitude, mean = AMPLITUDE / VOLT, (MEAN - ZERO) / VOLT
        count = 1 / VOLT
        self.near("MEAS:FREQ?", FREQUENCY, 1)
        self.near("FETC:PER?", 1 / FREQUENCY, 1e-6)
        self.near("MEAS:VOLT:DC?", mean, 3 * count)
        self.near("MEAS:VOLT:PTP?", 2 * amplitude, 5 * count)
        self.near("READ:VOLT:AC?", amplitude / math.sqrt(2), 3 * count)
        self.near("FETC:VOLT:MAX?", mean + amplitude, 3 * count)
        self.near("FETC:DCYC?", 50, 1)

    def test_errors_are_told(self):
        for message, error in {
            "TRIG:LEVL 1": '-113,"Undefined header"',
            "TRIG:LEV 2": '-222,"Data out of range"',
            "TRIG:LEV 1 ms": '-131,"Invalid suffix"',
            "TRIG:SLOP": '-109,"Missing parameter"',
            "TRIG:LEV " + 300 * "1": '-363,"Input buffer overrun"',
        }.items():
            self.board.write(message)
            self.assertEqual(self.board.query("SYST:ERR?"), error)
        self.assertEqual(int(self.board.query("*ESR?")), 32 | 16 | 8)
        self.board.write_raw(b"\xff\x00\x80\n")
        self.assertEqual(self.board.query("SYST:ERR?"), '-101,"Invalid character"')
        # No event: an error and no answer, and not a late one either.
        self.board.write("TRIG:LEV MAX;:READ:FREQ?")
        self.assertEqual(self.board.query("SYST:ERR?"), '-365,"Time out error"')

    def test_several_talk_at_a_time(self):
        name = f"TCPIP::127.0.0.1::{self.port}::SOCKET"
        other = self.manager.open_resource(name, read_termination="\n", write_termination="\n")
        other.write("NONSENSE")
        self.board.write("TRIG:LEV 0.125")
        self.assertEqual(self.board.query("*OPC?;:TRIG:LEV?"), "1;0.125")
        self.assertEqual(other.query("TRIG:LEV?;:SYST:ERR?"), '0.125;-113,"Undefined header"')
        other.close()


if __name__ == "__main__":
    unittest.main()
