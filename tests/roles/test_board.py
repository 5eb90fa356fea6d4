"""Pins by function, grounds, neighbours and facts."""

from __future__ import annotations

import pytest

from boards import make_board
from counterpoise.model.facts import Need
from counterpoise.roles.board import Board
from counterpoise.roles.evidence import Known


def number(found: Known | Need) -> float:
    assert isinstance(found, Known)
    return found.value.middle


def refs(parts: tuple[object, ...]) -> list[str]:
    return [getattr(p, "ref") for p in parts]  # noqa: B009


@pytest.fixture
def board() -> Board:
    return make_board(
        """
        U1 XYZ - : 1/VDD=VCC 2/GND=GND 3/P0.00{slash}XL1=X1 4/XL2=X2
        R10 10k R_0402 : A B
        R2 4k7 R_0402 : A GND
        R3 1k R_0402 : A B @dnp
        C1 100n/16V C_0402 : A GND
        D1 1N4148 - : 1/K=B 2/A=A
        SW1 TACT - : 1=B 2=B 3=GND 4=GND
        """
    )


def test_parts_are_fitted_and_in_natural_order(board: Board) -> None:
    assert refs(board.parts_as("resistor")) == ["R2", "R10"]
    assert board.role("R3").name == "resistor"
    assert board.role("NONE").name == "unknown"


def test_neighbours(board: Board) -> None:
    assert refs(board.between("A", "B")) == ["D1", "R10"]
    assert refs(board.between("B", "A", "resistor")) == ["R10"]
    assert refs(board.to_ground("A", "capacitor", "resistor")) == ["C1", "R2"]
    assert refs(board.to_ground("B")) == ["SW1"]
    assert board.to_ground("GND") == board.to_ground(None) == ()
    assert board.across(board.parts_as("diode")[0], "A") == "B"
    assert board.reach("A", "resistor") == {"A", "B", "GND"}
    assert refs(board.on_net("A", "diode")) == ["D1"]


def test_pins_by_name_in_a_compound(board: Board) -> None:
    (chip,) = (p for p in board.parts if p.ref == "U1")
    assert board.nets_for(chip, "slow-oscillator-in", "slow-oscillator-out") == ("X1", "X2")
    assert board.function_evidence(chip.pins[0]) == "pins"


def test_terminals_of_the_manifest_come_first() -> None:
    board = make_board(
        "SW1 D2F - : 1=A 2=B 3=C",
        '[parts.SW1]\nterminals = { common = "2", open = "1", closed = "3" }\n',
    )
    assert board.nets_for(board.parts[0], "common", "open") == ("A", "B")


@pytest.mark.parametrize(
    ("text", "grounds"),
    [
        ("R1 1k - : /Power/GND A\nR2 1k - : AGND B", {"/Power/GND", "AGND"}),
        ("U1 - - : 1/VSS=N1 2/VDD=N2\nU2 - - : 1/GND=N1 2/VCC=N2\nU3 - - : 1/GND=N3", {"N1"}),
        ("R1 0R R_0402 : GND PGND_X\nR2 1k - : PGND_X A", {"GND", "PGND_X"}),
        ("JP1 - SolderJumper-2_Open : GND A\nR2 1k - : A B", {"GND"}),
        ("JP1 - SolderJumper-2_Bridged : GND A\nR2 1k - : A B", {"GND", "A"}),
        ("NT1 - NetTie-2_SMD : GND CHASSIS2\nR2 1k - : CHASSIS2 B", {"GND", "CHASSIS2"}),
        ("BT1 CR2032 - : 1/+=N7 2/-=N9\nR2 1k - : N7 N9", {"N9"}),
        ("R1 1k - : N1 N2\nR2 1k - : N2 N3", set()),
    ],
)
def test_grounds(text: str, grounds: set[str]) -> None:
    assert make_board(text).grounds == grounds


def test_a_jumper_of_unknown_state_joins_nothing() -> None:
    board = make_board("JP1 - SolderJumper_2 : A B\nR1 1k - : A GND")
    assert board.role("JP1").name == "link"
    assert board.same_node("A") == {"A"}


def test_a_three_pad_jumper_joins_its_bridged_pads() -> None:
    board = make_board("JP1 - SolderJumper-3_Bridged12 : A B C")
    assert board.same_node("A") == {"A", "B"}


def test_facts_by_manifest_card_and_value() -> None:
    board = make_board(
        """
        Y1 "16MHz 9pF" Crystal_SMD_3225-4Pin : X1 GND X2 GND
        Y2 32.768kHz Crystal_SMD_3215 : X3 X4
        C1 100n/16V C_0402 : A GND
        C2 TBD C_0402 : A GND
        R1 10k R_0402 : A GND
        """,
        '[parts.Y2]\nload = "7 pF"\n[parts.R1]\nvalue = "22k"\n',
    )
    part = {p.ref: p for p in board.parts}
    assert number(board.known(part["Y1"], "load")) == pytest.approx(9e-12, abs=0)
    assert number(board.known(part["Y1"], "frequency")) == pytest.approx(16e6)
    assert number(board.known(part["Y2"], "load")) == pytest.approx(7e-12, abs=0)
    assert number(board.known(part["C1"], "rated_voltage")) == pytest.approx(16)
    assert number(board.value(part["C1"])) == pytest.approx(1e-7)
    assert number(board.value(part["R1"])) == pytest.approx(22e3)
    assert board.value(part["C2"]) == Need(
        "the value of C2", 'board.toml: [parts.C2] value = "10k"'
    ) or isinstance(board.value(part["C2"]), Need)
    missing = board.known(part["Y2"], "esr")
    assert isinstance(missing, Need)
    assert missing.where.startswith("board.toml: [parts.Y2] esr = ")
    assert board.text(part["Y1"], "polarity") is None
    assert board.flag(part["Y1"], "leaves_board") is None


def test_a_card_gives_pins_by_number() -> None:
    board = make_board('U1 "MCP73831T-2ACI/OT" SOT-23-5 : ST GND BAT VBUS PR')
    (chip,) = board.parts
    assert board.nets_for(chip, "set") == ("PR",)
    assert board.nets_for(chip, "cell") == ("BAT",)
    assert board.function_evidence(chip.pins[4]) == "card"


def test_the_cell() -> None:
    assert make_board("BT1 CR2032 - : A GND\nBT2 CR2032 - : B GND").cell is None
    two = make_board("BT1 CR2032 - : A GND\nBT2 CR2032 - : B GND", '[cell]\nref = "BT2"\n')
    assert two.cell is not None
    assert two.cell.ref == "BT2"
