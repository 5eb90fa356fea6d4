"""Masses against handbooks, makers' tables and the trade's own figures."""

from __future__ import annotations

from textwrap import dedent

import pytest

from boards import make_board
from counterpoise.catalog.cells import candidates, cell_kinds
from counterpoise.catalog.materials import material, packages, triple
from counterpoise.estimates.mass import mass
from counterpoise.estimates.run_time import run_hours
from counterpoise.estimates.stiffness import cantilever
from counterpoise.model.report import Mass
from counterpoise.values.ranges import Range
from layouts import layout


def grams(name: str) -> tuple[float, float, float]:
    (row,) = [r for r in packages() if r.name == name]
    return row.mass.low, row.mass.likely, row.mass.high


def test_densities() -> None:
    """Copper 8.96 g/cm³: CRC Handbook of Chemistry and Physics, from memory. FR-4 1.85 g/cm³ (1.80 to
    1.90): laminate makers' data sheets. SAC305 7.38 g/cm³: alloy maker's data sheet, from memory."""
    assert float(material("copper").take("density", float)) == pytest.approx(8.96)
    laminate = triple(material("laminate"), "density")
    assert (laminate.low, laminate.likely, laminate.high) == (1.80, 1.85, 1.90)
    assert triple(material("solder"), "density").likely == pytest.approx(7.38)


def test_one_ounce_foil() -> None:
    """1 oz/ft² = 28.3495 g / 0.092903 m² = 305.15 g/m², IPC-4562's nominal area weight; at 8.96 g/cm³
    it is 34.06 µm, the usual "35 µm" to 3 %."""
    thick = 28.349523 / 0.09290304 / 8.96
    assert thick == pytest.approx(34.06, abs=0.01)
    assert float(material("copper").take("foil_um", float)) == pytest.approx(thick, rel=0.03)


@pytest.mark.parametrize(
    ("name", "milligrams"),
    [
        # Philips Semiconductors, chemical content of package SOT96-1 (SO8): 79.96 mg.
        ("SO-8", 79.96),
    ],
)
def test_published_package_mass(name: str, milligrams: float) -> None:
    low, likely, high = grams(name)
    assert low * 1000 <= milligrams <= high * 1000
    assert likely * 1000 == pytest.approx(milligrams, rel=0.01)


@pytest.mark.parametrize(
    ("name", "most"),
    [
        # Microchip package mass data, the heaviest variant: VQFN-20 3 x 3, VQFN 5 x 5, 7 x 7 and 9 x 9
        # mm, TQFP-32, SOIC-20.
        ("QFN, DFN or LGA 3 x 3 mm", 19.1),
        ("QFN, DFN or LGA 5 x 5 mm", 90.0),
        ("QFN, DFN or LGA 7 x 7 mm", 140.0),
        ("QFN, DFN or LGA 9 x 9 mm", 200.0),
        ("TQFP-32", 100.0),
        ("SO-20 to SO-28 wide", 542.0),
    ],
)
def test_published_maxima(name: str, most: float) -> None:
    low, likely, high = grams(name)
    assert low * 1000 <= likely * 1000 <= most <= high * 1000 + 1e-9


@pytest.mark.parametrize(
    ("name", "body", "density"),
    [
        # Body dimensions of thick film chip resistors and class 2 chip capacitors (EIA sizes, makers'
        # dimension tables, mm); 3.7 and 5.7 g/cm³: common practice, no source.
        ("chip resistor 0402", (1.0, 0.5, 0.35), 3.7),
        ("chip resistor 0603", (1.6, 0.8, 0.45), 3.7),
        ("chip capacitor 0402", (1.0, 0.5, 0.5), 5.7),
        ("chip capacitor 0603", (1.6, 0.8, 0.8), 5.7),
    ],
)
def test_chip_mass(name: str, body: tuple[float, float, float], density: float) -> None:
    volume = body[0] * body[1] * body[2]
    assert grams(name)[1] * 1000 == pytest.approx(volume * density, rel=0.03)


def test_rows_do_not_hide_each_other() -> None:
    names = [row.name for row in packages()]
    assert len(names) == len(set(names))


@pytest.mark.parametrize(
    ("role", "footprint", "row"),
    [
        ("chip", "WSON-8-1EP_6x5mm_P1.27mm_EP3.4x4mm", "WSON 6 x 5 mm"),
        ("radio", "QFN-48-1EP_6x6mm_P0.4mm_EP4.6x4.6mm", "QFN, DFN or LGA 6 x 6 mm"),
        ("usb-connector", "USB_C_Receptacle_16P_TopMount", "USB-C socket, 16 contacts"),
        ("usb-connector", "USB-C-SMD_TYPE-C-6P", "USB-C socket, 6 contacts"),
        ("usb-connector", "USB_A_Horizontal", "Type A socket or plug"),
        ("cell", "BatteryHolder_AAA_1x", "AAA or AA holder"),
        ("cell", "BatteryHolder_Keystone_3002_1x2032", "coin cell holder"),
        ("connector", "PinHeader_1x05_P2.00mm", "pin header, 2.0 mm, each pin"),
        ("connector", "FPC_24P_0.5mm", "FPC connector, each pin"),
        ("push-switch", "SW_Cherry_MX_1.00u_PCB", "keyboard key switch"),
        ("push-switch", "SW_Tact_4.2x3.2mm", "small tact switch"),
        ("push-switch", "SW_PUSH_6mm_H4.3mm", "tact switch 6 x 6 mm"),
    ],
)
def test_a_name_finds_its_row(role: str, footprint: str, row: str) -> None:
    from counterpoise.estimates._mass_parts import _package

    found = _package(role, footprint)
    assert found is not None
    assert found.name == row


def test_cantilever() -> None:
    """A 20 x 10 x 1.0 mm arm of 20 GPa under 1 N at its end: I = 10/12 mm⁴; F L³ / (3 E I) = 8000 /
    (3 x 20000 x 0.8333) = 0.16 mm; F L h / (2 I) = 12 MPa. Beam theory, any strength of materials."""
    bend = cantilever(1.0, 20.0, 10.0, 1.0, Range(20.0, 20.0))
    assert bend.deflection_mm.middle == pytest.approx(0.16)
    assert bend.stress_mpa == pytest.approx(12.0)
    thin = cantilever(1.0, 20.0, 10.0, 0.8, Range(20.0, 20.0))
    assert thin.deflection_mm.middle / bend.deflection_mm.middle == pytest.approx((1 / 0.8) ** 3)


# -- common practice, no source ------------------------------------------------------------------
def test_alkaline_aaa_cell() -> None:
    """About 12 g, two about 25 g with their holder's springs: common practice, no source."""
    (cell,) = [c for c in candidates() if c.name.startswith("AAA alkaline")]
    assert cell.mass.high == pytest.approx(12.0)
    assert 2 * cell.mass.likely == pytest.approx(25, rel=0.1)


def test_small_pouch_cell() -> None:
    """Under one gram for about 40 mAh, two to three hours in a wireless optical input board:
    common practice, no source. Such boards draw 12 to 16 mA in use (from memory)."""
    (cell,) = [c for c in candidates() if c.name == "pouch cell 40 mAh"]
    assert cell.mass.likely < 1.0
    usable = cell_kinds()["li-po"].usable.likely * cell.capacity_ah
    assert 2.0 <= run_hours(usable, 0.016) <= run_hours(usable, 0.012) <= 3.0


def test_small_assembled_board() -> None:
    """45 x 42 mm, two layers, 1.0 mm, with such a cell: a little under 7 g. Common practice, no
    source. 73 x 46 mm shrunk to 45 x 42 mm keeps 56 % of its area: arithmetic."""
    kept = (45 * 42) / (73 * 46)
    assert kept == pytest.approx(0.56, abs=0.005)
    drawn = """
        board 45 x 42
        thickness 1.0
        zone GND F.Cu : 0 0 45 0 45 30 0 30
        zone GND B.Cu : 0 0 45 0 45 34 0 34
        part SW1 at 10 10 "SW_Micro_12.8x5.8mm"
          pad 1 circle 1.6 x 1.6 at 0 0 net=A drill=0.9
        part SW2 at 30 10 "SW_Micro_12.8x5.8mm"
          pad 1 circle 1.6 x 1.6 at 0 0 net=B drill=0.9
        part U1 at 22 20 "QFN-48-1EP_6x6mm_P0.4mm"
          pad 1 rect 1 x 1 at 0 0 net=A
        part J1 at 22 38 "USB_C_Receptacle_16P"
          pad 1 rect 1 x 1 at 0 0 net=V
    """
    circuit = "SW1 - - : A\nSW2 - - : B\nU1 - - : A\nJ1 - - : V\n"
    facts = """
[cell]
chemistry = "li-po"
capacity = "40 mAh"
[parts.SW1]
role = "change-over-switch"
[parts.SW2]
role = "change-over-switch"
[parts.U1]
role = "radio"
[parts.J1]
role = "usb-connector"
"""
    found = mass(make_board(circuit, facts, layout=layout(dedent(drawn))))
    assert isinstance(found, Mass)
    assert 5.5 < found.total.likely < 7.5
