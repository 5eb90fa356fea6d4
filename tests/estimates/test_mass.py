"""The mass ledger against hand calculations, handbook densities and its own properties."""

from __future__ import annotations

import math
from textwrap import dedent

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boards import make_board
from counterpoise.estimates.mass import ledger, mass
from counterpoise.model.facts import Need
from counterpoise.model.report import Mass, MassItem
from counterpoise.values.ranges import Estimate
from layouts import layout


def weigh(drawn: str, circuit: str = "", facts: str = "") -> Mass:
    found = mass(make_board(circuit, facts, layout=layout(dedent(drawn))))
    assert isinstance(found, Mass)
    return found


def item(found: Mass, name: str) -> MassItem:
    (one,) = [i for i in found.items if i.name == name]
    return one


def test_bare_board_by_hand() -> None:
    """60 x 40 x 1.0 mm, fills of 60 % and 70 %, worked by hand.

    Laminate: 2400 mm² x (1.0 - 2 x 0.035 - 2 x 0.025) mm x 1.85 g/cm³ = 3.9072 g; copper:
    (1440 + 1680) mm² x 0.035 mm x 8.96 g/cm³ = 0.9784 g; mask: 2 x 0.9 x 2400 mm² x 0.025 mm x
    1.3 g/cm³ = 0.1404 g. FR-4 1.85 g/cm³: laminate makers' data; copper 8.96 g/cm³: CRC Handbook of
    Chemistry and Physics (from memory); mask density: common practice, no source.
    """
    found = weigh(
        """
        board 60 x 40
        thickness 1.0
        zone GND F.Cu : 0 0 60 0 60 24 0 24
        zone GND B.Cu : 0 0 60 0 60 28 0 28
        """
    )
    assert item(found, "laminate").mass.likely == pytest.approx(3.9072, abs=5e-5)
    copper = [i.mass.likely for i in found.items if i.name.startswith("copper")]
    assert sum(copper) == pytest.approx(0.9784, abs=5e-5)
    assert item(found, "solder mask").mass.likely == pytest.approx(0.1404, abs=5e-5)


def test_one_ounce_of_copper() -> None:
    """1 oz/ft² is 28.3495 g over 0.09290 m²: 305.15 g/m², 34.06 µm at 8.96 g/cm³."""
    found = weigh(
        """
        board 100 x 100
        thickness 1.6
        stack F.Cu copper 0.034057 / core core 1.5 4.4 / B.Cu copper 0.034057
        zone GND F.Cu : 0 0 100 0 100 100 0 100
        """
    )
    assert item(found, "copper F.Cu").mass.likely == pytest.approx(3.0515, rel=1e-3)


def test_a_hole_takes_its_laminate_away() -> None:
    """A 3.2 mm hole in 1.6 mm: π/4 x 3.2² x (1.6 - 0.07 - 0.05) mm x 1.85 g/cm³ = 22.0 mg."""
    whole = weigh("board 40 x 40\nthickness 1.6")
    holed = weigh("board 40 x 40\nthickness 1.6\nhole 20 20 r 1.6")
    less = item(whole, "laminate").mass.likely - item(holed, "laminate").mass.likely
    assert less == pytest.approx(math.pi / 4 * 3.2**2 * 1.48 * 1.85 / 1000, rel=1e-9)


def test_order_of_bases() -> None:
    drawn = """
        board 40 x 40
        thickness 1.0
        part R1 at 5 5 0 "R_0402_1005Metric"
          pad 1 rect 0.5 x 0.6 at -0.5 0 net=A
          pad 2 rect 0.5 x 0.6 at 0.5 0 net=B
        part U1 at 20 20 0 "odd thing"
          pad 1 rect 1 x 1 at -2 0 net=A
          pad 2 rect 1 x 1 at 2 0 net=B
          courtyard -3 -2 3 2
        part X1 at 30 30 0 "odd thing"
          pad 1 rect 1 x 1 at -2 0 net=A
    """
    circuit = """
        R1 10k R_0402_1005Metric : A B
        U1 - odd : A B
        X1 - odd : A
        R2 10k R_0402_1005Metric : A B @dnp
    """
    found = weigh(drawn, circuit, '[parts.X1]\nmass = "0.2 g to 0.3 g"\n')
    by_ref = {i.ref: i for i in found.items if i.ref}
    # Chip resistor 0402: 1.00 x 0.50 x 0.35 mm (makers' dimension tables) x 3.7 g/cm³ = 0.65 mg.
    assert by_ref["R1"].mass.likely == pytest.approx(1.0 * 0.5 * 0.35 * 3.7e-3, rel=0.01)
    assert by_ref["X1"].mass == Estimate(0.2, 0.25, 0.3)
    assert "envelope" in by_ref["U1"].basis
    assert found.unknown == ("U1",)
    assert "R2" not in by_ref, "a part that is not fitted weighs nothing"


def test_needs_an_outline_and_a_thickness() -> None:
    assert isinstance(mass(make_board("R1 10k : A B")), Need)
    missing = mass(make_board("", layout=layout("board 40 x 40")))
    assert isinstance(missing, Need)
    assert "thickness" in missing.where


estimates = st.tuples(*[st.floats(0, 1e3)] * 3).map(lambda three: Estimate(*sorted(three)))
items = st.builds(
    MassItem,
    st.just("x"),
    st.just("X1"),
    estimates,
    st.just("given"),
    st.sampled_from(["", "a", "b"]),
)


@given(st.lists(items, max_size=30))
def test_items_sum_to_the_total_and_stay_in_order(found: list[MassItem]) -> None:
    total = ledger(found)
    assert total.total.likely == pytest.approx(sum(i.mass.likely for i in found), abs=1e-6)
    assert total.worst_low_g <= total.total.low + 1e-9
    assert total.total.low <= total.total.likely <= total.total.high
    assert total.total.high <= total.worst_high_g + 1e-9


def test_shared_uncertainties_add_up_and_others_in_quadrature() -> None:
    one = Estimate(9, 10, 12)
    alike = [MassItem("x", "", one, "", "same")] * 2
    apart = [MassItem("x", "", one, "")] * 2
    assert ledger(alike).total == Estimate(18, 20, 24)
    assert ledger(apart).total.high == pytest.approx(20 + math.hypot(2, 2))
    assert ledger(apart).total.low == pytest.approx(20 - math.hypot(1, 1))


@given(st.floats(0.2, 5))
def test_scaling_the_outline_scales_the_laminate(factor: float) -> None:
    plain = weigh("board 40 x 30\nthickness 1.0")
    scaled = weigh(f"board {40 * factor} x {30 * factor}\nthickness 1.0")
    for end in ("low", "likely", "high"):
        assert getattr(item(scaled, "laminate").mass, end) == pytest.approx(
            getattr(item(plain, "laminate").mass, end) * factor**2, rel=1e-9
        )
