"""What `check --junit` writes, against the XML schema of JUnit. See SOURCES.md."""

from pathlib import Path

from lxml import etree

from program import FolderTest, Recording, run

SCHEMA = Path(__file__).parent / "junit-10.xsd"


class Junit(FolderTest):
    def check(self, name, expectation, status):
        recording = Recording(0, 4095, False, 5)
        (self.folder / name).write_bytes(recording.samples.astype("<u2").tobytes())
        (self.folder / "expected.toml").write_text(expectation)
        job = [name, "--sample-type", "u16le", "--rate", "48kS/s", "--channels", 2, "--level", 2048]
        job += ["--hysteresis", 400, "--pre", "20sa", "--post", "300sa", "--bits", 12, "--vref", "3.3V"]
        job += ["--expect", "expected.toml", "--junit", "out.xml", "--overwrite"]
        run("check", *job, folder=self.folder, status=status)
        return etree.parse(self.folder / "out.xml")

    def valid(self, tree):
        etree.XMLSchema(etree.parse(SCHEMA)).assertValid(tree)
        suites = tree.getroot()
        self.assertEqual(suites.tag, "testsuites")
        cases = suites.findall("testsuite/testcase")
        failures = suites.findall("testsuite/testcase/failure")
        for element in [suites, *suites.findall("testsuite")]:
            self.assertEqual(int(element.get("tests")), len(cases))
            self.assertEqual(int(element.get("failures")), len(failures))
            self.assertEqual(int(element.get("errors")), 0)
        return cases, failures

    def test_all_as_expected(self):
        tree = self.check("good.u16", 'frequency = { nominal = "240 Hz", tolerance = "5 %" }\n', 0)
        cases, failures = self.valid(tree)
        self.assertEqual((len(cases), len(failures)), (1, 0))

    def test_failures(self):
        expectation = 'frequency = { nominal = "1 kHz", tolerance = "5 %" }\nhigh = "0 V..3.3 V"\n'
        expectation += '[events]\napart = { nominal = "1 ms", tolerance = "0.1 ms" }\n'
        expectation += '[mask]\nlower = [["0 ms", "3.2 V"], ["1 ms", "3.2 V"]]\n'
        cases, failures = self.valid(self.check("bad.u16", expectation, 1))
        self.assertEqual((len(cases), len(failures)), (4, 3))

    def test_a_name_that_xml_must_escape(self):
        name = "a&b <c> \"d\" 'e' µ.u16"
        tree = self.check(name, 'frequency = { nominal = "1 kHz", tolerance = "5 %" }\n', 1)
        cases, _ = self.valid(tree)
        self.assertIn(name, cases[0].get("classname"))

    def test_a_name_with_what_xml_cannot_have(self):
        tree = self.check("a\x1b\x01b.u16", 'frequency = { nominal = "1 kHz", tolerance = "5 %" }\n', 1)
        self.valid(tree)

    def test_the_schema_finds_faults(self):
        tree = self.check("bad.u16", 'high = "0 V..3.3 V"\n', 0)
        tree.getroot().find("testsuite/testcase").set("invented", "1")
        self.assertFalse(etree.XMLSchema(etree.parse(SCHEMA)).validate(tree))
