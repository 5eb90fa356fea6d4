"""Single faults in a sound key matrix and a sound row of switches are found, and only they."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from boards import make_board
from rules import outcome


def matrix(rows: int, columns: int, turned: int, *, by_rows: bool) -> str:
    lines = [
        'U1 "" QFN-48 : GND '
        + " ".join([f"R{r}" for r in range(rows)])
        + " "
        + " ".join(f"C{c}" for c in range(columns))
    ]
    for key in range(rows * columns):
        line, other = f"R{key // columns}", f"C{key % columns}"
        cathode, anode = line, f"K{key}"
        if by_rows != (key == turned):
            cathode, anode = anode, cathode
        lines.append(f"SW{key} - - : {other} K{key} @symbol=SW_Push")
        lines.append(f"D{key} 1N4148 SOD-123 : 1/K={cathode} 2/A={anode} @symbol=D")
    return "\n".join(lines)


@given(st.integers(2, 5), st.integers(3, 6), st.data(), st.booleans())
def test_the_turned_diode_is_named(rows: int, columns: int, data: st.DataObject, way: bool) -> None:
    turned = data.draw(st.integers(0, rows * columns - 1))
    faulty = outcome(
        "matrix-diode-direction", make_board(matrix(rows, columns, turned, by_rows=way))
    )
    assert [f.subjects[0] for f in faulty.findings] == [f"D{turned}"]
    sound = outcome("matrix-diode-direction", make_board(matrix(rows, columns, -1, by_rows=way)))
    assert not sound.findings


@given(st.integers(3, 7), st.data())
def test_the_odd_switch_is_named(count: int, data: st.DataObject) -> None:
    odd = data.draw(st.integers(0, count - 1))
    pins = " ".join(f"{n + 2}/P{n}=S{n}" for n in range(count))
    text = [f'U1 "" QFN-48 : 1/GND/pwr=GND {pins}']
    facts = []
    for n in range(count):
        nets = f"GND ~ S{n}" if n == odd else f"GND S{n} ~"
        text.append(f"SW{n} snap-action - : {nets} @symbol=SW_SPDT")
        facts.append(f'[parts.SW{n}]\nrole = "change-over-switch"')
    found = outcome("switch-throw", make_board("\n".join(text), "\n".join(facts))).findings
    assert [(f.subjects[0], f.severity.value) for f in found] == [(f"SW{odd}", "stop")]
