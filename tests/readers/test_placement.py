"""Placement files."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterpoise.model.bom import Placement
from counterpoise.readers._source import InputError, Source
from counterpoise.readers.placement import read, sniff

SAMPLES = Path(__file__).parent / "samples"
BOARDS = Path(
    os.environ.get("COUNTERPOISE_BOARDS", Path(__file__).resolve().parents[2] / "../shared/boards")
)


def _read(text: str, name: str = "p.csv") -> tuple[Placement, ...]:
    found = read(Source(name, text.encode())).placements
    assert found is not None
    return found


@pytest.mark.parametrize("name", sorted(p.name for p in SAMPLES.glob("fp1_pos*")))
def test_three_exports_of_one_board_say_the_same(name: str) -> None:
    source = Source.of(SAMPLES / name)
    assert sniff(source.data[:4096])
    found = read(source).placements
    assert found is not None
    by_ref = {p.ref: p for p in found}
    assert len(by_ref) == 14
    u1, r3 = by_ref["U1"], by_ref["R3"]
    # The mil export rounds to 0.01 mil.
    assert (u1.x_mm, u1.y_mm) == pytest.approx((20.0, 48.0), abs=0.01 * 0.0254)
    assert (u1.angle, u1.side, r3.angle, r3.side) == (0.0, "front", 30.0, "back")


@pytest.mark.parametrize(
    ("table", "fixed"),
    [
        ("orangecrab/OrangeCrab-top-pos.csv", "orangecrab/OrangeCrab-top.pos"),
        ("orangecrab/OrangeCrab-bottom-pos.csv", "orangecrab/OrangeCrab-bottom.pos"),
    ],
)
def test_real_files_in_both_forms_agree(table: str, fixed: str) -> None:
    if not (BOARDS / table).is_file():
        pytest.skip("the real boards are not beside this checkout")
    found = [read(Source.of(BOARDS / name)).placements for name in (table, fixed)]
    # The fixed-width form has four decimals, the table six.
    first, second = (
        [(p.ref, p.x_mm, p.y_mm, p.angle, p.side) for p in each or ()] for each in found
    )
    assert len(first) > 60
    assert [(row[0], row[4]) for row in first] == [(row[0], row[4]) for row in second]
    for a, b in zip(first, second, strict=True):
        assert a[1:4] == pytest.approx(b[1:4], abs=1e-4)


HEAD = "Ref,PosX,PosY,Rot,Side"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{HEAD}\nR1,1.5,-2,90,top\n", (1.5, -2.0, 90.0, "front")),
        ("Designator,Center-X(mm),Center-Y(mm),Rotation,Layer\nR1,1.5,-2,90,T\n",
         (1.5, -2.0, 90.0, "front")),
        ("RefDes,X (mil),Y (mil),Angle,TB\nR1,100,-200,90,B\n", (2.54, -5.08, 90.0, "back")),
        ("Ref,Mid X,Mid Y,Rotation,Layer\nR1,100mil,0.1in,90deg,BottomLayer\n",
         (2.54, 2.54, 90.0, "back")),
        ("Ref;X;Y;Rot;Mirror\nR1;1,5;-2,0;90,5;yes\n", (1.5, -2.0, 90.5, "back")),
        ("Ref;X;Y;Rot;Mirror\nR1;1,5;-2,0;90,5;\n", (1.5, -2.0, 90.5, "front")),
        ("Ref,Ref X,Ref Y,Mid X,Mid Y,Rot,Side\nR1,9,9,1.5,-2,90,F.Cu\n",
         (1.5, -2.0, 90.0, "front")),
        (f"Units used: mil\n{HEAD}\nR1,1000,100,0,2\n", (25.4, 2.54, 0.0, "back")),
        (f"{HEAD}\nR1,2000,100,0,top\n", (50.8, 2.54, 0.0, "front")),
        ("## Unit = mm\n## Side : bottom\n# Ref Val Package PosX PosY Rot\nR1 10 k R_0402 1 2 3\n"
         "## End\n", (1.0, 2.0, 3.0, "back")),
        ("# units: mil\nRefDes  Mid X  Mid Y  Rot  Side\nR1 100 200 0 T\n",
         (2.54, 5.08, 0.0, "front")),
    ],
)  # fmt: skip
def test_ways_to_write_one_row(text: str, expected: tuple[float, float, float, str]) -> None:
    assert sniff(text.encode())
    (found,) = _read(text)
    assert (found.ref, found.x_mm, found.y_mm, found.angle, found.side) == ("R1", *expected)


def test_fixed_width_value_with_a_blank() -> None:
    text = "# Ref Val Package PosX PosY Rot Side\nSW1 FOCUS IN SW_6x6 1 2 3 top\n"
    (found,) = _read(text)
    assert (found.value, found.footprint) == ("FOCUS IN", "SW_6x6")


def test_what_is_assumed_is_told() -> None:
    def notes(text: str, name: str = "p.csv") -> tuple[str, ...]:
        return read(Source(name, text.encode())).notes

    assert notes(f"{HEAD}\nR1,1,2,0,top\n") == ("p.csv: no unit stated; taken as mm",)
    assert notes(f"{HEAD}\nR1,2000,2,0,top\n") == ("p.csv: no unit stated; taken as mil",)
    sideless = "Ref,X (mm),Y (mm),Rot\nR1,1,2,0\n"
    assert notes(sideless) == ("p.csv: no side stated; taken as front",)
    assert notes(sideless, "paddle-bottom.csv") == ()
    assert _read(sideless, "paddle-bottom.csv")[0].side == "back"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("",
         "p.csv: is empty; "
         "expected a placement file: a head row with reference, x, y and rotation"),
        ("a,b\n", "p.csv: expected a placement file: a head row with reference, x, y and rotation"),
        ("Ref,X,Y\nR1,1,2\n", 'p.csv:1: expected a column for the rotation, such as "Rot"'),
        (f"{HEAD}\nR1,1,2,0,top\nR2,x,2,0,top\n",
         'p.csv:3: expected a coordinate such as 12.7 or 12.7mm, got "x"'),
        (f"{HEAD}\nR1,1pt,2,0,top\n",
         'p.csv:2: expected a coordinate such as 12.7 or 12.7mm, got "1pt"'),
        (f"{HEAD}\nR1,1e300,2,0,top\n", 'p.csv:2: expected a coordinate on a board, got "1e300"'),
        (f"{HEAD}\nR1,1,2,up,top\n", 'p.csv:2: expected a rotation in degrees, got "up"'),
        (f"{HEAD}\nR1,1,2,0,left\n",
         'p.csv:2: expected a side such as "top" or "bottom", got "left"'),
        ("Ref,X,Y,Rot,Mirror\nR1,1,2,0,so\n",
         'p.csv:2: expected "yes" or "no" in the mirror column, got "so"'),
    ],
)  # fmt: skip
def test_bad_files(text: str, message: str) -> None:
    with pytest.raises(InputError) as raised:
        _read(text)
    assert str(raised.value) == message


@given(st.floats(-500, 500), st.floats(-360, 360), st.sampled_from(["mm", "mil", "in"]))
def test_written_and_read_back(x: float, angle: float, unit: str) -> None:
    size = {"mm": 1.0, "mil": 0.0254, "in": 25.4}[unit]
    (found,) = _read(f"Ref,X ({unit}),Y ({unit}),Rot,Side\nR1,{x:.6f},0,{angle:.6f},top\n")
    assert found.x_mm == pytest.approx(round(x, 6) * size, rel=1e-9, abs=1e-12)
    assert found.angle == pytest.approx(round(angle, 6))


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    sniff(data)
    try:
        read(Source("p", b"Ref,X,Y,Rot,Side\n" + data))
    except InputError as error:
        assert error.file == "p"  # noqa: PT017  either outcome is right
