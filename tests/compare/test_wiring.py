"""Verdicts and differences on small boards."""

from __future__ import annotations

import random

import pytest

from boards import make_board
from counterpoise.compare.regions import KeepError, region
from counterpoise.compare.result import Wiring
from counterpoise.compare.wiring import compare_wiring, region_flaw
from counterpoise.roles.board import Board
from renaming import Edit, moved, renamed

RADIO = """
    U1 XR100 QFN-16 : 1=VDD 2=GND 3=KEY 4=LED 5=XA 6=XB 7/RF=ANT 8=BOOT 9=~ 10=~
    Y1 16MHz Crystal_SMD_3225-4Pin : 1=XA 2=GND 3=XB 4=GND @symbol=Crystal_GND24
    C1 12p C_0402_1005Metric : XA GND @symbol=C
    C2 12p C_0402_1005Metric : XB GND @symbol=C
    C3 100n C_0402_1005Metric : VDD GND @symbol=C
    C4 100n C_0402_1005Metric : VDD GND @symbol=C
    R1 10k R_0402_1005Metric : VDD BOOT @symbol=R
    R2 1k R_0402_1005Metric : LED LEDA @symbol=R
    D1 red LED_0603_1608Metric : 1/K=GND 2/A=LEDA @symbol=LED
    SW1 KEY SW_Push : KEY GND @symbol=SW_Push
    AE1 - Antenna_Chip : 1/FEED=ANT @symbol=Antenna_Chip
"""
DRY = """
    BT1 AAA BatteryHolder_AAA_1x : 1/+=VCELL 2/-=GND @symbol=Battery_Cell
    U2 TPS61221DCKR SOT-363 : 1=VCELL 2=VDD 3=GND 4=VDD 5=LX 6=VCELL
    L1 4u7 L_3.0x3.0mm : VCELL LX @symbol=L
    C5 10u C_0603_1608Metric : VDD GND @symbol=C
"""
LITHIUM = """
    BT1 LiPo JST_PH_2 : 1/+=VBAT 2/-=GND @symbol=Battery_Cell
    U2 TPS7A0230PDBVR SOT-23-5 : 1/IN=VBAT 2/GND=GND 3/EN=VBAT 4/NC=~ 5/OUT=VDD
    U3 MCP73831T-2ACI/OT SOT-23-5 : 1/STAT=ST 2/VSS=GND 3/VBAT=VBAT 4/VDD=VBUS 5/PROG=PROG
    R3 10k R_0402_1005Metric : PROG GND @symbol=R
    J1 USB Molex : 1/VBUS=VBUS 2/D-=~ 3/D+=~ 4/ID=~ 5/GND=GND @symbol=USB_B_Micro
    C5 4u7 C_0603_1608Metric : VDD GND @symbol=C
    C6 4u7 C_0603_1608Metric : VBAT GND @symbol=C
"""


def wiring(
    old: str | Board, new: str | Board, *, seed: int = 0, edit: Edit | None = None
) -> Wiring:
    """The verdict, the new board under other names."""
    one = make_board(old) if isinstance(old, str) else old
    other = make_board(new) if isinstance(new, str) else new
    if edit is not None or seed:
        other = renamed(other, random.Random(seed), edit).board
    return compare_wiring(one, other).wiring


@pytest.mark.parametrize("seed", range(1, 6))
def test_other_names_and_order_are_the_same(seed: int) -> None:
    answer = wiring(RADIO + DRY, RADIO + DRY, seed=seed)
    assert (answer.verdict, answer.scope) == ("same", "all")
    assert len(answer.kept) == 15
    assert answer.differences == answer.elsewhere == ()


def test_the_pairing_is_a_proof_that_the_checker_passes() -> None:
    board = make_board(RADIO + DRY)
    other = renamed(board, random.Random(3))
    outcome = compare_wiring(board, other.board)
    assert region_flaw(outcome.pairing, region(outcome.pairing)) == ""
    old, new = outcome.pairing.old, outcome.pairing.new
    pairs = {old.pieces[a].ref: new.pieces[b].ref for a, b in outcome.pairing.parts.items()}
    assert {r: pairs[r] for r in ("U1", "Y1", "R1", "D1")} == {
        r: other.refs[r] for r in ("U1", "Y1", "R1", "D1")
    }


def test_alike_parts_are_said_to_be_so() -> None:
    assert ("C3", "C4") in wiring(RADIO, RADIO).alike


@pytest.mark.parametrize(
    ("edit", "kind", "says"),
    [
        (moved("R1", "2", "KEY"), "moved", ("old R1.2 joined U1.8", "is left open")),
        (moved("U1", "3", "LED"), "moved", ("old U1.3 joined SW1.1", "is left open")),
        (moved("SW1", "1", None), "opened", ("joined", "left open")),
        (moved("U1", "9", "KEY"), "closed", ("old U1.9 was open",)),
        (moved("C3", "1", "XA"), "moved", ('"VDD"',)),
    ],
)
def test_one_moved_wire_is_one_difference(edit: Edit, kind: str, says: tuple[str, ...]) -> None:
    answer = wiring(RADIO + DRY, RADIO + DRY, seed=4, edit=edit)
    assert answer.verdict == "different"
    (difference,) = answer.differences
    assert difference.kind == kind
    for words in says:
        assert words in difference.message


def test_names_on_both_boards_stand_in_the_message() -> None:
    answer = wiring(RADIO, RADIO.replace("3=KEY 4=LED", "3=LED 4=KEY"))
    (difference,) = answer.differences
    assert difference.kind == "exchanged"
    assert "U1.3" in difference.message
    assert "U1.4" in difference.message
    assert difference.old is not None
    assert set(difference.old.pins) == {"U1.3", "U1.4"}


def test_short_of_two_nets_is_one_difference() -> None:
    answer = wiring(RADIO, RADIO.replace("XB", "XA"))
    (difference,) = answer.differences
    assert difference.kind == "joined"


def test_a_cut_net_is_one_difference() -> None:
    cut = RADIO.replace("R1 10k R_0402_1005Metric : VDD", "R1 10k R_0402_1005Metric : V2")
    cut = cut.replace("C3 100n C_0402_1005Metric : VDD", "C3 100n C_0402_1005Metric : V2")
    answer = wiring(RADIO, cut)
    (difference,) = answer.differences
    assert difference.kind == "split"
    assert difference.new is not None
    assert sorted(difference.new.pins) in (["C3.1", "R1.1"], ["C4.1", "U1.1"])


def test_a_lost_part_is_one_difference() -> None:
    lost = "\n".join(line for line in RADIO.splitlines() if " R1 " not in line)
    answer = wiring(RADIO, lost)
    (difference,) = answer.differences
    assert (difference.kind, difference.new) == ("missing", None)
    assert 'R1 (10k, resistor) between "VDD" and "BOOT"' in difference.message
    (difference,) = wiring(lost, RADIO).differences
    assert (difference.kind, difference.old) == ("added", None)


# -- what swaps, what does not --------------------------------------------------------------------
HOST = "U1 XR100 QFN-16 : 1=A 2=B 3=C 4=D 5=E 6=F"


@pytest.mark.parametrize(
    "part",
    [
        ("R1 1k R_0402 : A B @symbol=R", "R1 1k R_0402 : B A @symbol=R"),
        ("C1 1u C_0402 : A B @symbol=C", "C1 1u C_0402 : B A @symbol=C"),
        ("L1 1u L_0402 : A B @symbol=L", "L1 1u L_0402 : B A @symbol=L"),
        ("F1 1A Fuse : A B @symbol=Fuse", "F1 1A Fuse : B A @symbol=Fuse"),
        (
            "Y1 16MHz X : 1=A 2=C 3=B 4=C @symbol=Crystal_GND24",
            "Y1 16MHz X : 1=B 2=C 3=A 4=C @symbol=Crystal_GND24",
        ),
        (
            "SW1 K SW_Tact : 1/1=A 2/1=A 3/2=B 4/2=B @symbol=SW_Push",
            "SW1 K SW_Tact : 1/1=B 2/1=B 3/2=A 4/2=A @symbol=SW_Push",
        ),
        (
            "SW1 K SW_Tact : 1/1=A 2/1=A 3/2=B 4/2=B @symbol=SW_Push",
            "SW1 K SW_Tact : 1/1=A 2/1=~ 3/2=~ 4/2=B @symbol=SW_Push",
        ),
    ],
    ids=["resistor", "capacitor", "inductor", "fuse", "crystal", "tact", "tact, one pad each"],
)
def test_pins_that_swap_without_meaning(part: tuple[str, str]) -> None:
    assert wiring(f"{HOST}\n{part[0]}", f"{HOST}\n{part[1]}").verdict == "same"


@pytest.mark.parametrize(
    "part",
    [
        ("C1 10u CP_Elec : 1/+=A 2/-=B @symbol=CP", "C1 10u CP_Elec : 1/+=B 2/-=A @symbol=CP"),
        ("D1 red LED : 1/K=A 2/A=B @symbol=LED", "D1 red LED : 1/K=B 2/A=A @symbol=LED"),
        ("Q1 X SOT-23 : A B C @symbol=Q_NPN", "Q1 X SOT-23 : B A C @symbol=Q_NPN"),
        (
            "Y1 16MHz X : 1=A 2=C 3=B 4=C @symbol=Crystal_GND24",
            "Y1 16MHz X : 1=A 2=B 3=C 4=C @symbol=Crystal_GND24",
        ),
        (
            "SW1 K SW_Tact : 1/1=A 2/1=A 3/2=B 4/2=B @symbol=SW_Push",
            "SW1 K SW_Tact : 1/1=A 2/1=B 3/2=A 4/2=B @symbol=SW_Push",
        ),
    ],
    ids=["polarised", "LED", "transistor", "crystal quarter turn", "tact turned a quarter"],
)
def test_pins_that_do_not_swap(part: tuple[str, str]) -> None:
    answer = wiring(f"{HOST}\n{part[0]}", f"{HOST}\n{part[1]}")
    assert answer.verdict == "different"
    assert 1 <= len(answer.differences) <= 3


def test_usb_contacts_of_one_signal_are_alike() -> None:
    usb = "J1 USB-C USB_C : A1/GND=A B12/GND=A A4/VBUS=B B9/VBUS=B A5/CC1=C B5/CC2=D @symbol=USB_C"
    turned = usb.replace("A4/VBUS=B B9/VBUS=B", "B9/VBUS=B A4/VBUS=B")
    assert wiring(f"{HOST}\n{usb}", f"{HOST}\n{turned}").verdict == "same"
    crossed = usb.replace("CC1=C", "CC1=D").replace("B5/CC2=D", "B5/CC2=C")
    assert wiring(f"{HOST}\n{usb}", f"{HOST}\n{crossed}").verdict == "different"


def test_a_link_is_a_wire() -> None:
    linked = f"{HOST}\nR1 0R R_0402 : A X @symbol=R\nR2 1k R_0402 : X B @symbol=R"
    direct = f"{HOST}\nR2 1k R_0402 : A B @symbol=R"
    assert wiring(linked, direct).verdict == "same"
    assert (
        wiring(
            f"{HOST}\nR1 1R R_0402 : A X @symbol=R\nR2 1k R_0402 : X B @symbol=R", direct
        ).verdict
        == "different"
    )


def test_test_points_come_and_go_but_do_not_move() -> None:
    point = "TP1 TestPoint TestPoint_Pad : A @symbol=TestPoint"
    assert (
        wiring(
            HOST + "\nR1 1k R_0402 : A B @symbol=R",
            f"{HOST}\n{point}\nR1 1k R_0402 : A B @symbol=R",
        ).verdict
        == "same"
    )
    old = f"{HOST}\n{point}\nR1 1k R_0402 : A B @symbol=R"
    answer = wiring(old, old.replace("TestPoint_Pad : A", "TestPoint_Pad : B"))
    assert answer.verdict == "different"
    assert len(answer.differences) == 1


def test_parts_not_fitted_are_left_out() -> None:
    base = f"{HOST}\nR1 1k R_0402 : A B @symbol=R"
    assert wiring(base, f"{base}\nR2 1k R_0402 : B C @symbol=R @dnp").verdict == "same"
    fitted = f"{base}\nR2 1k R_0402 : B C @symbol=R"
    answer = wiring(fitted, f"{base}\nR2 1k R_0402 : B C @symbol=R @dnp")
    assert [d.kind for d in answer.differences] == ["missing"]


def test_changed_value_is_no_moved_wire_but_traded_values_are() -> None:
    old = f"{HOST}\nR1 1k R_0402 : A B @symbol=R\nR2 4k7 R_0402 : C D @symbol=R"
    assert wiring(old, old.replace("1k", "2k2")).verdict == "same"
    assert wiring(old, old.replace("4k7", "4.7k")).verdict == "same"
    traded = f"{HOST}\nR1 4k7 R_0402 : A B @symbol=R\nR2 1k R_0402 : C D @symbol=R"
    answer = wiring(old, traded)
    assert answer.verdict == "different"
    assert len(answer.differences) <= 2


def test_same_chip_in_another_package_goes_by_pin_names() -> None:
    old = "U1 XR100 QFN : 1/VDD=V 2/GND=G 3/SDA=D 4/SCL=C\nR1 1k R_0402 : V D @symbol=R"
    old += "\nR2 2k R_0402 : V C @symbol=R\nC1 1u C_0402 : V G @symbol=C"
    new = old.replace("1/VDD=V 2/GND=G 3/SDA=D 4/SCL=C", "A1/SCL=C A2/SDA=D B1/VDD=V B2/GND=G")
    assert wiring(old, new).verdict == "same"
    assert wiring(old, new.replace("A1/SCL=C A2/SDA=D", "A1/SCL=D A2/SDA=C")).verdict == "different"


# -- what had to stay -------------------------------------------------------------------------------
def test_a_replaced_power_section_leaves_the_rest_to_be_held() -> None:
    answer = wiring(RADIO + DRY, RADIO + LITHIUM)
    assert (answer.verdict, answer.scope) == ("same", "not power")
    assert {"U1", "Y1", "C1", "C2", "R1", "R2", "D1", "SW1", "AE1"} <= set(answer.kept)
    assert "U2" not in answer.kept
    went, came = answer.replaced
    assert "boost converter" in went
    assert {"regulator", "charger", "USB connector"} <= set(came)
    supplies = {(b.old_net, b.new_net): (b.old_sources, b.new_sources) for b in answer.boundary}
    assert supplies["VDD", "VDD"] == (("U2 (boost converter)",), ("U2 (regulator)",))


@pytest.mark.parametrize("seed", range(1, 5))
def test_names_are_not_needed_to_find_the_region(seed: int) -> None:
    answer = wiring(RADIO + DRY, RADIO + LITHIUM, seed=seed)
    assert answer.verdict == "same"


def test_a_moved_wire_in_the_kept_region_is_found_beside_a_new_power_section() -> None:
    answer = wiring(RADIO + DRY, RADIO.replace("3=KEY 4=LED", "3=LED 4=KEY") + LITHIUM)
    assert answer.verdict == "different"
    (difference,) = answer.differences
    assert difference.kind == "exchanged"
    assert "U1" not in answer.kept


def test_a_power_part_on_a_signal_is_told() -> None:
    answer = wiring(RADIO + DRY, RADIO + LITHIUM.replace("1/STAT=ST", "1/STAT=LED"))
    assert answer.verdict == "different"
    assert any("U3.1" in d.message for d in answer.differences)


def test_a_free_pin_may_listen_to_the_power_section() -> None:
    new = RADIO.replace("9=~", "9=ST") + LITHIUM
    assert wiring(RADIO + DRY, new).verdict == "same"


def test_keep_names_what_had_to_stay() -> None:
    keep = '[compare]\nkeep = ["U1", "SW*"]\n'
    broken = RADIO.replace("C1 12p C_0402_1005Metric : XA", "C1 12p C_0402_1005Metric : ANT")
    old = make_board(RADIO + DRY)
    answer = compare_wiring(old, make_board(broken + DRY, keep)).wiring
    assert (answer.verdict, answer.scope) == ("different", "named")
    # The power section is not named: its wires may move.
    loose = DRY.replace("5=LX 6=VCELL", "5=LX 6=LX")
    answer = compare_wiring(old, make_board(RADIO + loose, keep)).wiring
    assert (answer.verdict, answer.differences) == ("same", ())
    assert [d.kind for d in answer.elsewhere] == ["moved"]


def test_a_keep_pattern_that_fits_nothing_is_refused() -> None:
    with pytest.raises(KeepError, match='fits "U9"'):
        compare_wiring(make_board(RADIO), make_board(RADIO, '[compare]\nkeep = ["U9"]\n'))


def test_no_time_is_unknown_or_proven_never_different() -> None:
    """Twenty times the same hard piece: the limit ends the search, and the answer says so."""
    nodes = range(16)
    edges = [(a, b) for a in nodes for b in nodes if a < b and (a // 4 == b // 4 or a % 4 == b % 4)]
    rook = [
        f"R{k * 100 + i} 1k R_0402 : n{k}_{a} n{k}_{b} @symbol=R"
        for k in range(20)
        for i, (a, b) in enumerate(edges)
    ]
    board = make_board("\n".join(rook))
    other = renamed(board, random.Random(1)).board
    answer = compare_wiring(board, other, seconds=0.0001).wiring
    assert answer.verdict in ("unknown", "same")
    assert answer.differences == ()


def test_boards_drawn_as_hard_graphs_are_told_apart() -> None:
    """The two strongly regular graphs (16, 6, 2, 2), a resistor an edge: equal to every count of
    neighbours, and yet not the same (Shrikhande, Ann. Math. Stat. 30, 1959)."""
    squares = [(x, y) for x in range(4) for y in range(4)]
    rook = [(a, b) for a in squares for b in squares if a < b and (a[0] == b[0] or a[1] == b[1])]
    steps = ((0, 1), (1, 0), (1, 1))
    torus = [((x, y), ((x + i) % 4, (y + j) % 4)) for x, y in squares for i, j in steps]

    def drawn(edges: list[tuple[tuple[int, int], tuple[int, int]]]) -> str:
        return "\n".join(
            f"R{i} 1k R_0402 : n{a[0]}{a[1]} n{b[0]}{b[1]} @symbol=R"
            for i, (a, b) in enumerate(edges)
        )

    assert wiring(drawn(rook), drawn(rook), seed=6).verdict == "same"
    assert wiring(drawn(rook), drawn(torus)).verdict == "different"
