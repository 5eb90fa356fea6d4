"""What an order code says of a value: letter codes of IEC 60062, three-digit codes of EIA-198."""

from __future__ import annotations

import pytest

from counterpoise.checks._bill_values import code_contradicts, numbers_differ, texts_agree
from counterpoise.model.bom import BomLine
from counterpoise.values.partvalue import read_value


def line(value: str = "", code: str = "", description: str = "") -> BomLine:
    return BomLine(refs=("X1",), value=value, order_code=code, description=description)


# Three-digit code (EIA-198, multipliers from memory): two figures and the power of ten in
# picofarads; 8 and 9 as the last digit are a hundredth and a tenth; R is the decimal point.
@pytest.mark.parametrize(
    ("token", "picofarads"),
    [
        ("100", 10.0),
        ("101", 100.0),
        ("473", 47e3),
        ("106", 10e6),
        ("477", 470e6),
        ("829", 8.2),
        ("109", 1.0),
        ("508", 0.5),
        ("1R0", 1.0),
        ("4R7", 4.7),
        ("0R5", 0.5),
        ("R50", 0.5),
        ("R5", 0.5),
    ],
)
def test_a_capacitors_code(token: str, picofarads: float) -> None:
    for code in (f"GRM1555C1H{token}JA01D", f"ZZ-50V-{token}K", f"CC0402KRX7R7BB{token}"):
        assert code_contradicts(code, "capacitor", picofarads * 1e-12) is None
        assert code_contradicts(code, "capacitor", 3 * picofarads * 1e-12) == token
        assert code_contradicts(code, "capacitor", picofarads * 1e-12 / 3) == token


@pytest.mark.parametrize("code", ["ZZ-000K", "ZZ-R00K", "ZZ-047K", "ZZ-104T", "ZZ1047K", "2.104K"])
def test_figures_that_are_no_capacitors_code(code: str) -> None:
    assert code_contradicts(code, "capacitor", 3.3e-9) is None


def test_a_code_that_reads_in_two_ways_says_nothing() -> None:
    assert code_contradicts("ZZ104K-223K", "capacitor", 1e-12) is None
    assert code_contradicts("ZZ104K-104M", "capacitor", 1e-12) == "104"
    assert code_contradicts("ZZ104K-223K", "capacitor", 22e-9) is None


# Two figures of a code stand for three of E96: up to 2 % apart is rounding.
@pytest.mark.parametrize(
    ("code", "kind", "value", "said"),
    [
        ("RC0402FR-0751KL", "resistor", 51e3, None),
        ("RC0402FR-0751KL", "resistor", 5.1e3, "51K"),
        ("RC0402FR-074K7L", "resistor", 4.7e3, None),
        ("RC0402FR-0710RL", "resistor", 10.0, None),
        ("RC0402FR-0710RL", "resistor", 10e3, "10R"),
        ("GRM155R71C104KA88D", "capacitor", 100e-9, None),
        ("GRM155R71C104KA88D", "capacitor", 1e-6, "104"),
        ("GRM1555C1H120JA01D", "capacitor", 12e-12, None),
        ("GRM1555C1H120JA01D", "capacitor", 120e-12, "120"),
        ("ACME-77", "resistor", 10e3, None),
        ("", "capacitor", 1e-6, None),
        ("ZZ-103K", "capacitor", 10.2e-9, None),
        ("ZZ-103K", "capacitor", 10.25e-9, "103"),
        ("RC0402FR-0798RL", "resistor", 100.0, None),
        ("RC0402FR-0797R5L", "resistor", 100.0, "97R5"),
        ("RC0402FR-07102RL", "resistor", 100.0, None),
        ("RC0402FR-07103RL", "resistor", 100.0, "103R"),
        ("rc0402fr-07 10kl", "resistor", 1e3, "10K"),
    ],
)
def test_how_far_code_and_value_may_be_apart(
    code: str, kind: str, value: float, said: str | None
) -> None:
    assert code_contradicts(code, kind, value) == said


@pytest.mark.parametrize(
    ("a", "b", "kind", "differ"),
    [
        ("4k7", "4.7 kΩ", "resistor", False),
        ("4k7", "47k", "resistor", True),
        ("10", "10uF", "capacitor", False),  # "10" may mean 10 µF or 10 pF
        ("10", "10pF", "capacitor", False),
        ("10", "10nF", "capacitor", True),
        ("32MHz 8pF", "32MHz", "crystal", False),
        ("32MHz 8pF", "32MHz 12pF", "crystal", True),
        ("999", "1k", "resistor", False),  # a tenth of a percent is rounding
        ("10k", "10.009k", "resistor", False),
        ("10k", "10.012k", "resistor", True),
        ("4.99k", "5k", "resistor", True),
        ("32.77kHz", "32.768kHz 12.5pF", "crystal", False),  # a load that one alone states
        ("32.77kHz 9pF", "32.768kHz 12.5pF", "crystal", True),
        ("32.77kHz 9pF", "32.768kHz 9pF", "crystal", False),
        ("32.768", "32.768MHz 8pF", "crystal", False),  # the bare figure may be megahertz
        ("0R", "0", "resistor", False),
    ],
)
def test_figures_that_differ(a: str, b: str, kind: str, differ: bool) -> None:
    first, second = read_value(a, kind), read_value(b, kind)
    assert first is not None
    assert second is not None
    assert numbers_differ(first, second) is differ
    assert numbers_differ(second, first) is differ


@pytest.mark.parametrize(
    ("text", "other", "agree"),
    [
        ("TP4054", line("", code="TP4054-42"), True),
        ("usb hub", line("hub for usb"), True),
        ("ab cd", line("cd ab"), False),  # words of two letters tell nothing
        ("relay G5V1", line("G5V1 12V"), True),  # half of the words, and the one with figures
        ("side relay G5V1", line("G5V1 12V"), False),
        ("relay G5V1", line("relay G5V2"), False),
        ("relay G5V1 K2X", line("relay G5V1"), True),  # the line's whole text is in it
        ("relay K2X G5V1", line("G5V1 relay"), False),
        ("ABC", line("XABCX"), True),
        ("AB", line("AB"), True),
    ],
)
def test_words_that_agree(text: str, other: BomLine, agree: bool) -> None:
    assert texts_agree(text, other) is agree
