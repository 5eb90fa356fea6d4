"""USB rules: laws that must hold for any figures."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from boards import make_board
from counterpoise.model.verdicts import Fail, Pass
from counterpoise.roles.board import Board
from rules import verdicts

PORT = (
    "J1 USB_C_Receptacle USB_C_16P : A1/GND=GND A4/VBUS=VBUS A5/CC1=CC1 B5/CC2=CC2 S1/SHIELD=GND\n"
)


def port(one: str, two: str) -> Board:
    return make_board(f"{PORT}R1 {one} R_0402 : CC1 GND\nR2 {two} R_0402 : CC2 GND")


@given(st.integers(4080, 6120))
def test_any_pull_down_inside_the_band_passes(ohms: int) -> None:
    (verdict,) = verdicts("usb-cc-pulldowns", port(f"{ohms}R", "5.1k"))
    assert isinstance(verdict, Pass)


@given(st.one_of(st.integers(10, 4079), st.integers(6121, 900_000)))
def test_any_pull_down_outside_the_band_fails(ohms: int) -> None:
    found = verdicts("usb-cc-pulldowns", port("5.1k", f"{ohms}R"))
    assert [type(v) for v in found] == [Fail]


@given(st.permutations(["A5", "B5", "A4", "A1"]), st.sampled_from(["J1", "USB9", "X3", "P-1"]))
def test_neither_order_nor_ref_matters(order: list[str], ref: str) -> None:
    nets = {"A5": "A5/CC1=X", "B5": "B5/CC2=Y", "A4": "A4/VBUS=VIN5", "A1": "A1/GND=GND"}
    pins = " ".join(nets[number] for number in order)
    sound = (
        f"{ref} USB_C_Receptacle USB_C_16P : {pins}\nR7 5k1 R_0402 : GND X\nR8 5k1 R_0402 : Y GND"
    )
    (verdict,) = verdicts("usb-cc-pulldowns", make_board(sound))
    assert isinstance(verdict, Pass)
    found = verdicts("usb-cc-pulldowns", make_board(sound.replace("GND X", "GND Z")))
    assert [type(v) for v in found] == [Fail]


@given(st.lists(st.sampled_from([0.1, 1.0, 2.2, 4.7, 10.0]), min_size=1, max_size=4))
def test_the_sum_decides_however_it_is_split(microfarads: list[float]) -> None:
    lines = "".join(f"C{i} {c:g}u C_0603 : VBUS GND\n" for i, c in enumerate(microfarads, 1))
    (verdict,) = verdicts("usb-vbus-capacitance", make_board(PORT + lines))
    total = sum(microfarads)
    assert isinstance(verdict, Pass) is (0.95 <= total <= 10.5 + 1e-9)
