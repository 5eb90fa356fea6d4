"""Single mistakes in real files: each is found, by its rule, on its part, and little else changes.

The boards are judged as an outsider would: their text is edited, the command is run before and
after, and the two reports are held against each other.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from commands import OUTSIDE
from filefault_cases import FAULTS
from filefault_more import MORE
from filefault_table import BASES, COPPER, MAKERS, Fault
from filefaults import Files, Judged, judge

DEMOS = ("rev-b", "donor")
TABLE = (*FAULTS, *MORE)


def _absent(base: str) -> bool:
    return base not in DEMOS and not OUTSIDE.is_dir()


def _params(faults: tuple[Fault, ...]) -> Iterator[object]:
    reason = "no folder of real boards (COUNTERPOISE_BOARDS names one)"
    for fault in faults:
        marks = [pytest.mark.skip(reason=reason)] if _absent(fault.base) else []
        if not fault.quick:
            marks.append(pytest.mark.slow)
        yield pytest.param(fault, id=f"{fault.base}: {fault.kind}", marks=marks)


@pytest.fixture(scope="session")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("files")


@cache
def _before(base: str, state: str, folder: Path) -> Judged:
    project = BASES[base]().project()
    project.manifest += state
    return judge(project, folder)


def _after(fault: Fault, folder: Path, *, stated: bool = True) -> Judged:
    project = BASES[fault.base]().project()
    if stated:
        project.manifest += fault.state
    fault.edit(project)
    return judge(project, folder)


@pytest.mark.parametrize("fault", [*_params(TABLE)])
def test_a_fault_is_found_and_no_more(fault: Fault, bench: Path) -> None:
    before = _before(fault.base, fault.state, bench / "before")
    after = _after(fault, bench / "after")
    new = after.found - before.found
    assert set(fault.expected) <= new, after.needs
    allowed = {*COPPER, *fault.company, *(rule for rule, _ in fault.expected)}
    assert {pair for pair in new if pair[0] not in allowed} == set()


@pytest.mark.parametrize("fault", [*_params(tuple(f for f in TABLE if f.asks))])
def test_without_the_fact_the_report_asks_for_it(fault: Fault, bench: Path) -> None:
    told = _after(fault, bench / "after", stated=False)
    (rule, _), *_ = fault.expected
    assert fault.asks in told.needs.get(rule, "")


def _makers() -> Iterator[object]:
    reason = "no folder of real boards (COUNTERPOISE_BOARDS names one)"
    for path in sorted(MAKERS.glob("*.toml")):
        large = path.stem == "orangecrab"
        marks = [pytest.mark.slow] if large else []
        if not OUTSIDE.is_dir():
            marks.append(pytest.mark.skip(reason=reason))
        yield pytest.param(path.stem, id=path.stem, marks=marks)


@pytest.mark.parametrize("name", [*_makers()])
def test_what_a_maker_states_stops_nothing_and_answers_most(name: str, bench: Path) -> None:
    place = OUTSIDE / name
    bom = [*sorted(place.glob("*[bB][oO][mM].csv")), *sorted(place.glob("parasite.csv"))]
    board = next(iter(place.glob("*.kicad_pcb")))
    net = next(iter(sorted(place.glob("*.net"))), None)
    bare = Files(board, net, bom[0] if bom else None)
    full = Files(board, net, bare.bom, (MAKERS / f"{name}.toml").read_text(encoding="utf-8"))
    before, after = (judge(files.project(), bench / "maker") for files in (bare, full))
    assert not after.stops
    files_alone = {"layout-netlist-differs", "centroid-rotation"}
    absent = files_alone | ({r for r in before.needs if r.startswith("bom-")} if not bom else set())
    open_before, open_after = set(before.needs) - absent, set(after.needs) - absent
    assert len(open_after) <= len(open_before) * 0.6, sorted(open_after)


@pytest.mark.skipif(not OUTSIDE.is_dir(), reason="no folder of real boards")
@pytest.mark.slow
def test_a_chip_between_cell_and_socket_leaves_charging_open(bench: Path) -> None:
    project = BASES["orangecrab"]().project()
    assert project.board is not None
    project.bom = ""
    project.board.value("U5", "XK7")
    project.manifest = '[cell]\nref = "J5"\nchemistry = "alkaline"\n'
    told = judge(project, bench / "unknown")
    for rule in ("charge-set-resistor", "charge-rate", "primary-cell-charged"):
        assert '[parts.U5] role = "charger"' in told.needs[rule]
    project.manifest += '[parts.U5]\nrole = "charger"\n'
    assert ("primary-cell-charged", "J5") in judge(project, bench / "unknown").found


def test_an_edit_leaves_the_rest_of_the_text(bench: Path) -> None:
    project = BASES["rev-b"]().project()
    assert project.board is not None
    text = project.board.text
    project.board.wire("R4", "2", "ENC_A")
    lines = zip(text.splitlines(), project.board.text.splitlines(), strict=True)
    changed = [new for old, new in lines if old != new]
    assert len(changed) == 1
    assert changed[0].count("ENC_A") == 1
