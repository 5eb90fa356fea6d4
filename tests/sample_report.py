"""A small report with something in every place, for the tests of its forms."""

from __future__ import annotations

from dataclasses import replace

from counterpoise.model.design import SourceFile
from counterpoise.model.facts import Need, Place
from counterpoise.model.report import Area, Estimates, Mass, MassItem, Report
from counterpoise.model.verdicts import Coverage, Finding, Limit, Measured, Severity
from counterpoise.values.ranges import Estimate

STOP = Finding(
    rule="charge-rate",
    severity=Severity.STOP,
    subjects=("U2", "R8"),
    nets=("PROG",),
    place=Place(12.5, 34.25, "front"),
    measured=Measured(303.03, "mA"),
    limit=Limit(None, 150.0, "mA"),
    message="U2 charges with 303 mA",
    remedy="Fit 6.8 kΩ.",
    sources=("a data sheet", "another"),
    fingerprint="0" * 15 + "1",
    under=("the cell gets warm",),
)
CAUTION = Finding(
    rule="crystal-load",
    severity=Severity.CAUTION,
    subjects=(),
    nets=(),
    place=None,
    measured=None,
    limit=None,
    message="Y1 is off",
    remedy="Change C1.",
    sources=(),
    fingerprint="0" * 15 + "2",
)
WAIVED = replace(CAUTION, severity=Severity.STOP, waived="agreed", fingerprint="0" * 15 + "3")
LOAD = Need("the load of Y1", 'board.toml: [parts.Y1] load = "9 pF"')
OTHER = Need("the load of Y2", 'board.toml: [parts.Y2] load = "9 pF"')

REPORT = Report(
    board="paddle",
    files=(
        SourceFile("board.toml", "manifest", "a" * 64),
        SourceFile("a.net", "netlist", "b" * 64),
    ),
    parts=2,
    nets=1,
    findings=(STOP, CAUTION, WAIVED),
    coverage=(
        Coverage("charge-rate", "fail", 1),
        Coverage("crystal-load", "unknown", 0, "needs the load of Y1", (LOAD, OTHER)),
        Coverage("usb-shield", "not-applicable", 0, "there is no USB socket"),
        Coverage("lone-net", "pass", 3),
    ),
    estimates=Estimates(
        area=Area(1840.0, 1890.0, 45.0, 42.0, 50.0),
        mass=Mass(
            Estimate(5.5, 6.1, 6.9),
            (MassItem("laminate", "", Estimate(5.5, 6.1, 6.9), "measured", ""),),
            5.0,
            7.0,
        ),
    ),
    notes=("a.net: read as it is",),
    cautions=("Cautions: mind the cell.",),
)
CLEAN = replace(REPORT, findings=(), coverage=(Coverage("lone-net", "pass", 3),))
