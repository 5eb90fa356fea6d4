"""Value texts whose words could be taken for something else: sizes, dashes, letters, voltages."""

from __future__ import annotations

import pytest

from counterpoise.values.partvalue import PartValue, read_value, same_value


def read(text: str, kind: str) -> PartValue:
    found = read_value(text, kind)
    assert found is not None, text
    return found


@pytest.mark.parametrize(
    ("text", "ohms", "package"),
    [
        ("1206", 1206.0, None),  # alone it is the value
        ("2512", 2512.0, None),
        ("1206 100", 100.0, "1206"),
        ("100 1206", 100.0, "1206"),
        ("0402 10k", 10e3, "0402"),
        ("R0603 10k 1%", 10e3, "0603"),
        ("0402 0603 22k", 22e3, "0402"),
    ],
)
def test_a_size_beside_a_value(text: str, ohms: float, package: str | None) -> None:
    found = read(text, "resistor")
    assert (found.nominal, found.package) == (ohms, package)


@pytest.mark.parametrize("text", ["0402", "R1206", "0603 0402", "-10k", "-", "--"])
def test_no_value_for_a_resistor(text: str) -> None:
    assert read_value(text, "resistor") is None


@pytest.mark.parametrize(
    ("text", "kind", "tolerance"),
    [
        ("10k J", "resistor", 0.05),  # letters of IEC 60062
        ("100n K", "capacitor", 0.10),
        ("10uH M", "inductor", 0.20),
        ("10k 1% J", "resistor", 0.01),  # what is written out counts
        ("16MHz K", "crystal", None),
        ("600R J", "ferrite", None),
        ("16MHz 30ppm", "crystal", 30e-6),
        ("100n 30ppm", "capacitor", None),
        ("16MHz 9pF ±0.5pF", "crystal", None),  # of its load
        ("10pF ±0.5pF", "capacitor", 0.05),
        ("10pF ±0.5p", "capacitor", 0.05),
        ("10pF 5% 10%", "capacitor", 0.10),  # the wider of two
        ("10k", "resistor", None),
    ],
)
def test_the_tolerance_beside_a_value(text: str, kind: str, tolerance: float | None) -> None:
    assert read(text, kind).tolerance == tolerance


@pytest.mark.parametrize(
    ("text", "volts"),
    [
        ("100pF 1kV", 1000.0),
        ("100pF 1.5kV C0G", 1500.0),
        ("100n 50V", 50.0),
        ("100n 6V3", 6.3),
        ("100n 16VDC 25V", 16.0),  # the first
        ("100n", None),
    ],
)
def test_the_voltage_beside_a_value(text: str, volts: float | None) -> None:
    assert read(text, "capacitor").voltage_v == volts


@pytest.mark.parametrize(("text", "same"), [("10.000008k", True), ("10.000012k", False)])
def test_how_near_two_values_must_be_to_be_the_same(text: str, same: bool) -> None:
    assert same_value(read("10k", "resistor"), read(text, "resistor")) is same
    assert same_value(read(text, "resistor"), read("10k", "resistor")) is same


@pytest.mark.parametrize(("load", "same"), [("12.50001pF", True), ("12.50002pF", False)])
def test_how_near_two_loads_must_be(load: str, same: bool) -> None:
    assert same_value(read("16MHz 12.5pF", "crystal"), read(f"16MHz {load}", "crystal")) is same


def test_a_dash_joins_value_and_tolerance_but_not_the_pieces_of_a_code() -> None:
    assert read("10k-5%-0402", "resistor") == read("10k 5% 0402", "resistor")
    assert read_value("ABC-10k-5%", "resistor") is None


def test_what_a_plain_value_says_nothing_of_is_left_open() -> None:
    found = read("10k", "resistor")
    assert found == PartValue(si=found.si)
    assert not found.unfitted
    assert read("10k DNP", "resistor").unfitted
